// Time of the fits on large point sets. Build with -DRIGPROOF_BENCH=ON, run bench_fit.
#include <benchmark/benchmark.h>

#include "fit/fit.h"
#include "fit/sphere_step.h"
#include "samples.h"

namespace rigproof {
namespace {

const Points& ball_points() {
  static const Points points = [] {
    samples::Random g(1);
    return samples::cap(g, 1'000'000, {{10, 20, 600}, 15}, -Vec3::UnitZ(), 60, 0.02);
  }();
  return points;
}

const Points& plate_points() {
  static const Points points = [] {
    samples::Random g(2);
    return samples::plate(
        g, 1'000'000, {{10, 20, 600}, Vec3(0.1, 0.2, -1).normalized()}, 300, 200, 0.02);
  }();
  return points;
}

void sphere(benchmark::State& state) {
  SphereFitOptions options;
  options.threads = static_cast<int>(state.range(0));
  options.sensor = Vec3(0, 0, 0);
  const Points& p = ball_points();
  for (auto _ : state) benchmark::DoNotOptimize(fit_sphere(p, options));
}
BENCHMARK(sphere)->Arg(1)->Arg(0)->Unit(benchmark::kMillisecond)->UseRealTime();

void sphere_pass(benchmark::State& state) {
  const Points& p = ball_points();
  for (auto _ : state)
    benchmark::DoNotOptimize(
        sphere_sums(p, Vec3::Zero(), 15, {}, static_cast<int>(state.range(0))));
}
BENCHMARK(sphere_pass)->Arg(1)->Arg(0)->Unit(benchmark::kMillisecond)->UseRealTime();

void plane(benchmark::State& state) {
  const Points& p = plate_points();
  for (auto _ : state)
    benchmark::DoNotOptimize(fit_plane(p, Vec3(0, 0, 0), static_cast<int>(state.range(0))));
}
BENCHMARK(plane)->Arg(1)->Arg(0)->Unit(benchmark::kMillisecond)->UseRealTime();

void zone_plane(benchmark::State& state) {
  const Points& p = plate_points();
  for (auto _ : state) benchmark::DoNotOptimize(minimum_zone_plane(p));
}
BENCHMARK(zone_plane)->Unit(benchmark::kMillisecond)->UseRealTime();

void zone_sphere(benchmark::State& state) {
  const Points& p = ball_points();
  const Sphere start = fit_sphere(p).sphere;
  for (auto _ : state) benchmark::DoNotOptimize(minimum_zone_sphere(p, start));
}
BENCHMARK(zone_sphere)->Unit(benchmark::kMillisecond)->UseRealTime();

}  // namespace
}  // namespace rigproof

BENCHMARK_MAIN();
