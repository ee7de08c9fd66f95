#pragma once

#include <filesystem>
#include <string>
#include <vector>

namespace rigproof {

/// One reading of a temperature log.
struct TemperatureReading {
  double hours = 0;  ///< since the first reading's midnight, or as the log counts
  double celsius = 0;
  std::string when;  ///< as the log writes it
};

/// Reads "time, temperature" lines: time as 2026-03-14 09:30[:00] (or with a T between), as 09:30,
/// or hours as a number; separated by comma, semicolon or tab; further columns are passed over.
/// Lines that begin neither with a date nor a number are headers. Throws Error(data) with the line
/// for one that holds no temperature, and for a log without any reading.
std::vector<TemperatureReading> load_temperature_log(const std::filesystem::path& file);

/// Fastest change between readings at least half an hour apart, and when it began.
struct TemperatureRate {
  double kelvin_per_hour = 0;
  std::string when;
};
TemperatureRate fastest_change(std::vector<TemperatureReading> log);

}  // namespace rigproof
