#pragma once

#include "inputs/session.h"
#include "plan/plan.h"

namespace rigproof {

/// plan.toml in the session's folder: the plan's positions as a procedure lists them. `watch` and
/// `assess` name positions by it.
void write_plan_file(const Session& session, const Plan& plan);

}  // namespace rigproof
