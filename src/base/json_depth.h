#pragma once

#include <string>
#include <string_view>

namespace rigproof {

/// Deepest nesting of a document that this program reads; its own go five levels deep.
inline constexpr int kMostJsonLevels = 64;

/// Brackets outside strings nest deeper than `levels`. Copying, comparing and writing a parsed
/// document recurse, so a hostile one could otherwise exhaust the stack, and a byte of it costs
/// some eighty of memory.
bool json_nests_deeper(std::string_view json, int levels = kMostJsonLevels);

/// The beginning of what a parser says of a document: it may repeat megabytes of it.
std::string json_complaint(const std::string& said);

}  // namespace rigproof
