#pragma once

#include <optional>
#include <string>
#include <vector>

#include "record/trend.h"

namespace rigproof {

/// One line of the rigs: the state of a rig's field of view as the history knows it.
struct RigStatus {
  std::string rig, field;
  std::string day, session, kind, verdict;  ///< of the last check
  std::size_t checks = 0;
  std::optional<double> margin;  ///< least (limit − |value| − U)/limit of the last check
  int days_since = 0;
  std::optional<Forecast> forecast;
  std::vector<std::string> open_findings;  ///< stops and warnings of the last check, each once
  std::optional<SuspectWindow> suspect;    ///< while the last check is outside
};

/// One a rig and field, by name. `today`: day from which days are counted.
std::vector<RigStatus> rig_statuses(std::vector<HistoryCheck> checks,
                                    const std::string& today,
                                    const TrendOptions& options = {});

}  // namespace rigproof
