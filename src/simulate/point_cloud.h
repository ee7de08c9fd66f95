#pragma once

#include <array>
#include <cstdint>
#include <filesystem>
#include <string>
#include <vector>

#include "simulate/chance.h"
#include "simulate/sensor.h"

namespace rigproof {

/// A scan on its way out of the virtual rig's software. mm, sensor frame, until it is written.
struct PointCloud {
  int rows = 0, columns = 0;
  std::vector<MeasuredPoint> points;  ///< row by row until shuffled
  std::vector<std::array<std::uint32_t, 3>> faces;
  std::vector<std::string> comments;

  /// Mean distance of neighbours in a row, over the points of features (else all). mm
  double pitch() const;
};

/// Mean over the kernel × kernel neighbours on the same surface (odd kernel).
void smooth(PointCloud& cloud, int kernel);
/// Drops points until none lies nearer than `distance_mm` to one that was kept.
void thin(PointCloud& cloud, double distance_mm);
/// Rounds every coordinate to a multiple of the step.
void round_to(PointCloud& cloud, double step_mm);
/// Joins neighbours of the grid to triangles, wound so that faces look to the sensor.
void make_mesh(PointCloud& cloud);
/// Points in an order without meaning.
void shuffle(PointCloud& cloud, const Chance& chance);
/// Every second point of every second row.
void decimate(PointCloud& cloud);
void move(PointCloud& cloud, const RigidTransform& by);

/// Binary little-endian PLY. `cut` leaves out that share of the file's end.
void write_cloud(const PointCloud& cloud,
                 const std::filesystem::path& file,
                 double unit_per_mm,
                 bool doubles,
                 double cut = 0);

}  // namespace rigproof
