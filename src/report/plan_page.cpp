#include <cmath>
#include <span>

#include "report/assets.h"
#include "report/html_page.h"
#include "report/page_template.h"
#include "report/plain_text.h"
#include "report/plan_view.h"
#include "report/svg_canvas.h"

namespace rigproof {
namespace {

constexpr double kPicture = 150, kOverview = 330;
constexpr std::pair<View, const char*> kOverviews[] = {
    {View::front, "view.front"}, {View::top, "view.top"}, {View::side, "view.side"}};

void add_views(PageData& to,
               const PlanView& view,
               const std::string& id,
               const std::vector<PlacedPiece>& pieces,
               std::span<const std::pair<View, const char*>> views,
               double box,
               const std::string& description) {
  const Volume& volume = view.session.field()->volume;
  const double scale = sketch_scale(volume, box, box);
  int n = 0;
  for (const auto& [side, key] : views) {
    const Point2 size = sketch_size(volume, side, scale);
    const double width = std::max(size[0], 80.0);
    SvgCanvas svg(id + "-" + std::to_string(++n), width, size[1]);
    draw(svg,
         {side, volume, pieces, view.language.text(key), pieces.size() > 1},
         width,
         size[1],
         scale);
    to.add("views").html("svg", svg.finish(view.language.text(key), description));
  }
}

void add_positions(PageData& page, const PlanView& view) {
  std::vector<PlacedPiece> all;
  for (const PlannedScan& scan : view.plan.scans) {
    PageData& row = page.add("positions");
    const PlacedPiece piece = view.piece(scan);
    row.text("id", scan.id).text("artefact", view.artefact(scan)).text("place", view.place(scan));
    if (!scan.repeats.empty())
      row.text("again", view.language.text("plan.again", {{"id", scan.repeats}}));
    else
      all.push_back(piece);
    add_views(row, view, scan.id, {piece}, kPlanViews, kPicture, piece.words);
  }
  add_views(page, view, "all", all, kOverviews, kOverview, view.language.text("plan.view-all"));
}

std::string found_from(const PlanView& view, const PlanLimit& limit) {
  const int decimals = limit.value < 0.1 ? 3 : limit.value < 10 ? 2 : limit.value < 100 ? 1 : 0;
  return view.numbers.number(limit.value, decimals) + " " +
         (limit.unit == "um"     ? "µm"
          : limit.unit == "urad" ? "µrad"
                                 : limit.unit);
}

void add_limits(PageData& page, const PlanView& view) {
  for (const PlanLimit& limit : view.plan.limits) {
    const bool dent = !limit.zone.empty();
    PageData& row = page.add(dent ? "dents" : "limits");
    row.text("fault", dent ? view.language.zone(limit.zone) : limit.id)
        .text("found", found_from(view, limit))
        .text("error", view.numbers.small_with_unit(limit.worst_sd_mm, 1));
    if (limit.textbook_sd_mm)
      row.text("usual", view.numbers.small_with_unit(*limit.textbook_sd_mm, 1));
    else
      row.text("usual", view.language.text("plan.unseen"));
  }
  for (const auto& group : view.plan.alike) {
    std::string names;
    for (const std::string& id : group) names += (names.empty() ? "" : ", ") + id;
    page.add("alike").text("line", view.language.text("plan.alike", {{"names", names}}));
  }
  const Plan::Worst worst = view.plan.worst();
  if (worst.plan > 0 && std::isfinite(worst.textbook))
    page.text("gain",
              view.language.text("plan.gain",
                                 {{"plan", view.numbers.small_with_unit(worst.plan, 1)},
                                  {"usual", view.numbers.small_with_unit(worst.textbook, 1)}}));
}

}  // namespace

std::string plan_html(const Session& session, const Plan& plan, const ReportOptions& options) {
  const PlanView view(session, plan, options);
  const auto assets = assets_folder(options);
  PageData page;
  for (const auto& [key, text] : view.language.texts())
    if (key.starts_with("plan.") || key.starts_with("cautions.")) {
      std::string name = "t_" + key;
      for (char& c : name)
        if (c == '.' || c == '-') c = '_';
      page.text(name, text);
    }
  page.text("language", view.language.code()).text("heading", view.title());
  page.text("lead", view.lead());
  page.text("place_note",
            view.language.text(
                "plan.place",
                {{"mm",
                  view.numbers.number(
                      placing_rules(session.rig, *session.field(), session.procedure).clearance_mm,
                      0)}}));
  page.flag("simulated", session.simulated).flag("assumed", plan.noise_assumed);
  page.flag("short", !plan.meets_procedure()).flag("has_limits", !plan.limits.empty());
  for (const std::string& why : plan.lacking) page.add("lacking").text("line", why);
  for (const std::string& hint : plan.hints) page.add("hints").text("line", hint);
  add_positions(page, view);
  add_limits(page, view);
  for (const std::string& line : view.cautions()) page.add("cautions").text("line", line);
  add_styles(page, assets, {"page.css", "plots.css", "plan.css"});
  return render_template(assets / "templates" / "plan.mustache", page);
}

}  // namespace rigproof
