// Planted sessions: for every finding one that raises it and one that does not, made by the virtual
// rig and, where it has no such fault, by hand on what it made.
#pragma once

#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include "assess/assess.h"
#include "simulate/simulate.h"

namespace rigproof::planted {

/// Sessions that plantings start from, all of rig R12 and seven or fifteen scans.
enum class Base {
  few,  ///< five bars, a plate and a ball of the half-hour test, complete in itself
  full  ///< the half-hour test
};

/// Where a finding belongs when no session of scans can raise it.
enum class By { session, gate, watch, audit };

struct Planting {
  std::string finding;
  Severity severity = Severity::warn;
  std::string how = {};    ///< in words
  std::string fault = {};  ///< of the virtual rig, "" planted by hand
  Base base = Base::few;
  std::function<void(Scenario&)> scenario = {};  ///< before the scans are made
  /// After: on papers and files. The truth tells where things are.
  std::function<void(Session&, const Truth&)> session = {};
  /// Findings beyond this one that the planting brings along; "*" any.
  std::vector<std::string> beside = {};
  std::vector<std::string> with = {};  ///< findings that must come with it
  std::string detect_at = {};          ///< what must be found in 95 of 100 sessions; "" any
  /// The virtual rig's fault of that magnitude, or what is done by hand instead of `session`; both
  /// empty where chance has no part in it.
  std::function<std::string(const Scenario&)> detect = {};
  std::function<void(Session&, const Truth&)> detect_by_hand = {};
  double detect_points = 0;  ///< a scan; 0: as many as asked for
  By by = By::session;
};

/// One row a finding and severity, in the order of the findings table.
const std::vector<Planting>& plantings();

Scenario base_scenario(Base base,
                       std::uint64_t seed = 1,
                       const std::vector<Fault>& faults = {},
                       const std::string& rig = "R12",
                       double points = 40'000);

/// A folder that is removed with its owner.
class Folder {
 public:
  explicit Folder(const std::string& name);
  ~Folder();
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  const std::filesystem::path& path() const { return path_; }

 private:
  std::filesystem::path path_;
};

/// Simulates and assesses; `session` of the planting in between.
Results assessed(const Planting& planting);
Results assessed(const Planting& planting, Scenario scenario);
/// The same with a fault of the magnitude that must be detected, on any rig.
Results assessed_at_detection(const Planting& planting,
                              const std::string& rig,
                              std::uint64_t seed,
                              double points);
/// The session that a planting starts from, without it. Made once a base and kept.
const Results& clean(Base base);

}  // namespace rigproof::planted
