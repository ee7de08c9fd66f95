#include "report/html_report.h"

#include "base/input_file.h"
#include "report/assets.h"
#include "report/html_page.h"
#include "report/plain_text.h"
#include "report/sections.h"
#include "report/statements.h"

namespace rigproof {

std::string html_report(const Results& results, const ReportOptions& options) {
  const ReportContext context(results, options);
  PageData page;
  page.text("document_id", context.document_id()).text("session_id", results.session.id);
  page.text("date", test_date(context)).flag("simulated", results.simulated);
  fill_verdict(page, context);
  fill_volume(page, context);
  fill_characteristics(page, context);
  fill_positions(page, context);
  fill_zones(page, context);
  fill_diagnosis(page, context);
  fill_drift(page, context);
  fill_budgets(page, context);
  fill_record(page, context);
  const std::string three = three_js(context.assets);
  std::vector<std::string> scripts;
  if (!three.empty()) scripts.push_back(three);
  scripts.push_back(read_text(context.assets / "viewer" / "links.js"));
  if (!three.empty()) scripts.push_back(read_text(context.assets / "viewer" / "volume_view.js"));
  return html_page(
      context, "report.mustache", {"page.css", "plots.css", "report.css"}, scripts, page);
}

}  // namespace rigproof
