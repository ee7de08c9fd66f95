#include "inputs/session_day.h"

#include <algorithm>

#include <sys/stat.h>

namespace rigproof {
namespace {

constexpr std::chrono::year kNoClock{2000};  // a file from before was written without one

std::optional<Date> newest_day(const std::vector<std::filesystem::path>& files) {
  std::time_t newest = 0;
  for (const auto& file : files) {
    struct stat info{};
    if (::stat(file.c_str(), &info) == 0) newest = std::max(newest, info.st_mtime);
  }
  const Date day{
      std::chrono::floor<std::chrono::days>(std::chrono::system_clock::from_time_t(newest))};
  return day.year() < kNoClock ? std::nullopt : std::optional(day);
}

}  // namespace

std::optional<AssumedDate> assumed_date(const std::string& id,
                                        const std::vector<std::filesystem::path>& scans) {
  if (const auto day = find_date(id.substr(0, 10))) return AssumedDate{*day, "id"};
  if (const auto day = newest_day(scans)) return AssumedDate{*day, "scans"};
  return std::nullopt;
}

}  // namespace rigproof
