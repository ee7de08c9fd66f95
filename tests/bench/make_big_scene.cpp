// Writes the bench scene as a binary little-endian PLY of floats, or as text where the name ends in
// .xyz or .csv, and says where its balls are.
#include <algorithm>
#include <cstdio>
#include <cstdlib>
#include <cstring>
#include <fstream>
#include <string_view>

#include <fmt/format.h>

#include "base/error.h"
#include "base/threads.h"
#include "big_scene.h"
#include "scan/ply_writer.h"

namespace {

using namespace rigproof;

void write(const bench::BigScene& scene, std::uint64_t count, const char* path) {
  constexpr std::uint64_t kChunk = 1u << 16;
  constexpr std::uint64_t kTogether = 32;
  PlyWriter file(path, count);
  for (std::uint64_t from = 0; from < count; from += kChunk * kTogether) {
    Points chunks[kTogether];
    parallel_blocks(kTogether, 0, [&](std::size_t k, int) {
      for (std::uint64_t i = from + k * kChunk; i < std::min(count, from + (k + 1) * kChunk); ++i)
        chunks[k].push(scene.point(i));
    });
    for (const Points& chunk : chunks) file.add(chunk);
  }
  file.finish();
}

void write_text(const bench::BigScene& scene, std::uint64_t count, const char* path, char between) {
  std::ofstream file(path);
  for (std::uint64_t i = 0; i < count; ++i) {
    const Vec3 p = scene.point(i);
    file << fmt::format("{1:.5f}{0}{2:.5f}{0}{3:.5f}\n", between, p.x(), p.y(), p.z());
  }
  if (!file.flush()) throw Error(ErrorKind::io, fmt::format("{}: cannot be written", path));
}

}  // namespace

int main(int argc, char** argv) {
  const char* path = nullptr;
  bench::BigSceneOptions options;
  bool usable = true;
  for (int i = 1; i < argc; ++i) {
    const bool value = i + 1 < argc;
    if (!std::strcmp(argv[i], "-n") && value)
      options.points = std::strtoull(argv[++i], nullptr, 10);
    else if (!std::strcmp(argv[i], "--seed") && value)
      options.seed = std::strtoull(argv[++i], nullptr, 10);
    else if (!std::strcmp(argv[i], "--shuffled"))
      options.order = bench::Order::shuffled;
    else if (argv[i][0] != '-' && !path)
      path = argv[i];
    else
      usable = false;
  }
  if (!usable || !path || options.points == 0) {
    std::fputs("usage: make_big_scene FILE [-n POINTS] [--seed N] [--shuffled]\n", stderr);
    return 64;
  }
  try {
    const bench::BigScene scene(options);
    const std::string_view name(path);
    if (name.ends_with(".xyz") || name.ends_with(".csv"))
      write_text(scene, options.points, path, name.ends_with(".csv") ? ',' : ' ');
    else
      write(scene, options.points, path);
    for (const Sphere& ball : scene.balls())
      std::printf("ball %.9f %.9f %.9f\n", ball.center.x(), ball.center.y(), ball.center.z());
    std::printf("distance %.9f\n", bench::BigScene::kDistance);
  } catch (const Error& error) {
    std::fprintf(stderr, "make_big_scene: %s\n", error.what());
    return 74;
  }
  return 0;
}
