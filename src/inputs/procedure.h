#pragma once

#include <array>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "inputs/artefact.h"

namespace rigproof {

enum class RadiusRule { free, fixed };
enum class ShellRule { concentric, free };

/// Evaluation zones: geometry only, never a limit.
struct ZoneRules {
  double ball_gate_share = 0.1;  ///< shell gate ± share·r about the located sphere
  double cap_half_angle_deg = 60;
  double plate_gate_mm = 2;
  double plate_border_mm = 3;  ///< where the artefact states none
  int max_rounds = 10;         ///< zone and fit repeat until the set repeats
  double stray_gates = 3;      ///< strays are counted between one and this many gates
};

/// Shares and options of one characteristic.
struct CharacteristicRule {
  double allowance = 0;    ///< share of the points of largest |residual| that may be left out
  std::string confidence;  ///< mark of the source: S, C, M, CP, O
};

/// A planned position. Coordinates normalised to the volume (−1 … 1: left–right, top–bottom,
/// near–far); direction likewise, for bars and plate normals.
struct PlannedPosition {
  std::string id;  ///< "P01"
  ArtefactKind kind = ArtefactKind::bar;
  std::array<double, 3> center{0, 0, 0};
  std::optional<std::array<double, 3>> direction;
  std::string place;     ///< zone id or words such as "space diagonal"
  bool closing = false;  ///< the closing repeat of an earlier position
  std::string repeats;   ///< id of that position
};

/// How many distinct positions of each artefact the procedure demands.
struct Demand {
  int ball = 0, bar = 0, plate = 0;
  bool closing_repeat = false;
};

/// Sizes that the artefacts should have, as shares of the volume's space diagonal L0.
struct SizeDemand {
  double ball_least = 0.02, ball_most = 0.2;
  double bar_least = 0.3;
  double plate_least = 0.5, plate_width_mm = 50;
};

struct Procedure {
  std::string name;  ///< "half-hour"
  std::string title;
  std::string style;  ///< "in the style of …"
  ZoneRules zones;
  std::map<std::string, CharacteristicRule> characteristics;  ///< which are evaluated, by id
  RadiusRule center_radius = RadiusRule::free;
  ShellRule dispersion_shell = ShellRule::concentric;
  double dispersion_share = 0.95;        ///< of the points that form_dispersion and the like hold
  std::vector<int> patches{1, 8, 16};    ///< of equal solid angle, in each ring of the cap
  bool bar_balls_are_positions = false;  ///< a bar's balls serve as sphere positions
  Demand demand;
  SizeDemand sizes;
  std::vector<PlannedPosition> positions;
  std::size_t min_points_ball = 500, min_points_plate = 2000;
  double min_cap_deg = 30, warn_cap_deg = 45;
  double max_ufit_share = 1.0 / 3;   ///< stop when u_fit exceeds this share of the limit
  double closing_share = 0.25;       ///< stop when |Δ| − 2u_fit(Δ) exceeds this share of the limit
  bool overdue_stops = false;        ///< artefact-overdue: stop or warn
  double proven_probability = 0.95;  ///< what the rule `proven` asks for: ISO 14253-1:2017
  std::string retest;                ///< the retest rule in words
  int retest_repeats = 3;            ///< that supersede a value outside when all meet the limits
  double minutes_per_scan = 2;
  std::vector<std::string> deviations;  ///< printed with every result
  /// Marks of the numbers that belong to no characteristic, by name; see mark_names().
  std::map<std::string, std::string> marks;
};

/// The procedure's own deviations, and one for each number of its own where a rule that it goes by
/// the name of has another: the probability of `proven`, the repeats of the retest rule.
std::vector<std::string> printed_deviations(const Procedure& procedure);

/// What `marks` may name: center_radius, dispersion, patches, zones, gates, …
const std::vector<std::string>& mark_names();

}  // namespace rigproof
