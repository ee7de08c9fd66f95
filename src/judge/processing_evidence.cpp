#include <algorithm>
#include <cmath>
#include <numbers>

#include <Eigen/Geometry>
#include <fmt/format.h>

#include "base/number.h"
#include "evidence/quantile.h"
#include "judge/evidence_gates.h"

namespace rigproof {
namespace {

constexpr double kCoarse = 0.05;  // of the least limit; a tenth must be found
constexpr double kRipple = 0.05;  // of the limit of flatness; likewise
constexpr double kSamePlaceDeg = 15, kTurnedDeg = 20;
constexpr std::size_t kLeastScans = 3;
constexpr double kThinned = 1.4;      // times the reference; two must be found
constexpr double kCorrelated = 0.65;  // a reference ratio below which neighbours share noise
constexpr std::size_t kFewPoints = 50;

std::optional<double> least_limit(const Limits& limits, std::initializer_list<const char*> ids) {
  std::optional<double> least;
  for (const char* id : ids)
    if (const auto at = limits.by_characteristic.find(id); at != limits.by_characteristic.end())
      least = std::min(least.value_or(1e300), at->second.at(0));
  return least;
}

std::optional<Finding> coarse(const SessionEvidence& s) {
  const auto limit =
      least_limit(*s.limits, {"probing_form", "probing_size", "sphere_spacing", "flatness"});
  if (!limit) return std::nullopt;
  double step = 0;
  for (const ScanEvidence* scan : s.scans) step = std::max(step, coordinate_step(*scan));
  if (step <= kCoarse * *limit) return std::nullopt;
  // Rounding moves a point by a rectangular ± step/2 along each axis.
  return make_finding(
      "coarse-coordinates",
      {{"step", micrometres(step)}, {"u", micrometres(step / (2 * std::sqrt(3.0)))}});
}

std::vector<Finding> ripples(const SessionEvidence& s) {
  std::vector<Finding> out;
  const auto limit = least_limit(*s.limits, {"flatness", "flat_distortion"});
  for (const ScanEvidence* scan : s.scans)
    for (const FeatureEvidence& f : scan->features)
      if (f.ripple && (!limit || f.ripple->height > kRipple * *limit))
        out.push_back(make_finding("ripple",
                                   {{"period", fixed(f.ripple->period, 1) + " mm"},
                                    {"amplitude", micrometres(f.ripple->height)},
                                    {"what", "plate " + f.artefact}},
                                   scan->scan));
  return out;
}

std::optional<Finding> tails_cut(const SessionEvidence& s) {
  TailHistogram pooled{};
  std::vector<double> areas;
  for (const ScanEvidence* scan : s.scans)
    for (const FeatureEvidence& f : scan->features) {
      if (f.noise.shell_distance > 0) continue;
      for (std::size_t k = 0; k < pooled.size(); ++k) pooled[k] += f.tails[k];
      areas.push_back(f.area);
    }
  if (areas.empty()) return std::nullopt;
  const auto end = sharp_end(pooled, median(std::move(areas)));
  if (!end) return std::nullopt;
  return make_finding("tails-cut", {{"cut", fixed(*end, 1) + " standard deviations"}});
}

/// Spacing of points over what the rig's reference says for their distance; 0 unknown.
double relative_spacing(const Rig& rig, const FeatureEvidence& f) {
  if (!rig.stereo || !(rig.stereo->focal_px > 0) || !(rig.noise->pitch_px > 0)) return 0;
  const double b = rig.stereo->baseline_mm / 2, z = f.center.z();
  // A pixel's width at that distance from a camera, on a surface that faces the rig.
  const double pixel = (z * z + b * b) / (z * rig.stereo->focal_px);
  return f.spacing / (rig.noise->pitch_px * pixel);
}

/// Against the rig's reference: points lie further apart, or share less of their neighbours' noise.
std::optional<Finding> thinned(const SessionEvidence& s) {
  if (!s.rig->noise) return std::nullopt;
  const NoiseReference& reference = *s.rig->noise;
  std::vector<double> spacings, relative, ratios;
  for (const ScanEvidence* scan : s.scans)
    for (const FeatureEvidence& f : scan->features) {
      if (f.points < kFewPoints) continue;
      spacings.push_back(f.spacing);
      if (const double r = relative_spacing(*s.rig, f); r > 0) relative.push_back(r);
      if (f.noise.second_difference_ratio > 0) ratios.push_back(f.noise.second_difference_ratio);
    }
  const bool wide = median(relative) > kThinned;
  const bool apart = reference.second_difference_ratio > 0 &&
                     reference.second_difference_ratio < kCorrelated &&
                     median(ratios) > kThinned * reference.second_difference_ratio;
  if (!wide && !apart) return std::nullopt;
  return make_finding("thinned", {{"spacing", fixed(median(spacings), 2) + " mm"}});
}

double degrees_between(const Vec3& a, const Vec3& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b)) * 180 / std::numbers::pi;
}

struct SeenBump {
  const ScanEvidence* scan = nullptr;
  const FeatureEvidence* ball = nullptr;
  Bump bump;
};

/// The bumps at the place of `of`, the first of each scan.
std::vector<const SeenBump*> alike(const std::vector<SeenBump>& all, const SeenBump& of) {
  std::vector<const SeenBump*> out;
  std::set<const ScanEvidence*> scans;
  for (const SeenBump& b : all)
    if (b.ball->artefact == of.ball->artefact && b.ball->ball == of.ball->ball &&
        b.bump.height * of.bump.height > 0 &&
        degrees_between(b.bump.on_ball, of.bump.on_ball) < kSamePlaceDeg &&
        scans.insert(b.scan).second)
      out.push_back(&b);
  return out;
}

}  // namespace

std::vector<Finding> processing_findings(const SessionEvidence& s) {
  std::vector<Finding> out = ripples(s);
  for (const auto& finding : {coarse(s), thinned(s), tails_cut(s)})
    if (finding) out.push_back(*finding);
  return out;
}

std::vector<Finding> same_measurement_findings(const SessionEvidence& s) {
  std::vector<Finding> out;
  for (std::size_t i = 0; i < s.scans.size(); ++i)
    for (std::size_t j = i + 1; j < s.scans.size(); ++j)
      if (s.same(s.scans[i]->fingerprint, s.scans[j]->fingerprint) != SameBy::no)
        out.push_back(make_finding("same-measurement",
                                   {{"first", s.scans[i]->scan}, {"second", s.scans[j]->scan}},
                                   s.scans[j]->scan));
  return out;
}

std::vector<Finding> bump_findings(const SessionEvidence& s) {
  std::vector<SeenBump> all;
  for (const ScanEvidence* scan : s.scans)
    for (const FeatureEvidence& f : scan->features)
      for (const Bump& b : f.bumps) all.push_back({scan, &f, b});
  std::vector<Finding> out;
  std::set<std::pair<std::string, std::string>> said;
  for (const SeenBump& b : all) {
    const std::pair<std::string, std::string> who{b.ball->artefact, b.ball->ball};
    if (said.contains(who)) continue;
    const auto same = alike(all, b);
    if (same.size() < kLeastScans) continue;
    double turned = 0;
    for (const SeenBump* o : same)
      turned = std::max(turned, degrees_between(o->bump.in_space, b.bump.in_space));
    said.insert(who);
    out.push_back(make_finding("artefact-bump",
                               {{"ball", who.second},
                                {"id", who.first},
                                {"height", micrometres(b.bump.height)},
                                {"n", std::to_string(same.size())}},
                               {},
                               turned > kTurnedDeg ? Severity::warn : Severity::note));
  }
  return out;
}

}  // namespace rigproof
