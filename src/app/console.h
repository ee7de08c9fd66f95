#pragma once

#include <chrono>
#include <map>
#include <string>
#include <string_view>

namespace rigproof {

/// Where results and talk go. Result on stdout, talk on stderr; with --json stdout carries one JSON
/// document and nothing else. Text from files or people passes through `safe` so that no escape
/// code reaches the terminal.
class Console {
 public:
  bool json = false, quiet = false, verbose = false;
  std::string color =
      "auto";  ///< auto | always | never; the flag beats NO_COLOR beats the terminal

  void result(std::string_view text) const;   ///< to stdout, newline added
  void talk(std::string_view text) const;     ///< to stderr unless quiet
  void detail(std::string_view text) const;   ///< to stderr when verbose
  void problem(std::string_view text) const;  ///< to stderr always
  bool colored() const;                       ///< for stdout
  bool interactive() const;                   ///< stdin and stderr are terminals
  std::string bold(std::string_view text) const;

 private:
  bool no_terminal() const;
};

/// Progress of a work of `total` parts on stderr: a bar when it is a terminal and the work exceeds
/// a second, otherwise a line a part.
class Progress {
 public:
  Progress(const Console& console, std::string what, std::size_t total);
  ~Progress();
  void step(std::string_view part);

 private:
  const Console& console_;
  std::string what_;
  std::size_t total_, done_ = 0;
  bool bar_, drawn_ = false;
  std::chrono::steady_clock::time_point start_ = std::chrono::steady_clock::now();
};

/// One line a phase, for --timings.
void print_timings(const Console& console, const std::map<std::string, double>& seconds);

/// Control characters and invalid UTF-8 shown as \xNN; newlines kept.
std::string safe(std::string_view text);

}  // namespace rigproof
