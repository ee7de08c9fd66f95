#pragma once

#include <optional>
#include <string>
#include <vector>

#include "evaluate/test_value.h"
#include "inputs/artefact.h"
#include "judge/finding.h"

namespace rigproof {

/// wrong-artefact: the distances (of a ball: the diameter) of the artefact that was named are off
/// by more than ten u_fit, and another registered one of its kind comes twice as near. `values` of
/// the scan. nullopt where nothing else fits better: then it is the rig that is off.
std::optional<Finding> wrong_artefact(const Artefact& named,
                                      const std::vector<TestValue>& values,
                                      const std::vector<Artefact>& registered,
                                      const std::string& scan);

}  // namespace rigproof
