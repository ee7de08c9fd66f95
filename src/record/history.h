#pragma once

#include <chrono>
#include <optional>
#include <string>
#include <vector>

#include "assess/results.h"
#include "base/version.h"

namespace rigproof {

/// One test value as the history keeps it. Lengths in mm.
struct HistoryValue {
  std::string characteristic, artefact;
  std::string feature;  ///< "A-B" of a bar, "A" of a ball, "" of a plate
  std::string zone, place, scan;
  double measured = 0, reference = 0, value = 0, U = 0;
  std::optional<double> limit;  ///< nullopt: not judged
  std::string verdict;          ///< "" not judged
};

/// A coefficient that the diagnosis named.
struct HistoryCause {
  std::string id, unit;
  double coefficient = 0, u = 0;
};

struct HistoryFinding {
  std::string id, severity, scan;
};

/// One assessed session of one rig and field.
struct HistoryCheck {
  std::string id;  ///< digest of what follows except `recorded`: one entry, however often it comes
  std::string rig, field, session, kind, procedure;
  std::string first_scan;   ///< its SHA-256: tells sessions of one name apart
  std::string day;          ///< of the test, 2026-03-14
  std::string calibration;  ///< digest of its files, else the words that name it
  std::string verdict, headline, version;
  std::string recorded;  ///< UTC, 2026-03-14T12:00:00Z
  std::vector<HistoryValue> values;
  std::vector<HistoryCause> causes;
  std::vector<HistoryFinding> findings;
};

/// What happened to a rig between checks, as a person states it.
struct HistoryEvent {
  std::string id;  ///< digest, as of a check
  std::string rig, field, day;
  std::string kind;  ///< knock | move | service | other
  std::string note;
  std::string recorded;
};
const std::vector<std::string>& event_kinds();

/// What the history keeps of results; nullopt for what never enters it: simulated sessions and
/// sessions without a known rig. The day is the session's date, else the one its id begins with,
/// else that of `recorded`. `by_version`: of the program that evaluated.
std::optional<HistoryCheck> history_check(const Results& results,
                                          const std::string& recorded,
                                          const std::string& by_version = version());

/// The digest that identifies an entry.
std::string digest_of(const HistoryCheck& check);
std::string digest_of(const HistoryEvent& event);

/// One line of JSON each (schema "rigproof-history-1"), newline included.
std::string to_json_line(const HistoryCheck& check);
std::string to_json_line(const HistoryEvent& event);
/// The other way; exactly one of the two is set. Throws Error(data) saying what is wrong; `where`
/// names file and line.
struct HistoryLine {
  std::optional<HistoryCheck> check;
  std::optional<HistoryEvent> event;
};
HistoryLine parse_json_line(const std::string& line, const std::string& where);

/// A text as such a line holds it: what is no UTF-8 is replaced.
std::string as_in_line(const std::string& text);

/// Only the last recorded run of each session (same name, same first scan), in the order given.
std::vector<HistoryCheck> last_runs(std::vector<HistoryCheck> checks);

/// A time in UTC as `recorded` writes it, and the time now.
std::string utc_text(std::chrono::system_clock::time_point time);
std::string utc_now();

}  // namespace rigproof
