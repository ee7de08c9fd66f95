#include "report/scene_data.h"
#include "report/sections.h"
#include "report/statements.h"
#include "report/svg_canvas.h"
#include "report/volume_sketch.h"
#include "report/zone_map.h"

namespace rigproof {

void fill_volume(PageData& page, const ReportContext& context) {
  const std::vector<PlacedPiece> pieces = placed_pieces(context);
  const Volume volume = shown_volume(context, pieces);
  const Volume room = sketch_room(volume, pieces);
  const double scale = sketch_scale(room, 340, 300);
  constexpr std::pair<View, const char*> views[] = {
      {View::front, "view.front"}, {View::top, "view.top"}, {View::side, "view.side"}};
  for (const auto& [view, key] : views) {
    const Point2 size = sketch_size(room, view, scale);
    const double width = std::max(size[0], 150.0);
    SvgCanvas svg(std::string(key).replace(4, 1, "-"), width, size[1]);
    draw(svg, {view, volume, pieces, context.t(key)}, width, size[1], scale);
    page.add("views").html("svg", svg.finish(context.t(key), context.t("view.description")));
  }
  page.text("volume_words", volume_words(context));
  page.flag("volume_unknown", volume_words(context).empty());
  page.html("scene", scene_json(context, volume, pieces));
}

void fill_zones(PageData& page, const ReportContext& context) {
  page.flag("has_zones", !context.results.zones.empty());
  if (context.results.zones.empty()) return;
  constexpr double width = 640;
  SvgCanvas svg("zones", width, zone_map_height(width));
  draw_zone_map(svg, context, width);
  page.html("zone_map", svg.finish(context.t("zones.title"), context.t("zones.description")));
}

}  // namespace rigproof
