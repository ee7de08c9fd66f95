#include "evidence/seen_surface.h"

#include <algorithm>
#include <cmath>
#include <map>
#include <numbers>

#include "evaluate/cap.h"

namespace rigproof {
namespace {

constexpr double kGrazing = 0.2;
constexpr std::size_t kPatchMost = 512;  // points

// Axes across the line of sight.
SeenSurface surface(const Points& points,
                    const std::vector<double>& residuals,
                    const Vec3& view,
                    const std::optional<Vec3>& center,
                    const Vec3& normal,
                    double pitch) {
  const auto [u, v] = across(view);
  return {points, residuals, view, center, normal, pitch, u, v};
}

}  // namespace

double SeenSurface::cosine(std::size_t i) const {
  if (!center) return std::max(kGrazing, std::abs(normal.dot(view)));
  const Vec3 d = points.at(i) - *center;
  return std::max(kGrazing, d.dot(view) / d.norm());
}

SeenSurface seen_surface(const BallFeature& f) {
  const double seen = std::sin(f.zone_half_angle_deg * std::numbers::pi / 180);
  const double pitch =
      f.points > 0
          ? f.fit.sphere.radius * seen * std::sqrt(std::numbers::pi / static_cast<double>(f.points))
          : 0;
  return surface(f.zone, f.residuals, f.cap_axis, f.fit.sphere.center, f.cap_axis, pitch);
}

SeenSurface seen_surface(const PlateFeature& f) {
  const Vec3& normal = f.fit.plane.normal;
  Vec3 view = normal;
  const double distance = f.center.norm();
  if (distance > f.length_mm && -f.center.dot(normal) / distance > kGrazing)
    view = -f.center / distance;
  return surface(f.zone,
                 f.residuals,
                 view,
                 std::nullopt,
                 normal,
                 f.spacing_mm * std::sqrt(std::abs(view.dot(normal))));
}

std::vector<std::vector<std::uint32_t>> patches(const SeenSurface& s,
                                                double side,
                                                std::size_t most) {
  using Cell = std::pair<std::int32_t, std::int32_t>;
  std::vector<std::vector<std::uint32_t>> out;
  if (!(s.pitch > 0) || s.points.empty()) return out;
  const double to_cell = 1 / (side * s.pitch);
  std::vector<Cell> cell(s.points.size());
  std::map<Cell, std::size_t> counts;
  Cell last{0, 0};
  std::size_t* count = nullptr;
  for (std::size_t i = 0; i < cell.size(); ++i) {
    const auto [a, b] = s.across(i);
    cell[i] = {static_cast<std::int32_t>(std::floor(a * to_cell)),
               static_cast<std::int32_t>(std::floor(b * to_cell))};
    if (!count || cell[i] != last) {
      last = cell[i];
      count = &counts[last];
    }
    ++*count;
  }
  std::vector<Cell> full;
  for (const auto& [key, n] : counts)
    if (static_cast<double>(n) >= 0.5 * side * side) full.push_back(key);
  const std::size_t used = std::min(most, full.size());
  std::map<Cell, std::size_t> chosen;
  for (std::size_t k = 0; k < used; ++k) chosen[full[k * full.size() / used]] = k;
  out.resize(used);
  auto at = chosen.end();
  for (std::size_t i = 0; i < cell.size(); ++i) {
    if (i == 0 || cell[i] != cell[i - 1]) at = chosen.find(cell[i]);
    if (at != chosen.end() && out[at->second].size() < kPatchMost)
      out[at->second].push_back(static_cast<std::uint32_t>(i));
  }
  return out;
}

}  // namespace rigproof
