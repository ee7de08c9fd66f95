#pragma once

#include "simulate/session_setup.h"

namespace rigproof {

/// What the operator of a simulated session wrote down: session, rig with its noise, artefacts as
/// certified (or as a placement fault has spoilt the papers), no scans yet. Always simulated.
Session make_session(const SessionSetup& setup, const std::filesystem::path& folder);

/// The believed calibration in words and numbers, to be hashed like a real one.
std::string calibration_text(const StereoRig& rig);

/// Zone of a place; "" where it lies so near to a border that noise could move it.
std::string clear_zone(const SessionSetup& setup, const Vec3& center);

}  // namespace rigproof
