#include "base/number.h"

#include <cmath>

#include <fmt/format.h>

namespace rigproof {

std::string exact(double value) { return fmt::format("{}", value); }

std::string fixed(double value, int decimals) {
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.starts_with('-') && text.find_first_not_of("-0.") == std::string::npos) text.erase(0, 1);
  return text;
}

std::string micrometres(double mm, int decimals) { return fixed(mm * 1000, decimals) + " µm"; }

}  // namespace rigproof
