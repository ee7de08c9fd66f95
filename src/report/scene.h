#pragma once

#include <optional>
#include <string>
#include <vector>

#include "report/context.h"

namespace rigproof {

/// One artefact of one scan as pictures show it. mm, sensor frame.
struct PlacedPiece {
  std::string scan, label;  ///< label: position id, the key that links pictures and tables
  ArtefactKind kind = ArtefactKind::bar;
  std::vector<Vec3> balls;
  double radius = 0;
  std::vector<Vec3> corners;  ///< of a plate, in order
  Vec3 center = Vec3::Zero();
  std::optional<double> ratio;         ///< largest |value|/limit of its judged values
  std::optional<double> signed_ratio;  ///< value/limit of its signed value of largest ratio
  Verdict verdict = Verdict::invalid;  ///< of its values; invalid: nothing judged
  bool counts = true;
  std::string words;  ///< "P07 · bar-250-07 · far-top-left · 37 % of the limit"
};

/// Pieces of every scan that was evaluated, in the order of the scans.
std::vector<PlacedPiece> placed_pieces(const ReportContext& context);

/// The measuring volume, or a box about what was found when the volume is unknown.
Volume shown_volume(const ReportContext& context, const std::vector<PlacedPiece>& pieces);

/// Worse of two verdicts of values: outside, then undecided, then within.
Verdict worse(Verdict a, Verdict b);

/// In-plane unit axes of a plate from its points: longer side first.
std::pair<Vec3, Vec3> plate_axes(const FeatureRecord& plate);

}  // namespace rigproof
