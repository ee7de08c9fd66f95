#pragma once

#include <algorithm>
#include <cstddef>
#include <optional>
#include <vector>

#include <Eigen/Core>

#include "fit/fit.h"

namespace rigproof {

/// Scatter of a zone as matching leaves it: neighbouring points share their error, so that n points
/// carry the information of n/area independent ones.
struct ZoneNoise {
  double sd_mm = 0;       ///< short-range standard deviation along the ray (plates: the normal)
  double area = 1;        ///< A = ∬ρ, correlation area in points; 1: independent points
  std::size_t pairs = 0;  ///< of neighbours that gave it; 0: the residuals' rms, A = 1
  /// By distance in whole spacings (of every `coarse`-th point): correlation, and how many other
  /// points lie so far from one.
  std::vector<double> rho = {}, neighbours = {};
  std::size_t coarse = 1;
  double growth = 0;  ///< of the variance along the ray with 1/cos of incidence − 1, on balls
};

/// A zone with its residuals, seen along `ray`. mm
struct ZoneSurface {
  const Points& points;
  const std::vector<double>& residuals;  ///< along the normal
  Vec3 ray = -Vec3::UnitZ();             ///< unit
  /// Of a sphere: residuals are divided by the cosine of the normal with the ray, which gives them
  /// along the ray. nullopt: a plane, they stay along the normal.
  std::optional<Vec3> center;
  double spacing_mm = 0;  ///< √(area / points)
  /// Residuals beyond are those of the points left out, which take no part.
  double least = -1e300, most = 1e300;
  std::size_t left_out = 0;
};

/// Correlation of neighbours from the semivariogram γ(d) = ½⟨(e_i − e_j)²⟩ about up to 48 × 64
/// points and all that lies within 12 spacings of them, distances taken across the ray, where
/// matching is even: sd² is its level at 9–12 spacings, ρ = 1 − γ/sd², and A = 1 + Σ N_k ρ_k with
/// the N_k points that do lie at k spacings, k = 1 and on to the first ρ_k < 0.02. Correlation that
/// reaches beyond 5 spacings is measured on one point of four, and again. Pairs are found by place,
/// so that the order of the points does not matter. A quadratic surface is taken off first, and
/// differences cancel other shape errors longer than 12 spacings. sd is raised for the tails that
/// were left out, as of a normal distribution.
ZoneNoise zone_noise(const ZoneSurface& surface);

/// The noise of one session: A from the ρ_k and N_k of the zones, weighted by their pairs; sd
/// likewise by squares. A zone without pairs is left out; none at all gives A = 1.
ZoneNoise pooled_noise(const std::vector<ZoneNoise>& zones);

/// 1 + Σ N_k ρ_k, at least 1.
double correlation_area(const ZoneNoise& noise);

/// Sandwich (JᵀJ)⁻¹ Jᵀ diag(σ_i²) J (JᵀJ)⁻¹ · A for (cx, cy, cz, r) with σ_i² = sd_i²·(n_i·ray)²:
/// noise moves points along the ray, and only its part along the normal is seen; sd_i² grows with
/// 1/|n_i·ray| − 1 and is sd² in the mean. The sum is taken over at most 65,536 points spread
/// evenly through the zone.
Eigen::Matrix4d sphere_covariance(const Points& zone,
                                  const SphereFit& fit,
                                  const Vec3& ray,
                                  const ZoneNoise& noise);

/// Predicted repeatability of the range of n residuals of standard deviation sd, `left_out` of them
/// removed: √2 × the standard error of one end. An end is the extreme of n/A independent normals
/// (Gumbel, π/√6 / √(2 ln n_eff)), or the quantile q of the share left out at each end, √(q(1−q)) /
/// (φ(z_q) √n_eff), whichever is smaller.
struct RangeEnd {
  double effective = 0;                     ///< n_eff = n/A, at least 2
  double extreme = 0;                       ///< standard error of an extreme, in sd
  double q = 0, density = 0, quantile = 0;  ///< q, φ(z_q) and the standard error of that quantile;
                                            ///< 0 where nothing is left out
  double error() const { return q > 0 ? std::min(extreme, quantile) : extreme; }
};
RangeEnd range_end(double area, std::size_t n, std::size_t left_out);
double range_repeatability(double sd, double area, std::size_t n, std::size_t left_out);

}  // namespace rigproof
