#pragma once

#include <optional>
#include <string_view>

#include "inputs/toml_value.h"

namespace rigproof {

/// The first place where brackets nest, or a dotted key goes, deeper than `levels`. Parsers and
/// destructors recurse, so a hostile file could otherwise exhaust the stack.
std::optional<TomlPlace> deeper_than(std::string_view text, int levels);

}  // namespace rigproof
