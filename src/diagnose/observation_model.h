#pragma once

#include <span>
#include <string>
#include <vector>

#include <Eigen/Core>

#include "diagnose/observed.h"
#include "diagnose/signature.h"
#include "evaluate/values.h"

namespace rigproof {

/// What a session measured, for its diagnosis. `scans` in the order in which they were taken.
struct Observations {
  std::vector<std::string> scans;
  std::vector<ObservedBall> balls;
  std::vector<ObservedPlate> plates;
  std::vector<Artefact> artefacts;  ///< of these balls and plates, with their certificates
  ArtefactTemperature temperature;
  ZoneNoise noise;  ///< pooled over the session; 0 pairs: each feature's own correlation area
};

enum class ObservationKind { length, diameter, patch };

/// One row of the model.
struct Observation {
  ObservationKind kind = ObservationKind::length;
  std::string scan, artefact;
  int a = -1, b = -1;  ///< indices into balls; of a patch: plate and patch
  double value = 0;    ///< measured − reference, or mean deviation. mm
};

/// Least-squares change of a ball's (center, radius) for displacements of points of its cap, which
/// is sampled as an image would.
class CapResponse {
 public:
  explicit CapResponse(const ObservedBall& ball, double progress);
  Eigen::Vector4d change(const Displacement& displacement) const;
  /// The same for deviations along the normal, given at points()[i].
  Eigen::Vector4d change(const Eigen::VectorXd& deviations) const { return gain_ * deviations; }
  const std::vector<SurfacePoint>& points() const { return points_; }

 private:
  std::vector<SurfacePoint> points_;
  Eigen::Matrix<double, 4, Eigen::Dynamic> gain_;
};

/// All observations of a session with their covariance. Lengths (free radius) come together with
/// the diameters of their balls, plates as means of 12 × 8 patches. The covariance is that of the
/// noise (the fits' own sandwich; of a patch sd²·A/n) plus shared terms: temperature, expansion,
/// each certificate value, ball form (second and third harmonics), an offset of the surface, bow
/// and twist of each plate. Levels and tilts of plates are free.
class ObservationModel {
 public:
  explicit ObservationModel(const Observations& from);

  const std::vector<Observation>& rows() const { return rows_; }
  Eigen::VectorXd values() const;
  const Eigen::MatrixXd& covariance() const { return covariance_; }
  /// Change of every row, as a signature displaces the points. mm per unit
  Eigen::VectorXd effect(const Displacement& displacement) const;
  /// Free parameters of the plates' poses.
  int free_parameters() const { return 3 * static_cast<int>(plates_.size()); }
  /// Variance of patches over its prediction, from what no smooth shape explains; 1 without plates.
  double noise_ratio() const { return noise_ratio_; }
  double longest_mm() const { return longest_mm_; }

 private:
  void add_lengths(const Observations& from);
  void add_diameters(const Observations& from);
  void add_patches(const Observations& from);
  void noise_terms(const Observations& from);
  void temperature_terms(const Observations& from);
  void certificate_terms(const Observations& from);
  void surface_terms(const Observations& from);
  void plate_terms(const Observations& from);
  void share(const Eigen::VectorXd& column, double sd) {
    covariance_.noalias() += sd * sd * column * column.transpose();
  }

  std::vector<Observation> rows_;
  std::vector<ObservedBall> balls_;
  std::vector<ObservedPlate> plates_;
  std::vector<CapResponse> caps_;
  std::vector<double> plate_progress_;
  std::vector<double> nominal_;  // of a length or diameter row, 0 for patches
  Eigen::MatrixXd covariance_;
  double noise_ratio_ = 1, longest_mm_ = 0;
};

/// Variance of a plate's patch means over sd²·A/n, of what polynomials of degree five leave.
/// {sum of squares, degrees of freedom}.
std::pair<double, double> patch_scatter(const ObservedPlate& plate, double area);

}  // namespace rigproof
