#include "report/quantity.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <string_view>

#include <fmt/format.h>

#include "base/number.h"

namespace rigproof {
namespace {

constexpr std::string_view kThinSpace = "\u202f";
constexpr std::string_view kMinus = "\u2212";
constexpr std::string_view kNoBreak = "\u00a0";

std::string grouped(const std::string& digits) {
  if (digits.size() < 5) return digits;
  std::string out;
  for (std::size_t i = 0; i < digits.size(); ++i) {
    if (i > 0 && (digits.size() - i) % 3 == 0) out += kThinSpace;
    out += digits[i];
  }
  return out;
}

constexpr std::array<std::string_view, 12> kMonthsEn{"January",
                                                     "February",
                                                     "March",
                                                     "April",
                                                     "May",
                                                     "June",
                                                     "July",
                                                     "August",
                                                     "September",
                                                     "October",
                                                     "November",
                                                     "December"};
constexpr std::array<std::string_view, 12> kMonthsDe{"Januar",
                                                     "Februar",
                                                     "März",
                                                     "April",
                                                     "Mai",
                                                     "Juni",
                                                     "Juli",
                                                     "August",
                                                     "September",
                                                     "Oktober",
                                                     "November",
                                                     "Dezember"};

}  // namespace

std::string NumberStyle::number(double value, int decimals) const {
  if (!std::isfinite(value)) return "–";
  std::string text = fixed(value, std::clamp(decimals, 0, 9));
  const bool negative = text.starts_with('-');
  if (negative) text.erase(0, 1);
  const std::size_t point = std::min(text.find('.'), text.size());
  std::string out = negative ? std::string(kMinus) : "";
  out += grouped(text.substr(0, point));
  if (point < text.size()) out += (language_ == "de" ? "," : ".") + text.substr(point + 1);
  return out;
}

std::string NumberStyle::count(std::uint64_t n) const { return grouped(std::to_string(n)); }

std::string NumberStyle::small_with_unit(double mm, int decimals) const {
  return small(mm, decimals) + std::string(kNoBreak) + small_unit();
}

std::string NumberStyle::large_with_unit(double mm, int decimals) const {
  return large(mm, decimals) + std::string(kNoBreak) + large_unit();
}

std::string NumberStyle::percent(double share, int decimals) const {
  return number(100 * share, decimals) + std::string(kNoBreak) + "%";
}

std::string NumberStyle::date(const Date& date) const {
  if (!date.ok()) return "–";
  const auto month = static_cast<unsigned>(date.month()) - 1;
  const bool german = language_ == "de";
  return fmt::format("{}{} {} {}",
                     static_cast<unsigned>(date.day()),
                     german ? "." : "",
                     german ? kMonthsDe[month] : kMonthsEn[month],
                     static_cast<int>(date.year()));
}

int NumberStyle::decimals_for(double value_mm, double U_mm, double limit_mm) const {
  const double U = to_small(U_mm);
  int decimals = inch_ ? 0 : 1;
  if (U > 0) decimals = static_cast<int>(std::clamp(1 - std::floor(std::log10(U)), 0.0, 4.0));
  if (!(limit_mm > 0)) return decimals;
  const double value = std::abs(to_small(value_mm)), limit = to_small(limit_mm);
  for (; decimals < 6; ++decimals) {
    const double scale = std::pow(10.0, decimals);
    const double v = std::round(value * scale), t = std::round(limit * scale);
    if (value == limit || (value < limit ? v < t : v > t)) break;
  }
  return decimals;
}

}  // namespace rigproof
