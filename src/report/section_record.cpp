#include <algorithm>

#include <fmt/format.h>

#include "inputs/session_folder.h"
#include "report/plain_text.h"
#include "report/sections.h"
#include "report/statements.h"

namespace rigproof {
namespace {

void setting(PageData& page, const std::string& label, const std::string& value) {
  if (!value.empty()) page.add("settings").text("label", label).text("value", value);
}

void add_findings(PageData& page, const ReportContext& context) {
  std::vector<const Finding*> sorted;
  for (const Finding& f : context.results.findings) sorted.push_back(&f);
  std::ranges::stable_sort(sorted, std::greater{}, &Finding::severity);
  for (const Finding* f : sorted)
    page.add("findings")
        .text("severity", context.t("severity." + to_string(f->severity)))
        .text("severity_id", to_string(f->severity))
        .text("id", f->id)
        .text("scan",
              f->scan.empty() ? context.t("whole-session")
                              : context.label(f->scan) + " · " + plain_text(f->scan, 80))
        .text("text", context.language.phrase(f->text));
  page.flag("has_findings", !sorted.empty());
}

void add_files(PageData& page, const ReportContext& context) {
  const NumberStyle& n = context.numbers;
  for (const ScanRecord& s : context.results.scans)
    page.add("files")
        .text("label", context.label(s.file))
        .text("file", s.file)
        .text("status", context.t("status." + to_string(s.status)))
        .text("status_id", to_string(s.status))
        .text("reason", context.language.phrase(plain_text(s.reason, 400)))
        .text("points", n.count(s.points))
        .text("dropped", n.count(s.dropped))
        .text("format", s.format)
        .text("sha256", s.sha256);
  for (const std::string& entry : context.results.session.skipped) {
    const SkippedFile s = skipped_file(entry);
    page.add("files")
        .text("label", "–")
        .text("file", "scans/" + s.name)
        .text("status", context.t("status.skipped"))
        .text("status_id", "skipped")
        .text("reason", context.language.phrase(s.why))
        .text("points", "")
        .text("dropped", "")
        .text("format", "")
        .text("sha256", "");
  }
  for (const InputRecord& i : context.results.inputs) {
    const bool scan = std::ranges::find(context.results.scans, i.path, &ScanRecord::file) !=
                      context.results.scans.end();
    if (!scan)
      page.add("other_files")
          .text("file", i.path)
          .text("sha256", i.sha256)
          .text("bytes", n.count(i.bytes));
  }
  page.flag("has_other_files", page.lists().contains("other_files"));
}

std::string certified(const ReportContext& context, const Artefact& a) {
  const NumberStyle& n = context.numbers;
  const int d = n.inch() ? 6 : 4;
  std::string text;
  const auto add = [&](const std::string& item, const Calibrated& c) {
    text += (text.empty() ? "" : "; ") + plain_text(item, 40) + " " + n.large(c.mm, d) + " ± " +
            n.large_with_unit(c.U_mm, d);
  };
  for (const auto& b : a.balls) add("Ø " + b.id, b.diameter);
  for (const auto& l : a.distances) add(l.from + "–" + l.to, l.length);
  if (a.kind == ArtefactKind::plate) add(context.t("artefact.flatness"), a.flatness);
  return text;
}

void add_artefacts(PageData& page, const ReportContext& context) {
  for (const Artefact& a : context.results.session.artefacts)
    page.add("artefacts")
        .text("serial", a.serial)
        .text("material",
              context.language.phrase(a.material.empty() ? "steel (assumed)" : a.material))
        .text("certificate", a.certified ? a.certificate : context.t("artefact.nominal"))
        .text("laboratory", a.laboratory)
        .text("due", a.due ? context.numbers.date(*a.due) : "–")
        .text("values", certified(context, a))
        .text("alpha",
              context.numbers.number(a.alpha_per_K * 1e6, 1) + " ± " +
                  context.numbers.number(a.u_alpha_per_K * 1e6, 2))
        .text("alpha_source", context.t(a.alpha_from_table ? "artefact.table" : "artefact.stated"));
}

// "gates [O], positions [O] (S read in public text, …)"
std::string marks(const ReportContext& context) {
  std::string out;
  for (const std::string& name : mark_names())
    if (const auto& all = context.results.session.procedure.marks; all.contains(name))
      out += (out.empty() ? "" : ", ") + context.t("mark." + name) + " [" +
             plain_text(all.at(name), 8) + "]";
  return out.empty() ? out : out + " (" + context.t("setting.marks-key") + ")";
}

void add_settings(PageData& page, const ReportContext& context) {
  const Session& s = context.results.session;
  setting(page, context.t("setting.session"), s.id);
  setting(page, context.t("setting.kind"), context.t("kind." + s.kind));
  setting(page,
          context.t("setting.rig"),
          s.rig.id + (s.rig.serial.empty() ? "" : " (" + s.rig.serial + ")"));
  setting(page, context.t("setting.field"), s.field_name + " · " + volume_words(context));
  setting(page, context.t("setting.procedure"), s.procedure.name + " – " + s.procedure.title);
  if (!s.procedure.style.empty())
    setting(page,
            context.t("setting.style"),
            context.t("style.words", {{"style", plain_text(s.procedure.style)}}));
  for (const std::string& line : printed_deviations(s.procedure))
    setting(page, context.t("setting.deviation"), context.language.phrase(line));
  setting(page,
          context.t("setting.cap"),
          context.numbers.number(s.procedure.zones.cap_half_angle_deg, 0) + "°");
  setting(page,
          context.t("setting.gates"),
          context.t(
              "setting.gates-words",
              {{"ball", context.numbers.percent(s.procedure.zones.ball_gate_share, 0)},
               {"plate", context.numbers.large_with_unit(s.procedure.zones.plate_gate_mm, 1)},
               {"border", context.numbers.large_with_unit(s.procedure.zones.plate_border_mm, 1)}}));
  for (const auto& [id, rule] : s.procedure.characteristics)
    setting(page,
            context.t("setting.allowance", {{"name", context.name(id)}}),
            context.numbers.percent(rule.allowance, 1) +
                (rule.confidence.empty() ? "" : " [" + plain_text(rule.confidence, 8) + "]"));
  setting(page, context.t("setting.marks"), marks(context));
  setting(page,
          context.t("setting.limits"),
          s.limits.name + (s.limits.set_by.empty() ? "" : " · " + s.limits.set_by));
  setting(page, context.t("setting.operator"), s.operator_name);
  setting(page, context.t("setting.calibration"), s.calibration);
  setting(page, context.t("setting.calibration-hash"), context.results.calibration_sha256);
  setting(page,
          context.t("setting.software"),
          "rigproof " + context.options.software_version + " · " + context.options.software_build);
  setting(page, context.t("setting.selftest"), context.language.phrase(context.results.selftest));
  setting(page, context.t("setting.results-hash"), context.results_sha256());
}

void add_photos(PageData& page, const ReportContext& context) {
  for (const Photo& photo : context.options.photos) {
    PageData& item = page.add("photos");
    item.text("name", photo.name).text("sha256", photo.sha256);
    if (photo.jpeg.empty()) continue;
    item.html("image",
              fmt::format("<img src=\"data:image/jpeg;base64,{}\" width=\"{}\" height=\"{}\" "
                          "alt=\"{}\">",
                          base64(photo.jpeg),
                          photo.width,
                          photo.height,
                          escape_html(plain_text(photo.name, 80))));
  }
  page.flag("has_photos", !context.options.photos.empty());
}

}  // namespace

void fill_record(PageData& page, const ReportContext& context) {
  add_findings(page, context);
  add_files(page, context);
  add_artefacts(page, context);
  add_photos(page, context);
  add_settings(page, context);
  for (const std::string& line : cautions(context)) page.add("cautions").text("line", line);
}

}  // namespace rigproof
