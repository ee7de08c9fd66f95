#include "evaluate/patches.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <numeric>

#include "evaluate/cap.h"

namespace rigproof {
namespace {

int total(const std::vector<int>& rings) { return std::accumulate(rings.begin(), rings.end(), 0); }

// Patch of a direction: a ring of k patches covers k/total of the cap's solid angle.
int patch_of(double along, double azimuth, double cap_cosine, const std::vector<int>& rings) {
  const double share = total(rings) * (1 - along) / (1 - cap_cosine);
  const double turn = azimuth / (2 * std::numbers::pi) + 0.5;
  int before = 0;
  for (std::size_t k = 0; k < rings.size(); ++k) {
    if (share < before + rings[k] || k + 1 == rings.size())
      return before + std::min(rings[k] - 1, static_cast<int>(turn * rings[k]));
    before += rings[k];
  }
  return 0;
}

}  // namespace

std::optional<std::vector<PatchMean>> patch_means(const Points& points,
                                                  const Sphere& fit,
                                                  const CapPatches& patches) {
  struct Sum {
    Vec3 direction = Vec3::Zero();
    double radius = 0;
    std::size_t n = 0;
  };
  std::vector<Sum> sums(static_cast<std::size_t>(total(patches.rings)));
  const Vec3 c = fit.center - points.origin;
  const auto [u, v] = across(patches.axis);
  const double cap = std::cos(std::min(180.0, patches.half_angle_deg) * std::numbers::pi / 180);
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 d = points.local(i) - c;
    const double r = d.norm();
    Sum& s = sums[static_cast<std::size_t>(
        patch_of(d.dot(patches.axis) / r, std::atan2(d.dot(v), d.dot(u)), cap, patches.rings))];
    s.direction += d / r;
    s.radius += r;
    ++s.n;
  }
  std::vector<PatchMean> means;
  for (const Sum& s : sums) {
    if (s.n == 0) return std::nullopt;
    const double r = s.radius / static_cast<double>(s.n);
    means.push_back({fit.center + r * s.direction.normalized(), s.n});
  }
  return means;
}

std::optional<PatchFit> patch_fit(const Points& points,
                                  const Sphere& fit,
                                  const CapPatches& patches) {
  auto means = patch_means(points, fit, patches);
  if (!means) return std::nullopt;
  Points through;
  through.origin = points.origin;
  for (const PatchMean& m : *means) through.push(m.point);
  PatchFit out{std::move(*means), fit_sphere_from(through, fit)};
  if (!out.fit.ok()) return std::nullopt;
  return out;
}

}  // namespace rigproof
