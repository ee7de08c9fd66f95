#include "record/results_json.h"

#include <cmath>

#include <fmt/format.h>

#include "base/input_file.h"
#include "base/version.h"
#include "inputs/session_folder.h"
#include "record/evidence_json.h"

namespace rigproof {
namespace {

Json matrix(const Eigen::MatrixXd& m) {
  Json rows = Json::array();
  for (int i = 0; i < m.rows(); ++i) {
    Json row = Json::array();
    for (int j = 0; j < m.cols(); ++j) row.push_back(m(i, j));
    rows.push_back(std::move(row));
  }
  return rows;
}

Json budget(const std::vector<BudgetLine>& lines) {
  Json out = Json::array();
  for (const auto& line : lines) {
    Json inputs = Json::object();
    for (const auto& in : line.inputs) inputs[in.symbol] = in.value;
    out.push_back({{"line", line.line},
                   {"u", line.u},
                   {"dof", or_null(line.dof)},
                   {"shared", line.shared},
                   {"sensitivity", line.sensitivity},
                   {"shape", line.shape == LineShape::rectangular ? "rectangular" : "normal"},
                   {"formula", line.formula},
                   {"inputs", std::move(inputs)}});
  }
  return out;
}

Json value(const JudgedValue& judged) {
  const TestValue& v = judged.value;
  Json j{{"scan", v.scan}, {"place", v.place}, {"zone", v.zone}, {"artefact", v.artefact}};
  if (!v.ball.empty()) j["ball"] = v.ball;
  if (!v.pair.first.empty()) j["pair"] = {v.pair.first, v.pair.second};
  j["measured"] = v.measured;
  j["reference"] = v.reference;
  j["value"] = v.value;
  const auto& d = judged.decision;
  j["limit"] = d ? Json(d->limit) : Json(nullptr);
  j["ratio"] = d ? Json(d->ratio) : Json(nullptr);
  j["u"] = v.u;
  j["U"] = v.U;
  j["k"] = v.k;
  j["dof"] = or_null(v.dof);
  j["u_fit"] = v.u_fit;
  j["p_within"] = d ? Json(d->p_within) : Json(nullptr);
  j["verdict"] = d ? Json(to_string(d->verdict)) : Json(nullptr);
  j["points"] = v.points;
  j["left_out"] = v.left_out;
  j["value_all_points"] = v.value_all_points;
  j["spacing_um"] = v.spacing_um;
  j["center"] = vector_json(v.center);
  if (v.direction.squaredNorm() > 0) j["direction"] = vector_json(v.direction);
  j["alternatives"] = v.alternatives;
  j["budget"] = budget(v.budget);
  return j;
}

Json worst_of(const CharacteristicResult& c) {
  if (c.worst < 0) return nullptr;
  const auto& judged = c.values[static_cast<std::size_t>(c.worst)];
  return {{"value", judged.value.value},
          {"ratio", judged.decision ? Json(judged.decision->ratio) : Json(nullptr)},
          {"scan", judged.value.scan},
          {"place", judged.value.place}};
}

Json characteristic(const CharacteristicResult& c) {
  Json values = Json::array();
  for (const auto& v : c.values) values.push_back(value(v));
  return {{"id", c.id},
          {"symbol", c.symbol},
          {"unit", c.unit},
          {"judged", c.judged},
          {"verdict", c.judged ? Json(to_string(c.verdict)) : Json(nullptr)},
          {"worst", worst_of(c)},
          {"values", std::move(values)}};
}

Json feature(const FeatureRecord& f) {
  Json j{{"kind", f.sphere ? "sphere" : "plane"}, {"center", vector_json(f.center)}};
  if (!f.artefact.empty()) j["artefact"] = f.artefact;
  if (!f.ball.empty()) j["ball"] = f.ball;
  if (f.sphere) {
    j["radius"] = f.radius;
    j["form"] = f.form;
    if (f.form_mz) j["form_mz"] = *f.form_mz;
    j["cap_half_angle_deg"] = f.cap_half_angle_deg;
    j["seen_half_angle_deg"] = f.seen_half_angle_deg;
    j["cap_axis"] = vector_json(f.axis);
    j["cap_axis_from"] = f.axis_from;
  } else {
    j["normal"] = vector_json(f.normal);
    j["flatness"] = f.form;
    if (f.form_mz) j["flatness_mz"] = *f.form_mz;
    j["extent"] = {f.length_mm, f.width_mm};
    j["area_mm2"] = f.area_mm2;
  }
  j["points"] = f.points;
  j["left_out"] = f.left_out;
  j["strays"] = f.strays;
  j["rounds"] = f.rounds;
  j["settled"] = f.settled;
  j["rms"] = f.rms;
  j["cov"] = matrix(f.cov);
  add_evidence(j, f);
  return j;
}

Json scan(const ScanRecord& s) {
  Json features = Json::array();
  for (const auto& f : s.features) features.push_back(feature(f));
  return {{"file", s.file},
          {"sha256", s.sha256},
          {"bytes", s.bytes},
          {"format", s.format},
          {"points", s.points},
          {"dropped", s.dropped},
          {"faces", s.faces},
          {"simulated", s.simulated},
          {"status", to_string(s.status)},
          {"reason", s.reason},
          {"artefact", s.artefact},
          {"place", s.place},
          {"zone", s.zone},
          {"features", std::move(features)}};
}

Json findings_array(const std::vector<Finding>& findings) {
  Json out = Json::array();
  for (const auto& f : findings)
    out.push_back({{"id", f.id},
                   {"severity", to_string(f.severity)},
                   {"scope", to_string(f.scope)},
                   {"scan", f.scan},
                   {"text", f.text}});
  return out;
}

Json diagnosis(const Diagnosis& d) {
  Json causes = Json::array();
  for (const auto& c : d.causes) {
    causes.push_back({{"id", c.id},
                      {"coefficient", c.coefficient},
                      {"u", c.u},
                      {"unit", c.unit},
                      {"chi2_drop", c.chi2_drop},
                      {"share", c.share},
                      {"worst_sd_after", c.worst_after}});
    if (!c.zone.empty()) causes.back()["zone"] = c.zone;
  }
  Json limits = Json::array();
  for (const auto& l : d.detection_limits)
    limits.push_back(
        {{"id", l.id}, {"value", l.value}, {"unit", l.unit}, {"worst_sd", l.worst_sd}});
  return {{"ran", d.ran},
          {"clean", d.ran ? Json(d.clean) : Json(nullptr)},
          {"geometry", d.geometry},
          {"two_faults", d.two_faults},
          {"worst_sd", d.worst_sd},
          {"residual", d.chi2_per_dof},
          {"causes", std::move(causes)},
          {"indistinguishable", d.indistinguishable},
          {"advice", d.advice},
          {"detection_limits", std::move(limits)}};
}

Json artefact(const Artefact& a) {
  Json j{{"serial", a.serial},
         {"kind", to_string(a.kind)},
         {"certified", a.certified},
         {"certificate", a.certificate},
         {"laboratory", a.laboratory},
         {"material", a.material},
         {"alpha_per_K", a.alpha_per_K},
         {"u_alpha_per_K", a.u_alpha_per_K},
         {"reference_C", a.reference_C},
         {"k", a.k}};
  j["date"] = a.date ? Json(to_string(*a.date)) : Json(nullptr);
  j["due"] = a.due ? Json(to_string(*a.due)) : Json(nullptr);
  return j;
}

Json session(const Results& r) {
  const Session& s = r.session;
  Json j{{"id", s.id},
         {"kind", s.kind},
         {"procedure", s.procedure.name},
         {"rule", s.limits_given ? to_string(s.limits.rule) : ""},
         {"rig", s.rig.id},
         {"field", s.field_name},
         {"operator", s.operator_name},
         {"customer", s.customer},
         {"date", s.date ? Json(to_string(*s.date)) : Json(nullptr)},
         {"calibration", s.calibration},
         {"calibration_sha256", r.calibration_sha256}};
  if (s.assumed_date)
    j["assumed_date"] = {{"date", to_string(s.assumed_date->date)}, {"from", s.assumed_date->from}};
  return j;
}

// What the numbers were made by, with the mark of where each rule comes from.
Json procedure(const Procedure& p) {
  Json rules = Json::object();
  for (const auto& [id, rule] : p.characteristics)
    rules[id] = {{"allowance", rule.allowance}, {"confidence", rule.confidence}};
  return {{"title", p.title},
          {"style", p.style},
          {"center_radius", p.center_radius == RadiusRule::free ? "free" : "fixed"},
          {"dispersion_shell", p.dispersion_shell == ShellRule::free ? "free" : "concentric"},
          {"characteristics", std::move(rules)},
          {"marks", p.marks},
          {"deviations", printed_deviations(p)},
          {"proven_probability", p.proven_probability},
          {"retest", p.retest},
          {"retest_repeats", p.retest_repeats}};
}

Json limits(const Limits& l) {
  Json mm = Json::object();
  for (const auto& [id, limit] : l.by_characteristic) mm[id] = {{"A", limit.A_mm}, {"K", limit.K}};
  return {{"name", l.name},
          {"set_by", l.set_by},
          {"date", l.date ? Json(to_string(*l.date)) : Json(nullptr)},
          {"rule", to_string(l.rule)},
          {"guard_mm", l.guard_mm},
          {"role", l.role},
          {"mm", std::move(mm)}};
}

Json environment(const Results& r) {
  const Environment& e = r.session.environment;
  return {{"artefact_C", r.temperature.C},
          {"u_artefact_C", r.temperature.u_C},
          {"basis", r.temperature.basis},
          {"artefact_C_end", or_null(e.artefact_C_end)},
          {"measured_on", e.measured_on},
          {"soaked_h", or_null(e.soaked_h)}};
}

// Valid JSON that does nothing to a terminal: what display() would not show as it is (controls and
// marks that turn text) is written as \u and four digits. All of that lies below U+10000.
std::string inert(const std::string& json) {
  std::string out;
  out.reserve(json.size());
  for (std::size_t i = 0; i < json.size();) {
    const auto lead = static_cast<unsigned char>(json[i]);
    const std::size_t n = lead < 0x80 ? 1 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : 4;
    const std::string character = json.substr(i, n);
    if ((lead < 0x7F) || display(character) == character) {
      out += character;
    } else {
      unsigned code = n == 1 ? lead : lead & (0x7Fu >> n);
      for (std::size_t k = 1; k < n; ++k) code = code << 6 | (json[i + k] & 0x3Fu);
      out += fmt::format("\\u{:04x}", code);
    }
    i += n;
  }
  return out;
}

std::string dump(const Json& j) {
  return inert(j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n");
}

}  // namespace

std::string results_json(const Results& r, bool timings) {
  Json j{{"schema", "rigproof-results-1"},
         {"verdict", to_string(r.verdict)},
         {"headline", r.headline},
         {"next_step", r.next_step},
         {"p_all_within", r.p_all_within},
         {"simulated", r.simulated},
         {"session", session(r)},
         {"procedure", procedure(r.session.procedure)},
         {"limits", limits(r.session.limits)}};
  j["characteristics"] = Json::array();
  for (const auto& c : r.characteristics) j["characteristics"].push_back(characteristic(c));
  j["not_tested"] = r.not_tested;
  j["scans"] = Json::array();
  for (const auto& s : r.scans) j["scans"].push_back(scan(s));
  j["skipped"] = Json::array();
  for (const auto& entry : r.session.skipped) {
    const SkippedFile s = skipped_file(entry);
    j["skipped"].push_back({{"file", "scans/" + s.name}, {"reason", s.why}});
  }
  j["findings"] = findings_array(r.findings);
  j["diagnosis"] = diagnosis(r.diagnosis);
  j["zones"] = Json::array();
  for (const auto& z : r.zones)
    j["zones"].push_back({{"zone", z.zone},
                          {"observations", z.observations},
                          {"worst_ratio", or_null(z.worst_ratio)},
                          {"views", or_null(z.views)}});
  j["environment"] = environment(r);
  j["artefacts"] = Json::array();
  for (const auto& a : r.session.artefacts) j["artefacts"].push_back(artefact(a));
  if (timings) j["timings"] = r.timings;
  j["software"] = {{"version", version()}, {"build", build()}, {"selftest", r.selftest}};
  j["inputs"] = Json::array();
  for (const auto& i : r.inputs)
    j["inputs"].push_back({{"path", i.path}, {"sha256", i.sha256}, {"bytes", i.bytes}});
  return dump(j);
}

std::string look_json(const ScanRecord& record,
                      const std::vector<Finding>& findings,
                      const std::map<std::string, double>* timings) {
  Json j = scan(record);
  j["findings"] = findings_array(findings);
  if (timings) j["timings"] = *timings;
  return dump(j);
}

std::string selftest_json(const std::vector<SelfCheck>& checks) {
  Json list = Json::array();
  bool all = true;
  for (const auto& c : checks) {
    all = all && c.passed();
    list.push_back({{"name", c.name},
                    {"source", c.source},
                    {"expected", c.expected},
                    {"got", c.got},
                    {"tolerance", c.tolerance},
                    {"passed", c.passed()}});
  }
  return dump({{"selftest", all ? "passed" : "failed"}, {"checks", std::move(list)}});
}

}  // namespace rigproof
