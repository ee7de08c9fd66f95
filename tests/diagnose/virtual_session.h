#pragma once

#include <optional>

#include "diagnose/diagnose.h"
#include "simulate/session_setup.h"

namespace rigproof {

/// What an evaluation would hand to the diagnosis, without rendering: artefacts of a virtual
/// session as they really are, carried through the exact optics of the faulty rig (with its
/// distortion), fitted, and spoilt by the noise that the scans would have had. nullopt: not spoilt,
/// with the same covariance. Keeps pointers into the scenario.
DiagnosisInput observed_session(const SessionSetup& setup, std::optional<std::uint64_t> noise_seed);

}  // namespace rigproof
