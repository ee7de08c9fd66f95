#include "inputs/near_name.h"

#include <algorithm>
#include <array>

#include "base/input_file.h"

namespace rigproof {
namespace {

constexpr std::size_t kLongest = 64;

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

}  // namespace

int edit_distance(std::string_view a, std::string_view b) {
  a = a.substr(0, kLongest);
  b = b.substr(0, kLongest);
  std::array<std::array<int, kLongest + 1>, 3> rows{};
  auto *before = &rows[0], *last = &rows[1], *now = &rows[2];
  for (std::size_t j = 0; j <= b.size(); ++j) (*last)[j] = static_cast<int>(j);
  for (std::size_t i = 1; i <= a.size(); ++i) {
    (*now)[0] = static_cast<int>(i);
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const bool same = lower(a[i - 1]) == lower(b[j - 1]);
      int best = std::min({(*last)[j] + 1, (*now)[j - 1] + 1, (*last)[j - 1] + (same ? 0 : 1)});
      if (i > 1 && j > 1 && lower(a[i - 1]) == lower(b[j - 2]) &&
          lower(a[i - 2]) == lower(b[j - 1]))
        best = std::min(best, (*before)[j - 2] + 1);
      (*now)[j] = best;
    }
    auto* free = before;
    before = last;
    last = now;
    now = free;
  }
  return (*last)[b.size()];
}

std::string near_name(std::string_view word, const std::vector<std::string>& known) {
  std::string nearest;
  int least = static_cast<int>(std::max<std::size_t>(1, std::min(word.size(), kLongest) / 3)) + 1;
  for (const std::string& name : known) {
    const int d = edit_distance(word, name);
    if (d < least) {
      least = d;
      nearest = name;
    }
  }
  return nearest;
}

std::string listed(const std::vector<std::string>& names, std::size_t most) {
  if (names.empty()) return "none";
  std::string out;
  const std::size_t shown = std::min(names.size(), most);
  for (std::size_t i = 0; i < shown; ++i) {
    if (i > 0) out += i + 1 == names.size() ? " and " : ", ";
    out += '"' + display(names[i]) + '"';
  }
  return shown < names.size() ? out + " …" : out;
}

std::string did_you_mean(std::string_view word, const std::vector<std::string>& known) {
  const std::string near = near_name(word, known);
  const std::string all = "Known: " + listed(known, 30) + ".";
  return near.empty() ? all : "Did you mean \"" + display(near) + "\"? " + all;
}

}  // namespace rigproof
