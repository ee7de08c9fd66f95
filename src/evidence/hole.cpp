#include "evidence/hole.h"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "evaluate/cap.h"

namespace rigproof {
namespace {

constexpr double kReach = 16;      // degrees about a highlight that are searched
constexpr double kMargin = 14;     // beyond, for the points around
constexpr double kTry = 1;         // degrees between places tried
constexpr double kLeastHalf = 3;   // degrees; four must be found
constexpr double kSpacings = 2.1;  // least half-width in point spacings
constexpr double kRing = 2.5;      // spacings
constexpr int kSectors = 8;

struct Spot {
  double a = 0, b = 0;  // degrees across the highlight's direction
  double half = 0;
};

// Occupied cells about a direction, in degrees (equidistant projection).
std::vector<std::pair<double, double>> occupied(const BallFeature& f,
                                                const Vec3& direction,
                                                double cell) {
  const auto [u, v] = across(direction);
  const double reach = kReach + kMargin;
  const int n = static_cast<int>(std::ceil(2 * reach / cell));
  std::vector<bool> filled(static_cast<std::size_t>(n) * n);
  std::vector<std::pair<double, double>> out;
  const double least = std::cos(reach * std::numbers::pi / 180);
  for (std::size_t i = 0; i < f.zone.size(); ++i) {
    const Vec3 d = (f.zone.at(i) - f.fit.sphere.center).normalized();
    const double c = d.dot(direction);
    if (c < least) continue;
    const double a = d.dot(u), b = d.dot(v), s = std::hypot(a, b);
    const double deg = s > 0 ? std::atan2(s, c) * 180 / std::numbers::pi / s : 0;
    const int x = static_cast<int>((a * deg + reach) / cell);
    const int y = static_cast<int>((b * deg + reach) / cell);
    if (x < 0 || y < 0 || x >= n || y >= n) continue;
    const auto at = static_cast<std::size_t>(y) * n + x;
    if (filled[at]) continue;
    filled[at] = true;
    out.emplace_back(a * deg, b * deg);
  }
  return out;
}

double emptiness(const std::vector<std::pair<double, double>>& points, double a, double b) {
  double least = 1e300;
  for (const auto& [x, y] : points) least = std::min(least, (x - a) * (x - a) + (y - b) * (y - b));
  return std::sqrt(least);
}

bool ringed(const std::vector<std::pair<double, double>>& points, const Spot& s, double width) {
  unsigned seen = 0;
  for (const auto& [x, y] : points) {
    if (std::hypot(x - s.a, y - s.b) > s.half + width) continue;
    const double turn = std::atan2(y - s.b, x - s.a) / (2 * std::numbers::pi) + 0.5;
    seen |= 1u << std::min(kSectors - 1, static_cast<int>(turn * kSectors));
  }
  return seen == (1u << kSectors) - 1;
}

}  // namespace

std::optional<Hole> find_hole(const BallFeature& f, const std::vector<Vec3>& cameras) {
  const Vec3& c = f.fit.sphere.center;
  std::vector<Vec3> highlights{f.cap_axis};
  if (cameras.size() == 2 && f.axis_from == CapAxis::cameras) {
    const Vec3 to_light = (0.5 * (cameras[0] + cameras[1]) - c).normalized();
    highlights.clear();
    for (const Vec3& camera : cameras)
      highlights.push_back((to_light + (camera - c).normalized()).normalized());
  }
  const double seen = f.zone_half_angle_deg * std::numbers::pi / 180;
  const double spacing =
      std::sqrt(2 * std::numbers::pi * (1 - std::cos(seen)) / static_cast<double>(f.points)) * 180 /
      std::numbers::pi;
  std::optional<Hole> out;
  for (const Vec3& highlight : highlights) {
    const auto points = occupied(f, highlight, std::max(0.4, 0.5 * spacing));
    if (points.size() < 20) continue;
    Spot best;
    for (double a = -kReach; a <= kReach; a += kTry)
      for (double b = -kReach; b <= kReach; b += kTry)
        if (const double half = emptiness(points, a, b); half > best.half) best = {a, b, half};
    const double half = best.half - 0.5 * spacing;
    if (half < kLeastHalf || best.half < kSpacings * spacing ||
        !ringed(points, best, kRing * spacing))
      continue;
    if (out && 2 * half <= out->width_deg) continue;
    const auto [u, v] = across(highlight);
    const double s = std::hypot(best.a, best.b), angle = s * std::numbers::pi / 180;
    const Vec3 side = s > 0 ? Vec3((best.a * u + best.b * v) / s) : Vec3(Vec3::Zero());
    out = Hole{2 * half, std::cos(angle) * highlight + std::sin(angle) * side};
  }
  return out;
}

}  // namespace rigproof
