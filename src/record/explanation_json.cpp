#include "record/explanation_json.h"

#include "base/version.h"
#include "evaluate/characteristic.h"
#include "record/evidence_json.h"

namespace rigproof {
namespace {

Json fit(const FitRecord& f, bool sphere) {
  Json j{{"points", f.points}, {"center", vector_json(f.center)}};
  if (sphere)
    j["radius"] = f.radius;
  else
    j["normal"] = vector_json(f.normal);
  j["rms"] = f.rms;
  j["min"] = f.min;
  j["max"] = f.max;
  return j;
}

Json feature(const FeatureRecord& f) {
  Json j{{"kind", f.sphere ? "sphere" : "plane"},
         {"ball", f.ball},
         {"points", f.points},
         {"left_out", f.left_out},
         {"strays", f.strays},
         {"rounds", f.rounds},
         {"settled", f.settled},
         {"fit", fit(f.fit, f.sphere)},
         {"fit_all", fit(f.fit_all, f.sphere)}};
  if (f.fit_fixed) j["fit_fixed"] = fit(*f.fit_fixed, true);
  if (f.sphere) {
    j["cap_axis"] = vector_json(f.axis);
    j["cap_axis_from"] = f.axis_from;
    j["cap_half_angle_deg"] = f.cap_half_angle_deg;
    j["seen_half_angle_deg"] = f.seen_half_angle_deg;
    if (f.holder_deg > 0)
      j["holder"] = {{"axis", vector_json(f.holder_axis)},
                     {"half_angle_deg", f.holder_deg},
                     {"from", f.holder_found ? "found" : "declared"}};
  } else {
    j["extent"] = {f.length_mm, f.width_mm};
    j["area_mm2"] = f.area_mm2;
  }
  add_evidence(j, f);
  return j;
}

Json budget_line(const BudgetLine& line) {
  Json inputs = Json::array();
  for (const LineInput& in : line.inputs)
    inputs.push_back({{"symbol", in.symbol}, {"value", in.value}, {"unit", in.unit}});
  return {{"line", line.line},
          {"u", line.u},
          {"dof", or_null(line.dof)},
          {"shape", line.shape == LineShape::rectangular ? "rectangular" : "normal"},
          {"shared", line.shared},
          {"sensitivity", line.sensitivity},
          {"formula", line.formula},
          {"inputs", std::move(inputs)}};
}

Json monte_carlo(const MonteCarloCheck& m) {
  return {{"trials", m.trials},
          {"stable", m.stable},
          {"mean", m.result.mean},
          {"u", m.result.u},
          {"low", m.result.low},
          {"high", m.result.high},
          {"tolerance", m.tolerance},
          {"d_low", m.d_low},
          {"d_high", m.d_high},
          {"agrees", m.agrees},
          {"p_within", m.p_within}};
}

Json decision(const Explanation& e) {
  if (!e.judged->decision) return nullptr;
  const Decision& d = *e.judged->decision;
  const Limits& limits = e.results->session.limits;
  return {{"rule", to_string(limits.rule)},
          {"guard", limits.guard_mm},
          {"proven_probability", e.results->session.procedure.proven_probability},
          {"limit", d.limit},
          {"ratio", d.ratio},
          {"p_within", d.p_within},
          {"verdict", to_string(d.verdict)}};
}

Json sources(const Explanation& e) {
  const Procedure& p = e.results->session.procedure;
  const Characteristic* c = find_characteristic(e.value().id);
  Json j{{"definition", c ? std::string(c->definition) : ""},
         {"source", c ? std::string(c->source) : ""},
         {"procedure", p.name},
         {"style", p.style},
         {"allowance", e.rule ? Json(e.rule->allowance) : Json(nullptr)},
         {"confidence", e.rule ? e.rule->confidence : ""},
         {"deviations", printed_deviations(p)}};
  if (e.artefact)
    j["certificate"] = {{"number", e.artefact->certificate},
                        {"laboratory", e.artefact->laboratory},
                        {"certified", e.artefact->certified}};
  return j;
}

}  // namespace

std::string explanation_json(const Explanation& e) {
  const TestValue& v = e.value();
  Json j{{"schema", "rigproof-explanation-1"},
         {"value_name", value_name(v)},
         {"simulated", e.results->simulated},
         {"characteristic", v.id},
         {"symbol", e.characteristic->symbol},
         {"scan", v.scan},
         {"place", v.place},
         {"zone", v.zone},
         {"artefact", v.artefact}};
  if (!v.ball.empty()) j["ball"] = v.ball;
  if (!v.pair.first.empty()) j["pair"] = {v.pair.first, v.pair.second};
  if (e.scan)
    j["file"] = {{"sha256", e.scan->sha256},
                 {"format", e.scan->format},
                 {"points", e.scan->points},
                 {"dropped", e.scan->dropped},
                 {"status", to_string(e.scan->status)}};
  j["features"] = Json::array();
  for (const FeatureRecord* f : e.features) j["features"].push_back(feature(*f));
  const ArtefactTemperature& t = e.results->temperature;
  j["temperature"] = {{"C", t.C}, {"u_C", t.u_C}, {"basis", t.basis}};
  if (e.artefact) {
    j["temperature"]["reference_C"] = e.artefact->reference_C;
    j["temperature"]["alpha_per_K"] = e.artefact->alpha_per_K;
  }
  j["nominal"] = v.nominal_length;
  j["measured"] = v.measured;
  j["reference"] = v.reference;
  j["value"] = v.value;
  j["value_all_points"] = v.value_all_points;
  j["alternatives"] = v.alternatives;
  j["budget"] = Json::array();
  for (const BudgetLine& line : v.budget) j["budget"].push_back(budget_line(line));
  j["u"] = v.u;
  j["dof"] = or_null(v.dof);
  j["dof_untruncated"] = or_null(e.dof);
  j["k"] = v.k;
  j["U"] = v.U;
  j["u_fit"] = v.u_fit;
  j["decision"] = decision(e);
  if (e.monte_carlo) j["monte_carlo"] = monte_carlo(*e.monte_carlo);
  j["sources"] = sources(e);
  j["software"] = {{"version", version()}, {"build", build()}};
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rigproof
