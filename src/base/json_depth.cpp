#include "base/json_depth.h"

namespace rigproof {

bool json_nests_deeper(std::string_view json, int levels) {
  int depth = 0;
  bool quoted = false;
  for (std::size_t i = 0; i < json.size(); ++i) {
    const char c = json[i];
    if (quoted) {
      if (c == '\\') ++i;
      if (c == '"') quoted = false;
      continue;
    }
    if (c == '"') quoted = true;
    if (c == '[' || c == '{') ++depth;
    if (c == ']' || c == '}') --depth;
    if (depth > levels) return true;
  }
  return false;
}

std::string json_complaint(const std::string& said) {
  static constexpr std::size_t kMost = 160;
  return said.size() <= kMost ? said : said.substr(0, kMost) + "…";
}

}  // namespace rigproof
