#pragma once

#include <string>
#include <string_view>

namespace rigproof {

/// Text in letters of five rows, for three metres away: A–Z, 0–9, space, - . ? / and lower case as
/// upper. Breaks at spaces (then at hyphens) so that no row is wider than `columns`; blocks are
/// separated by an empty row. A word that does not fit at all stays in plain letters.
std::string large_letters(std::string_view text, int columns);

}  // namespace rigproof
