#include "plan/plan.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include <fmt/format.h>

#include "base/error.h"
#include "diagnose/diagnose.h"
#include "judge/positions.h"
#include "plan/planner.h"
#include "plan/scale_floor.h"
#include "plan/sequence.h"

namespace rigproof {
namespace {

constexpr double kFullLean_deg = 45;  // depth counts as much as width
constexpr double kRuled = 0.8;        // of a limit: scans add little to what this leaves
constexpr double kGood_K = 0.05;      // a calibrated thermometer on the artefact, common practice

std::vector<ArtefactShape> usable_shapes(const Session& session, Plan& plan) {
  std::vector<ArtefactShape> out;
  for (const Artefact& a : session.artefacts) {
    plan.fits.push_back(fit_of(a, session.rig, *session.field(), session.procedure));
    const ArtefactFit& fit = plan.fits.back();
    if (fit.lean_deg) out.push_back(shape_of(a));
  }
  return out;
}

DiagnosisModel diagnosis_of(const Arrangement& arrangement,
                            const PlacingRules& rules,
                            const ExpectedNoise& noise,
                            const Session& session) {
  DiagnosisInput in;
  in.rig = &session.rig;
  in.field = session.field();
  in.observations = expected_observations(arrangement.scans, rules, noise, session);
  return DiagnosisModel(in);
}

PlannedScan scan_of(const Spot& s, const Volume& volume, std::size_t number) {
  PlannedScan p;
  p.id = fmt::format("P{:02}", number);
  p.kind = s.shape->kind();
  p.artefact = s.shape->artefact->serial;
  p.zone = zone_id(volume, s.center());
  p.place = p.zone;
  if (p.kind == ArtefactKind::plate) p.place += ", " + to_string(s.role);
  if (p.kind == ArtefactKind::bar) {
    const std::vector<Vec3> ends = s.reaches();
    const std::string from = zone_id(volume, ends.front()), to = zone_id(volume, ends.back());
    p.place = from;
    if (from != to) {
      p.place += " to " + to;
      p.end_zones = {from, to};
    }
  }
  p.center = s.center();
  p.direction = s.direction;
  p.reaches = s.reaches();
  p.radius_mm = s.shape->radii.empty() ? 0 : s.shape->radii.front();
  const double z = std::min(1.0, std::abs(s.direction.z()));
  if (p.kind != ArtefactKind::ball)
    p.lean_deg =
        (p.kind == ArtefactKind::bar ? std::asin(z) : std::acos(z)) * 180 / std::numbers::pi;
  p.seen = s.seen;
  p.role = s.role;
  return p;
}

void name_limits(Plan& plan,
                 const DiagnosisModel& own,
                 const std::optional<DiagnosisModel>& other,
                 const Planner::Choice& choice) {
  for (std::size_t i = 0; i < own.signatures.size(); ++i) {
    const Signature& s = own.signatures[i];
    const double worst = worst_length_change(s, own.volume);
    PlanLimit limit;
    limit.id = s.id;
    limit.unit = s.unit;
    limit.zone = s.zone;
    limit.calibration = s.family == SignatureFamily::calibration;
    limit.value = own.geometry.detection[i];
    limit.u = own.geometry.u[i];
    limit.worst_sd_mm = limit.value * worst;
    if (other && i < other->signatures.size() && other->geometry.u[i] > 0)
      limit.textbook_sd_mm = other->geometry.detection[i] * worst;
    const double deviations = own.geometry.u[i] > 0 ? limit.value / own.geometry.u[i] : 0;
    if (const auto it = choice.least.find(s.id + s.zone); it != choice.least.end())
      limit.least_sd_mm = deviations * it->second;
    for (const auto& group : choice.groups)
      limit.in_groups = limit.in_groups || (s.zone.empty() && group.front() == s.id);
    if (own.geometry.u[i] > 0) plan.limits.push_back(limit);
  }
  plan.alike = indistinguishable(own);
}

// Where no bar of the session leans far, depth is tested poorly: said before the scans, not after.
void note_hints(Plan& plan) {
  const ArtefactFit* most = nullptr;
  for (const ArtefactFit& fit : plan.fits)
    if (fit.kind == ArtefactKind::bar && fit.lean_deg && (!most || *fit.lean_deg > *most->lean_deg))
      most = &fit;
  if (most && *most->lean_deg < kFullLean_deg)
    plan.hints.push_back(fmt::format(
        "{} can lean at most {:.0f}° here: {}.", most->artefact, *most->lean_deg, most->tests));
}

// What no placing betters, and what would: said before the scans too.
void note_scale_floor(Plan& plan,
                      const std::vector<ArtefactShape>& shapes,
                      const ArtefactTemperature& temperature,
                      const PlacingRules& rules) {
  const auto scale = std::ranges::find_if(
      plan.limits, [](const PlanLimit& l) { return l.id == "baseline" || l.id == "scale"; });
  if (scale == plan.limits.end()) return;
  std::vector<Artefact> artefacts;
  for (const ArtefactShape& s : shapes) artefacts.push_back(*s.artefact);
  const double mm = scale->worst_sd_mm / (1e-6 * scale->u);  // of a relative deviation of one
  plan.scale_floor_mm = mm * scale_floor(artefacts, temperature, rules);
  if (plan.scale_floor_mm < kRuled * plan.worst().plan) return;
  ArtefactTemperature better = temperature;
  better.u_C = std::min(better.u_C, kGood_K);
  const double left = mm * scale_floor(artefacts, better, rules);
  std::string hint = fmt::format(
      "Errors of scale that make less than {:.1f} µm stay hidden however many scans are taken: the "
      "certificates and the temperature (u {:.2g} K) leave them.",
      1e3 * plan.scale_floor_mm,
      temperature.u_C);
  hint += left < kRuled * plan.scale_floor_mm
              ? fmt::format(" A thermometer on the artefact with u {:.2g} K would leave {:.1f} µm.",
                            better.u_C,
                            1e3 * left)
              : " Only better certificates, or more bars, would show them.";
  plan.hints.push_back(hint);
}

void note_lacking(Plan& plan, const Session& session) {
  const Demand& demand = session.procedure.demand;
  std::vector<PlacedArtefact> placed;
  for (const PlannedScan& s : plan.scans)
    placed.push_back({s.id, s.kind, s.artefact, s.center, s.direction, s.reaches, true});
  const Positions positions = count_positions(placed,
                                              session.procedure.bar_balls_are_positions,
                                              SamePlace::for_volume(&session.field()->volume));
  for (const auto& [kind, needed] : {std::pair(ArtefactKind::ball, demand.ball),
                                     std::pair(ArtefactKind::bar, demand.bar),
                                     std::pair(ArtefactKind::plate, demand.plate)}) {
    if (positions.of(kind) >= needed) continue;
    std::string why =
        fmt::format("{} of {} {} positions", positions.of(kind), needed, to_string(kind));
    bool any = false;
    for (const ArtefactFit& fit : plan.fits)
      if (fit.kind == kind) {
        any = true;
        if (fit.verdict != "fits") why += fmt::format("; {} is {}", fit.artefact, fit.verdict);
      }
    if (!any) why += fmt::format("; the session has no {}", to_string(kind));
    plan.lacking.push_back(why);
  }
  if (demand.closing_repeat && demand.bar > 0 && !positions.closing)
    plan.lacking.push_back("no bar can be measured first and last");
}

}  // namespace

std::vector<PlanEntry> planned_positions(const Plan& plan, const Volume& volume) {
  std::vector<PlanEntry> out;
  for (const PlannedScan& s : plan.scans) {
    PlanEntry p;
    p.id = s.id;
    p.kind = s.kind;
    const Vec3 n = volume.normalized(s.center).cwiseMax(-1).cwiseMin(1);
    p.center = {n.x(), n.y(), n.z()};
    if (s.kind != ArtefactKind::ball)
      p.direction = normalized_direction(volume, s.kind, s.direction);
    p.place = s.place;
    p.serial = s.artefact;
    p.repeats = s.repeats;
    p.closing = !s.repeats.empty();
    out.push_back(p);
  }
  return out;
}

Plan::Worst Plan::worst() const {
  return worst([](const PlanLimit& l) { return l.calibration; });
}

Plan::Worst Plan::worst(const std::function<bool(const PlanLimit&)>& counts) const {
  Worst w;
  for (const PlanLimit& l : limits) {
    if (!counts(l)) continue;
    w.plan = std::max(w.plan, l.worst_sd_mm);
    w.textbook = std::max(w.textbook, l.textbook_sd_mm.value_or(INFINITY));
  }
  return w;
}

Plan make_plan(const Session& session, const PlanOptions& options) {
  if (!session.field())
    throw Error(ErrorKind::config,
                "the session names no field of view, so there is nothing to plan in",
                "Name a rig and field: --rig R12/300.");
  Plan plan;
  const std::vector<ArtefactShape> shapes = usable_shapes(session, plan);
  const Planner planner(session, shapes, options.pitch_px);
  const Volume& volume = session.field()->volume;
  plan.noise_assumed = planner.noise().assumed;
  Planner::Choice choice = planner.choose();
  Arrangement& arrangement = choice.arrangement;
  arrangement.scans = sequenced(arrangement.scans);
  if (arrangement.closing) arrangement.scans.push_back(arrangement.scans.front());
  for (const Spot& s : arrangement.scans) {
    plan.scans.push_back(scan_of(s, volume, plan.scans.size() + 1));
    if (plan.scans.size() > 1 && s.shape->artefact->serial != (plan.scans.end() - 2)->artefact)
      ++plan.artefact_changes;
  }
  if (arrangement.closing) plan.scans.back().repeats = plan.scans.front().id;
  plan.minutes = session.procedure.minutes_per_scan * static_cast<double>(plan.scans.size());
  note_lacking(plan, session);
  note_hints(plan);
  if (plan.scans.empty()) return plan;
  const DiagnosisModel own = diagnosis_of(arrangement, planner.rules(), planner.noise(), session);
  std::optional<DiagnosisModel> other;
  if (options.compare && !planner.textbook().scans.empty())
    other.emplace(diagnosis_of(planner.textbook(), planner.rules(), planner.noise(), session));
  name_limits(plan, own, other, choice);
  note_scale_floor(plan, shapes, artefact_temperature(session.environment), planner.rules());
  return plan;
}

}  // namespace rigproof
