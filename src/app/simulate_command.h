#pragma once

#include <cstdint>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "app/command.h"
#include "simulate/simulate.h"

namespace rigproof {

/// What `demo` was asked for.
struct DemoOptions {
  std::string out;  ///< "": ./rigproof-demo, then ./rigproof-demo-2, …
  std::string rig = "R12", procedure = "half-hour";
  std::vector<std::string> faults;  ///< NAME or NAME=VALUE
  std::uint64_t seed = 1;
  double points = 300'000;
};

/// The folder that the options lead to; of the default names the first that does not exist.
std::filesystem::path demo_folder(const DemoOptions& options);

using SimulationProgress = std::function<void(std::size_t done, std::size_t total)>;

/// Makes the session; nothing is assessed. Throws Error(usage) for an unknown fault or a number out
/// of range.
SimulatedSession make_demo(const DemoOptions& options,
                           const std::filesystem::path& folder,
                           const SimulationProgress& progress = {});

/// `demo`: a session with a virtual rig, made and assessed.
Command demo_command();
/// `simulate SCENARIO.toml --out DIR`: scans from a virtual rig.
Command simulate_command();

}  // namespace rigproof
