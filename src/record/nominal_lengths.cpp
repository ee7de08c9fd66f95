#include "record/nominal_lengths.h"

#include <limits>
#include <utility>

namespace rigproof {

NominalLengths::NominalLengths(const std::vector<Artefact>& artefacts) {
  std::size_t rank = 0;
  const auto add = [&](std::map<Name, Ranked>& to, Name name, double mm) {
    to.try_emplace(std::move(name), Ranked{rank, mm});
  };
  for (const Artefact& a : artefacts) {
    if (a.kind == ArtefactKind::plate) {
      add(plates_, {a.serial}, a.length_mm);
    } else {
      for (const auto& d : a.distances) add(pairs_, {a.serial, d.from, d.to}, d.length.mm);
      ++rank;
      for (const auto& b : a.balls) add(balls_, {a.serial, b.id}, b.diameter.mm);
    }
    ++rank;
  }
}

double NominalLengths::of(const TestValue& v) const {
  Ranked first{std::numeric_limits<std::size_t>::max(), 0};
  const auto ask = [&](const std::map<Name, Ranked>& in, const Name& name) {
    if (const auto it = in.find(name); it != in.end() && it->second.rank < first.rank)
      first = it->second;
  };
  ask(plates_, {v.artefact});
  ask(pairs_, {v.artefact, v.pair.first, v.pair.second});
  ask(balls_, {v.artefact, v.ball});
  return first.mm;
}

}  // namespace rigproof
