#include "locate/plate_extent.h"

#include <algorithm>
#include <cmath>
#include <map>

#include <Eigen/Geometry>

namespace rigproof {
namespace {

constexpr double kTrim = 0.02;

/// A point in the plane with the area it stands for.
struct Spot {
  double u, v, area;
};

struct Side {
  double lo = 0, hi = 0;
  double length() const { return hi - lo; }
};

Side trimmed_side(const std::vector<Spot>& spots, double cosine, double sine) {
  std::vector<std::pair<double, double>> along;
  double total = 0;
  for (const Spot& s : spots) {
    along.push_back({cosine * s.u + sine * s.v, s.area});
    total += s.area;
  }
  std::ranges::sort(along);
  Side side{along.front().first, along.back().first};
  double sum = 0;
  bool low = false;
  for (const auto& [position, area] : along) {
    sum += area;
    if (!low && sum >= kTrim * total) {
      side.lo = position;
      low = true;
    }
    if (sum >= (1 - kTrim) * total) {
      side.hi = position;
      break;
    }
  }
  const double trimmed = side.length() * kTrim / (1 - 2 * kTrim);
  return {side.lo - trimmed, side.hi + trimmed};
}

/// Raster squares with at least a quarter of the usual number of points, one spot each.
std::vector<Spot> covered_squares(const std::vector<Spot>& points, double spacing) {
  std::map<std::pair<int, int>, Spot> squares;
  for (const Spot& p : points) {
    Spot& s = squares[{static_cast<int>(std::floor(p.u / spacing)),
                       static_cast<int>(std::floor(p.v / spacing))}];
    s.u += p.u;
    s.v += p.v;
    s.area += 1;
  }
  std::vector<double> counts;
  for (const auto& [key, s] : squares) counts.push_back(s.area);
  std::ranges::nth_element(counts, counts.begin() + counts.size() / 2);
  const double least = 0.25 * counts[counts.size() / 2];
  std::vector<Spot> covered;
  for (const auto& [key, s] : squares)
    if (s.area >= least) covered.push_back({s.u / s.area, s.v / s.area, 1});
  return covered;
}

}  // namespace

PlateExtent plate_extent(const Points& points, const Plane& plane, double spacing) {
  PlateExtent extent;
  extent.middle = plane.point;
  if (points.empty()) return extent;
  const Vec3 helper = std::abs(plane.normal.x()) < 0.7 ? Vec3::UnitX() : Vec3::UnitY();
  const Vec3 u = plane.normal.cross(helper).normalized(), v = plane.normal.cross(u);
  std::vector<Spot> spots;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Vec3 q = points.at(i) - plane.point;
    spots.push_back({q.dot(u), q.dot(v), 1});
  }
  const std::vector<Spot> squares = covered_squares(spots, spacing);

  double best_turn = 0, best_area = 1e300;
  const auto try_turn = [&](double turn) {
    const double c = std::cos(turn), s = std::sin(turn);
    const double area =
        trimmed_side(squares, c, s).length() * trimmed_side(squares, -s, c).length();
    if (area < best_area) {
      best_area = area;
      best_turn = turn;
    }
  };
  constexpr double kDegree = M_PI / 180;
  for (int k = 0; k < 30; ++k) try_turn(3 * k * kDegree);
  const double rough = best_turn;
  for (int k = -10; k <= 10; ++k) try_turn(rough + 0.3 * k * kDegree);

  const double c = std::cos(best_turn), s = std::sin(best_turn);
  const Side along = trimmed_side(squares, c, s), across = trimmed_side(squares, -s, c);
  const Vec3 a = c * u + s * v, b = -s * u + c * v;
  extent.middle = plane.point + 0.5 * (along.lo + along.hi) * a + 0.5 * (across.lo + across.hi) * b;
  const bool long_first = along.length() >= across.length();
  extent.axis_u = long_first ? a : b;
  extent.axis_v = plane.normal.cross(extent.axis_u);
  extent.length_mm = std::max(along.length(), across.length());
  extent.width_mm = std::min(along.length(), across.length());
  return extent;
}

}  // namespace rigproof
