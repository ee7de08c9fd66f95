#pragma once

#include <functional>

#include "assess/judging.h"

namespace rigproof {

struct AssessOptions {
  int threads = 0;        ///< 0: one per core
  bool diagnosis = true;  ///< false: neither zones nor causes; values are the same bit by bit
  /// Called after each scan with its name, in their order and never twice at once.
  std::function<void(const std::string& scan)> progress;
};

/// The main job: every scan of the session located, fitted and evaluated, then judged together. A
/// bad scan is a finding; Error only for what makes the whole session unusable.
Results assess(const Session& session, const AssessOptions& options = {});

/// What an evaluation reads beside the scans, hashed: the session's own files and its calibration.
std::vector<InputRecord> input_files(const Session& session);

/// Its two steps, for a session whose scans arrive one by one: one scan as the session describes
/// it, and all of them judged together, added to what `results` already says of the session.
ScanPass assess_scan(const Session& session,
                     const std::filesystem::path& file,
                     const AssessOptions& options = {});
void judge_together(Results& results,
                    std::vector<ScanPass>& passes,
                    const JudgingOptions& judging = {});

}  // namespace rigproof
