#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/Geometry>

#include "evaluate/allowance.h"
#include "evaluate/dispersion.h"
#include "evaluate/feature.h"
#include "evaluate/working_area.h"
#include "evaluate/zone.h"

namespace rigproof {
namespace {

constexpr double kWidening = 1;  // mm, zone-choice term
constexpr double kSlack = 0.1;   // of a side: the seen middle against the rectangle's
constexpr int kRaster = 64;      // for the area inside the measuring volume

struct Task {
  const PlateSighting& sighting;
  PlateNominal nominal;
  const ZoneRules& rules;
  const ZoneContext& context;
};

double border_of(const Task& t) {
  return t.nominal.border_mm >= 0 ? t.nominal.border_mm : t.rules.plate_border_mm;
}

SlabRegion region(const Task& t) {
  const PlateSighting& s = t.sighting;
  SlabRegion slab;
  slab.plane = s.plane;
  slab.axis_u = s.axis_u;
  slab.axis_v = s.axis_v;
  slab.half_u_mm = (0.5 + kSlack) * s.length_mm + 2 * kWidening;
  slab.half_v_mm = (0.5 + kSlack) * s.width_mm + 2 * kWidening;
  slab.gate_mm = (std::max(1.0, t.rules.stray_gates) + 0.5) * t.rules.plate_gate_mm;
  return slab;
}

Vec3 raster_point(const PlateZone& z, double a, double b) {
  return z.center + a * z.half_u_mm * z.u + b * z.half_v_mm * z.v;
}

// The volume is convex: a rectangle whose corners, moved out by the gates, are inside lies inside.
bool wholly_inside(const PlateZone& z, const Volume& volume) {
  for (const double a : {-1.0, 1.0})
    for (const double b : {-1.0, 1.0})
      for (const double c : {-1.0, 1.0}) {
        const Vec3 corner = raster_point(
            z, a * (1 + z.widening_mm / z.half_u_mm), b * (1 + z.widening_mm / z.half_v_mm));
        if (!volume.contains(corner + c * z.stray_mm * z.plane.normal)) return false;
      }
  return true;
}

void cut_by_volume(const Points& points, const Volume& volume, ZoneCodes& codes) {
  for (std::size_t i = 0; i < points.size(); ++i)
    if (codes[i] != outside_zone && !volume.contains(points.at(i))) codes[i] = outside_zone;
}

double share_inside(const PlateZone& z, const Volume& volume) {
  int inside = 0;
  for (int i = 0; i < kRaster; ++i)
    for (int j = 0; j < kRaster; ++j)
      inside += volume.contains(
          raster_point(z, (2 * i + 1.0) / kRaster - 1, (2 * j + 1.0) / kRaster - 1));
  return inside / static_cast<double>(kRaster * kRaster);
}

Vec3 seen_from(const PlateSighting& s) {
  return s.plane.point + 1000 * std::max(1.0, s.length_mm) * s.plane.normal;
}

void settle(
    PlateFeature& f, PlateZone& z, const Points& gathered, const Task& t, ZoneCodes& codes) {
  const Volume* volume = t.context.volume;
  ZoneCodes before;
  for (f.rounds = 1; f.rounds <= t.rules.max_rounds; ++f.rounds) {
    classify(gathered, z, codes);
    if (volume && !wholly_inside(z, *volume)) cut_by_volume(gathered, *volume, codes);
    if (f.rounds > 1 && same_selection(before, codes, zone)) {
      f.settled = true;
      return;
    }
    select(gathered, codes, zone, f.zone);
    f.fit_all = fit_plane(f.zone, seen_from(t.sighting));
    if (!f.fit_all.ok()) return;
    z.plane = f.fit_all.plane;
    before.swap(codes);
  }
  f.rounds = t.rules.max_rounds;
  codes.swap(before);
}

// Flatness is the range with the allowance left out, about the first fit of each rectangle.
void zone_choice(PlateFeature& f, const Points& gathered, const ZoneCodes& codes, const Task& t) {
  Points varied;
  for (const std::uint8_t least : {narrow, wide}) {
    PlateVariant& v = least == wide ? f.wider : f.narrower;
    select(gathered, codes, least, varied);
    const PlaneFit all = fit_plane(varied, seen_from(t.sighting));
    if (!all.ok()) continue;
    const std::vector<double> d = plane_residuals(varied, all.plane);
    v.flatness = kept_range(d, t.context.allowance_plate);
    if (t.context.distortion) v.distortion = shortest_interval(d, t.context.dispersion_share);
    if (t.context.flatness_mz) v.flatness_mz = minimum_zone_plane(varied).width;
  }
}

void noise_of(PlateFeature& f) {
  const ResidualStats& kept = f.fit.residuals;
  f.noise = zone_noise({f.zone,
                        f.residuals,
                        f.fit.plane.normal,
                        std::nullopt,
                        f.spacing_mm,
                        kept.min,
                        kept.max,
                        f.left_out});
  f.covariance = f.fit.cofactor * (f.noise.sd_mm * f.noise.sd_mm * f.noise.area);
}

void values_of(PlateFeature& f, double share, const ZoneContext& context, const Vec3& sensor) {
  f.share = share;
  f.left_out = allowance(share, f.points);
  f.residuals = plane_residuals(f.zone, f.fit_all.plane);
  const std::vector<std::size_t> out = select_largest(f.residuals, f.left_out);
  f.fit = f.fit_all;
  f.flatness_all = f.fit_all.residuals.range();
  {
    const LeftOut left(f.zone, out);
    if (!out.empty()) f.fit = fit_plane(f.zone, sensor);
    if (context.minimum_zones) f.enclosures.push_back(minimum_zone_of(f.zone, out.size()));
  }
  if (context.flatness_mz) {
    f.enclosures.push_back(out.empty() && context.minimum_zones ? f.enclosures.back()
                                                                : minimum_zone_of(f.zone, 0));
    f.enclosures.back().name = "minimum_zone_all";
  }
  if (context.distortion)
    f.enclosures.push_back(parallel_planes(f.zone, f.fit_all.plane, context.dispersion_share));
  f.flatness = f.fit.residuals.range();
  if (!out.empty()) f.residuals = plane_residuals(f.zone, f.fit.plane);
  f.spacing_mm = std::sqrt(f.area_mm2 / static_cast<double>(f.points));
  noise_of(f);
}

void take_rectangle(PlateFeature& f, const PlateZone& z) {
  f.center = z.center;
  f.axis_u = z.u;
  f.axis_v = z.v;
  f.length_mm = 2 * z.half_u_mm;
  f.width_mm = 2 * z.half_v_mm;
  f.area_mm2 = f.length_mm * f.width_mm;
}

PlateFeature evaluate(const Points& gathered, const Task& t) {
  PlateFeature f;
  f.located = t.sighting;
  PlateZone z;
  z.plane = t.sighting.plane;
  z.gate_mm = t.rules.plate_gate_mm;
  z.stray_mm = t.rules.stray_gates * z.gate_mm;
  z.u = t.sighting.axis_u;
  z.v = t.sighting.axis_v;
  z.widening_mm = kWidening;
  f.fit.stop = f.fit_all.stop = FitStop::degenerate;
  if (!find_working_area(z, gathered, t.nominal, border_of(t))) return f;

  ZoneCodes codes;
  settle(f, z, gathered, t, codes);
  f.points = f.zone.size();
  f.strays = count_code(codes, stray);
  take_rectangle(f, z);
  if (t.context.volume && !wholly_inside(z, *t.context.volume))
    f.area_mm2 *= share_inside(z, *t.context.volume);
  if (!f.fit_all.ok()) {
    f.fit = f.fit_all;
    return f;
  }
  f.center -= f.fit_all.plane.deviation(f.center) * f.fit_all.plane.normal;
  values_of(f, t.context.allowance_plate, t.context, seen_from(t.sighting));
  zone_choice(f, gathered, codes, t);
  return f;
}

}  // namespace

std::vector<PlateFeature> evaluate_plates(const Scan& scan,
                                          const std::vector<PlateSighting>& plates,
                                          const ZoneRules& rules,
                                          const ZoneContext& context) {
  std::vector<Task> tasks;
  std::vector<Region> regions;
  for (std::size_t i = 0; i < plates.size(); ++i) {
    const PlateNominal nominal = i < context.plates.size() ? context.plates[i] : PlateNominal();
    tasks.push_back({plates[i], nominal, rules, context});
    regions.push_back(region(tasks.back()));
  }
  std::vector<Points> gathered = scan.gather(regions);
  std::vector<PlateFeature> features;
  for (std::size_t i = 0; i < plates.size(); ++i) {
    features.push_back(evaluate(gathered[i], tasks[i]));
    gathered[i] = Points();
  }
  return features;
}

AllowedPlane with_allowance(const PlateFeature& plate, double share) {
  AllowedPlane out;
  Points points = plate.zone;
  out.left_out = allowance(share, points.size());
  const std::vector<std::size_t> indices =
      select_largest(plane_residuals(points, plate.fit_all.plane), out.left_out);
  const LeftOut left(points, indices);
  out.fit = fit_plane(points, plate.fit_all.plane.point + plate.fit_all.plane.normal);
  return out;
}

PlateFeature whole_plate(const Points& points, const ZoneContext& context) {
  PlateFeature f;
  f.zone = points;
  f.points = points.size();
  f.rounds = 1;
  f.fit_all = fit_plane(points);
  f.fit = f.fit_all;
  f.settled = f.fit.ok();
  if (!f.fit.ok()) return f;

  PlateZone z;
  z.plane = f.fit.plane;
  z.gate_mm = std::numeric_limits<double>::infinity();
  z.u = f.fit.axis_u;
  z.v = f.fit.axis_v;
  find_working_area(z, points, {}, 0);
  take_rectangle(f, z);
  f.located.plane = f.fit.plane;
  f.located.axis_u = z.u;
  f.located.axis_v = z.v;
  f.located.length_mm = f.length_mm;
  f.located.width_mm = f.width_mm;
  values_of(f, 0, context, Vec3::Zero());
  return f;
}

}  // namespace rigproof
