#include "report/explain.h"

#include <cctype>
#include <cmath>

#include <fmt/format.h>

#include "base/number.h"
#include "evaluate/characteristic.h"
#include "report/explain_page.h"
#include "report/plain_text.h"

namespace rigproof {

void ExplainPage::section(const std::string& title) {
  text_ += fmt::format("\n{} {}\n", ++sections_, title);
}

void ExplainPage::line(const std::string& text) { text_ += "  " + text + "\n"; }

void ExplainPage::equation(const std::string& name,
                           const std::string& expression,
                           const std::string& result,
                           const std::string& unit) {
  line(name + " = " + expression + " = " + result + (unit.empty() ? "" : " " + unit));
}

void ExplainPage::words(const std::string& label, const std::string& text) {
  if (!text.empty()) line(fmt::format("{:<14}{}", label, plain_text(text, 600)));
}

std::string mm(double value) { return fixed(value, 7); }
std::string um(double value_mm) { return fixed(1000 * value_mm, 4); }
std::string bracketed(double value_mm) {
  return value_mm < 0 ? "(" + mm(value_mm) + ")" : mm(value_mm);
}
std::string number(double value) { return fmt::format("{:.12g}", value); }

std::string substituted(const BudgetLine& line) {
  std::string out;
  for (std::size_t i = 0; i < line.formula.size();) {
    const auto letter = [&](std::size_t k) {
      return k < line.formula.size() &&
             (std::isalnum(static_cast<unsigned char>(line.formula[k])) || line.formula[k] == '_');
    };
    std::size_t end = i;
    while (letter(end)) ++end;
    if (end == i) {
      out += line.formula[i++];
      continue;
    }
    const std::string word = line.formula.substr(i, end - i);
    const auto it = std::ranges::find(line.inputs, word, &LineInput::symbol);
    out += it == line.inputs.end() ? word : exact(it->value);
    i = end;
  }
  return out;
}

std::string explanation_text(const Explanation& e) {
  const TestValue& v = e.value();
  const Characteristic* c = find_characteristic(v.id);
  std::string subject = "artefact " + v.artefact;
  if (!v.ball.empty()) subject += ", ball " + v.ball;
  if (!v.pair.first.empty()) subject += ", balls " + v.pair.first + " and " + v.pair.second;
  std::string head = fmt::format("{}\n{}{}: {}\n{}\n{}, {}{}\n",
                                 plain_text(value_name(v)),
                                 c ? std::string(c->name) + " " : "",
                                 e.characteristic->symbol,
                                 c ? c->definition : "",
                                 plain_text(subject),
                                 plain_text(v.scan),
                                 plain_text(v.place),
                                 v.zone.empty() || v.zone == v.place ? "" : ", zone " + v.zone);
  if (e.results->simulated) head += "SIMULATED: no real rig was tested\n";
  ExplainPage page;
  explain_points(page, e);
  explain_fits(page, e);
  explain_value(page, e);
  explain_uncertainty(page, e);
  explain_decision(page, e);
  if (e.monte_carlo) explain_monte_carlo(page, e);
  explain_sources(page, e);
  return head + page.text();
}

}  // namespace rigproof
