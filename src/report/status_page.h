#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "report/options.h"

namespace rigproof {

/// What `watch` shows on a screen beside the rig.
struct StatusView {
  Verdict verdict = Verdict::invalid;
  bool decided = false;  ///< false: the session still runs, only progress is shown large
  std::string headline, next_step;
  std::string last_scan, last_words;  ///< the newest scan and what was found in it
  bool last_good = true;
  int done = 0, needed = 0;
  std::string next_id, next_place;  ///< "P07", "bar-250-07, far-top-left": shown largest
  std::string warning;              ///< "Already outside by …"
  bool simulated = false;
  std::vector<std::string> open;  ///< what is still missing
  double minutes_left = 0;
  std::uint64_t last_points = 0;  ///< of the newest scan; 0: not known
  std::optional<double> last_cap_deg;
  double last_noise_mm = 0;
  struct Value {
    std::string characteristic;
    double value_mm = 0;
    std::optional<double> limit_mm;
  };
  std::vector<Value> values;  ///< worst so far of each characteristic
};

/// status.html: readable from three metres (the state takes at least 12 % of the height of a
/// screen); loads itself again every two seconds without a script.
std::string status_html(const StatusView& view, const ReportOptions& options);

}  // namespace rigproof
