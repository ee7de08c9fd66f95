#pragma once

#include <string>
#include <vector>

#include "assess/explanation.h"

namespace rigproof {

/// Collects the lines of one explanation. Numbers: mm to 0.1 nm, deviations and uncertainties in µm
/// to 0.1 nm, so that a recomputation agrees to the last digits shown.
class ExplainPage {
 public:
  void section(const std::string& title);
  void line(const std::string& text);
  /// "name = expression = result unit".
  void equation(const std::string& name,
                const std::string& expression,
                const std::string& result,
                const std::string& unit);
  void words(const std::string& label, const std::string& text);  ///< nothing for an empty text
  const std::string& text() const { return text_; }

 private:
  std::string text_;
  int sections_ = 0;
};

std::string mm(double value);            ///< seven decimals
std::string um(double value_mm);         ///< in µm, four decimals
std::string bracketed(double value_mm);  ///< mm, in brackets where negative
/// As short as twelve digits allow.
std::string number(double value);
/// The line's formula with its numbers in the place of its symbols.
std::string substituted(const BudgetLine& line);

void explain_points(ExplainPage& page, const Explanation& e);
void explain_fits(ExplainPage& page, const Explanation& e);
void explain_value(ExplainPage& page, const Explanation& e);
/// The measured value of what does not come from a printed fit: false where it has no such
/// evidence.
bool explain_evidence(ExplainPage& page, const Explanation& e);
void explain_alternatives(ExplainPage& page, const Explanation& e);
void explain_uncertainty(ExplainPage& page, const Explanation& e);
void explain_repeatability(ExplainPage& page, const Explanation& e);
void explain_monte_carlo(ExplainPage& page, const Explanation& e);
void explain_decision(ExplainPage& page, const Explanation& e);
void explain_sources(ExplainPage& page, const Explanation& e);

}  // namespace rigproof
