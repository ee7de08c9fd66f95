#pragma once

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
};

/// status.html: readable from three metres (the state takes at least 12 % of the height of a
/// screen); loads itself again every two seconds without a script.
std::string status_html(const StatusView& view, const ReportOptions& options);

}  // namespace rigproof
