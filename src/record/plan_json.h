#pragma once

#include <string>
#include <vector>

#include "plan/plan.h"

namespace rigproof {

/// `plan --json` of a session: positions in the order of measuring, detection limits, minutes.
/// Lengths in mm.
std::string plan_json(const Session& session, const Plan& plan);

/// Every artefact against one field.
struct FieldFits {
  std::string rig, field;
  std::vector<ArtefactFit> fits;
};
/// `plan --rig R/FIELD --json`: which artefact suits which field. No positions without a session.
std::string fits_json(const std::vector<FieldFits>& fields);

}  // namespace rigproof
