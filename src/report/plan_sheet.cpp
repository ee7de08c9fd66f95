#include <algorithm>
#include <cmath>

#include "report/pdf_document.h"
#include "report/plain_text.h"
#include "report/plan_view.h"
#include "report/volume_sketch.h"

namespace rigproof {
namespace {

constexpr double kMargin = 30, kHead = 62, kFoot = 74, kGap = 5;
constexpr double kNumber = 24, kNumberWidth = 56, kBox = 17;
constexpr double kTitle = 7.5, kTitleIn = 14;  // of a sketch, where its volume begins

/// Cells of equal size for all positions on one page.
struct Grid {
  int columns = 3, rows = 5;
  double width = 0, height = 0;
};

Grid grid_for(std::size_t positions, double width, double height) {
  Grid g;
  g.columns = positions <= 8 ? 2 : positions <= 18 ? 3 : 4;
  g.rows = std::max(1, (static_cast<int>(positions) + g.columns - 1) / g.columns);
  g.width = width / g.columns;
  g.height = height / g.rows;
  return g;
}

class PlanSheet {
 public:
  PlanSheet(PdfDocument& pdf, const PlanView& view) : pdf_(pdf), view_(view) {}

  void draw_all() {
    head();
    const Grid g = grid_for(view_.plan.scans.size(),
                            pdf_.width() - 2 * kMargin,
                            pdf_.height() - 2 * kMargin - kHead - kFoot);
    for (std::size_t i = 0; i < view_.plan.scans.size(); ++i) {
      const auto column = static_cast<int>(i) % g.columns, row = static_cast<int>(i) / g.columns;
      cell(view_.plan.scans[i],
           {kMargin + column * g.width, kMargin + kHead + row * g.height},
           g.width - kGap,
           g.height - kGap);
    }
    foot();
  }

 private:
  void head() {
    const double right = pdf_.width() - kMargin;
    pdf_.text({kMargin, kMargin + 18},
              view_.language.text("plan.title") +
                  (view_.session.simulated ? " – " + view_.language.text("plan.simulated") : ""),
              {19, Ink::text, Anchor::start, true});
    pdf_.text_within({kMargin, kMargin + 36}, right - kMargin, view_.title(), {11});
    pdf_.text_within({kMargin, kMargin + 51},
                     right - kMargin,
                     view_.lead() + " · " + view_.language.text("plan.sides"),
                     {8.5});
    pdf_.line({kMargin, kMargin + kHead - 6}, {right, kMargin + kHead - 6}, {Ink::text, 1.2});
  }

  void cell(const PlannedScan& scan, Point2 at, double width, double height) {
    const auto [x, y] = at;
    pdf_.rect(at, width, height, {}, {Ink::text, 0.6});
    pdf_.rect({x + 5, y + 7}, kBox, kBox, {}, {Ink::text, 1.4});
    pdf_.text({x + kBox + 9, y + kNumber}, scan.id, {kNumber, Ink::text, Anchor::start, true});
    const double left = x + kBox + 9 + kNumberWidth;
    pdf_.paragraph({left, y + 5},
                   width - (left - x) - 4,
                   view_.artefact(scan),
                   {9, Ink::text, Anchor::start, true},
                   2);
    std::string words = view_.place(scan);
    if (!scan.repeats.empty()) words = view_.language.text("plan.again", {{"id", scan.repeats}});
    const double used = pdf_.paragraph({x + 5, y + kNumber + 7}, width - 10, words, {7.5}, 3);
    sketches(scan, {x + 4, y + kNumber + 9 + used}, width - 8, height - kNumber - 13 - used);
  }

  void sketches(const PlannedScan& scan, Point2 at, double width, double height) {
    constexpr double drawn = 150;  // units in which a view is laid out before it is scaled
    const Volume& volume = view_.session.field()->volume;
    const double scale = sketch_scale(volume, drawn, drawn);
    double across = 0, down = 0;
    for (const auto& [v, key] : kPlanViews) {
      const Point2 size = sketch_size(volume, v, scale);
      across += size[0];
      down = std::max(down, size[1]);
    }
    const double fit = std::min({width / across, height / down, 0.62});
    if (!(fit > 0.05)) return;
    const double top = at[1] + (height - down * fit) / 2 - 5 * fit;
    double x = at[0] + (width - across * fit) / 2;
    for (const auto& [v, key] : kPlanViews) {
      const Point2 size = sketch_size(volume, v, scale);
      pdf_.place({x, top}, fit);
      draw(pdf_, {v, volume, {view_.piece(scan)}, "", false, Ink::text}, size[0], size[1], scale);
      pdf_.place({0, 0}, 1);
      pdf_.text({x + kTitleIn * fit, top + kTitle}, view_.language.text(key), {kTitle});
      x += size[0] * fit;
    }
  }

  void foot() {
    const double top = pdf_.height() - kMargin - kFoot + 8;
    std::string text = view_.language.text("plan.views") + " ";
    for (const std::string& line : view_.cautions()) text += line + " ";
    double y = top;
    for (const std::string& why : view_.plan.lacking)
      y += pdf_.paragraph({kMargin, y},
                          pdf_.width() - 2 * kMargin,
                          view_.language.text("plan.short") + " " + why,
                          {8, Ink::text, Anchor::start, true},
                          1);
    pdf_.paragraph({kMargin, y}, pdf_.width() - 2 * kMargin, text, {7.5}, 6);
  }

  PdfDocument& pdf_;
  const PlanView& view_;
};

}  // namespace

std::string plan_pdf(const Session& session, const Plan& plan, const ReportOptions& options) {
  const PlanView view(session, plan, options);
  PdfInfo info;
  info.title = view.language.text("plan.title") + " " + view.title();
  info.creator = "Rigproof " + options.software_version;
  info.date = session.date;
  PdfDocument pdf(options.paper, info);
  PlanSheet(pdf, view).draw_all();
  return pdf.finish();
}

}  // namespace rigproof
