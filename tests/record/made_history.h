#pragma once

#include <string>

#include <fmt/format.h>

#include "record/history.h"

namespace rigproof {

/// A check with `values` bar errors near `error` mm, day `n` after 2026-01-01.
inline HistoryCheck made_check(const std::string& rig, int n, double error, int values = 3) {
  HistoryCheck c;
  c.rig = rig;
  c.field = "300";
  c.session = fmt::format("{}-{:05}", rig, n);
  c.kind = "interim";
  c.procedure = "interim";
  c.first_scan = c.session;
  const std::chrono::sys_days day =
      std::chrono::sys_days(std::chrono::year(2026) / 1 / 1) + std::chrono::days(n);
  c.day = to_string(Date(day));
  c.calibration = "first";
  c.verdict = std::abs(error) > 0.03 ? "outside" : "within";
  c.headline = "made for a test";
  c.version = "0";
  c.recorded = c.day + "T12:00:00Z";
  for (int i = 0; i < values; ++i)
    c.values.push_back({"sphere_spacing",
                        "bar-1",
                        "A-B",
                        "middle-middle-middle",
                        fmt::format("P{:02}", i + 1),
                        fmt::format("scans/{}.ply", i + 1),
                        250 + error,
                        250,
                        error,
                        0.002,
                        0.03,
                        c.verdict});
  c.id = digest_of(c);
  return c;
}

}  // namespace rigproof
