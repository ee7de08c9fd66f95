#include "plan/plan.h"

namespace rigproof {

std::vector<PlannedPosition> textbook_positions(int bars, int plates, int balls, bool closing) {
  const auto file = share_folder("fixtures") / "arrangements" / "textbook.toml";
  std::vector<PlannedPosition> out;
  const auto left = [&](ArtefactKind kind) -> int& {
    return kind == ArtefactKind::bar ? bars : kind == ArtefactKind::plate ? plates : balls;
  };
  for (const PlanEntry& p : load_positions(file)) {
    if (p.closing ? closing : left(p.kind) > 0) out.push_back(p);
    if (!p.closing) --left(p.kind);
  }
  return out;
}

}  // namespace rigproof
