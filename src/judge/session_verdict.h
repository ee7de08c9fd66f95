#pragma once

#include <string>
#include <vector>

#include "inputs/artefact.h"
#include "judge/decision.h"
#include "judge/finding.h"

namespace rigproof {

/// One characteristic as the session's verdict sees it.
struct JudgedCharacteristic {
  std::string id;
  bool limited = false;           ///< named in the limits
  std::vector<Verdict> verdicts;  ///< of its values from scans that count, one each
};

/// Positions of one kind of artefact.
struct KindProgress {
  ArtefactKind kind = ArtefactKind::bar;
  bool present = false;  ///< an artefact of this kind (or one that serves as it) is in the session
  int needed = 0, done = 0;
  std::vector<std::string> missing;  ///< planned positions without a scan: "P07, far-top-right"
};

struct VerdictInput {
  std::vector<JudgedCharacteristic> characteristics;
  std::vector<KindProgress> progress;
  bool closing_needed = false, closing_done = false;
  std::vector<Finding> findings;
  double minutes_per_scan = 2;
};

struct SessionVerdict {
  Verdict verdict = Verdict::invalid;
  std::string headline;
  std::string next_step;
  std::vector<std::string> not_tested;  ///< limited characteristics without an artefact, by id
  bool complete = false;                ///< every demanded position and the closing repeat
  double minutes = 0;                   ///< for what is missing
};

/// The verdict of a session (method, section 6), in this order: a stop of session scope → not a
/// valid test; a value outside in a scan that counts → outside, even when the plan is incomplete;
/// an incomplete plan, or nothing judged → not a valid test; a value too close to call → too close
/// to call; else within. Only kinds of artefact that are present and have a limited characteristic
/// can be incomplete (the closing repeat: bars). A
/// limited characteristic without an artefact in the session is listed as not tested and stops
/// nothing. Without any limit the headline is VALUES ONLY and the verdict invalid.
SessionVerdict session_verdict(const VerdictInput& input);

}  // namespace rigproof
