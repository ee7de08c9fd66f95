#include <algorithm>
#include <cmath>
#include <map>

#include <fmt/format.h>

#include "base/number.h"
#include "evidence/quantile.h"
#include "judge/evidence_gates.h"

namespace rigproof {
namespace {

constexpr double kVibration = 1.5;       // times the noise expected there; two must be found
constexpr double kVibrationOnSlope = 3;  // where noise is uneven, places near each other differ
constexpr double kUneven = 1.5;          // likewise
constexpr std::size_t kNeighbours = 8, kLeastPatches = 4, kLeastGroup = 6;
constexpr double kSmoothed = 0.72;      // of the reference ratio
constexpr double kSmoothedWhite = 0.5;  // without a reference
constexpr double kPerfect = 0.1;        // of the reference
constexpr double kExact = 1.5e-7;       // over the distance: float coordinates leave 0.3e-7
constexpr double kExactRounded = 1e-6, kOfStep = 0.4;

/// Depth noise of a toed-in rig grows as Z² (1 + B²/4Z²) (method, section 9).
double growth(const Rig& rig, double z) {
  const double b = rig.stereo ? rig.stereo->baseline_mm : 0;
  return z * z + b * b / 4;
}

/// Noise of one patch over what the distance explains; 1 at the middle of the volume for a rig with
/// a reference.
struct Patch {
  std::size_t scan = 0;
  Vec3 place;
  double noise = 0;
};

std::vector<Patch> patches_of(const SessionEvidence& s) {
  std::vector<Patch> out;
  const double middle = s.field ? s.field->volume.middle().z() : 0;
  const bool known = s.rig->noise && s.rig->noise->sd_mm > 0 && middle > 0;
  const double unit = known ? s.rig->noise->sd_mm / growth(*s.rig, middle) : 1;
  for (std::size_t i = 0; i < s.scans.size(); ++i)
    for (const FeatureEvidence& f : s.scans[i]->features)
      for (const PatchNoise& p : f.noise.patches)
        if (p.sd > 0 && f.noise.shell_distance == 0)
          out.push_back({i, p.place, p.sd / (unit * growth(*s.rig, p.place.z()))});
  return out;
}

/// Median noise of the patches of other scans that lie nearest; 0 for too few.
double noise_about(const std::vector<Patch>& all, const Patch& p) {
  std::vector<std::pair<double, double>> near;
  for (const Patch& q : all)
    if (q.scan != p.scan) near.emplace_back((q.place - p.place).squaredNorm(), q.noise);
  if (near.size() < kNeighbours) return 0;
  std::ranges::nth_element(near, near.begin() + kNeighbours - 1);
  std::vector<double> noises;
  for (std::size_t k = 0; k < kNeighbours; ++k) noises.push_back(near[k].second);
  return median(std::move(noises));
}

/// How many times the noise of scan i is that of the rig: of its reference, and of the other scans
/// at the same places, whichever says less.
double excess(const SessionEvidence& s, const std::vector<Patch>& all, std::size_t i) {
  std::vector<double> own, relative;
  for (const Patch& p : all) {
    if (p.scan != i) continue;
    own.push_back(p.noise);
    if (const double about = noise_about(all, p); about > 0) relative.push_back(p.noise / about);
  }
  if (own.size() < kLeastPatches) return 0;
  const bool reference = s.rig->noise && s.rig->noise->sd_mm > 0 && s.field;
  if (relative.size() < kLeastPatches) return reference ? median(std::move(own)) : 0;
  const double others = median(std::move(relative));
  return reference ? std::min(others, median(std::move(own))) : others;
}

struct Group {
  std::string name;
  std::vector<double> noise;
  std::set<std::size_t> scans;

  bool enough() const { return noise.size() >= kLeastGroup && scans.size() >= 2; }
};

std::optional<Finding> uneven(const Group& a, const Group& b) {
  if (!a.enough() || !b.enough()) return std::nullopt;
  const double ratio = median(a.noise) / median(b.noise);
  if (ratio < kUneven && 1 / ratio < kUneven) return std::nullopt;
  return make_finding(
      "noise-uneven",
      {{"ratio", fixed(std::max(ratio, 1 / ratio), 1)}, {"where", ratio > 1 ? a.name : b.name}});
}

std::optional<Finding> noise_uneven(const std::vector<Patch>& all, const Volume& volume) {
  Group near{"near the rig", {}, {}}, far{"far from the rig", {}, {}};
  Group centre{"in the middle", {}, {}}, corner{"towards the corners", {}, {}};
  for (const Patch& p : all) {
    const Vec3 n = volume.normalized(p.place);
    const double off = std::hypot(n.x(), n.y());
    const auto put = [&](Group& g) {
      g.noise.push_back(p.noise);
      g.scans.insert(p.scan);
    };
    if (n.z() < -1.0 / 3) put(near);
    if (n.z() > 1.0 / 3) put(far);
    if (off < 0.4) put(centre);
    if (off > 0.9) put(corner);
  }
  if (const auto finding = uneven(far, near)) return finding;
  return uneven(corner, centre);
}

std::optional<Finding> smoothed(const SessionEvidence& s) {
  if (s.rig->filter != "none") return std::nullopt;
  std::vector<double> ratios, areas;
  for (const ScanEvidence* scan : s.scans)
    for (const FeatureEvidence& f : scan->features)
      if (f.noise.second_difference_ratio > 0 && f.noise.shell_distance == 0) {
        ratios.push_back(f.noise.second_difference_ratio);
        areas.push_back(f.area);
      }
  if (ratios.empty()) return std::nullopt;
  const double ratio = median(std::move(ratios));
  const bool known = s.rig->noise && s.rig->noise->second_difference_ratio > 0;
  if (ratio >= (known ? kSmoothed * s.rig->noise->second_difference_ratio : kSmoothedWhite))
    return std::nullopt;
  return make_finding("smoothed",
                      {{"length", fixed(std::sqrt(std::max(1.0, median(std::move(areas)))), 1)},
                       {"than", known ? "this rig's raw data" : "independent points would"},
                       {"declared", s.rig->filter}},
                      {},
                      known ? Severity::warn : Severity::note);
}

bool perfect(const FeatureEvidence& f, double reference, double step) {
  const double sd = f.noise.patches.empty() ? f.scatter : f.noise.sd;
  const double distance = std::max(f.center.norm(), f.range);
  if (f.points < 100) return false;
  return sd < kExact * distance || sd < kPerfect * reference ||
         (step > 0 && sd < kOfStep * step && sd < kExactRounded * distance);
}

std::optional<Finding> too_perfect(const SessionEvidence& s) {
  const double middle = s.field ? s.field->volume.middle().z() : 0;
  const double unit = s.rig->noise && middle > 0 ? s.rig->noise->sd_mm / growth(*s.rig, middle) : 0;
  for (const ScanEvidence* scan : s.scans)
    for (const FeatureEvidence& f : scan->features)
      if (perfect(f, unit * growth(*s.rig, f.center.z()), coordinate_step(*scan)))
        return make_finding(
            "too-perfect",
            {{"what", f.is_ball ? "ball" : "plane"}, {"scatter", micrometres(f.scatter, 3)}},
            scan->scan);
  return std::nullopt;
}

}  // namespace

std::vector<Finding> noise_findings(const SessionEvidence& s) {
  if (const auto finding = too_perfect(s)) return {*finding};
  std::vector<Finding> out;
  std::vector<Patch> all = patches_of(s);
  std::map<std::size_t, double> shaken;
  for (std::size_t i = 0; i < s.scans.size(); ++i)
    if (const double ratio = excess(s, all, i); ratio >= kVibration) shaken[i] = ratio;
  std::erase_if(all, [&](const Patch& p) { return shaken.contains(p.scan); });
  // A filter changes noise unevenly too; then it is the filter that is to be told.
  const auto filtered = smoothed(s);
  if (filtered) out.push_back(*filtered);
  const auto slope = s.field && !filtered ? noise_uneven(all, s.field->volume) : std::nullopt;
  if (slope) out.push_back(*slope);
  for (const auto& [i, ratio] : shaken)
    if (ratio >= (slope || filtered ? kVibrationOnSlope : kVibration))
      out.push_back(make_finding(
          "vibration", {{"ratio", fixed(ratio, 1)}, {"scan", s.scans[i]->scan}}, s.scans[i]->scan));
  return out;
}

}  // namespace rigproof
