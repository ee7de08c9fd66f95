#include "app/console.h"

#include <algorithm>
#include <cstdio>
#include <cstdlib>

#include <fmt/format.h>
#include <unistd.h>

#include "base/error.h"
#include "base/input_file.h"
#include "base/number.h"

namespace rigproof {
namespace {

void write(std::FILE* stream, std::string_view text) {
  const bool ok = std::fwrite(text.data(), 1, text.size(), stream) == text.size() &&
                  std::fputc('\n', stream) != EOF && std::fflush(stream) == 0;
  if (!ok && stream == stdout)
    throw Error(ErrorKind::io, "the result could not be written to standard output");
}

}  // namespace

void print_timings(const Console& console, const std::map<std::string, double>& seconds) {
  for (const auto& [phase, s] : seconds)
    console.result(fmt::format("  {:9} {} s", phase, fixed(s, 3)));
}

std::string safe(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t end = std::min(text.find('\n'), text.size());
    out += display(std::string(text.substr(0, end)));
    if (end < text.size()) out += '\n';
    text.remove_prefix(std::min(end + 1, text.size()));
  }
  return out;
}

void Console::result(std::string_view text) const { write(stdout, text); }
void Console::talk(std::string_view text) const {
  if (!quiet) write(stderr, text);
}
void Console::detail(std::string_view text) const {
  if (verbose && !quiet) write(stderr, text);
}
void Console::problem(std::string_view text) const { write(stderr, text); }

bool Console::colored() const {
  if (color == "always") return true;
  if (color == "never" || std::getenv("NO_COLOR")) return false;
  return ::isatty(STDOUT_FILENO) == 1;
}

bool Console::interactive() const {
  return ::isatty(STDIN_FILENO) == 1 && ::isatty(STDERR_FILENO) == 1;
}

std::string Console::bold(std::string_view text) const {
  return colored() ? fmt::format("\x1b[1m{}\x1b[0m", text) : std::string(text);
}

Progress::Progress(const Console& console, std::string what, std::size_t total)
    : console_(console),
      what_(std::move(what)),
      total_(total),
      bar_(::isatty(STDERR_FILENO) == 1) {}

Progress::~Progress() {
  if (drawn_) std::fputs("\r\x1b[K", stderr);
}

void Progress::step(std::string_view part) {
  ++done_;
  if (console_.quiet) return;
  if (!bar_) {
    console_.talk(fmt::format("{} {}/{} {}", what_, done_, total_, display(part)));
    return;
  }
  if (std::chrono::steady_clock::now() - start_ < std::chrono::seconds(1)) return;
  const std::size_t filled = 24 * done_ / std::max<std::size_t>(total_, 1);
  std::fputs(fmt::format("\r\x1b[K{} {}{} {}/{}",
                         what_,
                         std::string(filled, '='),
                         std::string(24 - filled, '.'),
                         done_,
                         total_)
                 .c_str(),
             stderr);
  std::fflush(stderr);
  drawn_ = true;
}

}  // namespace rigproof
