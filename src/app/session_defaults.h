#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "inputs/session.h"

namespace rigproof {

/// The newest session in a folder, by its date, then by the time of its file. Left out: what cannot
/// be read, simulated sessions, and those without a rig.
std::optional<Session> newest_session(const std::filesystem::path& folder);

/// The file that stands for a part of an earlier session today: that of the home folder, which may
/// have been calibrated or corrected since, else the session's own copy, else what the name means.
/// copy: relative to the session, "limits.toml".
std::filesystem::path file_since(const Session& last,
                                 const std::string& kind,
                                 const std::string& name,
                                 const std::string& copy);

/// The only field of view in the home folder, "R12/300"; nullopt when there are none or several.
std::optional<std::string> only_rig_field();

/// Limits that were agreed for a rig: ID-agreed beside its file; "none" when there are none.
std::string limits_beside(const std::filesystem::path& rig_file, const std::string& rig_id);

/// Names of artefacts that fit a field of view (design rule of thumb of L0, the space diagonal: a
/// bar of at least 0.3 L0 and one of at least 0.6 L0, a plate of at least 0.5 L0, a ball nearest to
/// 0.1 L0 within 0.02–0.2 L0), the smallest of each. Out of the home folder; for a sample rig what
/// is missing comes from the samples.
std::vector<std::string> fitting_artefacts(const std::filesystem::path& rig_file,
                                           const Volume& volume);

bool is_sample(const std::filesystem::path& file);

}  // namespace rigproof
