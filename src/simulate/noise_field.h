#pragma once

#include <cstdint>
#include <vector>

#include "simulate/chance.h"

namespace rigproof {

/// Error of matching as an image: neighbouring pixels share most of it because their matching
/// windows overlap. Unit variance; correlation ρ(d) = (1 − w)·exp(−d²/4s²) + w·[d = 0], w the white
/// share, s from the correlation area A = ∬ρ = w + (1 − w)·4πs² in square pixels of camera 1.
class NoiseField {
 public:
  NoiseField(Chance chance, double area_px2, double white_share);

  /// Values at rows row0, row0 + step, … and columns col0, col0 + step, … (rows outermost).
  std::vector<float> block(int row0, int rows, int col0, int columns, int step) const;
  /// ρ at a distance in pixels of camera 1.
  double correlation(double distance_px) const;
  /// A in points of the grid of every `step`-th pixel: 1 + Σρ over all other grid points.
  double area_in_points(int step) const;

 private:
  Chance chance_;
  double white_share_, width_px_;
  std::vector<float> kernel_;  // normalised to Σg² = 1
};

}  // namespace rigproof
