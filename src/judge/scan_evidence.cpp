#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/number.h"
#include "judge/evidence_gates.h"

namespace rigproof {
namespace {

constexpr double kHoleDeg = 6;         // eight must be found
constexpr double kChance = 1.5;        // standard deviations of a count
constexpr double kUsualShare = 0.003;  // what is usual where nothing may be left out
constexpr double kManyDuplicates = 0.01;
constexpr double kHolderShare = 0.005;  // strays over points of the zone
constexpr std::size_t kLeastStrays = 8;

std::string what(const FeatureEvidence& f) {
  if (!f.is_ball) return f.artefact.empty() ? "the plate" : "plate " + f.artefact;
  return f.ball.empty() ? "the ball" : "ball " + f.ball;
}

double allowance(const Procedure& p, const FeatureEvidence& f) {
  const auto it = p.characteristics.find(f.is_ball ? "probing_form" : "flatness");
  return it == p.characteristics.end() ? 0 : it->second.allowance;
}

std::optional<Finding> astray(const FeatureEvidence& f,
                              const Procedure& p,
                              const std::string& scan) {
  const double allowed = allowance(p, f);
  const double n = static_cast<double>(f.points);
  // Twice the share must be found, of which a third hides in the noise; a clean scan has a tenth of
  // the share, so that little room for the chance of its count is enough.
  const double usual = allowed > 0 ? allowed : kUsualShare;
  const double bound = usual + kChance * std::sqrt(std::max(usual, 1 / n) / n);
  if (f.points == 0 || f.share_astray <= bound) return std::nullopt;
  return make_finding("outliers-above-allowance",
                      {{"percent", fixed(100 * f.share_astray, 2)},
                       {"what", what(f)},
                       {"allowed", fixed(100 * allowed, 2)},
                       {"characteristic", f.is_ball ? "probing form" : "flatness"}},
                      scan);
}

/// Whatever was found and left out is said; without a cone, many points off the surface are.
std::optional<Finding> holder_cut(const FeatureEvidence& f, const std::string& scan) {
  const bool many = f.is_ball && f.strays >= kLeastStrays &&
                    static_cast<double>(f.strays) > kHolderShare * static_cast<double>(f.points);
  if (!f.holder_found && !many) return std::nullopt;
  const std::string cone =
      f.holder_deg > 0 ? fixed(f.holder_deg, 0) + "°, " + (f.holder_found ? "found" : "declared")
                       : std::string("none found");
  return make_finding(
      "holder-cut", {{"n", std::to_string(f.strays)}, {"ball", what(f)}, {"cone", cone}}, scan);
}

std::optional<Finding> duplicates(const ScanEvidence& e) {
  double looked_at = 0, twice = 0;
  for (const FeatureEvidence& f : e.features) {
    looked_at += static_cast<double>(f.repeats.looked_at);
    twice += static_cast<double>(f.repeats.duplicates);
  }
  if (twice == 0) return std::nullopt;
  return make_finding("duplicate-points",
                      {{"n", fixed(twice, 0)},
                       {"looked_at", fixed(looked_at, 0)},
                       {"scan", e.scan},
                       {"percent", fixed(100 * twice / looked_at, 2)}},
                      e.scan,
                      twice > kManyDuplicates * looked_at ? Severity::warn : Severity::note);
}

}  // namespace

std::vector<Finding> evidence_findings(const ScanEvidence& e, const Procedure& procedure) {
  std::vector<Finding> out;
  const auto add = [&](const std::optional<Finding>& finding) {
    if (finding) out.push_back(*finding);
  };
  for (const FeatureEvidence& f : e.features) {
    if (f.noise.shell_distance > 0)
      out.push_back(
          make_finding("two-shells",
                       {{"distance", micrometres(f.noise.shell_distance)}, {"what", what(f)}},
                       e.scan));
    else
      add(astray(f, procedure, e.scan));
    if (f.hole && f.hole->width_deg > kHoleDeg)
      out.push_back(
          make_finding("hole", {{"size", fixed(f.hole->width_deg, 0)}, {"ball", what(f)}}, e.scan));
    add(holder_cut(f, e.scan));
  }
  add(duplicates(e));
  return out;
}

}  // namespace rigproof
