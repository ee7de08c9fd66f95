#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace rigproof {

/// Ids that limits and procedures may name; evaluate/ defines what they mean.
const std::vector<std::string>& characteristic_ids();

/// Errors of a length, whose limit may grow with it.
bool is_length(std::string_view id);

}  // namespace rigproof
