#include "scan/simulated.h"

#include <algorithm>

#include "scan/text.h"

namespace rigproof {

bool says_simulated(const std::vector<std::string>& comments) {
  static constexpr std::string_view kWord = "simulated";
  return std::ranges::any_of(comments, [](const std::string& comment) {
    const std::size_t from = comment.find_first_not_of("#/!;% \t");  // marks of text comments
    return from != std::string::npos && lower(comment.substr(from, kWord.size())) == kWord;
  });
}

}  // namespace rigproof
