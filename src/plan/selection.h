#pragma once

#include <functional>
#include <string>
#include <vector>

#include "plan/information.h"

namespace rigproof {

/// One scan that the plan owes: a kind of artefact and, where the procedure wants variety, a role.
struct Slot {
  ArtefactKind kind = ArtefactKind::bar;
  std::vector<Role> roles;  ///< empty: any
};
/// The slots of a procedure with these artefacts; the first bar slot is the one that the closing
/// repeat measures again.
std::vector<Slot> slots_of(const Procedure& procedure, const std::vector<ArtefactShape>& shapes);

/// Faults that look alike in an arrangement (cosine above 0.95), as one each: the member that is
/// seen worst stands for its group. Dents stay by themselves. `usual`: information of the textbook
/// arrangement, so that one rig has one set of groups.
struct FaultGroups {
  std::vector<std::vector<std::size_t>> members;  ///< indices of Information's faults
  std::vector<std::size_t> representatives;
};
FaultGroups fault_groups(const Information& information, const Eigen::MatrixXd& usual);

/// How good a set is; larger is better. D-optimal over merged groups: mean log precision of the
/// groups together, plus that of the group seen worst among those that an arrangement can improve,
/// plus a little for dents, less what falls behind the textbook, less clustering. `least` and
/// `textbook`: precision of every spot measured and of the textbook arrangement (see precision_of).
class Merit {
 public:
  Merit(const Information& information,
        FaultGroups groups,
        const std::vector<double>& least,
        std::vector<double> textbook,
        const Volume& volume);
  double operator()(const std::vector<std::size_t>& chosen, const std::vector<Spot>& spots) const;

 private:
  const Information& information_;
  FaultGroups groups_;
  std::vector<std::size_t> improvable_;  ///< representatives
  std::vector<double> textbook_;
  Volume volume_;
};

/// Whether an arrangement can better a limit by a quarter: where even every spot measured does not,
/// the artefacts' certificates and the temperature rule it.
inline bool improvable(double least, double textbook) { return least < 0.75 * textbook; }

/// Length error (mm) that each fault must cause to stand out by one standard deviation; infinity
/// where the set sees nothing of it.
std::vector<double> precision_of(const Eigen::MatrixXd& information);

/// Spots of one session: first those that may be chosen, then copies that stand for measuring one
/// of them once more, then what is only compared with.
struct SpotPool {
  std::vector<Spot> spots;
  std::size_t selectable = 0;
  std::vector<int> copy;  ///< of each that may be chosen; −1: none
};

/// A spot for each slot, indices into the pool; −1 where nothing fits. Greedy in the order of the
/// slots, then exchanged one by one until nothing gains. `closing`: the first slot's spot counts
/// once more, by its copy.
std::vector<int> select(const std::vector<Slot>& slots,
                        const SpotPool& pool,
                        bool closing,
                        const Merit& merit,
                        double apart_mm);

}  // namespace rigproof
