// The single steps of the road from a file to fitted balls. Run by compare.sh --micro.
#include <cmath>
#include <filesystem>
#include <string>
#include <vector>

#include <benchmark/benchmark.h>
#include <unistd.h>

#include "big_scene.h"
#include "fit/fit.h"
#include "geometry/region.h"
#include "locate/sighting.h"
#include "scan/ply_writer.h"
#include "scan/scan.h"

namespace rigproof {
namespace {

constexpr std::uint64_t kScene = 5'000'000;
constexpr std::size_t kFitted = 1'000'000;

/// The scene as a file that lives as long as the benchmark.
class SceneFile {
 public:
  SceneFile()
      : path_(std::filesystem::temp_directory_path() /
              ("bench_road." + std::to_string(::getpid()) + ".ply")) {
    bench::BigSceneOptions options;
    options.points = kScene;
    const bench::BigScene scene(options);
    balls_ = scene.balls();
    PlyWriter file(path_, kScene);
    for (std::uint64_t i = 0; i < kScene; ++i) file.add(scene.point(i));
    file.finish();
  }
  ~SceneFile() { std::filesystem::remove(path_); }
  const std::filesystem::path& path() const { return path_; }
  const std::array<Sphere, 2>& balls() const { return balls_; }

 private:
  std::filesystem::path path_;
  std::array<Sphere, 2> balls_;
};

const SceneFile& scene_file() {
  static const SceneFile file;
  return file;
}

ScanOptions with_threads(int threads, bool hash) {
  ScanOptions options;
  options.threads = threads;
  options.hash = hash;
  return options;
}

/// Points of a 60° cap, or of a plate, spread by the golden ratio, with a ripple for noise.
Points cap(std::size_t n) {
  Points p;
  p.origin = Vec3(0, 0, 600);
  for (std::size_t i = 0; i < n; ++i) {
    const double z = 0.5 + 0.5 * (static_cast<double>(i) + 0.5) / static_cast<double>(n);
    const double turn = 2.399963229728653 * static_cast<double>(i), across = std::sqrt(1 - z * z);
    const double r = 15 + 0.02 * std::sin(0.7 * static_cast<double>(i));
    p.push_local(r * across * std::cos(turn), r * across * std::sin(turn), -r * z);
  }
  return p;
}

Points plate(std::size_t n) {
  Points p;
  p.origin = Vec3(0, 0, 600);
  for (std::size_t i = 0; i < n; ++i) {
    const double x = static_cast<double>(i) / static_cast<double>(n) - 0.5;
    const double y = std::fmod(0.6180339887498949 * static_cast<double>(i), 1.0) - 0.5;
    p.push_local(300 * x, 200 * y, 20 * x + 0.02 * std::sin(0.7 * static_cast<double>(i)));
  }
  return p;
}

void sphere_least_squares(benchmark::State& state) {
  const Points points = cap(kFitted);
  SphereFitOptions options;
  options.threads = static_cast<int>(state.range(0));
  options.sensor = Vec3(0, 0, 0);
  for (auto _ : state) benchmark::DoNotOptimize(fit_sphere(points, options));
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kFitted));
}
BENCHMARK(sphere_least_squares)->Arg(1)->Arg(0)->Unit(benchmark::kMillisecond)->UseRealTime();

void plane_least_squares(benchmark::State& state) {
  const Points points = plate(kFitted);
  for (auto _ : state)
    benchmark::DoNotOptimize(fit_plane(points, Vec3(0, 0, 0), static_cast<int>(state.range(0))));
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kFitted));
}
BENCHMARK(plane_least_squares)->Arg(1)->Arg(0)->Unit(benchmark::kMillisecond)->UseRealTime();

/// Second argument: with the hash, which open() then waits for.
void open_scan(benchmark::State& state) {
  const auto options = with_threads(static_cast<int>(state.range(0)), state.range(1) != 0);
  for (auto _ : state) benchmark::DoNotOptimize(Scan::open(scene_file().path(), options));
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kScene));
}
BENCHMARK(open_scan)
    ->Args({1, 0})
    ->Args({0, 0})
    ->Args({0, 1})
    ->Unit(benchmark::kMillisecond)
    ->UseRealTime();

void gather_balls(benchmark::State& state) {
  const Scan scan = Scan::open(scene_file().path(), with_threads(state.range(0), false));
  std::vector<Region> regions;
  for (const Sphere& ball : scene_file().balls()) {
    ShellRegion shell;
    shell.center = ball.center;
    shell.inner_mm = 0.7 * ball.radius;
    shell.outer_mm = 1.3 * ball.radius;
    regions.push_back(shell);
  }
  for (auto _ : state) benchmark::DoNotOptimize(scan.gather(regions));
}
BENCHMARK(gather_balls)->Arg(1)->Arg(0)->Unit(benchmark::kMillisecond)->UseRealTime();

void gather_everything(benchmark::State& state) {
  const Scan scan = Scan::open(scene_file().path(), with_threads(state.range(0), false));
  for (auto _ : state) benchmark::DoNotOptimize(scan.all());
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kScene));
}
BENCHMARK(gather_everything)->Arg(1)->Arg(0)->Unit(benchmark::kMillisecond)->UseRealTime();

void locate_balls(benchmark::State& state) {
  const Scan scan = Scan::open(scene_file().path(), with_threads(0, false));
  LocateRequest request;
  request.ball_diameters_mm = {bench::BigScene::kDiameter};
  for (auto _ : state) benchmark::DoNotOptimize(locate(scan, request));
}
BENCHMARK(locate_balls)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace rigproof

BENCHMARK_MAIN();
