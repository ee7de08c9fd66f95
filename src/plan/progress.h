#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "assess/assess.h"

namespace rigproof {

/// What is said of one scan as soon as it is there.
struct ScanNote {
  std::string file;      ///< relative to the session
  std::string position;  ///< planned id that it fills, "" none
  std::string artefact, place;
  std::uint64_t points = 0;       ///< of the file
  std::size_t evaluated = 0;      ///< least of the features
  std::optional<double> cap_deg;  ///< least of the balls
  double noise_mm = 0;            ///< largest residual rms of the features
  bool keep = false;
  std::vector<std::string> reasons;  ///< of a stop, else what to mind
};

/// Worst value so far of one characteristic.
struct RunningValue {
  std::string id, scan;
  double value_mm = 0;
  std::optional<double> limit_mm;
  Verdict verdict = Verdict::invalid;
};

/// Where a session stands between two scans.
struct SessionProgress {
  int done = 0, needed = 0;        ///< planned positions, the closing repeat included
  std::optional<PlanEntry> next;   ///< nullopt: nothing is missing
  std::vector<PlanEntry> missing;  ///< in the order of the plan
  double minutes_left = 0;
  std::vector<RunningValue> values;
  std::optional<RunningValue> outside;  ///< already proven outside, the largest excess
  Verdict verdict = Verdict::invalid;   ///< as if the session ended now
  std::string headline, next_step;
  bool simulated = false;  ///< the session, its rig or any scan says so

  bool complete() const { return missing.empty(); }
};

/// A session whose scans come one by one. Keeps of each scan what the verdict needs and none of its
/// points.
class RunningSession {
 public:
  /// Positions: those of its plan.toml, else of the procedure.
  explicit RunningSession(Session session);
  RunningSession(Session session, std::vector<PlanEntry> positions);

  const Session& session() const { return session_; }
  /// Judges a scan of the session's folder; one of the same name is replaced.
  ScanNote take(const std::filesystem::path& file);
  /// Forgets a scan that is gone. `file` relative to the session.
  void drop(const std::string& file);
  /// A scan that only got another name. Both relative to the session.
  void rename(const std::string& from, const std::string& to);
  SessionProgress progress();
  std::size_t scans() const { return passes_.size(); }

 private:
  struct Judged {
    Results results;
    std::vector<PlacedArtefact> placed;
    std::vector<int> filled;  ///< by planned position, index into placed
  };
  const Judged& judged();
  Judged judge();
  SameBy compared(const Fingerprint& a, const Fingerprint& b);

  Session session_;
  std::vector<PlanEntry> positions_;
  std::map<std::string, ScanPass> passes_;
  std::vector<std::string> order_;  ///< as they came
  std::optional<Judged> judged_;    ///< nullopt: scans have changed
  /// Pairs of files by their numbers: 200 scans are 20,000 pairs, and each scan brings 199 new
  /// ones.
  std::map<std::pair<std::size_t, std::size_t>, SameBy> compared_;
  std::map<std::string, std::size_t> numbers_;  ///< by digest
};

}  // namespace rigproof
