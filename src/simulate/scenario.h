// simulate: a rig whose every error is known. Two cameras and a projector look at artefacts of
// known truth, and what they report is written as a session like any other, with its truth beside
// it. Enters: a Scenario (from TOML or made for a demonstration). Leaves: a session folder, marked
// as simulated beyond recall, and its Truth. Nothing in the product but its commands links this
// room.
#pragma once

#include <cstdint>
#include <filesystem>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "inputs/session.h"
#include "simulate/arrangement.h"
#include "simulate/sensor.h"

namespace rigproof {

enum class FaultClass { calibration, condition, processing, placement };

/// A planted fault of the rig, the scans, or the way the session was made.
struct Fault {
  std::string name;
  std::optional<double> value;  ///< in the kind's unit; nullopt: one that must be found
  std::string zone;             ///< of `local`
};

struct FaultKind {
  std::string_view name;
  FaultClass of;
  std::string_view unit;     ///< "" where the fault has no magnitude
  std::string_view finding;  ///< what it must raise; "" → diagnosis
};
const std::vector<FaultKind>& fault_kinds();
/// Throws Error(usage) naming the nearest known fault.
const FaultKind& fault_kind(std::string_view name);
/// "toe-in=50", "local=40@far-top-left", "inches". Throws Error(usage).
Fault parse_fault(const std::string& text);

enum class ExportKind { grid, shuffled, mesh, decimated };

/// One scan that is asked for by hand. mm, sensor frame
struct WantedScan {
  std::string artefact;  ///< serial
  Vec3 center = Vec3::Zero();
  Vec3 direction = Vec3::UnitX();
};

struct Scenario {
  std::string id;
  std::uint64_t seed = 1;
  Rig rig;
  std::string field;
  Procedure procedure;
  Limits limits;
  bool limits_given = false;
  std::vector<Artefact> artefacts;  ///< certificates; truth is drawn about them
  std::vector<WantedScan> scans;    ///< empty: the procedure's positions
  std::string kind = "acceptance";
  double points = 300'000;  ///< per scan, about; decides which pixels are rendered
  int step = 0;             ///< every step-th pixel; 0: from `points`
  Matching matching = Matching::epipolar;
  MatchingNoise noise;
  Blemishes blemishes;
  Distortion distortion{-0.08, 0.05, 0, 1e-4, -5e-5};  ///< of both lenses, known to the belief
  double artefact_C = 21.3, u_artefact_C = 0.2;        ///< as the session states them
  bool ideal_artefacts = false;  ///< exactly as certified and perfectly shaped
  bool clutter = true;           ///< a table, a stand and clamps in the field
  ExportKind export_as = ExportKind::grid;
  bool doubles = false;  ///< scalar type of the files
  std::vector<Fault> faults;

  const Field& field_of_view() const { return rig.field(field); }
  const Fault* fault(std::string_view name) const;
  /// No noise, no blemishes, ideal artefacts, double files: truth to rounding.
  void make_ideal();
  /// Throws Error(config) naming the range that is left.
  void check() const;
};

/// Reads a scenario; unknown keys are refused with the nearest known name. Names of rigs,
/// procedures, limits and artefacts are looked up as everywhere.
Scenario load_scenario(const std::filesystem::path& file);

/// A complete session for a rig of the fixtures or of the user: artefacts to fit its field, the
/// procedure's positions, the rig's computed limits. `procedure` "" → half-hour.
Scenario demo_scenario(const std::string& rig,
                       const std::string& procedure,
                       const std::vector<Fault>& faults,
                       std::uint64_t seed,
                       double points);

/// A ball, a long and a short bar, and a plate, of sizes that suit a volume (method, section 3).
std::vector<Artefact> suitable_artefacts(const Volume& volume);

/// Optics of the scenario's rig; throws Error(config) for a rig without stereo geometry.
StereoGeometry stereo_geometry(const Scenario& scenario);

}  // namespace rigproof
