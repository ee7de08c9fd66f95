#include <cmath>

#include "scan/ply_writer.h"
#include "simulate/arrangement.h"
#include "simulate/simulate.h"
#include "simulate/surroundings.h"

namespace rigproof {
namespace {

constexpr int kLens = 2448, kLines = 2048;  // of the camera whose image is refined
constexpr double kFocal = 3500;

Artefact bench_bar() {
  Artefact a;
  a.kind = ArtefactKind::bar;
  a.serial = "bench";
  a.balls = {{"A", {30.0012, 0.0008}, 0}, {"B", {30.0007, 0.0008}, 0}};
  a.distances = {{"A", "B", {250.0123, 0.0011}}};
  return a;
}

// The camera with `finer` times the pixels along each side, and noise that stays what it is in mm.
Sensor fine_sensor(double finer) {
  StereoGeometry g;
  g.baseline_mm = 300;
  g.focal_px = kFocal * finer;
  g.image_px = {static_cast<int>(kLens * finer), static_cast<int>(kLines * finer)};
  g.aim_mm = 600;
  Sensor s;
  s.truth = make_stereo_rig(g);
  s.belief = believe(s.truth, {});
  s.noise.disparity_px *= finer;
  s.noise.area_px2 = std::max(1.0, s.noise.area_px2 * finer * finer);
  s.blemishes.outlier_px *= finer;
  s.near_mm = 525;
  s.far_mm = 675;
  return s;
}

}  // namespace

void write_big_scene(const std::filesystem::path& file, std::uint64_t points, std::uint64_t seed) {
  const Volume volume = Volume::box(300, 200, 150, 600);
  VirtualScene scene;
  place(make_body(bench_bar(), Chance(seed), true),
        pose_at(ArtefactKind::bar, {4, -20, 600}, {0.95, 0.1, 0.3}),
        20,
        scene);
  add_surroundings(volume, scene);
  const double share = covered_share(scene, fine_sensor(1));
  const Sensor sensor =
      fine_sensor(std::sqrt(static_cast<double>(points) / (share * kLens * kLines)));
  std::vector<float> coordinates;
  coordinates.reserve(points * 3 + points / 4);
  measure_rows(scene, sensor, {}, Chance(seed), 0, [&](const MeasuredScan& part) {
    for (const MeasuredPoint& p : part.points)
      for (int i = 0; i < 3; ++i) coordinates.push_back(static_cast<float>(p.point[i]));
  });
  PlyOptions options;
  options.comments = {"simulated by rigproof: not a measurement"};
  PlyWriter writer(file, coordinates.size() / 3, options);
  for (std::size_t i = 0; i + 2 < coordinates.size(); i += 3)
    writer.add({coordinates[i], coordinates[i + 1], coordinates[i + 2]});
  writer.finish();
}

}  // namespace rigproof
