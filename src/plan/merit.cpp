#include "plan/merit.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include <Eigen/Cholesky>

namespace rigproof {
namespace {

constexpr double kAlike = 0.95;
constexpr double kRidge = 4;  // mm⁻²: an error of half a millimetre needs no scan to be noticed
constexpr double kWeakest = 16, kWeakWeight = 12;
constexpr double kDents = 0.3, kBehind = 6, kCrowd = 2;
constexpr double kCrowded = 0.6;   // of what the positions reach, in one third
constexpr double kNothing = 1e-9;  // mm⁻²

Eigen::Index index(std::size_t i) { return static_cast<Eigen::Index>(i); }

// Share of the worst third across width, height or depth beyond what is crowded.
double crowding(const Thirds& thirds, int scans) {
  double most = 0;
  for (const auto& axis : thirds)
    for (const double s : axis) most = std::max(most, s / scans - kCrowded);
  return most;
}

// Ruled by the fault that is seen worst: a length error of high power.
double log_of_weakest(const Eigen::MatrixXd& info, const std::vector<Eigen::Index>& faults) {
  double sum = 0;
  for (const Eigen::Index f : faults) sum += std::pow(info(f, f) + kRidge, -kWeakest / 2);
  return sum > 0 ? std::log(sum) / kWeakest : 0;
}

}  // namespace

FaultGroups fault_groups(const Information& information, const Eigen::MatrixXd& usual) {
  FaultGroups groups;
  for (std::size_t f = 0; f < information.faults(); ++f) {
    if (information.is_dent(f) || !(usual(index(f), index(f)) > kRidge)) continue;
    const auto alike = [&](const std::vector<std::size_t>& group) {
      return std::ranges::any_of(group, [&](std::size_t m) {
        return std::abs(usual(index(f), index(m))) >
               kAlike * std::sqrt(usual(index(f), index(f)) * usual(index(m), index(m)));
      });
    };
    auto group = std::ranges::find_if(groups.members, alike);
    if (group == groups.members.end()) group = groups.members.emplace(group);
    group->push_back(f);
  }
  for (const auto& group : groups.members)
    groups.representatives.push_back(*std::ranges::min_element(
        group, {}, [&](std::size_t f) { return usual(index(f), index(f)); }));
  return groups;
}

std::vector<double> precision_of(const Eigen::MatrixXd& information) {
  std::vector<double> out;
  for (Eigen::Index f = 0; f < information.rows(); ++f)
    out.push_back(information(f, f) > 0 ? 1 / std::sqrt(information(f, f))
                                        : std::numeric_limits<double>::infinity());
  return out;
}

Thirds thirds_of(const Spot& spot, const Volume& volume) {
  Thirds share{};
  const std::vector<Vec3> reached = spot.reaches();
  for (const Vec3& p : reached) {
    const Vec3 n = volume.normalized(p);
    for (int axis = 0; axis < 3; ++axis)
      share[axis][n[axis] < -1.0 / 3  ? 0
                  : n[axis] > 1.0 / 3 ? 2
                                      : 1] += 1 / static_cast<double>(reached.size());
  }
  return share;
}

Merit::Merit(const Information& information,
             FaultGroups groups,
             const std::vector<double>& least,
             std::vector<double> textbook)
    : groups_(std::move(groups)), textbook_(std::move(textbook)) {
  for (std::size_t f = 0; f < information.faults(); ++f)
    (information.is_dent(f) ? dents_ : calibration_).push_back(index(f));
  for (const Eigen::Index f : calibration_)
    if (improvable(least[static_cast<std::size_t>(f)], textbook_[static_cast<std::size_t>(f)]))
      improvable_.push_back(f);
}

double Merit::of_better_worst(double share) { return -kWeakWeight * std::log1p(-share); }

double Merit::operator()(const Eigen::MatrixXd& info, const Thirds& thirds, int scans) const {
  double merit = -kCrowd * crowding(thirds, scans);
  if (const auto m = index(groups_.representatives.size()); m > 0) {
    Eigen::MatrixXd grouped = kRidge * Eigen::MatrixXd::Identity(m, m);
    for (Eigen::Index i = 0; i < m; ++i)
      for (Eigen::Index j = 0; j < m; ++j)
        grouped(i, j) += info(index(groups_.representatives[i]), index(groups_.representatives[j]));
    const Eigen::VectorXd pivots = grouped.ldlt().vectorD();
    for (Eigen::Index i = 0; i < m; ++i)
      merit += 0.5 * std::log(std::max(pivots[i], kRidge)) / static_cast<double>(m);
  }
  for (const auto& faults : {calibration_, improvable_})
    merit -= kWeakWeight * log_of_weakest(info, faults);
  double dents = 0;
  for (const Eigen::Index f : dents_) dents += 0.5 * std::log(info(f, f) + kRidge);
  if (!dents_.empty()) merit += kDents * dents / static_cast<double>(dents_.size());
  for (std::size_t f = 0; f < textbook_.size(); ++f) {
    const double seen = (info(index(f), index(f)) + kNothing) * textbook_[f] * textbook_[f];
    if (seen < 1) merit += kBehind * 0.5 * std::log(seen);  // false where the textbook sees nothing
  }
  return merit;
}

}  // namespace rigproof
