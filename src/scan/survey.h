#pragma once

#include <cstdint>
#include <vector>

#include "scan/delivery.h"
#include "scan/source.h"

namespace rigproof {

/// Box of the finite points of one run, in file values, rounded outwards to float.
struct RunBox {
  float lo[3], hi[3];  ///< empty: lo > hi
};

/// What the first pass over all points learns.
struct Survey {
  static constexpr std::size_t kRun = 512;  ///< points a run

  std::size_t block_points = 0;  ///< points a block, a multiple of kRun
  std::vector<RunBox> runs;
  std::vector<std::uint16_t> dropped;  ///< non-finite points of each run
  std::uint64_t finite = 0;
  Vec3 origin = Vec3::Zero();  ///< local origin of the sample, file mm
  Points sample;               ///< sensor frame
  Box box;                     ///< exact, sensor frame

  std::size_t blocks(std::uint64_t count) const {
    return static_cast<std::size_t>((count + block_points - 1) / block_points);
  }
};

/// Reads every point once on `threads` threads.
Survey survey(const PointTable& table,
              const Delivery& delivery,
              std::size_t sample_target,
              int threads);

}  // namespace rigproof
