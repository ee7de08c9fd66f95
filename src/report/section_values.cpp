#include <algorithm>
#include <cmath>
#include <map>

#include "report/bar_plot.h"
#include "report/plain_text.h"
#include "report/sections.h"
#include "report/statements.h"
#include "report/svg_canvas.h"
#include "report/value_plot.h"

namespace rigproof {
namespace {

constexpr double kPlotWidth = 320, kPlotHeight = 200;

bool shown_in_full(const Results& r, const CharacteristicResult& c) {
  const bool any_judged = std::ranges::any_of(r.characteristics, &CharacteristicResult::judged);
  return !c.values.empty() && (c.judged || !any_judged);
}

// Ball or pair of balls that a value was measured on.
std::string item(const TestValue& v) {
  return plain_text(v.pair.first.empty() ? v.ball : v.pair.first + "–" + v.pair.second, 40);
}

// The spacing with the radius rule that the procedure did not choose; both are always printed.
std::string other_radius(const ReportContext& context) {
  return context.results.session.procedure.center_radius == RadiusRule::free ? "fixed_radius"
                                                                             : "free_radius";
}

PlotValue plot_value(const ReportContext& context, const JudgedValue& v) {
  PlotValue p;
  p.key = p.label = context.label(v.value.scan);
  p.title = p.key + " · " + context.where(v.value) + " · " + value_words(context, v);
  p.y = context.numbers.to_small(v.value.value);
  p.U = context.numbers.to_small(v.value.U);
  p.limit = v.decision ? context.numbers.to_small(v.decision->limit) : 0;
  p.verdict = v.decision ? v.decision->verdict : Verdict::invalid;
  return p;
}

struct PlotKind {
  const char* suffix;
  const char* title_key;
  double (*coordinate)(const TestValue&);
};
constexpr PlotKind kKinds[] = {
    {"x", "plot.x", [](const TestValue& v) { return v.center.x(); }},
    {"y", "plot.y", [](const TestValue& v) { return v.center.y(); }},
    {"z", "plot.z", [](const TestValue& v) { return v.center.z(); }},
    {"L", "plot.length", [](const TestValue& v) { return v.nominal_length; }},
};

void add_plots(PageData& section, const ReportContext& context, const CharacteristicResult& c) {
  ValuePlot plot;
  for (const JudgedValue& v : c.values) plot.values.push_back(plot_value(context, v));
  plot.signed_values = c.values.front().value.signed_value;
  plot.y = value_ticks(plot.values, plot.signed_values);
  plot.y_title = context.t("plot.deviation", {{"unit", context.numbers.small_unit()}});
  const auto length = [](const JudgedValue& v) { return v.value.nominal_length; };
  const auto [low, high] = std::ranges::minmax_element(c.values, {}, length);
  const bool lengths = length(*low) > 0 && length(*high) > 1.05 * length(*low);
  for (const PlotKind& kind : kKinds) {
    if (kind.suffix[0] == 'L' && !lengths) continue;
    for (std::size_t i = 0; i < c.values.size(); ++i)
      plot.values[i].x = context.numbers.to_large(kind.coordinate(c.values[i].value));
    plot.x_title = context.t(kind.title_key, {{"unit", context.numbers.large_unit()}});
    SvgCanvas svg("v-" + plain_text(c.id, 40) + "-" + kind.suffix, kPlotWidth, kPlotHeight);
    draw(svg, plot, kPlotWidth, kPlotHeight, context.numbers);
    section.add("plots").html(
        "svg",
        svg.finish(context.name(c.id) + ": " + plot.x_title, context.t("plot.values-description")));
  }
}

void add_row(PageData& row, const ReportContext& context, const JudgedValue& judged) {
  const TestValue& v = judged.value;
  const NumberStyle& n = context.numbers;
  const double limit = judged.decision ? judged.decision->limit : 0;
  const int d = n.decimals_for(v.value, v.U, limit);
  const int large = n.inch() ? 6 : 4;
  row.text("key", context.label(v.scan)).text("where", context.where(v));
  row.text("artefact", plain_text(v.artefact, 60)).text("item", item(v));
  if (v.measured != 0) row.text("measured", n.large(v.measured, large));
  if (v.reference != 0) row.text("reference", n.large(v.reference, large));
  row.text("value", n.small(v.value, d)).text("U", n.small(v.U, d));
  row.text("all", n.small(v.value_all_points, d));
  if (const auto it = v.alternatives.find(other_radius(context)); it != v.alternatives.end())
    row.text("other", n.small(it->second, d));
  row.text("points", n.count(v.points)).text("left_out", n.count(v.left_out));
  row.text("spacing", n.number(n.inch() ? v.spacing_um / 25.4 * 1000 : v.spacing_um, 0));
  if (!judged.decision) return;
  row.text("limit", n.small(limit, d));
  row.text("share", n.percent(judged.decision->ratio, 0));
  row.text("p", n.number(judged.decision->p_within, 3));
  row.text("verdict", context.verdict(judged.decision->verdict));
  row.text("verdict_id", to_string(judged.decision->verdict));
  row.text("glyph", ReportContext::glyph(judged.decision->verdict));
}

void add_section(PageData& section, const ReportContext& context, const CharacteristicResult& c) {
  section.text("id", "c-" + plain_text(c.id, 40));
  section.text("symbol", plain_text(c.symbol, 40)).text("name", context.name(c.id));
  const std::string about = "about." + c.id;
  if (context.language.has(about)) section.text("about", context.t(about));
  section.text("verdict", c.judged ? context.verdict(c.verdict) : context.t("not-judged"));
  section.text("verdict_id", c.judged ? to_string(c.verdict) : "values");
  section.text("glyph", c.judged ? ReportContext::glyph(c.verdict) : "·");
  const std::string other = other_radius(context);
  section.text("other_radius", context.t(other == "fixed_radius" ? "col.fixed" : "col.free"));
  section.flag("has_other", std::ranges::any_of(c.values, [&](const JudgedValue& v) {
                 return v.value.alternatives.contains(other);
               }));
  section.flag("has_measured", std::ranges::any_of(c.values, [](const JudgedValue& v) {
                 return v.value.reference != 0;
               }));
  section.flag("has_limit", c.judged);
  add_plots(section, context, c);
  for (const JudgedValue& v : c.values) add_row(section.add("rows"), context, v);
}

void add_information(PageData& row, const ReportContext& context, const CharacteristicResult& c) {
  const auto by_value = [](const JudgedValue& v) { return v.value.value; };
  const auto [low, high] = std::ranges::minmax_element(c.values, {}, by_value);
  row.text("symbol", plain_text(c.symbol, 40)).text("name", context.name(c.id));
  row.text("n", std::to_string(c.values.size()));
  row.text("low", context.numbers.small(low->value.value, 1));
  row.text("high", context.numbers.small(high->value.value, 1));
  const JudgedValue* worst = worst_of(c);
  if (!worst) return;
  row.text("key", context.label(worst->value.scan)).text("where", context.where(worst->value));
}

// Names of the budget lines of one characteristic, largest mean square first.
std::vector<std::string> line_names(const CharacteristicResult& c) {
  std::map<std::string, double> squares;
  for (const JudgedValue& v : c.values)
    for (const BudgetLine& line : v.value.budget) squares[line.line] += line.u * line.u;
  std::vector<std::string> names;
  for (const auto& [name, unused] : squares) names.push_back(name);
  std::ranges::stable_sort(names, std::greater{}, [&](const auto& n) { return squares[n]; });
  return names;
}

void add_budget_bars(PageData& section,
                     const ReportContext& context,
                     const CharacteristicResult& c) {
  const JudgedValue* worst = worst_of(c);
  if (!worst) return;
  std::vector<BarRow> bars;
  for (const BudgetLine& line : worst->value.budget)
    bars.push_back({context.language.phrase(line.line),
                    context.numbers.to_small(line.u),
                    context.numbers.small_with_unit(line.u, context.numbers.inch() ? 1 : 2)});
  std::ranges::stable_sort(bars, std::greater{}, &BarRow::size);
  bars.push_back({context.t("budget.together"),
                  context.numbers.to_small(worst->value.u),
                  context.numbers.small_with_unit(worst->value.u, context.numbers.inch() ? 1 : 2)});
  const double height = bars_height(bars.size());
  SvgCanvas svg("budget-" + plain_text(c.id, 40), 480, height);
  draw_bars(svg, bars, 480);
  const std::string title = context.t(
      "budget.of", {{"name", context.name(c.id)}, {"label", context.label(worst->value.scan)}});
  section.text("bars_title", title);
  section.html("bars", svg.finish(title, context.t("budget.description")));
}

void add_budget_row(PageData& row,
                    const ReportContext& context,
                    const TestValue& v,
                    const std::vector<std::string>& names) {
  const int decimals = context.numbers.inch() ? 1 : 2;
  row.text("key", context.label(v.scan)).text("where", context.where(v)).text("item", item(v));
  for (const std::string& name : names) {
    double square = 0;
    for (const BudgetLine& line : v.budget)
      if (line.line == name) square += line.u * line.u;
    row.add("cells").text("u",
                          square > 0 ? context.numbers.small(std::sqrt(square), decimals) : "–");
  }
  row.text("u", context.numbers.small(v.u, decimals)).text("k", context.numbers.number(v.k, 2));
  row.text("dof", v.dof ? context.numbers.number(std::floor(*v.dof), 0) : "∞");
  row.text("U", context.numbers.small(v.U, decimals));
  row.text("u_fit", context.numbers.small(v.u_fit, decimals));
}

}  // namespace

void fill_characteristics(PageData& page, const ReportContext& context) {
  page.text("small_unit", context.numbers.small_unit());
  page.text("large_unit", context.numbers.large_unit());
  page.text("rule_sentence", rule_sentence(context));
  for (const auto& c : context.results.characteristics) {
    if (shown_in_full(context.results, c))
      add_section(page.add("characteristics"), context, c);
    else if (!c.values.empty())
      add_information(page.add("information"), context, c);
  }
  page.flag("has_information", page.lists().contains("information"));
}

void fill_budgets(PageData& page, const ReportContext& context) {
  page.text("uncertainty_sentence", uncertainty_sentence(context));
  page.text("budget_unit", context.t("budget.unit", {{"unit", context.numbers.small_unit()}}));
  for (const auto& c : context.results.characteristics) {
    if (!shown_in_full(context.results, c)) continue;
    const std::vector<std::string> names = line_names(c);
    if (names.empty()) continue;
    PageData& section = page.add("budgets");
    section.text("name", context.name(c.id)).text("symbol", plain_text(c.symbol, 40));
    for (const std::string& name : names)
      section.add("columns").text("name", context.language.phrase(name));
    add_budget_bars(section, context, c);
    for (const JudgedValue& v : c.values)
      add_budget_row(section.add("rows"), context, v.value, names);
  }
}

}  // namespace rigproof
