#pragma once

#include <array>
#include <vector>

#include "geometry/points.h"

namespace rigproof {

/// Residuals of a sphere and their unit normals, linearised at its centre.
struct Linearised {
  std::vector<double> d;
  std::vector<Vec3> n;
};

/// The move (δ, δr) of centre and radius that makes the largest |d_i − n_i·δ − δr| least, each
/// |δ_k| ≤ reach.
struct Minimax {
  Vec3 move = Vec3::Zero();
  double radius = 0;  ///< δr
  double height = 0;  ///< the largest |residual| that is left
  /// Contacts: the residuals that hold the height, with their multipliers (all ≥ 0, sum 1 with
  /// those of the reach). `above` tells the outer sphere's contacts from the inner's.
  struct Contact {
    int index;
    bool above;
    double multiplier;
  };
  std::vector<Contact> contacts;
  /// Σ of the multipliers of |δ_k| ≤ reach: zero where the contacts alone hold the height.
  double reach_multiplier = 0;
  bool solved = false;
};

/// Linear programme of five unknowns by the revised simplex method on its dual (five rows, a column
/// a constraint): the exchange algorithm of Chebyshev approximation with a proper ratio test.
Minimax minimax_step(const Linearised& residuals, double reach);

}  // namespace rigproof
