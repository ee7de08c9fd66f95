#include "record/plan_json.h"

#include "record/json_parts.h"

namespace rigproof {
namespace {

Json position(const PlannedScan& scan) {
  Json reaches = Json::array();
  for (const Vec3& p : scan.reaches) reaches.push_back(vector_json(p));
  Json j{
      {"id", scan.id},
      {"artefact", scan.artefact},
      {"kind", to_string(scan.kind)},
      {"place", scan.place},
      {"zone", scan.zone},
      {"role", to_string(scan.role)},
      {"center", vector_json(scan.center)},
      {"direction", scan.kind == ArtefactKind::ball ? Json(nullptr) : vector_json(scan.direction)},
      {"lean_deg", scan.lean_deg},
      {"reaches", std::move(reaches)},
      {"seen", scan.seen}};
  if (!scan.repeats.empty()) j["repeats"] = scan.repeats;
  return j;
}

Json limit(const PlanLimit& l) {
  Json j{{"id", l.id}};
  if (!l.zone.empty()) j["zone"] = l.zone;
  j["unit"] = l.unit;
  j["value"] = l.value;
  j["worst_sd"] = l.worst_sd_mm;
  j["textbook_sd"] = or_null(l.textbook_sd_mm);
  return j;
}

Json fit(const ArtefactFit& f) {
  return {{"artefact", f.artefact},
          {"kind", to_string(f.kind)},
          {"size_mm", f.size_mm},
          {"fits", f.usable},
          {"verdict", f.verdict},
          {"lean_deg", or_null(f.lean_deg)},
          {"tests", f.tests}};
}

Json fits(const std::vector<ArtefactFit>& all) {
  Json out = Json::array();
  for (const ArtefactFit& f : all) out.push_back(fit(f));
  return out;
}

std::string text(const Json& j) {
  return j.dump(2, ' ', false, nlohmann::json::error_handler_t::replace);
}

}  // namespace

std::string plan_json(const Session& session, const Plan& plan) {
  Json j{{"session", session.id},
         {"rig", session.rig.id},
         {"field", session.field_name},
         {"procedure", session.procedure.name},
         {"simulated", session.simulated},
         {"meets_procedure", plan.meets_procedure()},
         {"lacking", plan.lacking},
         {"hints", plan.hints},
         {"minutes", plan.minutes},
         {"artefact_changes", plan.artefact_changes},
         {"positions", Json::array()},
         {"detection_limits", Json::array()},
         {"indistinguishable", plan.alike},
         {"noise_assumed", plan.noise_assumed},
         {"artefacts", fits(plan.fits)}};
  for (const PlannedScan& scan : plan.scans) j["positions"].push_back(position(scan));
  for (const PlanLimit& l : plan.limits) j["detection_limits"].push_back(limit(l));
  const Plan::Worst all = plan.worst(), own = plan.worst([](const PlanLimit& l) {
    return l.calibration && l.improvable();
  });
  j["comparison"] = {{"worst_sd", all.plan},
                     {"textbook_worst_sd", all.textbook},
                     {"improvable_worst_sd", own.plan},
                     {"textbook_improvable_worst_sd", own.textbook}};
  return text(j);
}

std::string fits_json(const std::vector<FieldFits>& fields) {
  Json j{{"fields", Json::array()},
         {"positions", Json::array()},
         {"detection_limits", Json::array()},
         {"minutes", 0}};
  for (const FieldFits& f : fields)
    j["fields"].push_back({{"rig", f.rig}, {"field", f.field}, {"artefacts", fits(f.fits)}});
  return text(j);
}

}  // namespace rigproof
