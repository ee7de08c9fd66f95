#include "base/json_excess.h"

#include <vector>

namespace rigproof {

const char* json_excess(std::string_view json, int levels, int keys) {
  std::vector<int> colons{0};  // of every bracket that is open
  bool quoted = false;
  for (std::size_t i = 0; i < json.size(); ++i) {
    const char c = json[i];
    if (quoted) {
      if (c == '\\') ++i;
      if (c == '"') quoted = false;
      continue;
    }
    if (c == '"') quoted = true;
    if (c == ':' && ++colons.back() > keys) return "has an object of too many keys";
    if (c == '[' || c == '{') colons.push_back(0);
    if ((c == ']' || c == '}') && colons.size() > 1) colons.pop_back();
    if (static_cast<int>(colons.size()) - 1 > levels) return "nests too deep";
  }
  return nullptr;
}

std::string json_complaint(const std::string& said) {
  static constexpr std::size_t kMost = 160;
  return said.size() <= kMost ? said : said.substr(0, kMost) + "…";
}

}  // namespace rigproof
