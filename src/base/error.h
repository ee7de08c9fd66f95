// base: what every room needs and no room owns: errors, safe files, hashing, threads, number
// format. Enters: bytes and paths. Leaves: bytes, digests, text. Nothing here knows about scanners.
#pragma once

#include <stdexcept>
#include <string>

namespace rigproof {

/// Why a run ends early. The values are the program's exit codes (sysexits.h where one fits).
enum class ErrorKind {
  usage = 64,          ///< wrong command line
  data = 65,           ///< input present but unusable
  missing = 66,        ///< input absent or unreadable
  internal = 70,       ///< a fault of this program
  cannot_create = 73,  ///< output cannot be written
  io = 74,             ///< reading or writing failed half-way
  config = 78,         ///< a TOML file is wrong
};

/// The only exception that crosses rooms, for what ends the run (or, caught per scan, ends that
/// scan). `what()` names the place (path, then line or byte) and what is wrong; `next_step` says in
/// one sentence what the person can do.
class Error : public std::runtime_error {
 public:
  Error(ErrorKind kind, const std::string& message, std::string next_step = {})
      : std::runtime_error(message), kind_(kind), next_step_(std::move(next_step)) {}

  ErrorKind kind() const { return kind_; }
  const std::string& next_step() const { return next_step_; }

 private:
  ErrorKind kind_;
  std::string next_step_;
};

}  // namespace rigproof
