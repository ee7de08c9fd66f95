// app: commands, console, exit codes, main. The only room that writes to stdout and stderr.
// Enters: a command line. Leaves: an exit code (interface.md) and text for people or one JSON
// document.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <variant>
#include <vector>

namespace rigproof {

class Console;

/// One option or positional of a command, described without the parser library.
struct Option {
  using Target = std::variant<bool*,
                              std::string*,
                              std::optional<std::string>*,
                              std::optional<double>*,
                              std::optional<int>*,
                              std::vector<std::string>*>;
  std::string name;   ///< "--ball", or "FILE" for a positional
  std::string value;  ///< what the value is called in the help, "" for a flag
  std::string help;
  Target into;
  bool required = false;
  int values = 1;  ///< values after the option, e.g. 2 for --from NEAR FAR
};

/// Exit codes of verdicts; errors carry their own (base/error.h).
enum ExitCode {
  exit_within = 0,
  exit_outside = 1,
  exit_undecided = 2,
  exit_invalid = 3,
  exit_interrupted = 130
};

struct Command {
  std::string name;
  std::string purpose;                ///< one line
  std::vector<std::string> examples;  ///< three real ones
  std::vector<Option> options;
  std::string exit_codes;  ///< one line
  std::function<int(Console&)> run;
};

/// Parses and runs; never throws. Returns the exit code.
int run_command_line(const std::vector<Command>& commands, int argc, const char* const* argv);

}  // namespace rigproof
