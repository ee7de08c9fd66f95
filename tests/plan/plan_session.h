#pragma once

#include "simulate/scenario.h"

namespace rigproof {

/// A session of a sample rig with artefacts that suit its field, before any scan.
inline Session session_before_scanning(const std::string& rig,
                                       const std::string& procedure = "half-hour") {
  const Scenario s = demo_scenario(rig, procedure, {}, 1, 300'000);
  Session session;
  session.id = "planned-" + rig;
  session.rig = s.rig;
  session.field_name = s.field;
  session.procedure = s.procedure;
  session.limits = s.limits;
  session.artefacts = s.artefacts;
  session.environment.artefact_C = s.artefact_C;
  session.environment.u_artefact_C = s.u_artefact_C;
  session.environment.measured_on = "artefact";
  return session;
}

}  // namespace rigproof
