#include "report/status_page.h"

#include <fmt/format.h>

#include "report/assets.h"
#include "report/context.h"
#include "report/html_page.h"
#include "report/page_template.h"
#include "report/plain_text.h"
#include "report/quantity.h"

namespace rigproof {
namespace {

// "34 544 points · cap 59° · noise 7.4 µm"
std::string facts_of(const StatusView& view, const Language& language, const NumberStyle& numbers) {
  if (view.last_points == 0) return "";
  std::string out = language.text("watch.points", {{"points", numbers.count(view.last_points)}});
  if (view.last_cap_deg)
    out += " · " + language.text("watch.cap", {{"deg", numbers.number(*view.last_cap_deg, 0)}});
  if (view.last_noise_mm > 0)
    out += " · " + language.text("watch.noise",
                                 {{"noise", numbers.small_with_unit(view.last_noise_mm, 1)}});
  return out;
}

std::string value_line(const StatusView::Value& v,
                       const Language& language,
                       const NumberStyle& numbers) {
  const std::string value = numbers.small_with_unit(v.value_mm, 1);
  const std::string name = language.text("characteristic." + v.characteristic);
  return name + " " +
         (v.limit_mm ? language.text(
                           "watch.of",
                           {{"value", value}, {"limit", numbers.small_with_unit(*v.limit_mm, 1)}})
                     : value);
}

}  // namespace

std::string status_html(const StatusView& view, const ReportOptions& options) {
  const std::filesystem::path assets = assets_folder(options);
  const Language language(assets, options.language);
  const NumberStyle numbers(options.language, options.inch);
  PageData page;
  const std::string id = view.decided ? to_string(view.verdict) : "running";
  page.text("state_id", id);
  page.text("state",
            view.decided ? std::string(ReportContext::glyph(view.verdict)) + " " +
                               language.text("verdict." + to_string(view.verdict))
            : view.next_id.empty() ? fmt::format("{} / {}", view.done, view.needed)
                                   : view.next_id);
  page.text("next_place", language.phrase(plain_text(view.next_place, 200)));
  page.text("warning", language.phrase(plain_text(view.warning, 300)));
  std::string count = view.needed > 0 ? fmt::format("{} / {}", view.done, view.needed) : "";
  if (!view.decided && view.minutes_left > 0)
    count +=
        " · " + language.text("watch.left", {{"minutes", numbers.number(view.minutes_left, 0)}});
  page.text("count", count);
  for (const StatusView::Value& v : view.values)
    page.add("values").text("line", value_line(v, language, numbers));
  page.text("headline", language.phrase(plain_text(view.headline, 300)));
  page.text("next_label", language.text("next-step"));
  page.text("next_step", language.phrase(plain_text(view.next_step, 500)));
  page.text("last_scan", view.last_scan);
  page.text("last_words", language.phrase(plain_text(view.last_words, 500)));
  page.text("last_glyph", view.last_good ? "✓" : "✕");
  page.text("last_word", language.text(view.last_good ? "watch.keep" : "watch.rescan"));
  page.text("last_facts", facts_of(view, language, numbers));
  page.text("simulated", view.simulated ? language.text("simulated") : "");
  for (const std::string& line : view.open) page.add("open").text("line", line);
  page.text("language", language.code());
  add_styles(page, assets, {"status.css"});
  return render_template(assets / "templates" / "status.mustache", page);
}

}  // namespace rigproof
