#pragma once

#include <filesystem>
#include <functional>

#include "simulate/scenario.h"
#include "simulate/truth.h"

namespace rigproof {

struct SimulatedSession {
  Session session;  ///< as written; session.simulated and rig.simulated are always true
  Truth truth;
  int step = 1;  ///< every step-th pixel was rendered
};

/// Renders every scan and writes a complete session folder: session.toml and its copies, the
/// calibration, scans/, truth.json. The folder is made; one that holds anything is refused with
/// Error(cannot_create). The same bytes for the same scenario, whatever the threads. `progress` is
/// called after every scan with the number done and the number of all.
SimulatedSession simulate(const Scenario& scenario,
                          const std::filesystem::path& folder,
                          int threads = 0,
                          const std::function<void(std::size_t, std::size_t)>& progress = {});

/// One bar on a cluttered table, upsampled to about `points` points (bench scenes): binary PLY of
/// floats, written in pieces.
void write_big_scene(const std::filesystem::path& file, std::uint64_t points, std::uint64_t seed);

}  // namespace rigproof
