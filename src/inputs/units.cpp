#include <array>
#include <charconv>
#include <utility>

#include "base/error.h"
#include "base/input_file.h"
#include "inputs/near_name.h"
#include "inputs/session.h"

namespace rigproof {

double unit_to_mm(const std::string& unit) {
  static constexpr std::array<std::pair<std::string_view, double>, 23> kUnits{{
      {"mm", 1},          {"millimetre", 1},     {"millimeter", 1}, {"cm", 10},
      {"centimetre", 10}, {"centimeter", 10},    {"dm", 100},       {"m", 1000},
      {"metre", 1000},    {"meter", 1000},       {"um", 0.001},     {"µm", 0.001},
      {"μm", 0.001},      {"micrometre", 0.001}, {"micron", 0.001}, {"nm", 1e-6},
      {"inch", 25.4},     {"inches", 25.4},      {"in", 25.4},      {"thou", 0.0254},
      {"foot", 304.8},    {"feet", 304.8},       {"ft", 304.8},
  }};
  for (const auto& [name, mm] : kUnits)
    if (name == unit) return mm;
  const std::vector<std::string> known{"mm", "cm", "m", "um", "inch", "thou", "foot"};
  throw Error(
      ErrorKind::usage, "unknown unit \"" + display(unit) + "\"", did_you_mean(unit, known));
}

std::optional<Date> find_date(const std::string& iso) {
  int part[3] = {};
  const bool shape = iso.size() == 10 && iso[4] == '-' && iso[7] == '-';
  const std::array<std::pair<int, int>, 3> spans{{{0, 4}, {5, 2}, {8, 2}}};
  bool good = shape;
  for (int i = 0; good && i < 3; ++i) {
    const char* from = iso.data() + spans[i].first;
    const auto end = std::from_chars(from, from + spans[i].second, part[i]);
    good = end.ec == std::errc{} && end.ptr == from + spans[i].second && part[i] >= 0;
  }
  const Date date{std::chrono::year(part[0]),
                  std::chrono::month(static_cast<unsigned>(part[1])),
                  std::chrono::day(static_cast<unsigned>(part[2]))};
  return good && date.ok() ? std::optional(date) : std::nullopt;
}

Date parse_date(const std::string& iso) {
  if (const auto date = find_date(iso)) return *date;
  throw Error(ErrorKind::usage,
              "\"" + display(iso) + "\" is not a date",
              "Write it as year-month-day, e.g. 2026-01-31.");
}

std::string to_string(const Date& date) {
  const auto two = [](unsigned n) { return (n < 10 ? "0" : "") + std::to_string(n); };
  std::string year = std::to_string(static_cast<int>(date.year()));
  if (year.size() < 4) year.insert(0, 4 - year.size(), '0');
  return year + "-" + two(static_cast<unsigned>(date.month())) + "-" +
         two(static_cast<unsigned>(date.day()));
}

}  // namespace rigproof
