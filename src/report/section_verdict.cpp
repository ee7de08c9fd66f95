#include <algorithm>

#include "report/plain_text.h"
#include "report/sections.h"
#include "report/statements.h"

namespace rigproof {
namespace {

void fact(PageData& page, const std::string& label, const std::string& value) {
  page.add("facts").text("label", label).text("value", value);
}

void fill_summary_row(PageData& row, const ReportContext& context, const CharacteristicResult& c) {
  const JudgedValue* worst = worst_of(c);
  row.text("symbol", c.symbol).text("name", context.name(c.id));
  row.text("verdict", context.verdict(c.verdict));
  row.text("verdict_id", to_string(c.verdict)).text("glyph", ReportContext::glyph(c.verdict));
  row.text("n", std::to_string(c.values.size()));
  if (!worst) return;
  const double limit = worst->decision ? worst->decision->limit : 0;
  const int d = context.numbers.decimals_for(worst->value.value, worst->value.U, limit);
  row.text("value", context.numbers.small(worst->value.value, d));
  row.text("U", context.numbers.small(worst->value.U, d));
  if (worst->decision) {
    row.text("limit", context.numbers.small(limit, d));
    row.text("share", context.numbers.percent(worst->decision->ratio, 0));
  }
  row.text("label", context.label(worst->value.scan)).text("where", context.where(worst->value));
}

std::string previous_words(const ReportContext& context) {
  const Results& previous = *context.options.previous;
  std::string text = plain_text(previous.session.id, 80) + ": " + context.verdict(previous.verdict);
  if (const JudgedValue* weakest = weakest_value(previous))
    text +=
        ", " + context.t("of-limit", {{"p", context.numbers.percent(weakest->decision->ratio, 0)}});
  return text;
}

int count_status(const Results& results, ScanStatus status) {
  return static_cast<int>(std::ranges::count(results.scans, status, &ScanRecord::status));
}

}  // namespace

void fill_verdict(PageData& page, const ReportContext& context) {
  const Results& r = context.results;
  page.text("verdict_id", to_string(r.verdict));
  page.text("verdict_word", context.verdict(r.verdict));
  page.text("verdict_glyph", ReportContext::glyph(r.verdict));
  page.text("headline", headline(context));
  page.text("next_step", context.language.phrase(r.next_step));
  page.text("customer_sentence", customer_sentence(context));
  if (const JudgedValue* weakest = weakest_value(r)) {
    fact(page,
         context.t("fact.weakest"),
         context.name(weakest->value.id) + ": " + value_words(context, *weakest));
    fact(page,
         context.t("fact.where"),
         context.label(weakest->value.scan) + ", " + context.where(weakest->value) + ", " +
             plain_text(weakest->value.artefact, 80));
    fact(page, context.t("fact.p-all"), context.numbers.percent(r.p_all_within, 1));
  }
  const int redone =
      count_status(r, ScanStatus::withdrawn) + count_status(r, ScanStatus::superseded);
  fact(page,
       context.t("fact.scans"),
       context.t("fact.scans-words",
                 {{"used", std::to_string(count_status(r, ScanStatus::used))},
                  {"all", std::to_string(r.scans.size())},
                  {"redone", std::to_string(redone)},
                  {"rejected", std::to_string(count_status(r, ScanStatus::rejected))}}));
  fact(page,
       context.t("fact.time"),
       context.t(
           "fact.time-words",
           {{"n",
             context.numbers.number(r.session.procedure.minutes_per_scan * r.scans.size(), 0)}}));
  if (context.options.previous) fact(page, context.t("fact.previous"), previous_words(context));
  for (const auto& c : r.characteristics)
    if (c.judged && !c.values.empty()) fill_summary_row(page.add("summary"), context, c);
  for (const std::string& id : r.not_tested) page.add("not_tested").text("name", context.name(id));
  page.flag("has_not_tested", !r.not_tested.empty());
  page.flag("has_summary", page.lists().contains("summary"));
}

}  // namespace rigproof
