#pragma once

#include <string>
#include <vector>

#include <Eigen/Cholesky>
#include <Eigen/Core>

#include "plan/predict.h"

namespace rigproof {

/// What each spot would tell of each fault of the rig, and what a set of spots tells together.
/// Faults are scaled so that one unit of each causes one millimetre of the largest length error in
/// the volume: a limit is then a length error.
class Information {
 public:
  /// `spots` of one session's artefacts; every one may be chosen once.
  Information(const std::vector<Spot>& spots,
              const PlacingRules& rules,
              const ExpectedNoise& noise,
              const Session& session);

  /// Fisher information of the faults (mm⁻²), everything that the scans share (temperature,
  /// expansion, certificates, surface, shape of plates) left free within its uncertainty.
  Eigen::MatrixXd of(const std::vector<std::size_t>& chosen) const;

  /// What a fixed set tells, to which a search adds one scan after another.
  class Part {
   public:
    /// `all` outlives the part.
    Part(const Information& all, const std::vector<std::size_t>& chosen);
    /// The same as `of` the chosen and `more`, at a tenth of its cost.
    Eigen::MatrixXd with(const std::vector<std::size_t>& more) const;

   private:
    const Information& all_;
    std::vector<Eigen::Index> rows_;
    Eigen::LLT<Eigen::MatrixXd> factor_;       ///< of the rows' covariance
    Eigen::MatrixXd whitened_, of_balls_;      ///< the rows' effects; what bars and balls tell
    std::vector<Eigen::MatrixXd> plate_sums_;  ///< by plate artefact
  };

  std::size_t faults() const { return signatures_.size(); }
  const Signature& fault(std::size_t i) const { return signatures_[i]; }
  bool is_dent(std::size_t i) const { return signatures_[i].id == "local"; }

 private:
  struct Plate {
    Eigen::MatrixXd information;  ///< of faults, then of the three shapes
    std::size_t artefact = 0;     ///< index into shape_priors_
  };
  void add_plate(const Spot& spot,
                 const PlacingRules& rules,
                 const ExpectedNoise& noise,
                 std::size_t index);
  std::vector<Eigen::Index> rows_of(const std::vector<std::size_t>& chosen) const;

  std::vector<Signature> signatures_;
  std::vector<double> per_unit_mm_;  ///< largest length error of one unit
  // Bars and balls: rows of one model of all spots.
  Eigen::MatrixXd covariance_, effects_;
  std::vector<std::vector<Eigen::Index>> rows_of_;
  std::vector<Plate> plates_;  ///< by spot; empty for the others
  std::vector<std::string> plate_serials_;
  std::vector<double> shape_priors_;  ///< mm⁻², by plate artefact
};

}  // namespace rigproof
