#include "seal/cut_out.h"

#include <algorithm>
#include <cmath>

#include <Eigen/Geometry>

#include "scan/ply_writer.h"
#include "scan/scan.h"

namespace rigproof {
namespace {

constexpr double kMargin = 1.1;  // of the outermost gate: locating again starts from these points

Region about_ball(const FeatureRecord& ball, const ZoneRules& zones) {
  const double reach = 1 + kMargin * zones.stray_gates * zones.ball_gate_share;
  return ShellRegion{ball.center, 0, ball.radius * reach, -Vec3::UnitZ(), 180};
}

/// A ball about the whole plate, cut to a slab: wide enough whichever way the rectangle lies.
Region about_plate(const FeatureRecord& plate, const ZoneRules& zones) {
  SlabRegion slab;
  slab.plane = {plate.center, plate.normal};
  const Vec3 aside = std::abs(plate.normal.x()) < 0.9 ? Vec3(Vec3::UnitX()) : Vec3(Vec3::UnitY());
  slab.axis_u = plate.normal.cross(aside).normalized();
  slab.axis_v = plate.normal.cross(slab.axis_u).normalized();
  slab.half_u_mm = slab.half_v_mm =
      kMargin * 0.5 * std::hypot(plate.length_mm, plate.width_mm) + 2 * zones.plate_border_mm;
  slab.gate_mm = kMargin * zones.stray_gates * zones.plate_gate_mm;
  return slab;
}

ScanOptions as_evaluated(const Session& session, const ScanRecord& record) {
  ScanOptions options;
  options.unit_mm = session.rig.unit_mm;
  options.to_sensor = session.rig.to_sensor;
  options.hash = false;
  const auto it = std::ranges::find(session.overrides, record.file, &ScanOverride::file);
  if (it != session.overrides.end()) options.transform = it->transform;
  return options;
}

/// The file's own numbers: no unit, no turn, no transform of the header.
ScanOptions as_written() {
  ScanOptions options;
  options.hash = false;
  options.transform = {1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1};
  return options;
}

}  // namespace

std::vector<Region> cut_out_regions(const ScanRecord& record, const Procedure& procedure) {
  std::vector<Region> out;
  for (const FeatureRecord& f : record.features)
    out.push_back(f.sphere ? about_ball(f, procedure.zones) : about_plate(f, procedure.zones));
  return out;
}

bool write_cut_out(const std::filesystem::path& file,
                   const ScanRecord& record,
                   const Session& session,
                   const std::filesystem::path& into,
                   int threads) {
  const std::vector<Region> regions = cut_out_regions(record, session.procedure);
  if (regions.empty()) return false;
  ScanOptions evaluated = as_evaluated(session, record), written = as_written();
  evaluated.threads = written.threads = threads;
  const Points there = Scan::open(file, evaluated).all();
  const Scan raw = Scan::open(file, written);
  const Points values = raw.all();  // the same points in the same order
  std::vector<std::size_t> kept;
  for (std::size_t i = 0; i < there.size(); ++i)
    if (std::ranges::any_of(regions, [&](const Region& r) { return contains(r, there.at(i)); }))
      kept.push_back(i);
  PlyOptions options;
  options.doubles = raw.facts().scalar != ScalarType::float32;
  options.comments = raw.facts().comments;
  PlyWriter out(into, kept.size(), options);
  for (const std::size_t i : kept) out.add(values.at(i));
  out.finish();
  return true;
}

}  // namespace rigproof
