#pragma once

#include <cstdint>
#include <string>

#include "inputs/artefact.h"

namespace rigproof {

/// How numbers look: decimal mark of the language, groups of three digits by a thin space and the
/// true minus sign (ISO 80000-1:2009, 7.3), lengths in millimetres or inches. Values stay
/// millimetres everywhere else; CSV and JSON never come through here.
class NumberStyle {
 public:
  NumberStyle(std::string language, bool inch) : language_(std::move(language)), inch_(inch) {}

  bool inch() const { return inch_; }
  std::string number(double value, int decimals) const;
  std::string count(std::uint64_t n) const;
  /// Unit words of deviations ("µm", "µin") and of lengths ("mm", "in").
  std::string small_unit() const { return inch_ ? "µin" : "µm"; }
  std::string large_unit() const { return inch_ ? "in" : "mm"; }
  /// A deviation or uncertainty given in mm, in the small unit, without the unit's name.
  std::string small(double mm, int decimals) const { return number(to_small(mm), decimals); }
  std::string large(double mm, int decimals) const { return number(to_large(mm), decimals); }
  double to_small(double mm) const { return inch_ ? mm / 25.4 * 1e6 : mm * 1e3; }
  double to_large(double mm) const { return inch_ ? mm / 25.4 : mm; }
  std::string small_with_unit(double mm, int decimals) const;
  std::string large_with_unit(double mm, int decimals) const;
  std::string percent(double share, int decimals) const;
  std::string date(const Date& date) const;

  /// Decimals in the small unit at which U shows two digits (JCGM 100:2008, 7.2.6) and a printed
  /// value does not contradict its place relative to the limit. U or limit ≤ 0: not known.
  int decimals_for(double value_mm, double U_mm, double limit_mm) const;

 private:
  std::string language_;
  bool inch_ = false;
};

}  // namespace rigproof
