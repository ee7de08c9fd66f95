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

/// wrong-artefact: a ball of this bar is off by more than 2 % of what its certificate and the bar's
/// own scale say, and by more than ten u_fit: that is no surface but another ball, or a slip in its
/// file. `values` of the scan.
std::optional<Finding> wrong_ball(const Artefact& bar,
                                  const std::vector<TestValue>& values,
                                  const std::string& scan);

}  // namespace rigproof
