#pragma once

#include <string>

#include "app/console.h"
#include "plan/progress.h"
#include "report/status_page.h"

namespace rigproof {

/// "far-top-left" of a planned position with its artefact: "bar-250-07, near-top-left to far-…".
std::string position_words(const PlanEntry& position);
/// One scan for people: position, what was seen, KEEP or RESCAN and why.
std::string scan_words(const ScanNote& note, double seconds);
/// What comes next in large letters, what is missing, estimates so far, already outside.
std::string progress_words(const SessionProgress& progress, int columns);
/// The same for the screen beside the rig.
StatusView status_view(const Session& session,
                       const SessionProgress& progress,
                       const ScanNote* last);
/// Columns of the terminal on stdout; 80 without one.
int terminal_columns();

}  // namespace rigproof
