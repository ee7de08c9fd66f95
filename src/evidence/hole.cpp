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

// Occupied cells about a direction in degrees (equidistant projection), each by its first point.
class Occupied {
 public:
  Occupied(const BallFeature& f, const Vec3& direction, double cell)
      : cell_(cell), n_(static_cast<int>(std::ceil(2 * kAll / cell))) {
    const auto [u, v] = across(direction);
    first_.assign(static_cast<std::size_t>(n_) * n_, -1);
    const double least = std::cos(kAll * std::numbers::pi / 180);
    for (std::size_t i = 0; i < f.zone.size(); ++i) {
      const Vec3 d = (f.zone.at(i) - f.fit.sphere.center).normalized();
      const double c = d.dot(direction);
      if (c < least) continue;
      const double a = d.dot(u), b = d.dot(v), s = std::hypot(a, b);
      const double deg = s > 0 ? std::atan2(s, c) * 180 / std::numbers::pi / s : 0;
      const int x = number(a * deg), y = number(b * deg);
      if (x < 0 || y < 0 || x >= n_ || y >= n_) continue;
      int& first = first_[static_cast<std::size_t>(y) * n_ + x];
      if (first >= 0) continue;
      first = static_cast<int>(points_.size());
      points_.emplace_back(a * deg, b * deg);
    }
  }

  const std::vector<std::pair<double, double>>& points() const { return points_; }

  /// Distance to the next point: rings of cells outwards until none can be nearer.
  double emptiness(double a, double b) const {
    const int x = number(a), y = number(b);
    double least = 1e300;
    for (int ring = 0; ring <= n_; ++ring) {
      for (int j = -ring; j <= ring; ++j)
        for (int i = -ring; i <= ring; i += std::abs(j) == ring ? 1 : std::max(1, 2 * ring))
          least = std::min(least, squared_distance(x + i, y + j, a, b));
      if (least <= ring * ring * cell_ * cell_) break;
    }
    return std::sqrt(least);
  }

 private:
  static constexpr double kAll = kReach + kMargin;

  int number(double degrees) const { return static_cast<int>((degrees + kAll) / cell_); }
  double squared_distance(int x, int y, double a, double b) const {
    if (x < 0 || y < 0 || x >= n_ || y >= n_) return 1e300;
    const int first = first_[static_cast<std::size_t>(y) * n_ + x];
    if (first < 0) return 1e300;
    const auto& [px, py] = points_[static_cast<std::size_t>(first)];
    return (px - a) * (px - a) + (py - b) * (py - b);
  }

  double cell_;
  int n_;
  std::vector<int> first_;  // of each cell, by number in points_; -1: empty
  std::vector<std::pair<double, double>> points_;
};

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
    const Occupied cells(f, highlight, std::max(0.4, 0.5 * spacing));
    if (cells.points().size() < 20) continue;
    Spot best;
    for (double a = -kReach; a <= kReach; a += kTry)
      for (double b = -kReach; b <= kReach; b += kTry)
        if (const double half = cells.emptiness(a, b); half > best.half) best = {a, b, half};
    const double half = best.half - 0.5 * spacing;
    if (half < kLeastHalf || best.half < kSpacings * spacing ||
        !ringed(cells.points(), best, kRing * spacing))
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
