#include "report/certificate.h"
#include "report/certificate_content.h"
#include "report/html_page.h"
#include "report/qr_code.h"
#include "report/svg_canvas.h"
#include "report/volume_sketch.h"

namespace rigproof {
namespace {

void add_lines(PageData& page, const std::string& name, const std::vector<std::string>& lines) {
  for (const std::string& line : lines) page.add(name).text("line", line);
}

void add_labelled(PageData& page, const std::string& name, const std::vector<LabelledText>& items) {
  for (const auto& [label, value] : items) page.add(name).text("label", label).text("value", value);
}

void add_sketches(PageData& page, const ReportContext& context) {
  const std::vector<PlacedPiece> pieces = placed_pieces(context);
  if (pieces.empty()) return;
  const Volume volume = shown_volume(context, pieces);
  const Volume room = sketch_room(volume, pieces);
  const double scale = sketch_scale(room, 340, 300);
  for (const auto& [view, key] : {std::pair{View::front, "view.front"}, {View::top, "view.top"}}) {
    const Point2 size = sketch_size(room, view, scale);
    SvgCanvas svg(view == View::front ? "sketch-front" : "sketch-top", size[0], size[1]);
    draw(svg, {view, volume, pieces, context.t(key)}, size[0], size[1], scale);
    page.add("sketches").html("svg", svg.finish(context.t(key), context.t("view.description")));
  }
}

void add_rows(PageData& page, const ReportContext& context, const CertificateContent& content) {
  int number = 0;
  for (const CertificateRow& r : content.rows) {
    SvgCanvas bar("bar-" + std::to_string(++number), 130, 16);
    draw_limit_bar(bar, {1, 3}, 126, 10, r.bar);
    page.add("rows")
        .text("name", r.name)
        .text("limit", r.limit)
        .text("value", r.value)
        .text("U", r.U)
        .text("place", r.place)
        .text("verdict", r.verdict)
        .text("verdict_id", to_string(r.bar.verdict))
        .html("bar", bar.finish(r.name, context.t("certificate.bar-key")));
  }
}

}  // namespace

std::string certificate_html(const Results& results, const ReportOptions& options) {
  const ReportContext context(results, options);
  const CertificateContent content = certificate_content(context);
  PageData page;
  page.text("title", content.title).text("headline", content.headline);
  page.text("sentence", content.sentence).text("id", content.id).text("level", content.level);
  page.text("watermark", content.watermark).text("tested", content.tested);
  page.text("not_tested", content.not_tested).text("rule", content.rule);
  page.text("uncertainty", content.uncertainty);
  page.text("verdict_id", to_string(results.verdict));
  page.text("small_unit", context.numbers.small_unit());
  add_rows(page, context, content);
  add_sketches(page, context);
  add_labelled(page, "parties", content.parties);
  for (const std::string& name : content.position_columns) page.add("columns").text("name", name);
  for (const auto& cells : content.positions) {
    PageData& row = page.add("positions");
    for (const std::string& cell : cells) row.add("cells").text("cell", cell);
  }
  add_lines(page, "artefacts", content.artefacts);
  add_labelled(page, "conditions", content.conditions);
  add_lines(page, "repeats", content.repeats);
  add_lines(page, "notes", content.notes);
  add_lines(page, "check", content.check);
  add_lines(page, "cautions", content.cautions);
  SvgCanvas qr("qr", 120, 120);
  draw(qr, qr_code(content.qr), {0, 0}, 120);
  page.html("qr", qr.finish(content.qr, content.qr));
  return html_page(
      context, "certificate.mustache", {"page.css", "plots.css", "certificate.css"}, {}, page);
}

}  // namespace rigproof
