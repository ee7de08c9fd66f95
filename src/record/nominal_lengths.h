#pragma once

#include <array>
#include <cstddef>
#include <map>
#include <string>
#include <vector>

#include "evaluate/values.h"
#include "inputs/artefact.h"

namespace rigproof {

/// The nominal lengths of artefacts, mm, by what a value names: an artefact may have thousands of
/// distances, and each value asks. Where several artefacts answer, the first does: with its length
/// when it is a plate, else with a distance before a ball.
class NominalLengths {
 public:
  explicit NominalLengths(const std::vector<Artefact>& artefacts);
  /// 0 where no artefact answers.
  double of(const TestValue& value) const;

 private:
  /// Names of artefact and ball, of artefact and pair, of the artefact alone.
  using Name = std::array<std::string, 3>;
  struct Ranked {
    std::size_t rank;
    double mm;
  };
  std::map<Name, Ranked> plates_, pairs_, balls_;
};

}  // namespace rigproof
