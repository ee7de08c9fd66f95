// plan: before the visit and during it. Which artefact suits which field, where to put it in which
// order so that the procedure is met and faults of the calibration show, what the session then
// would detect, and what it still lacks.
// Enters: a session (rig, field, artefacts, procedure). Leaves: a Plan. Nothing is measured here.
#pragma once

#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "inputs/plan_file.h"
#include "plan/spot.h"

namespace rigproof {

struct PlannedScan {
  std::string id;  ///< "P01", in the order of measuring
  ArtefactKind kind = ArtefactKind::bar;
  std::string artefact;                ///< serial
  std::string zone;                    ///< of its middle
  std::vector<std::string> end_zones;  ///< of a bar's ends, where they differ
  std::string place;  ///< "near-top-left to far-bottom-right", "far-top-left, left edge away"
  Vec3 center = Vec3::Zero();     ///< mm, sensor frame
  Vec3 direction = Vec3::Zero();  ///< of a bar, or a plate's normal towards the rig; zero for balls
  std::vector<Vec3> reaches;      ///< ball centres, plate corners
  double radius_mm = 0;           ///< of the balls
  double lean_deg = 0;            ///< out of the plane across the view; a plate's tilt
  double seen = 0;                ///< share of every cap or of the plate that all eyes see
  Role role = Role::ball;
  std::string repeats;  ///< id that a closing repeat measures again
};

/// Magnitude found with 95 % probability while 5 % of clean sessions name anything.
struct PlanLimit {
  std::string id, unit, zone;            ///< zone: of a dent
  double value = 0, u = 0;               ///< u: standard uncertainty of what the plan would find
  double worst_sd_mm = 0;                ///< largest length error that a fault of `value` causes
  std::optional<double> textbook_sd_mm;  ///< of the textbook arrangement; nullopt: sees nothing
  /// With every spot of these artefacts measured once: no arrangement does better, only better
  /// certificates, a better thermometer, or other artefacts.
  double least_sd_mm = 0;
  bool calibration = false;  ///< not a dent, nor a rig that warms up
  bool in_groups = false;  ///< was seen worst by the textbook of a group of faults that look alike
  /// Whether an arrangement can better the limit by a quarter.
  bool improvable() const { return !textbook_sd_mm || least_sd_mm < 0.75 * *textbook_sd_mm; }
};

/// One artefact against one field.
struct ArtefactFit {
  std::string artefact;  ///< name to look it up by
  ArtefactKind kind = ArtefactKind::bar;
  double size_mm = 0;
  bool usable = false;
  std::string verdict;  ///< fits | too short | too long | too small | too large
  std::optional<double> lean_deg;
  std::string tests;  ///< what it would test, in words
};
ArtefactFit fit_of(const Artefact& artefact,
                   const Rig& rig,
                   const Field& field,
                   const Procedure& procedure);

struct PlanOptions {
  bool compare = true;  ///< with the textbook arrangement
  double pitch_px = 1;  ///< every so many pixels of a camera give a point
};

struct Plan {
  std::vector<PlannedScan> scans;
  double minutes = 0;
  int artefact_changes = 0;
  std::vector<PlanLimit> limits;
  std::vector<std::vector<std::string>> alike;  ///< faults that this plan cannot tell apart
  std::vector<std::string> lacking;             ///< why the artefacts cannot meet the procedure
  std::vector<std::string> hints;
  std::vector<ArtefactFit> fits;
  bool noise_assumed = false;
  /// Length error of a pure scale (board pitch, board temperature, baseline) at its limit however
  /// often and wherever these artefacts were measured: certificates and thermometer leave it.
  double scale_floor_mm = 0;

  /// Largest length error at the detection limit over the faults of the calibration, so that a
  /// group of faults that look alike is as good as the one that is seen worst: of this plan and of
  /// the textbook arrangement. mm
  struct Worst {
    double plan = 0, textbook = 0;
    double gain() const { return textbook > 0 ? 1 - plan / textbook : 0; }
  };
  Worst worst() const;
  /// The same over the limits that `counts` picks.
  Worst worst(const std::function<bool(const PlanLimit&)>& counts) const;
  bool meets_procedure() const { return lacking.empty(); }
};

/// Deterministic. Throws Error(config) for a session whose volume is unknown.
Plan make_plan(const Session& session, const PlanOptions& options = {});

/// As a procedure lists positions, in the order of measuring.
std::vector<PlanEntry> planned_positions(const Plan& plan, const Volume& volume);

/// The filed textbook arrangement (fixtures/arrangements/textbook.toml): as many positions of each
/// kind as asked for, those of the file in order.
std::vector<PlannedPosition> textbook_positions(int bars, int plates, int balls, bool closing);

}  // namespace rigproof
