#include "report/status_page.h"

#include <fmt/format.h>

#include "report/assets.h"
#include "report/context.h"
#include "report/html_page.h"
#include "report/page_template.h"
#include "report/plain_text.h"

namespace rigproof {

std::string status_html(const StatusView& view, const ReportOptions& options) {
  const std::filesystem::path assets = assets_folder(options);
  const Language language(assets, options.language);
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
  page.text("count", view.needed > 0 ? fmt::format("{} / {}", view.done, view.needed) : "");
  page.text("headline", language.phrase(plain_text(view.headline, 300)));
  page.text("next_label", language.text("next-step"));
  page.text("next_step", language.phrase(plain_text(view.next_step, 500)));
  page.text("last_scan", view.last_scan);
  page.text("last_words", language.phrase(plain_text(view.last_words, 500)));
  page.text("last_glyph", view.last_good ? "✓" : "✕");
  page.text("simulated", view.simulated ? language.text("simulated") : "");
  for (const std::string& line : view.open) page.add("open").text("line", line);
  page.text("language", language.code());
  add_styles(page, assets, {"status.css"});
  return render_template(assets / "templates" / "status.mustache", page);
}

}  // namespace rigproof
