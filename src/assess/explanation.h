#pragma once

#include <string>
#include <vector>

#include "assess/results.h"
#include "evaluate/monte_carlo.h"

namespace rigproof {

/// One value with everything it came from. Pointers into the Results it was made from.
struct Explanation {
  const Results* results = nullptr;
  const CharacteristicResult* characteristic = nullptr;
  const JudgedValue* judged = nullptr;
  const ScanRecord* scan = nullptr;
  std::vector<const FeatureRecord*> features;  ///< one ball, the two of a pair, or the plate
  const Artefact* artefact = nullptr;
  const CharacteristicRule* rule = nullptr;
  std::optional<double> dof;  ///< effective degrees of freedom before truncation; nullopt infinite
  std::optional<MonteCarloCheck> monte_carlo;

  const TestValue& value() const { return judged->value; }
};

/// How a value is named: "sphere_spacing@scan003 A-B" or, shorter, whatever names it alone.
std::string value_name(const TestValue& value);

/// The values that every word fits: characteristic id or symbol, scan (path, file name or stem),
/// place or its first part ("P03"), zone, serial of the artefact, ball, pair ("A-B"), or "worst".
/// Words are parted by blanks or "@"; case does not matter.
std::vector<Explanation> find_values(const Results& results, const std::string& words);

}  // namespace rigproof
