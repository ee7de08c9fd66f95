#pragma once

#include <array>
#include <vector>

#include "plan/information.h"

namespace rigproof {

/// Faults that look alike in an arrangement (cosine above 0.95), as one each: the member that is
/// seen worst stands for its group. Dents stay by themselves. `usual`: information of the textbook
/// arrangement, so that one rig has one set of groups.
struct FaultGroups {
  std::vector<std::vector<std::size_t>> members;  ///< indices of Information's faults
  std::vector<std::size_t> representatives;
};
FaultGroups fault_groups(const Information& information, const Eigen::MatrixXd& usual);

/// Whether an arrangement can better a limit by a quarter: where even every spot measured does not,
/// the artefacts' certificates and the temperature rule it.
inline bool improvable(double least, double textbook) { return least < 0.75 * textbook; }

/// Length error (mm) that each fault must cause to stand out by one standard deviation; infinity
/// where the set sees nothing of it.
std::vector<double> precision_of(const Eigen::MatrixXd& information);

/// Share of what a spot reaches in each third across width, height and depth.
using Thirds = std::array<std::array<double, 3>, 3>;
Thirds thirds_of(const Spot& spot, const Volume& volume);

/// How good a set is; larger is better. D-optimal over merged groups: mean log precision of the
/// groups together, plus, with most weight, that of the fault seen worst (a group is as good as the
/// member that is seen worst) and of the one seen worst of those that an arrangement can improve,
/// plus a little for dents, less what falls behind the textbook, less clustering. `least` and
/// `textbook`: precision of every spot measured and of the textbook arrangement (see precision_of).
class Merit {
 public:
  Merit(const Information& information,
        FaultGroups groups,
        const std::vector<double>& least,
        std::vector<double> textbook);
  /// What a set gains of which the fault seen worst shows better by this share of its length error.
  static double of_better_worst(double share);
  /// `thirds`: sum over the scans of the set, of which there are `scans`.
  double operator()(const Eigen::MatrixXd& information, const Thirds& thirds, int scans) const;

 private:
  FaultGroups groups_;
  std::vector<Eigen::Index> calibration_, improvable_, dents_;
  std::vector<double> textbook_;
};

}  // namespace rigproof
