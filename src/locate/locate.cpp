#include <algorithm>
#include <array>

#include <fmt/format.h>

#include "locate/ball_search.h"
#include "locate/locate_points.h"
#include "locate/plate_search.h"
#include "locate/resolution.h"

namespace rigproof {
namespace {

constexpr std::size_t kMostNearMisses = 8;

/// Strongest support first; ties by coordinates.
template <class Sighted, class Place>
void strongest_first(std::vector<Sighted>& sighted, const Place& place) {
  std::ranges::sort(sighted, [&](const Sighted& a, const Sighted& b) {
    if (a.support != b.support) return a.support > b.support;
    const Vec3 p = place(a), q = place(b);
    return std::array{p.x(), p.y(), p.z()} < std::array{q.x(), q.y(), q.z()};
  });
}

std::vector<std::string> words(const std::vector<BallSighting>& balls) {
  std::vector<std::string> text;
  for (const BallSighting& b : balls)
    text.push_back(
        fmt::format("sphere of diameter {:.4g} mm about ({:.4g}, {:.4g}, {:.4g}) mm, "
                    "seen over a cap of {:.0f}°",
                    2 * b.sphere.radius,
                    b.sphere.center.x(),
                    b.sphere.center.y(),
                    b.sphere.center.z(),
                    b.cap_half_angle_deg));
  return text;
}

std::vector<std::string> words(const std::vector<PlateSighting>& plates) {
  std::vector<std::string> text;
  for (const PlateSighting& p : plates)
    text.push_back(fmt::format("flat surface {:.4g} × {:.4g} mm", p.length_mm, p.width_mm));
  return text;
}

}  // namespace

Sighting locate_points(const Points& points, const LocateRequest& request, int threads) {
  Sighting sighting;
  if (points.empty()) return sighting;
  const double edge = finest_edge(points, request, threads);
  const std::optional<Points> enough = thinned_to_enough(points, edge, threads);
  Scene scene(enough ? *enough : points, request.sensor, edge, threads);

  BallsFound balls;
  if (!request.ball_diameters_mm.empty() || request.unknown_balls)
    balls = find_balls(scene, request);
  PlatesFound plates;
  if (!request.plates.empty() || request.unknown_plates)
    plates = find_plates(scene, request, balls.balls);

  // Nothing of what was asked for: say what there is instead.
  if (balls.balls.empty() && plates.plates.empty() && !request.ball_diameters_mm.empty() &&
      !request.unknown_balls) {
    LocateRequest any;
    any.sensor = request.sensor;
    any.unknown_balls = any.unknown_plates = true;
    Sighting there = locate_points(points, any, threads);
    balls.near_misses = words(there.balls);
    balls.others = std::move(there.balls.empty() ? there.others : there.balls);
    plates.near_misses = words(there.plates);
    balls.near_misses.insert(
        balls.near_misses.end(), there.near_misses.begin(), there.near_misses.end());
  }

  sighting.balls = std::move(balls.balls);
  sighting.plates = std::move(plates.plates);
  strongest_first(sighting.balls, [](const BallSighting& b) { return b.sphere.center; });
  sighting.others = std::move(balls.others);
  strongest_first(sighting.others, [](const BallSighting& b) { return b.sphere.center; });
  strongest_first(sighting.plates, [](const PlateSighting& p) { return p.plane.point; });
  sighting.near_misses = std::move(balls.near_misses);
  sighting.near_misses.insert(
      sighting.near_misses.end(), plates.near_misses.begin(), plates.near_misses.end());
  if (sighting.near_misses.size() > kMostNearMisses) sighting.near_misses.resize(kMostNearMisses);
  return sighting;
}

Sighting locate(const Scan& scan, const LocateRequest& request) {
  return locate_points(scan.sample(), request, 0);
}

}  // namespace rigproof
