#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace rigproof {

/// Fewest insertions, deletions, replacements and swaps of neighbours that turn one word into the
/// other (restricted Damerau-Levenshtein distance), upper and lower case alike. Words are bytes,
/// and of each no more than 64 count.
int edit_distance(std::string_view a, std::string_view b);

/// The known name that `word` was probably meant to be: the nearest within a third of its length,
/// the first of equals; "" when none is near.
std::string near_name(std::string_view word, const std::vector<std::string>& known);

/// "\"a\", \"b\" and \"c\"", at most `most` of them, "…" for the rest; "none" when empty.
std::string listed(const std::vector<std::string>& names, std::size_t most = 12);

/// What to do about an unknown word: "Did you mean \"x\"? Known are …".
std::string did_you_mean(std::string_view word, const std::vector<std::string>& known);

}  // namespace rigproof
