#include "assess/scan_pass.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "assess/feature_record.h"
#include "assess/open_scan.h"
#include "evaluate/characteristic.h"
#include "evidence/holder_cone.h"
#include "judge/artefact_match.h"
#include "judge/evidence_gates.h"
#include "judge/scan_gates.h"

namespace rigproof {
namespace {

using Clock = std::chrono::steady_clock;

double seconds_since(Clock::time_point start) {
  return std::chrono::duration<double>(Clock::now() - start).count();
}

void add(std::vector<Finding>& to, std::vector<Finding> more) {
  to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}

/// The largest share of a characteristic of these artefacts: what the features leave out.
double allowance(const Procedure& procedure, bool plates) {
  double share = 0;
  for (const auto& [id, rule] : procedure.characteristics)
    if (const Characteristic* c = find_characteristic(id))
      if ((c->kind == ArtefactKind::plate) == plates) share = std::max(share, rule.allowance);
  return share;
}

std::vector<Vec3> cameras_of(const ScanPassInput& in) {
  if (!in.rig || !in.rig->stereo) return {};
  const auto centers = in.rig->stereo->camera_centers();
  return {centers.begin(), centers.end()};
}

ZoneContext zone_context(const ScanPassInput& in) {
  ZoneContext context;
  context.cameras = cameras_of(in);
  const Procedure& p = *in.procedure;
  const auto evaluated = [&](const char* id) { return p.characteristics.contains(id); };
  context.center_radius = p.center_radius;
  context.allowance_ball = allowance(p, false);
  context.allowance_plate = allowance(p, true);
  if (evaluated("form_dispersion")) context.dispersion = p.dispersion_shell;
  context.both_shells = in.information;
  context.dispersion_share = p.dispersion_share;
  if (evaluated("form_25") || evaluated("size_25")) context.patches = p.patches;
  context.distortion = evaluated("flat_distortion");
  context.flatness_mz = evaluated("flatness_mz");
  if (in.field) context.volume = &in.field->volume;
  return context;
}

bool raised(const ScanPass& pass, std::string_view id) {
  return std::ranges::find(pass.findings, id, &Finding::id) != pass.findings.end();
}

ValueContext value_context(const ScanPassInput& in, const ScanPass& pass) {
  ValueContext context;
  context.scan = in.name;
  context.place = in.place;
  context.field = in.field;
  context.procedure = in.procedure;
  context.environment = in.environment;
  context.test_date = in.test_date;
  context.coordinate_step_mm = coordinate_step(pass.evidence);
  context.information = in.information;
  return context;
}

PlacedArtefact place_of(const ScanPassInput& in, const Artefact& artefact) {
  PlacedArtefact placed;
  placed.scan = in.name;
  placed.kind = artefact.kind;
  placed.serial = artefact.serial;
  return placed;
}

/// Evaluates what was recognised, or every sighting where nothing is registered.
struct Evaluated {
  std::vector<BallFeature> balls;
  std::vector<PlateFeature> plates;
};

Evaluated evaluate(const Scan& scan,
                   const ScanPassInput& in,
                   const std::vector<BallSighting>& balls,
                   const std::vector<double>& diameters,
                   const std::vector<PlateSighting>& plates,
                   const Artefact* artefact = nullptr,
                   const std::vector<std::optional<Holder>>& holders = {}) {
  ZoneContext context = zone_context(in);
  const bool of_balls = in.procedure->characteristics.contains("probing_form");
  context.minimum_zones = in.information && (!plates.empty() || of_balls);
  if (artefact) context.plates = {{artefact->length_mm, artefact->width_mm, artefact->border_mm}};
  context.holders = holders;
  Evaluated out;
  if (!balls.empty())
    out.balls = evaluate_balls(scan, balls, diameters, in.procedure->zones, context);
  if (!plates.empty()) out.plates = evaluate_plates(scan, plates, in.procedure->zones, context);
  return out;
}

void pass_balls(const Scan& scan,
                const ScanPassInput& in,
                const Sighting& sighting,
                const Recognised& match,
                ScanPass& pass) {
  const Artefact& artefact = *match.artefact;
  std::vector<BallSighting> sightings;
  std::vector<double> diameters;
  for (std::size_t i = 0; i < artefact.balls.size(); ++i) {
    if (match.balls[i] < 0) continue;
    sightings.push_back(sighting.balls[static_cast<std::size_t>(match.balls[i])]);
    diameters.push_back(artefact.balls[i].diameter.mm);
  }
  // Where none is declared, a holder may be found: the zone is then taken again without its cone.
  std::vector<std::optional<Holder>> holders(sightings.size(), artefact.holder);
  Evaluated evaluated = evaluate(scan, in, sightings, diameters, {}, &artefact, holders);
  std::vector<std::size_t> strays;
  for (const BallFeature& ball : evaluated.balls) strays.push_back(ball.strays);
  if (!artefact.holder) {
    for (std::size_t i = 0; i < holders.size(); ++i) holders[i] = find_holder(evaluated.balls[i]);
    if (std::ranges::any_of(holders, [](const auto& h) { return h.has_value(); }))
      evaluated = evaluate(scan, in, sightings, diameters, {}, &artefact, holders);
  }
  std::vector<const BallFeature*> by_ball(artefact.balls.size(), nullptr);
  PlacedArtefact placed = place_of(in, artefact);
  std::size_t next = 0;
  for (std::size_t i = 0; i < artefact.balls.size(); ++i) {
    if (match.balls[i] < 0) continue;
    const std::size_t k = next++;
    const BallFeature& ball = evaluated.balls[k];
    by_ball[i] = &ball;
    pass.ball_noise.push_back(ball.noise);
    if (ball.fit.ok())
      pass.balls.push_back(observe(ball, in.name, artefact.serial, artefact.balls[i].id));
    FeatureRecord record = record_of(ball);
    record.artefact = artefact.serial;
    record.ball = artefact.balls[i].id;
    record.strays = strays[k];  // as the finding counts them, before a found cone takes its own
    if (const auto& cone = holders[k]) record_holder(record, *cone, !artefact.holder);
    pass.record.features.push_back(std::move(record));
    placed.touches.push_back(ball.fit.sphere.center);
    BallGate gate{artefact.balls[i].id,
                  artefact.balls[i].diameter.mm,
                  in.options.unit_mm,
                  in.field ? &in.field->volume : nullptr};
    add(pass.findings, ball_findings(ball, gate, *in.procedure, in.name));
  }
  for (const BallFeature& ball : evaluated.balls)
    placed.ball_radius = std::max(placed.ball_radius, ball.fit.sphere.radius);
  std::vector<BallSeen> seen;
  for (std::size_t i = 0; i < by_ball.size(); ++i)
    if (by_ball[i])
      seen.push_back({*by_ball[i],
                      artefact.serial,
                      artefact.balls[i].id,
                      placed.touches.back() - placed.touches.front()});
  const std::size_t first = pass.evidence.features.size();
  add_balls(pass.evidence, seen, cameras_of(in));
  for (std::size_t k = 0; k < seen.size(); ++k) {
    FeatureEvidence& evidence = pass.evidence.features[first + k];
    evidence.strays = strays[k];
    if (const auto& cone = holders[k]) evidence.holder_deg = cone->half_angle_deg;
    evidence.holder_found = evidence.holder_deg > 0 && !artefact.holder;
  }
  for (const Vec3& c : placed.touches)
    placed.center += c / static_cast<double>(placed.touches.size());
  if (placed.touches.size() > 1)
    placed.direction = (placed.touches.back() - placed.touches.front()).normalized();
  pass.placed.push_back(std::move(placed));
  std::vector<TestValue> values = ball_values(artefact, by_ball, value_context(in, pass));
  pass.values.insert(pass.values.end(), values.begin(), values.end());
}

void pass_plate(const Scan& scan,
                const ScanPassInput& in,
                const Sighting& sighting,
                const Recognised& match,
                ScanPass& pass) {
  const Artefact& artefact = *match.artefact;
  const Evaluated evaluated = evaluate(
      scan, in, {}, {}, {sighting.plates[static_cast<std::size_t>(match.plate)]}, &artefact);
  const PlateFeature& plate = evaluated.plates.front();
  pass.plate_noise.push_back(plate.noise);
  if (plate.fit.ok()) pass.plates.push_back(observe(plate, in.name, artefact.serial));
  FeatureRecord record = record_of(plate);
  record.artefact = artefact.serial;
  pass.record.features.push_back(std::move(record));
  PlacedArtefact placed = place_of(in, artefact);
  placed.center = plate.fit.plane.point;
  placed.direction = plate.fit.plane.normal;
  for (const double u : {-0.5, 0.5})
    for (const double v : {-0.5, 0.5})
      placed.touches.push_back(plate.center + u * plate.length_mm * plate.axis_u +
                               v * plate.width_mm * plate.axis_v);
  pass.placed.push_back(std::move(placed));
  add_plate(pass.evidence, plate, artefact.serial);
  add(pass.findings,
      plate_findings(
          plate, artefact, in.field ? &in.field->volume : nullptr, *in.procedure, in.name));
  std::vector<TestValue> values = plate_values(artefact, plate, value_context(in, pass));
  pass.values.insert(pass.values.end(), values.begin(), values.end());
}

/// Nothing is registered: every ball and plate in sight is fitted and listed.
void pass_anything(const Scan& scan,
                   const ScanPassInput& in,
                   const Sighting& sighting,
                   ScanPass& pass) {
  const std::vector<double> unknown(sighting.balls.size(), 0.0);
  const Evaluated evaluated = evaluate(scan, in, sighting.balls, unknown, sighting.plates);
  std::vector<BallSeen> seen;
  for (const auto& ball : evaluated.balls) {
    pass.record.features.push_back(record_of(ball));
    seen.push_back({ball, "", ""});
  }
  add_balls(pass.evidence, seen, cameras_of(in));
  for (const auto& plate : evaluated.plates) {
    pass.record.features.push_back(record_of(plate));
    add_plate(pass.evidence, plate, "");
  }
  if (pass.record.features.empty()) add(pass.findings, recognition_findings({}, sighting, in.name));
}

/// A plate that the search for whole ones has passed by.
void find_part_of_plate(const Scan& scan,
                        const ScanPassInput& in,
                        Sighting& sighting,
                        Recognition& recognition) {
  std::vector<Artefact> plates = *in.artefacts;
  std::erase_if(plates, [&](const Artefact& a) {
    return a.kind != ArtefactKind::plate ||
           (!in.named_artefact.empty() && a.serial != in.named_artefact);
  });
  if (plates.empty()) return;
  LocateRequest request;
  request.unknown_plates = true;
  const Sighting flat = locate(scan, request);
  auto part = recognise_part_of_plate(flat, plates);
  if (!part) {
    if (sighting.plates.empty()) sighting.plates = flat.plates;  // what was seen instead
    return;
  }
  part->artefact = &*std::ranges::find(*in.artefacts, part->artefact->serial, &Artefact::serial);
  sighting.plates = flat.plates;
  recognition.found = {*part};
}

/// What was named must be what was measured, and a bar must have the balls of its certificate.
void check_artefacts(const ScanPassInput& in, ScanPass& pass) {
  for (const Artefact& artefact : *in.artefacts)
    if (const auto finding = wrong_ball(artefact, pass.values, in.name))
      pass.findings.push_back(*finding);
  const auto named = std::ranges::find(*in.artefacts, in.named_artefact, &Artefact::serial);
  if (in.named_artefact.empty() || named == in.artefacts->end()) return;
  if (const auto finding = wrong_artefact(*named, pass.values, *in.artefacts, in.name))
    pass.findings.push_back(*finding);
}

/// A swap is said only where the diameters fit the listed order worse, by more than 4 u_fit:
/// turning two balls round moves the difference of their diameters by twice itself.
void drop_unsure_swap(ScanPass& pass) {
  std::vector<const TestValue*> sizes;
  for (const auto& value : pass.values)
    if (value.id == "probing_size" || value.id == "size_all") sizes.push_back(&value);
  bool sure = false;
  for (const auto* a : sizes)
    for (const auto* b : sizes) {
      const double listed = std::abs(a->reference - b->reference);
      const double seen = std::abs(a->measured - b->measured);
      sure = sure || 2 * std::min(listed, seen) > 4 * std::hypot(a->u_fit, b->u_fit);
    }
  if (!sure) std::erase_if(pass.findings, [](const auto& f) { return f.id == "balls-swapped"; });
}

void finish(ScanPass& pass, const Scan& scan) {
  drop_unsure_swap(pass);
  pass.record.sha256 = pass.evidence.fingerprint.sha256 = scan.sha256();
  for (const auto& finding : pass.findings)
    if (finding.severity == Severity::stop) reject(pass, finding);
  const bool used = pass.record.status == ScanStatus::used;
  if (!used) pass.values.clear();
  // What reaches out of the volume has values, but tests no place inside.
  if (!used || raised(pass, "outside-volume"))
    for (auto& placed : pass.placed) placed.counts = false;
}

}  // namespace

ScanPass pass_scan(const ScanPassInput& in) {
  ScanPass pass;
  pass.record.file = in.name;
  pass.record.place = in.place;
  auto start = Clock::now();
  const std::optional<Scan> scan = open_scan(in, pass);
  pass.timings["read"] = seconds_since(start);
  if (!scan) return pass;
  pass.evidence.scan = in.name;
  pass.evidence.fingerprint = fingerprint(*scan);

  start = Clock::now();
  LocateRequest request = request_for(*in.artefacts);
  if (in.artefacts->empty()) request.unknown_balls = request.unknown_plates = true;
  Sighting sighting = locate(*scan, request);
  pass.timings["locate"] = seconds_since(start);

  start = Clock::now();
  if (in.artefacts->empty()) {
    pass_anything(*scan, in, sighting, pass);
  } else {
    Recognition recognition = recognise(sighting, *in.artefacts, in.named_artefact);
    if (recognition.found.empty() && !recognition.one_ball && !recognition.ambiguous)
      find_part_of_plate(*scan, in, sighting, recognition);
    const auto instead =
        recognition.found.empty() && !recognition.one_ball
            ? what_else_was_seen(sighting, *in.artefacts, in.options.unit_mm, in.name)
            : std::nullopt;
    if (instead)
      pass.findings.push_back(*instead);
    else
      add(pass.findings, recognition_findings(recognition, sighting, in.name));
    if (!recognition.ambiguous)
      for (const Recognised& match : recognition.found) {
        pass.record.artefact = match.artefact->serial;
        if (match.plate >= 0)
          pass_plate(*scan, in, sighting, match, pass);
        else
          pass_balls(*scan, in, sighting, match, pass);
      }
  }
  if (in.field && !pass.record.features.empty())
    pass.record.zone = zone_id(
        in.field->volume,
        pass.placed.empty() ? pass.record.features.front().center : pass.placed.front().center);
  check_artefacts(in, pass);
  double missing = 0;
  for (const auto& feature : pass.evidence.features) missing = std::max(missing, feature.missing);
  add(pass.findings, file_findings(scan->facts(), *in.rig, in.name, missing));
  add(pass.findings, evidence_findings(pass.evidence, *in.procedure));
  pass.timings["fit"] = seconds_since(start);
  finish(pass, *scan);
  return pass;
}

ScanPass pass_whole(const ScanPassInput& in, ArtefactKind kind) {
  ScanPass pass;
  pass.record.file = in.name;
  auto start = Clock::now();
  const std::optional<Scan> scan = open_scan(in, pass);
  if (!scan) return pass;
  const Points points = scan->all();
  pass.timings["read"] = seconds_since(start);
  start = Clock::now();
  ZoneContext context;
  context.minimum_zones = true;
  const auto take = [&](const auto& feature, const char* what) {
    if (feature.fit.ok())
      pass.record.features.push_back(record_of(feature));
    else
      pass.findings.push_back(fit_failed(what, feature.fit.stop, in.name));
  };
  if (kind == ArtefactKind::plate)
    take(whole_plate(points, context), "the plate");
  else
    take(whole_ball(points, context), "the ball");
  pass.timings["fit"] = seconds_since(start);
  finish(pass, *scan);
  return pass;
}

}  // namespace rigproof
