#include "report/handover.h"

#include <algorithm>
#include <cmath>

#include "report/context.h"
#include "report/html_page.h"
#include "report/plain_text.h"
#include "report/statements.h"

namespace rigproof {
namespace {

// A measuring device takes at most a third of a tolerance band ± t: common practice, no source.
constexpr double kShareOfTolerance = 3;

const CharacteristicResult* find(const Results& results, const std::string& id) {
  const auto it = std::ranges::find(results.characteristics, id, &CharacteristicResult::id);
  return it == results.characteristics.end() ? nullptr : &*it;
}

std::string tolerance_answer(const ReportContext& context) {
  const JudgedValue* value = nullptr;
  std::string name;
  for (const char* id : {"sphere_spacing", "center_distance", "flatness", "probing_form"}) {
    const CharacteristicResult* c = find(context.results, id);
    if (!c || !c->judged || !worst_of(*c) || !worst_of(*c)->decision) continue;
    value = worst_of(*c);
    name = context.name(c->id);
    break;
  }
  if (!value) return context.t("handover.tolerance-unknown");
  if (context.results.verdict != Verdict::within)
    return context.t("handover.tolerance-no",
                     {{"verdict", context.verdict(context.results.verdict)}});
  const NumberStyle& n = context.numbers;
  const double limit = value->decision->limit;
  const int d = n.inch() ? 4 : 3;
  return context.t("handover.tolerance-yes",
                   {{"name", name},
                    {"limit", n.large_with_unit(limit, d)},
                    {"tolerance", n.large_with_unit(kShareOfTolerance * limit, d)}});
}

std::string weakest_answer(const ReportContext& context) {
  const JudgedValue* weakest = weakest_value(context.results);
  if (!weakest) return context.t("handover.weakest-unknown");
  return context.t(
      "handover.weakest",
      {{"name", context.name(weakest->value.id)},
       {"value", value_words(context, *weakest)},
       {"label", context.label(weakest->value.scan)},
       {"where", context.where(weakest->value)},
       {"share",
        context.t("of-limit", {{"p", context.numbers.percent(weakest->decision->ratio, 0)}})}});
}

std::string change_answer(const ReportContext& context) {
  const Results* before = context.options.previous;
  if (!before) return context.t("handover.first");
  std::string text =
      plain_text(before->session.id, 80) + ": " + context.verdict(before->verdict) + ".";
  for (const auto& c : context.results.characteristics) {
    const CharacteristicResult* old = find(*before, c.id);
    const JudgedValue* now = worst_of(c);
    const JudgedValue* then = old ? worst_of(*old) : nullptr;
    if (!c.judged || !now || !then) continue;
    text +=
        " " + context.t("handover.change",
                        {{"name", context.name(c.id)},
                         {"before", context.numbers.small(std::abs(then->value.value), 1)},
                         {"now", context.numbers.small_with_unit(std::abs(now->value.value), 1)}});
  }
  return text;
}

void question(PageData& page,
              const ReportContext& context,
              const char* key,
              const std::string& answer) {
  page.add("questions").text("question", context.t(key)).text("answer", answer);
}

}  // namespace

std::string handover_html(const Results& results, const ReportOptions& options) {
  const ReportContext context(results, options);
  PageData page;
  page.text("id", context.document_id()).text("sentence", customer_sentence(context));
  page.text("verdict_id", to_string(results.verdict))
      .text("verdict", context.verdict(results.verdict));
  page.text("glyph", ReportContext::glyph(results.verdict)).flag("simulated", results.simulated);
  question(page, context, "handover.q-tolerance", tolerance_answer(context));
  question(page, context, "handover.q-time", context.t("handover.time"));
  question(page,
           context,
           "handover.q-accredited",
           options.issuer.accreditation.empty()
               ? context.t("note.accredited")
               : context.t("certificate.accredited",
                           {{"words", plain_text(options.issuer.accreditation, 160)}}));
  question(page, context, "handover.q-weakest", weakest_answer(context));
  question(page, context, "handover.q-change", change_answer(context));
  for (const std::string& line : cautions(context)) page.add("cautions").text("line", line);
  return html_page(context, "handover.mustache", {"page.css", "certificate.css"}, {}, page);
}

}  // namespace rigproof
