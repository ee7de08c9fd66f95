#include "report/statements.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "evaluate/characteristic.h"
#include "evaluate/distribution.h"
#include "judge/distinct_places.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

// The characteristic that the one sentence speaks about: a distance means most to a stranger.
// One that is outside goes first: the sentence must not sound better than the verdict.
const CharacteristicResult* spoken_about(const Results& results) {
  for (const auto& c : results.characteristics)
    if (c.judged && c.verdict == Verdict::outside && !c.values.empty()) return &c;
  for (const char* id : {"sphere_spacing",
                         "center_distance",
                         "flatness",
                         "probing_form",
                         "form_dispersion",
                         "flat_distortion"})
    for (const auto& c : results.characteristics)
      if (c.id == id && !c.values.empty()) return &c;
  for (const auto& c : results.characteristics)
    if (!c.values.empty()) return &c;
  return nullptr;
}

std::string known_lengths(const ReportContext& context, const CharacteristicResult& c) {
  double low = 1e300, high = 0;
  for (const auto& v : c.values) {
    low = std::min(low, v.value.nominal_length);
    high = std::max(high, v.value.nominal_length);
  }
  const NumberStyle& n = context.numbers;
  const int decimals = n.inch() ? 1 : 0;
  if (n.large(low, decimals) == n.large(high, decimals))
    return context.t("sentence.distance", {{"L", n.large_with_unit(high, decimals)}});
  return context.t("sentence.distances",
                   {{"low", n.large(low, decimals)}, {"high", n.large_with_unit(high, decimals)}});
}

std::string rounded_up(const ReportContext& context, double mm) {
  const int decimals = context.numbers.inch() ? 5 : 3;
  const double scale = std::pow(10, decimals);
  const double shown = std::ceil(context.numbers.to_large(mm) * scale - 1e-9) / scale;
  return context.numbers.number(shown, decimals) + "\u00a0" + context.numbers.large_unit();
}

// In per cent, with as few decimals as tell it, at most four.
std::string per_cent(const ReportContext& context, double share) {
  int decimals = 0;
  for (double v = 100 * share; decimals < 4 && std::abs(v - std::round(v)) > 1e-6; v *= 10)
    ++decimals;
  return context.numbers.number(100 * share, decimals);
}

std::string proven_sentence(const ReportContext& context) {
  const double p = context.results.session.procedure.proven_probability;
  return context.t("rule.proven", {{"p", per_cent(context, p)}, {"q", per_cent(context, 1 - p)}});
}

// What the rule leaves out, as a share of the limit.
std::string simple_share(const ReportContext& context) {
  double share = 0;
  for (const auto& c : context.results.characteristics)
    for (const auto& v : c.values)
      if (v.decision) share = std::max(share, v.value.U / v.decision->limit);
  if (share == 0) return "";
  return " " + context.t("rule.simple-share", {{"p", context.numbers.number(100 * share, 0)}});
}

/// A repeat at the place of an earlier value adds no place.
std::ptrdiff_t distinct_places(const ReportContext& context, const CharacteristicResult& c) {
  const Field* field = context.results.session.field();
  DistinctPlaces places(SamePlace::for_volume(field ? &field->volume : nullptr));
  return std::ranges::count_if(c.values, [&](const JudgedValue& v) {
    return places.add(v.value.artefact, v.value.center, v.value.direction);
  });
}

}  // namespace

const JudgedValue* weakest_value(const Results& results) {
  const JudgedValue* weakest = nullptr;
  for (const auto& c : results.characteristics)
    for (const auto& v : c.values)
      if (v.decision && (!weakest || v.decision->ratio > weakest->decision->ratio)) weakest = &v;
  return weakest;
}

const JudgedValue* worst_of(const CharacteristicResult& c) {
  return c.worst >= 0 && c.worst < static_cast<int>(c.values.size())
             ? &c.values[static_cast<std::size_t>(c.worst)]
             : nullptr;
}

std::string test_date(const ReportContext& context) {
  const auto& date = context.results.session.date;
  return date ? context.numbers.date(*date) : "–";
}

std::string volume_words(const ReportContext& context) {
  const Field* field = context.results.session.field();
  if (!field) return "";
  const Volume& v = field->volume;
  const NumberStyle& n = context.numbers;
  const int d = n.inch() ? 1 : 0;
  const std::string depth = n.large_with_unit(v.far_mm - v.near_mm, d);
  if (v.near_width == v.far_width && v.near_height == v.far_height)
    return n.large(v.near_width, d) + " × " + n.large(v.near_height, d) + " × " + depth;
  return context.t("sentence.frustum",
                   {{"near", n.large(v.near_width, d) + " × " + n.large(v.near_height, d)},
                    {"far", n.large(v.far_width, d) + " × " + n.large(v.far_height, d)},
                    {"depth", depth}});
}

std::string customer_sentence(const ReportContext& context) {
  const CharacteristicResult* c = spoken_about(context.results);
  if (!c) return context.t("sentence.nothing");
  const JudgedValue* worst = worst_of(*c);
  const std::ptrdiff_t places = distinct_places(context, *c);
  const bool distance = c->id == "sphere_spacing" || c->id == "center_distance";
  const std::string volume = volume_words(context);
  Words words{
      {"date", test_date(context)},
      {"what",
       distance ? known_lengths(context, *c)
                : context.t("sentence.what", {{"name", context.name(c->id)}})},
      {"n", std::to_string(places)},
      {"field", volume.empty() ? "" : " " + context.t("sentence.field", {{"volume", volume}})},
      {"within", rounded_up(context, worst ? std::abs(worst->value.value) : 0)}};
  std::string text = context.t(places == 1 ? "sentence.one" : "sentence.many", words);
  if (worst && worst->decision)
    text += " " +
            context.t("sentence.agreed", {{"limit", rounded_up(context, worst->decision->limit)}});
  text += ".";
  if (context.results.verdict == Verdict::invalid) text += " " + context.t("sentence.invalid");
  return text;
}

std::string rule_sentence(const ReportContext& context) {
  const Limits& limits = context.results.session.limits;
  if (!context.results.session.limits_given || limits.by_characteristic.empty())
    return context.t("rule.none");
  switch (limits.rule) {
    case DecisionRule::simple:
      return context.t("rule.simple") + simple_share(context);
    case DecisionRule::proven:
      return proven_sentence(context);
    case DecisionRule::guarded:
      return context.t("rule.guarded",
                       {{"w", context.numbers.small_with_unit(limits.guard_mm, 1)}});
  }
  return "";
}

std::string uncertainty_sentence(const ReportContext& context) {
  double low = 1e9, high = 0;
  for (const auto& c : context.results.characteristics)
    for (const auto& v : c.values) {
      low = std::min(low, v.value.k);
      high = std::max(high, v.value.k);
    }
  if (high <= 0) return context.t("uncertainty.none");
  const NumberStyle& n = context.numbers;
  const std::string k = n.number(low, 2) == n.number(high, 2)
                            ? n.number(low, 2)
                            : n.number(low, 2) + " – " + n.number(high, 2);
  return context.t("uncertainty.sentence", {{"k", k}});
}

std::string headline(const ReportContext& context) {
  const std::string& whole = context.results.headline;
  const std::size_t colon = whole.find(": ");
  const std::string rest = colon == std::string::npos ? whole : whole.substr(colon + 2);
  const auto spoken = [&](const std::string& english) {
    const std::string known = context.language.phrase(english);
    return known == english ? context.language.words(english) : known;
  };
  std::string out;
  for (std::size_t at = 0; at <= rest.size();) {
    const std::size_t end = std::min(rest.find("; ", at), rest.size());
    const std::string part = rest.substr(at, end - at);
    const std::size_t bracket = part.find(" (");
    out += at > 0 ? "; " : "";
    if (part.ends_with(')') && bracket != std::string::npos)
      out += spoken(part.substr(0, bracket)) + " (" +
             spoken(part.substr(bracket + 2, part.size() - bracket - 3)) + ")";
    else
      out += spoken(part);
    at = end + 2;
  }
  return out;
}

std::string value_words(const ReportContext& context, const JudgedValue& v) {
  const double limit = v.decision ? v.decision->limit : 0;
  const NumberStyle& n = context.numbers;
  const int d = n.decimals_for(v.value.value, v.value.U, limit);
  std::string text = n.small(v.value.value, d) + " ± " + n.small_with_unit(v.value.U, d);
  if (v.decision) text += " (" + context.t("limit-word") + " " + n.small_with_unit(limit, d) + ")";
  return text;
}

double guard_width(const Session& session, const TestValue& value) {
  switch (session.limits.rule) {
    case DecisionRule::simple:
      return 0;
    case DecisionRule::proven:
      return normal_quantile(session.procedure.proven_probability) * value.u;
    case DecisionRule::guarded:
      return session.limits.guard_mm;
  }
  return 0;
}

std::vector<std::string> cautions(const Language& language) {
  std::vector<std::string> lines;
  for (const char* key : {"caution.light",
                          "caution.flicker",
                          "caution.heat",
                          "caution.mechanical",
                          "caution.spray",
                          "caution.artefacts",
                          "caution.rules"})
    lines.push_back(language.text(key));
  return lines;
}

std::vector<std::string> cautions(const ReportContext& context) {
  return cautions(context.language);
}

}  // namespace rigproof
