#include "evaluate/enclosure.h"

#include <algorithm>

namespace rigproof {
namespace {

Enclosure minimum_zone(const Points& points, std::size_t left_out) {
  Enclosure e;
  e.name = "minimum_zone";
  e.points = points.size() + left_out;
  e.held = points.size();
  return e;
}

}  // namespace

const Enclosure* find_enclosure(const std::vector<Enclosure>& all, const std::string& name) {
  const auto it = std::ranges::find(all, name, &Enclosure::name);
  return it == all.end() ? nullptr : &*it;
}

std::optional<double> width_of(const std::vector<Enclosure>& all, const std::string& name) {
  const Enclosure* found = find_enclosure(all, name);
  return found ? std::optional(found->width) : std::nullopt;
}

Enclosure minimum_zone_of(const Points& points, const Sphere& start, std::size_t left_out) {
  const SphereZone zone = minimum_zone_sphere(points, start);
  Enclosure e = minimum_zone(points, left_out);
  e.center = zone.center;
  e.low = zone.inner;
  e.high = zone.outer;
  e.width = zone.width();
  e.low_points = zone.inner_points;
  e.high_points = zone.outer_points;
  return e;
}

Enclosure minimum_zone_of(const Points& points, std::size_t left_out) {
  const PlaneZone zone = minimum_zone_plane(points);
  Enclosure e = minimum_zone(points, left_out);
  e.sphere = false;
  e.center = zone.plane.point;
  e.normal = zone.plane.normal;
  e.low = -0.5 * zone.width;
  e.high = 0.5 * zone.width;
  e.width = zone.width;
  e.low_points = zone.low;
  e.high_points = zone.high;
  return e;
}

}  // namespace rigproof
