#pragma once

#include <string>

#include "plan/progress.h"

namespace rigproof {

/// Lines of `watch --json`, one document a line: {"event": "scan", …} after each judged scan and
/// {"event": "progress", …} behind it; {"event": "gone" | "renamed" | "waiting" | "note", …}
/// between.
std::string scan_line(const ScanNote& note, double seconds);
std::string progress_line(const SessionProgress& progress);
std::string event_line(const std::string& event, const std::string& file, const std::string& text);

}  // namespace rigproof
