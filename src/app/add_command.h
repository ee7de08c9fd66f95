#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "app/asker.h"
#include "app/command.h"

namespace rigproof {

/// What `add` was told on the command line.
struct AddOptions {
  std::string what;                                         ///< bar | ball | plate | rig | limits
  std::map<std::string, std::optional<std::string>> given;  ///< by option, "--serial"
  std::vector<std::string> balls, distances, limits, from;
  bool replace = false, keep = false, lens_locked = false;

  /// What was given for an option; nullopt for nothing.
  const std::optional<std::string>& operator[](const std::string& option) const;
};

/// Writes one file under the home folder and returns its path. Throws Error(cannot_create) for a
/// file that is there already, unless it may be replaced.
std::filesystem::path add_input(const AddOptions& options, Asker& asker);

Command add_command();

}  // namespace rigproof
