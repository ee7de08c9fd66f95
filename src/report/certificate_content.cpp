#include "report/certificate_content.h"

#include <algorithm>
#include <map>
#include <string_view>
#include <utility>

#include <fmt/format.h>
#include <fmt/ranges.h>

#include "report/plain_text.h"
#include "report/statements.h"

namespace rigproof {
namespace {

std::string joined(const std::vector<std::string>& words) {
  return fmt::format("{}", fmt::join(words, ", "));
}

std::string level(const ReportContext& context) {
  const Issuer& issuer = context.options.issuer;
  std::vector<std::string> words;
  if (context.results.simulated) words.push_back(context.t("simulated"));
  words.push_back(context.t(context.options.seal ? "certificate.sealed" : "certificate.draft"));
  words.push_back(
      issuer.accreditation.empty()
          ? context.t("certificate.not-accredited")
          : context.t("certificate.accredited", {{"words", plain_text(issuer.accreditation, 80)}}));
  return fmt::format("{}", fmt::join(words, " · "));
}

std::string watermark(const ReportContext& context) {
  const bool simulated = context.results.simulated, draft = !context.options.seal;
  if (simulated) return context.t("simulated");
  return draft ? context.t("certificate.draft-mark") : "";
}

void add_rows(CertificateContent& content, const ReportContext& context) {
  const NumberStyle& n = context.numbers;
  std::vector<std::string> tested, not_tested;
  for (const auto& c : context.results.characteristics) {
    const JudgedValue* worst = worst_of(c);
    if (!c.judged || !worst || !worst->decision) continue;
    tested.push_back(context.name(c.id));
    const double limit = worst->decision->limit;
    const int d = n.decimals_for(worst->value.value, worst->value.U, limit);
    CertificateRow row;
    row.name = context.name(c.id) + " (" + plain_text(c.symbol, 30) + ")";
    row.limit = n.small(limit, d);
    row.value = n.small(worst->value.value, d);
    row.U = n.small(worst->value.U, d);
    row.place = context.label(worst->value.scan) + " " + context.where(worst->value);
    row.verdict = std::string(ReportContext::glyph(c.verdict)) + " " + context.verdict(c.verdict);
    row.bar = {worst->value.value,
               worst->value.U,
               limit,
               guard_width(context.results.session, worst->value),
               c.verdict};
    content.rows.push_back(row);
  }
  for (const std::string& id : context.results.not_tested) not_tested.push_back(context.name(id));
  not_tested.push_back(context.t("certificate.never-tested"));
  content.tested = tested.empty() ? context.t("certificate.none") : joined(tested);
  content.not_tested = joined(not_tested);
}

void add_parties(CertificateContent& content, const ReportContext& context) {
  const ReportOptions& o = context.options;
  const Session& s = context.results.session;
  const auto add = [&](const char* key, const std::string& text) {
    content.parties.emplace_back(context.t(key), text.empty() ? "–" : plain_text(text, 160));
  };
  std::string issuer = o.issuer.name;
  for (const std::string& line : o.issuer.address) issuer += ", " + line;
  add("party.issuer", issuer);
  add("party.place", o.issuer.place_of_test);
  add("party.customer", s.customer);
  add("party.order", o.order);
  add("party.test-date", test_date(context));
  add("party.issue-date",
      o.seal && o.seal->date ? context.numbers.date(*o.seal->date) : context.t("party.not-issued"));
  add("party.tested-by", s.operator_name);
  add("party.authorised-by", o.seal ? o.seal->authorised_by : context.t("party.not-authorised"));
}

using ValuesOfScans = std::map<std::string_view, std::vector<const JudgedValue*>>;

ValuesOfScans by_scan(const CharacteristicResult& c) {
  ValuesOfScans values;
  for (const auto& v : c.values) values[v.value.scan].push_back(&v);
  return values;
}

// Two balls of a bar stand in one cell.
std::string position_cell(const ReportContext& context,
                          const ValuesOfScans& values,
                          const std::string& scan) {
  const auto its = values.find(scan);
  if (its == values.end()) return "–";
  std::string cell;
  for (const JudgedValue* v : its->second) {
    const double limit = v->decision ? v->decision->limit : 0;
    const int d = context.numbers.decimals_for(v->value.value, v->value.U, limit);
    cell += (cell.empty() ? "" : " / ") + context.numbers.small(v->value.value, d);
    if (v->decision && v->decision->verdict != Verdict::within)
      cell += std::string(" ") + std::string(ReportContext::glyph(v->decision->verdict));
  }
  return cell;
}

// Every value of a scan under its characteristic.
void add_positions(CertificateContent& content, const ReportContext& context) {
  std::vector<const CharacteristicResult*> shown;
  const bool any_judged =
      std::ranges::any_of(context.results.characteristics, &CharacteristicResult::judged);
  for (const auto& c : context.results.characteristics)
    if (!c.values.empty() && (c.judged || !any_judged) && shown.size() < 5) shown.push_back(&c);
  content.position_columns = {
      context.t("col.position"), context.t("col.artefact"), context.t("col.place")};
  std::vector<ValuesOfScans> columns;
  for (const auto* c : shown) {
    content.position_columns.push_back(plain_text(c->symbol, 18) + " " +
                                       context.numbers.small_unit());
    columns.push_back(by_scan(*c));
  }
  for (const ScanRecord& scan : context.results.scans) {
    if (scan.status != ScanStatus::used) continue;
    std::vector<std::string> row{context.label(scan.file),
                                 plain_text(scan.artefact, 80),
                                 context.place(plain_text(scan.zone, 60))};
    for (const ValuesOfScans& values : columns)
      row.push_back(position_cell(context, values, scan.file));
    content.positions.push_back(row);
  }
}

std::string artefact_line(const ReportContext& context, const Artefact& a) {
  const NumberStyle& n = context.numbers;
  std::vector<std::string> values;
  const auto add = [&](const std::string& item, const Calibrated& c) {
    values.push_back(plain_text(item, 30) + " " + n.large(c.mm, n.inch() ? 5 : 4) + " ± " +
                     n.small_with_unit(c.U_mm, n.inch() ? 0 : 1));
  };
  for (const auto& b : a.balls) add("Ø " + b.id, b.diameter);
  for (const auto& d : a.distances) add(d.from + "–" + d.to, d.length);
  if (a.kind == ArtefactKind::plate) add(context.t("artefact.flatness"), a.flatness);
  return context.t(
      "certificate.artefact",
      {{"serial", plain_text(a.serial, 60)},
       {"values", joined(values)},
       {"certificate", a.certified ? plain_text(a.certificate, 60) : context.t("artefact.nominal")},
       {"laboratory", a.laboratory.empty() ? "–" : plain_text(a.laboratory, 80)},
       {"due", a.due ? n.date(*a.due) : "–"},
       {"alpha", n.number(a.alpha_per_K * 1e6, 1)},
       {"u_alpha", n.number(a.u_alpha_per_K * 1e6, 2)},
       {"source", context.t(a.alpha_from_table ? "artefact.table" : "artefact.stated")}});
}

void add_conditions(CertificateContent& content, const ReportContext& context) {
  const Session& s = context.results.session;
  const NumberStyle& n = context.numbers;
  const auto add = [&](const char* key, const std::string& text) {
    if (!text.empty()) content.conditions.emplace_back(context.t(key), text);
  };
  add("setting.rig",
      plain_text(s.rig.id, 60) + (s.rig.serial.empty() ? "" : ", " + plain_text(s.rig.serial, 60)));
  add("setting.field", plain_text(s.field_name, 60) + " · " + volume_words(context));
  const std::string& hash = context.results.calibration_sha256;
  add("setting.calibration",
      hash.empty() ? plain_text(s.calibration, 120) : "SHA-256 " + plain_text(hash, 70));
  add("certificate.lens",
      context.t(s.rig.lens_locked ? "certificate.lens-locked" : "certificate.lens-unknown"));
  const ArtefactTemperature& t = context.results.temperature;
  add("certificate.conditions",
      context.t("certificate.temperature",
                {{"C", n.number(t.C, 1)},
                 {"u", n.number(t.u_C, 2)},
                 {"basis", context.language.phrase(plain_text(t.basis, 80))},
                 {"soak", s.environment.soaked_h ? n.number(*s.environment.soaked_h, 1) : "–"}}));
  std::string method =
      plain_text(s.procedure.title.empty() ? s.procedure.name : s.procedure.title, 100);
  if (!s.procedure.style.empty())
    method += ", " + context.t("style.words", {{"style", plain_text(s.procedure.style, 80)}});
  add("setting.style", method);
  std::vector<std::string> deviations;
  for (const std::string& d : printed_deviations(s.procedure))
    deviations.push_back(context.language.phrase(plain_text(d, 200)));
  add("certificate.deviations", fmt::format("{}", fmt::join(deviations, " ")));
}

/// The first of each id and scan.
using FindingsOfScans = std::map<std::pair<std::string_view, std::string_view>, const Finding*>;

FindingsOfScans by_id_and_scan(const std::vector<Finding>& findings) {
  FindingsOfScans out;
  for (const Finding& f : findings) out.try_emplace({f.id, f.scan}, &f);
  return out;
}

// What a finding says happened, for a reason that is only its name.
std::string reason_words(const ReportContext& context,
                         const FindingsOfScans& findings,
                         const ScanRecord& scan) {
  const auto named = findings.find({scan.reason, scan.file});
  if (named == findings.end()) return context.language.phrase(plain_text(scan.reason, 200));
  const std::string& text = named->second->text;
  return context.language.phrase(plain_text(text.substr(0, text.find(" · ")), 200));
}

void add_repeats(CertificateContent& content, const ReportContext& context) {
  const FindingsOfScans findings = by_id_and_scan(context.results.findings);
  for (const ScanRecord& s : context.results.scans) {
    if (s.status == ScanStatus::used) continue;
    content.repeats.push_back(context.label(s.file) + " " + plain_text(s.file, 60) + ": " +
                              context.t("status." + to_string(s.status)) +
                              (s.reason.empty() ? "" : " – " + reason_words(context, findings, s)));
  }
  if (content.repeats.empty()) content.repeats.push_back(context.t("certificate.no-repeats"));
}

}  // namespace

CertificateContent certificate_content(const ReportContext& context) {
  CertificateContent content;
  const std::string state = to_string(context.results.verdict);
  content.title = context.t("certificate.title." + state);
  content.headline = std::string(ReportContext::glyph(context.results.verdict)) + " " +
                     context.verdict(context.results.verdict) + ": " + headline(context);
  content.sentence = customer_sentence(context);
  content.id = context.document_id();
  content.level = level(context);
  content.watermark = watermark(context);
  content.rule = rule_sentence(context);
  content.uncertainty = uncertainty_sentence(context);
  add_rows(content, context);
  add_parties(content, context);
  add_positions(content, context);
  for (const Artefact& a : context.results.session.artefacts)
    content.artefacts.push_back(artefact_line(context, a));
  add_conditions(content, context);
  add_repeats(content, context);
  content.notes = {context.t("note.not-tested"), context.t("note.item"), context.t("note.full")};
  if (context.options.issuer.accreditation.empty())
    content.notes.push_back(context.t("note.accredited"));
  content.check = {context.t("check.program"),
                   context.t("check.hand"),
                   "results.json SHA-256 " + context.results_sha256()};
  if (context.options.seal) {
    content.check.push_back(context.t("check.key") + " " +
                            plain_text(context.options.seal->key, 80));
    content.check.push_back(context.t("check.manifest") + " SHA-256 " +
                            plain_text(context.options.seal->manifest_sha256, 80));
  }
  content.cautions = cautions(context);
  content.qr = "RIGPROOF " + plain_text(context.results.session.id, 60) + " SHA-256 " +
               context.results_sha256().substr(0, 16);
  return content;
}

}  // namespace rigproof
