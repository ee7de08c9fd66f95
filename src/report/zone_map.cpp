#include "report/zone_map.h"

#include <algorithm>

#include "report/color_scale.h"

namespace rigproof {
namespace {

constexpr double kGap = 14, kHead = 18;
double panel_width(double width) { return (width - 2 * kGap) / 3; }
double cell_height(double width) { return std::max(34.0, panel_width(width) / 3 * 0.62); }

const ZoneRecord* find_zone(const Results& results, const std::string& id) {
  const auto it = std::ranges::find(results.zones, id, &ZoneRecord::zone);
  return it == results.zones.end() ? nullptr : &*it;
}

void draw_cell(Canvas& canvas,
               const ReportContext& context,
               const std::string& id,
               Point2 corner,
               Point2 size) {
  const ZoneRecord* zone = find_zone(context.results, id);
  const bool seen = zone && zone->worst_ratio;
  const int n = zone ? zone->observations : 0;
  const std::string number = seen ? context.numbers.percent(*zone->worst_ratio, 0) : "–";
  canvas.begin({"", context.place(id) + ": " + number + ", n = " + std::to_string(n)});
  const Rgb ground = seen ? magnitude_color(*zone->worst_ratio) : Rgb{};
  canvas.rect(corner,
              size[0],
              size[1],
              seen ? Fill{Ink::none, ground} : Fill{Ink::no_data, std::nullopt, true},
              {seen && *zone->worst_ratio > 1 ? Ink::failed : Ink::paper, seen ? 2.0 : 1.0});
  const Ink ink = !seen ? Ink::text : needs_light_text(ground) ? Ink::on_dark : Ink::on_light;
  canvas.text({corner[0] + size[0] / 2, corner[1] + size[1] / 2 + 1},
              seen && *zone->worst_ratio > 1 ? "✕ " + number : number,
              {11, ink, Anchor::middle, true});
  std::string small = "n = " + std::to_string(n);
  if (zone && zone->views)
    small += " · " + context.t("zone.views", {{"n", std::to_string(*zone->views)}});
  canvas.text_within({corner[0] + size[0] / 2, corner[1] + size[1] / 2 + 13},
                     size[0] - 4,
                     small,
                     {8, ink, Anchor::middle});
  canvas.end();
}

}  // namespace

double zone_map_height(double width) { return kHead + 3 * cell_height(width) + 16; }

void draw_zone_map(Canvas& canvas, const ReportContext& context, double width) {
  const double w = panel_width(width), h = cell_height(width);
  auto id = all_zone_ids().begin();
  constexpr const char* depths[] = {"zone.near", "zone.mid", "zone.far"};
  for (int depth = 0; depth < 3; ++depth) {
    const double x = depth * (w + kGap);
    canvas.text({x, 11}, context.t(depths[depth]), {10, Ink::text, Anchor::start, true});
    for (int row = 0; row < 3; ++row)
      for (int column = 0; column < 3; ++column)
        draw_cell(canvas, context, *id++, {x + column * w / 3, kHead + row * h}, {w / 3, h});
    canvas.text({x, kHead + 3 * h + 11}, context.t("zone.left"), {8, Ink::quiet});
    canvas.text({x + w, kHead + 3 * h + 11}, context.t("zone.right"), {8, Ink::quiet, Anchor::end});
  }
}

}  // namespace rigproof
