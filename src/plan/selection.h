#pragma once

#include <vector>

#include "plan/merit.h"

namespace rigproof {

/// One scan that the plan owes: a kind of artefact and, where the procedure wants variety, a role.
struct Slot {
  ArtefactKind kind = ArtefactKind::bar;
  std::vector<Role> roles;  ///< empty: any
};
/// The slots of a procedure with these artefacts; the first bar slot is the one that the closing
/// repeat measures again.
std::vector<Slot> slots_of(const Procedure& procedure, const std::vector<ArtefactShape>& shapes);

/// Spots of one session: first those that may be chosen, then copies that stand for measuring one
/// of them once more, then what is only compared with.
struct SpotPool {
  std::vector<Spot> spots;
  std::size_t selectable = 0;
  std::vector<int> copy;       ///< of each that may be chosen; −1: none
  std::vector<Thirds> thirds;  ///< of each that may be chosen
};

/// A spot for each slot, indices into the pool; −1 where nothing fits. Filled greedily and at
/// random (fixed seeds, the same whatever the threads), then exchanged one by one until nothing
/// gains; the best of these. An artefact beyond the first of its kind must pay for its change.
/// `closing`: the first slot's spot counts once more, by its copy.
std::vector<int> select(const std::vector<Slot>& slots,
                        const SpotPool& pool,
                        bool closing,
                        const Information& information,
                        const Merit& merit,
                        double apart_mm);

}  // namespace rigproof
