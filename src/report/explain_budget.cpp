#include <cmath>
#include <map>

#include <fmt/format.h>

#include "base/number.h"
#include "base/version.h"
#include "evaluate/characteristic.h"
#include "evaluate/distribution.h"
#include "report/explain_page.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

std::string dof_text(const std::optional<double>& dof) { return dof ? number(*dof) : "inf"; }

std::string marks_text(const CharacteristicRule& rule) {
  return rule.confidence.empty() ? "" : " [" + rule.confidence + "]";
}

void limit_line(ExplainPage& page, const Explanation& e) {
  const auto& limits = e.results->session.limits.by_characteristic;
  const auto it = limits.find(e.value().id);
  const std::string T = number(e.judged->decision->limit);
  if (it != limits.end() && it->second.K > 0)
    page.equation("T",
                  number(it->second.A_mm) + "+" + number(e.value().nominal_length) + "/" +
                      number(it->second.K),
                  T,
                  "mm");
  else
    page.line("limit T = " + T + " mm");
}

void rule_lines(ExplainPage& page, const Limits& limits, double proven) {
  switch (limits.rule) {
    case DecisionRule::simple:
      page.line("rule simple: within where abs(e) <= T, else outside");
      break;
    case DecisionRule::proven:
      page.line(fmt::format(
          "rule proven: within where p >= {:g}, outside where p <= {:g}, else undecided",
          proven,
          1 - proven));
      break;
    case DecisionRule::guarded:
      page.line(fmt::format(
          "rule guarded, w = {} mm: within where abs(e) <= T-w, outside where abs(e) > T+w, else "
          "undecided",
          number(limits.guard_mm)));
      break;
  }
}

// (±T − e)/u and what F makes of them.
void probability_lines(ExplainPage& page, const Explanation& e) {
  const TestValue& v = e.value();
  const Decision& d = *e.judged->decision;
  if (!(v.u > 0)) {
    page.line("u is zero: p is 1 where abs(e) <= T, else 0");
    page.line(fmt::format("p(within) = {}", fixed(d.p_within, 6)));
    return;
  }
  const std::string F = v.dof ? "Student t with " + number(*v.dof) + " degrees of freedom"
                              : "the normal distribution";
  const double upper = (d.limit - v.value) / v.u, lower = (-d.limit - v.value) / v.u;
  const std::string minus_e = "-(" + number(v.value) + ")", over_u = "/" + number(v.u);
  page.equation("z1", "(" + number(d.limit) + minus_e + ")" + over_u, fixed(upper, 6), "");
  if (v.signed_value)
    page.equation("z2", "(-" + number(d.limit) + minus_e + ")" + over_u, fixed(lower, 6), "");
  page.line(fmt::format("p(within) = {} = {}, F of {}",
                        v.signed_value ? "F(z1)-F(z2)" : "F(z1)",
                        fixed(d.p_within, 6),
                        F));
}

// What the verdict of the session is made of.
void session_lines(ExplainPage& page, const Results& r) {
  std::map<Verdict, int> values;
  int judged = 0, used = 0, stops = 0;
  for (const CharacteristicResult& c : r.characteristics)
    for (const JudgedValue& v : c.values)
      if (v.decision) ++judged, ++values[v.decision->verdict];
  for (const ScanRecord& s : r.scans) used += s.status == ScanStatus::used;
  for (const Finding& f : r.findings)
    stops += f.severity == Severity::stop && f.scope == Scope::session;
  page.line(fmt::format(
      "the session: {} judged values of {} scans that count, of {}: {} within, {} outside, {} "
      "undecided; {} findings that stop it",
      judged,
      used,
      r.scans.size(),
      values[Verdict::within],
      values[Verdict::outside],
      values[Verdict::undecided],
      stops));
  page.line(
      "a stop: not valid; else a value outside: outside; else a position missing: not valid;");
  page.line("else a value undecided: too close to call; else within");
  page.line("verdict of the session: " + plain_text(r.headline, 300));
}

}  // namespace

void explain_uncertainty(ExplainPage& page, const Explanation& e) {
  page.section("Uncertainty of the test value (the scanner's scatter is tested, not in it)");
  const TestValue& v = e.value();
  page.line(
      fmt::format("{:<44}{:>12}  {:>5}  {:<12} {}", "line", "u/um", "dof", "shape", "shared"));
  for (const BudgetLine& line : v.budget)
    page.line(fmt::format("{:<44}{:>12}  {:>5}  {:<12} {}",
                          line.line,
                          um(line.u),
                          dof_text(line.dof),
                          line.shape == LineShape::rectangular ? "rectangular" : "normal",
                          plain_text(line.shared)));
  for (const BudgetLine& line : v.budget) {
    if (line.formula.empty()) continue;
    page.line(line.line + ": u = " + line.formula);
    page.equation("  u", substituted(line), number(line.u), "mm");
  }
  std::string squares, fourths;
  for (const BudgetLine& line : v.budget) {
    squares += (squares.empty() ? "" : "+") + number(line.u) + "^2";
    if (line.dof && line.u > 0)
      fourths += (fourths.empty() ? "" : "+") + number(line.u) + "^4/" + number(*line.dof);
  }
  page.equation("u", "sqrt(" + squares + ")", number(v.u), "mm");
  if (e.dof && !fourths.empty()) {
    page.equation("nu_eff", number(v.u) + "^4/(" + fourths + ")", number(*e.dof), "");
    page.line("truncated: nu = " + dof_text(v.dof));
  } else {
    page.line("no line has finite degrees of freedom: nu = inf");
  }
  page.line(fmt::format("k = {}: Student t of nu, two-sided 95.45 %", number(v.k)));
  page.equation("U", number(v.k) + "*" + number(v.u), number(v.U), "mm");
  explain_repeatability(page, e);
}

void explain_decision(ExplainPage& page, const Explanation& e) {
  page.section("Decision");
  const Limits& limits = e.results->session.limits;
  if (!e.judged->decision) {
    page.line("no limit is agreed for " + e.value().id + ": the value is information");
    return;
  }
  limit_line(page, e);
  rule_lines(page, limits, e.results->session.procedure.proven_probability);
  probability_lines(page, e);
  const Decision& d = *e.judged->decision;
  const std::string over_T = "/" + number(d.limit);
  page.equation("ratio", "abs(" + number(e.value().value) + ")" + over_T, fixed(d.ratio, 6), "");
  page.equation("U/T", number(e.value().U) + over_T, fixed(e.value().U / d.limit, 6), "");
  page.line("verdict of this value: " + to_string(d.verdict));
  session_lines(page, *e.results);
  page.line("all values within at once (Monte Carlo, shared terms kept): p = " +
            fixed(e.results->p_all_within, 4));
}

void explain_monte_carlo(ExplainPage& page, const Explanation& e) {
  page.section("Monte Carlo check of the budget (JCGM 101)");
  const MonteCarloCheck& m = *e.monte_carlo;
  page.line(fmt::format(
      "{} trials, {}",
      m.trials,
      m.stable ? "stable to a fifth of the tolerance" : "NOT stable to a fifth of the tolerance"));
  page.line("standard deviation " + um(m.result.u) + " um, budget " + um(e.value().u) + " um");
  page.line(fmt::format("interval 95.45 %: {} to {} um, budget {} to {} um",
                        um(m.result.low),
                        um(m.result.high),
                        um(-e.value().U),
                        um(e.value().U)));
  page.line(fmt::format("ends differ by {} and {} um, tolerance {} um: the budget {}",
                        um(m.d_low),
                        um(m.d_high),
                        um(m.tolerance),
                        m.agrees ? "agrees"
                        : m.result.high < e.value().U
                            ? "is the wider one: rectangular lines have no tails"
                            : "does NOT agree"));
  if (e.value().dof)
    page.line("lines of finite degrees of freedom are scaled t here, wider than their u");
  if (e.judged->decision)
    page.line(fmt::format(
        "p(within) = {}, budget {}", fixed(m.p_within, 6), fixed(e.judged->decision->p_within, 6)));
}

void explain_sources(ExplainPage& page, const Explanation& e) {
  page.section("Sources");
  const Session& s = e.results->session;
  const Characteristic* c = find_characteristic(e.value().id);
  if (c) page.words("definition", std::string(c->source));
  page.words("procedure", s.procedure.title + ", " + s.procedure.style);
  if (e.rule)
    page.words("allowance", fmt::format("{:g}{}", e.rule->allowance, marks_text(*e.rule)));
  if (const Artefact* a = e.artefact) {
    page.words("certificate",
               a->certified ? a->certificate + ", " + a->laboratory
                            : std::string("none: a nominal value typed by hand"));
    page.words("expansion",
               fmt::format("{} 1/K, u {} 1/K{}",
                           number(a->alpha_per_K),
                           number(a->u_alpha_per_K),
                           a->alpha_from_table ? ", table of common practice [CP]" : ""));
  }
  page.words("limits", s.limits.set_by.empty() ? s.limits.name : "set by " + s.limits.set_by);
  page.words("fit", "Forbes, NPL Report DITC 140/89: orthogonal least squares");
  std::string marks;
  for (const auto& [name, mark] : s.procedure.marks)
    marks += (marks.empty() ? "" : ", ") + name + " [" + mark + "]";
  page.words("its numbers", marks);
  page.words("budget",
             "JCGM 100:2008, 5.1.2, G.4 and table G.2; zone choice, form: own practice [O]");
  const auto mark = s.procedure.marks.find("proven");
  page.words("decision",
             fmt::format("JCGM 106:2012, clause 7; ISO 14253-1:2017 ({:g} %){}",
                         100 * s.procedure.proven_probability,
                         mark == s.procedure.marks.end() ? "" : " [" + mark->second + "]"));
  for (const std::string& deviation : printed_deviations(s.procedure))
    page.words("deviation", deviation);
  page.words("software", "rigproof " + version() + ", " + build());
  page.line("marks: S read in public text, C computed, M from memory, CP common practice, O own");
}

}  // namespace rigproof
