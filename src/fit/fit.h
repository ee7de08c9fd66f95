// fit: ordinary least squares and minimum zones of point sets, with covariance. Plain: every point
// given counts with weight one. Only the normal-equation kernel (sphere_step.h) takes weights, and
// only locate/ feeds them.
// Enters: Points. Leaves: shapes, residual statistics, why the iteration stopped.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "geometry/points.h"
#include "geometry/shapes.h"

namespace rigproof {

enum class FitStop { not_run, converged, max_iterations, degenerate };
std::string to_string(FitStop stop);

/// Statistics of signed residuals about a fit. mm
struct ResidualStats {
  std::size_t n = 0;
  double rms = 0;  ///< √(Σd²/n)
  double min = 0, max = 0;
  double range() const { return max - min; }
};
ResidualStats residual_stats(const std::vector<double>& residuals);

/// Flatness about the least-squares plane (ISO 12781-1:2011): peak-to-valley FLTt,
/// peak-to-reference FLTp, reference-to-valley FLTv, root mean square FLTq. mm
struct FlatnessParameters {
  double t = 0, p = 0, v = 0, q = 0;
};
/// From the residuals about the least-squares plane, peaks positive.
FlatnessParameters flatness_parameters(const ResidualStats& about_plane);

struct SphereFit {
  Sphere sphere;
  ResidualStats residuals;
  /// (JᵀJ)⁻¹ for (cx, cy, cz, r): times σ² it is the covariance under independent noise. The row
  /// and column of r are zero when the radius was held.
  Eigen::Matrix4d cofactor = Eigen::Matrix4d::Zero();
  int iterations = 0;
  FitStop stop = FitStop::not_run;
  bool ok() const { return stop == FitStop::converged; }
};

struct PlaneFit {
  Plane plane;
  ResidualStats residuals;
  Vec3 axis_u = Vec3::UnitX(), axis_v = Vec3::UnitY();  ///< principal directions in the plane
  /// Covariance of (offset along the normal, tilt about v, tilt about u) per unit σ².
  Mat3 cofactor = Mat3::Zero();
  FitStop stop = FitStop::not_run;
  bool ok() const { return stop == FitStop::converged; }
};

struct SphereFitOptions {
  /// Hold the radius at this value (calibrated radius) instead of fitting it. mm
  std::optional<double> fixed_radius_mm;
  /// A partial sphere has two minima. With a sensor known, the centre is kept behind the surface as
  /// seen from here; without one the smaller sum of squares wins.
  std::optional<Vec3> sensor;
  int max_iterations = 100;
  int threads = 0;  ///< 0: one a core. Never changes a bit of the result
};

/// Geometric least squares (Forbes, NPL Report DITC 140/89): Gauss–Newton on d_i = |p_i − c| − r
/// with rows (−n_i, −1), started from an algebraic fit about the centroid, stopped on relative step
/// *and* gradient Jᵀd, the step halved while the sum of squares would grow. Needs ≥ 4 points not in
/// one plane. With the radius held 3 points not on a line will do, but points in one plane leave
/// two mirrored spheres, and only a sensor decides. Else, or when every minimum has its centre
/// before the surface as the sensor sees it, or is a plane (r > 10⁶ × the extent of the points):
/// `degenerate`, and the fields hold the best that was reached.
SphereFit fit_sphere(const Points& points, const SphereFitOptions& options = {});
/// The same from a given start, e.g. the located sphere or the fit of the previous zone. A start
/// from which no minimum as above is reached is replaced by fit_sphere's own.
SphereFit fit_sphere_from(const Points& points,
                          const Sphere& start,
                          const SphereFitOptions& options = {});

/// Orthogonal least squares by singular values about the centroid (Forbes, as above). The normal is
/// turned towards `sensor` when given, else its largest component is positive. `threads` 0: one a
/// core; never changes a bit of the result. Needs ≥ 3 points not on a line; else `degenerate`.
PlaneFit fit_plane(const Points& points,
                   const std::optional<Vec3>& sensor = std::nullopt,
                   int threads = 0);

/// Signed residuals in file order. mm
std::vector<double> sphere_residuals(const Points& points, const Sphere& sphere, int threads = 0);
std::vector<double> plane_residuals(const Points& points, const Plane& plane, int threads = 0);

/// How many points an allowance of `share` leaves out of `n`: floor(share·n), where a product
/// within rounding of a whole number is that number (3 ‰ of 1000 is 3).
std::size_t allowance(double share, std::size_t n);
/// Indices of the `count` points of largest |residual|, ties by index (the lower one is taken),
/// ascending by index.
std::vector<std::size_t> largest_residuals(const std::vector<double>& residuals, std::size_t count);

struct PlaneZone {
  Plane plane;       ///< midway between the two enclosing planes
  double width = 0;  ///< minimum-zone flatness, mm
  bool exact = false;
  int rounds = 0;
  /// The points that the two planes rest on: one and three, three and one, or two and two. The
  /// normal is across the three, or across both pairs. Empty where the points have no thickness or
  /// the zone is not exact.
  std::vector<Vec3> low, high;
};
/// Exact minimum-zone flatness: width of the convex hull over face–vertex and edge–edge pairs, by a
/// working set of extreme points that grows until all points fit. `exact` is false only without
/// points, with a number that is not finite, or when the working set outgrew 1500 corners, as it
/// does on a round body (then the plane holds all points, but a narrower zone may exist). The
/// normal is turned like that of fit_plane.
PlaneZone minimum_zone_plane(const Points& points);

struct SphereZone {
  Vec3 center = Vec3::Zero();   ///< mm
  double inner = 0, outer = 0;  ///< radii, mm
  double width() const { return outer - inner; }
  bool exact = false;  ///< proven a local minimum by its contacts
  int rounds = 0;
  /// The contacts: five that leave the centre no freedom, fewer where the points are few or
  /// symmetric. Empty where the zone is not exact.
  std::vector<Vec3> inner_points, outer_points;
};
/// Minimum radial separation of two concentric spheres holding all points, the local minimum next
/// to `start` (normally the least-squares centre; its radius is not used). A minimum is held by two
/// contacts outside and three inside or the reverse, whose unit normals have a common convex
/// combination. Where there is none next to the start (few points on a small cap), `exact` is false
/// and the best centre that was seen is returned, never a wider zone than at the start.
SphereZone minimum_zone_sphere(const Points& points, const Sphere& start);

}  // namespace rigproof
