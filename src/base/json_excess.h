#pragma once

#include <string>
#include <string_view>

namespace rigproof {

/// Deepest nesting of a document that this program reads; its own go five levels deep.
inline constexpr int kMostJsonLevels = 64;
/// Most keys of one object; those of this program have some thirty.
inline constexpr int kMostJsonKeys = 1000;

/// What a document has too much of, as words that follow its name ("nests too deep"), or nullptr.
/// Copying, comparing and writing a parsed document recurse, so that a hostile one could exhaust
/// the stack, and objects that keep the order of their keys are searched key by key.
const char* json_excess(std::string_view json,
                        int levels = kMostJsonLevels,
                        int keys = kMostJsonKeys);

/// The beginning of what a parser says of a document: it may repeat megabytes of it.
std::string json_complaint(const std::string& said);

}  // namespace rigproof
