#pragma once

#include <algorithm>
#include <filesystem>

#include "plan/plan.h"
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

/// The same with every shipped bar that fits the field, and the largest plate and ball: what a case
/// holds where the artefacts of fixtures/ are registered.
inline Session session_with_registered_artefacts(const std::string& rig,
                                                 const std::string& procedure = "half-hour") {
  Session session = session_before_scanning(rig, procedure);
  std::vector<Artefact> registered;
  for (const auto& file :
       std::filesystem::directory_iterator(share_folder("fixtures") / "artefacts"))
    registered.push_back(load_artefact(file.path()));
  const auto size = [](const Artefact& a) { return shape_of(a).size_mm(); };
  std::ranges::sort(
      registered, {}, [&](const Artefact& a) { return std::pair(-size(a), a.serial); });
  session.artefacts.clear();
  for (const Artefact& a : registered)
    if (fit_of(a, session.rig, *session.field(), session.procedure).usable &&
        (a.kind == ArtefactKind::bar ||
         !std::ranges::count(session.artefacts, a.kind, &Artefact::kind)))
      session.artefacts.push_back(a);
  return session;
}

}  // namespace rigproof
