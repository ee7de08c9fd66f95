#pragma once

#include "inputs/session.h"

namespace rigproof {

/// The day of a test that session.toml does not date: an ISO date at the head of the id, which
/// copying keeps, else the day (UTC) that the newest scan was written. nullopt when neither tells.
std::optional<AssumedDate> assumed_date(const std::string& id,
                                        const std::vector<std::filesystem::path>& scans);

}  // namespace rigproof
