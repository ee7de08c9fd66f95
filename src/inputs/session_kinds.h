#pragma once

#include <string>
#include <vector>

namespace rigproof {

/// What a session may be for: acceptance, reverification, interim, as-found, as-left.
const std::vector<std::string>& session_kinds();

}  // namespace rigproof
