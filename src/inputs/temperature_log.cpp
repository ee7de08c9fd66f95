#include "inputs/temperature_log.h"

#include <algorithm>
#include <charconv>
#include <chrono>
#include <cmath>
#include <optional>
#include <string_view>
#include <utility>

#include "base/error.h"
#include "base/input_file.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

constexpr double kLeastHours = 0.5;

std::string_view trimmed(std::string_view text) {
  const auto from = text.find_first_not_of(" \t\r\"");
  if (from == std::string_view::npos) return {};
  return text.substr(from, text.find_last_not_of(" \t\r\"") - from + 1);
}

std::vector<std::string_view> columns(std::string_view line) {
  std::vector<std::string_view> out;
  while (true) {
    const auto end = line.find_first_of(",;\t");
    out.push_back(trimmed(line.substr(0, end)));
    if (end == std::string_view::npos) return out;
    line.remove_prefix(end + 1);
  }
}

std::optional<double> number(std::string_view text) {
  double value = 0;
  const auto [end, ec] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (ec != std::errc() || end != text.data() + text.size() || !std::isfinite(value))
    return std::nullopt;
  return value;
}

/// Digits alone.
std::optional<double> digits(std::string_view text) {
  if (text.find_first_not_of("0123456789") != std::string_view::npos) return std::nullopt;
  return number(text);
}

/// Hours of "09:30" or "9:30:00".
std::optional<double> time_of_day(std::string_view text) {
  const auto colon = text.find(':');
  if (colon == std::string_view::npos || text.size() < colon + 3) return std::nullopt;
  const auto hour = digits(text.substr(0, colon)), minute = digits(text.substr(colon + 1, 2));
  if (!hour || !minute) return std::nullopt;
  return *hour + *minute / 60;
}

/// Hours since 1970 of "2026-03-14 09:30:00"; seconds may be left out.
std::optional<double> moment(std::string_view text) {
  if (text.size() < 16 || text[13] != ':') return std::nullopt;
  const auto date = find_date(std::string(text.substr(0, 10)));
  const auto hour = digits(text.substr(11, 2)), minute = digits(text.substr(14, 2));
  const auto second = text.size() >= 19 ? digits(text.substr(17, 2)) : std::optional(0.0);
  if (!date || !hour || !minute || !second) return std::nullopt;
  const auto days = std::chrono::sys_days(*date).time_since_epoch().count();
  return 24.0 * static_cast<double>(days) + *hour + *minute / 60 + *second / 3600;
}

}  // namespace

std::vector<TemperatureReading> load_temperature_log(const std::filesystem::path& file) {
  const std::string text = read_text(file);
  std::vector<TemperatureReading> out;
  std::string_view rest = text;
  double midnights = 0;  // hours
  for (int line = 1; !rest.empty(); ++line) {
    const auto end = rest.find('\n');
    const std::string_view row = rest.substr(0, end);
    rest = end == std::string_view::npos ? std::string_view() : rest.substr(end + 1);
    const auto cells = columns(row);
    auto time = moment(cells[0]);
    if (const auto of_day = time_of_day(cells[0]); !time && of_day) {
      // Back by half a day or more: midnight has passed; by less: the clock was set.
      if (!out.empty() && *of_day + midnights < out.back().hours - 12) midnights += 24;
      time = *of_day + midnights;
    }
    if (!time) time = number(cells[0]);
    if (!time) continue;
    const auto celsius = cells.size() > 1 ? number(cells[1]) : std::nullopt;
    if (!celsius)
      throw Error(ErrorKind::data,
                  display(file) + ":" + std::to_string(line) + ": there is no temperature",
                  "Write the time, a comma and the temperature in °C on each line.");
    out.push_back({*time, *celsius, std::string(cells[0])});
  }
  if (out.empty())
    throw Error(ErrorKind::data,
                display(file) + ": there is no reading",
                "Write lines such as 2026-03-14 09:30, 21.4");
  return out;
}

TemperatureRate fastest_change(std::vector<TemperatureReading> log) {
  TemperatureRate worst;
  std::ranges::sort(log, {}, [](const auto& r) { return std::pair(r.hours, r.celsius); });
  for (std::size_t i = 0, j = 0; i < log.size(); ++i) {
    while (j < log.size() && log[j].hours - log[i].hours < kLeastHours) ++j;
    if (j == log.size()) break;
    const double rate = std::abs(log[j].celsius - log[i].celsius) / (log[j].hours - log[i].hours);
    if (rate > worst.kelvin_per_hour) worst = {rate, log[i].when};
  }
  return worst;
}

}  // namespace rigproof
