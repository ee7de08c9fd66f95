#include "app/watch_screen.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "app/large_letters.h"
#include "base/input_file.h"
#include "base/number.h"

namespace rigproof {
namespace {

constexpr std::size_t kListed = 8;

// "near-top-left to far-bottom-right" is too long for a wall: the words before the comma.
std::string short_place(const PlanEntry& p) { return p.place.substr(0, p.place.find(',')); }

std::string outside_words(const SessionProgress& p) {
  const double over = std::abs(p.outside->value_mm) - *p.outside->limit_mm;
  return fmt::format(
      "Already outside by {} ({}, {}); going on costs {:.0f} minutes and only helps diagnosis.",
      micrometres(over),
      p.outside->id,
      display(p.outside->scan),
      p.minutes_left);
}

std::string value_words(const RunningValue& v) {
  std::string name = v.id;
  std::ranges::replace(name, '_', ' ');
  std::string out = fmt::format("{} {}", name, micrometres(v.value_mm));
  if (v.limit_mm) out += fmt::format(" of {}", micrometres(*v.limit_mm));
  return out;
}

}  // namespace

std::string position_words(const PlanEntry& p) {
  const std::string what = p.serial.empty() ? to_string(p.kind) : p.serial;
  return p.place.empty() ? what : what + ", " + p.place;
}

std::string scan_words(const ScanNote& n, double seconds) {
  std::string out = fmt::format("{} {}: {}",
                                n.keep ? "KEEP" : "RESCAN",
                                display(n.file),
                                n.position.empty() ? "no planned position" : n.position);
  if (!n.artefact.empty()) out += fmt::format(", {}", display(n.artefact));
  if (!n.place.empty()) out += fmt::format(", {}", n.place);
  out += fmt::format("\n  {} points", n.points);
  if (n.evaluated > 0) out += fmt::format(", {} evaluated", n.evaluated);
  if (n.cap_deg) out += fmt::format(", cap {:.0f}°", *n.cap_deg);
  if (n.noise_mm > 0) out += fmt::format(", noise {}", micrometres(n.noise_mm));
  out += fmt::format(" ({:.1f} s)", seconds);
  for (const std::string& why : n.reasons) out += "\n  " + display(why);
  return out;
}

std::string progress_words(const SessionProgress& p, int columns) {
  std::string out;
  if (p.needed > 0) out += fmt::format("{} of {} positions", p.done, p.needed);
  for (const RunningValue& v : p.values) out += (out.empty() ? "" : " · ") + value_words(v);
  out += '\n';
  if (p.outside) out += outside_words(p) + '\n';
  if (p.next) {
    out += "\nNext:\n" +
           large_letters(p.next->id + " " + to_string(p.next->kind) + " " + short_place(*p.next),
                         columns) +
           display(position_words(*p.next)) + '\n';
    std::string rest;
    for (std::size_t i = 1; i < p.missing.size() && i <= kListed; ++i)
      rest += (rest.empty() ? "" : ", ") + p.missing[i].id;
    if (p.missing.size() > kListed + 1) rest += ", …";
    if (!rest.empty())
      out += fmt::format("Then: {} (about {:.0f} minutes left)\n", rest, p.minutes_left);
  } else if (p.needed > 0) {
    out += large_letters("all done", columns) + "Next: rigproof assess\n";
  }
  return out;
}

StatusView status_view(const Session& session, const SessionProgress& p, const ScanNote* last) {
  StatusView v;
  v.simulated = session.simulated || session.rig.simulated || p.simulated;
  v.done = p.done;
  v.needed = p.needed;
  v.decided = p.complete() && p.needed > 0;
  v.verdict = p.verdict;
  if (v.decided) {
    v.headline = p.headline;
    v.next_step = p.next_step;
  } else if (p.next) {
    v.next_id = p.next->id;
    v.next_place = position_words(*p.next);
  }
  if (p.outside) v.warning = outside_words(p);
  if (last) {
    v.last_scan = last->file;
    v.last_good = last->keep;
    v.last_words = last->keep ? last->position : "";
    for (const std::string& why : last->reasons)
      v.last_words += (v.last_words.empty() ? "" : " · ") + why;
    v.last_points = last->points;
    v.last_cap_deg = last->cap_deg;
    v.last_noise_mm = last->noise_mm;
  }
  v.minutes_left = p.minutes_left;
  for (const RunningValue& value : p.values)
    v.values.push_back({value.id, value.value_mm, value.limit_mm});
  for (std::size_t i = 1; i < p.missing.size(); ++i) v.open.push_back(p.missing[i].id);
  return v;
}

int terminal_columns() {
  winsize size{};
  if (::ioctl(STDOUT_FILENO, TIOCGWINSZ, &size) == 0 && size.ws_col >= 20) return size.ws_col;
  return 80;
}

}  // namespace rigproof
