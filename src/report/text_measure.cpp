#include "report/text_measure.h"

#include <algorithm>
#include <map>
#include <mutex>
#include <tuple>

#include "base/error.h"
#include "report/pango_font.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

// One layout of 96 px size for all measuring; widths scale with the size because hinting is off.
constexpr double kMeasureSize = 96;

struct Measurer {
  std::unique_ptr<PangoFontMap, GObjectRelease> map{pango_cairo_font_map_new()};
  std::unique_ptr<PangoContext, GObjectRelease> context;
  LayoutHandle layout;

  Measurer() {
    pango_cairo_font_map_set_resolution(PANGO_CAIRO_FONT_MAP(map.get()), 72);
    context.reset(pango_font_map_create_context(map.get()));
    cairo_font_options_t* options = cairo_font_options_create();
    cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
    cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
    pango_cairo_context_set_font_options(context.get(), options);
    cairo_font_options_destroy(options);
    pango_context_set_round_glyph_positions(context.get(), FALSE);
    layout.reset(pango_layout_new(context.get()));
    pango_layout_set_single_paragraph_mode(layout.get(), TRUE);
    require_font(layout.get());
  }

  double width(std::string_view raw, bool bold) {
    const std::string text = plain_text(raw, 4000);  // as canvases draw it
    set_font(layout.get(), {kMeasureSize, Ink::text, Anchor::start, bold});
    pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
    PangoRectangle logical;
    pango_layout_get_extents(layout.get(), nullptr, &logical);
    return static_cast<double>(logical.width) / PANGO_SCALE;
  }
};

}  // namespace

void set_font(PangoLayout* layout, const TextStyle& style) {
  PangoFontDescription* font = pango_font_description_new();
  pango_font_description_set_family_static(font, kFontFamily);
  pango_font_description_set_weight(font, style.bold ? PANGO_WEIGHT_BOLD : PANGO_WEIGHT_NORMAL);
  pango_font_description_set_absolute_size(font, style.size * PANGO_SCALE);
  pango_layout_set_font_description(layout, font);
  pango_font_description_free(font);
}

void require_font(PangoLayout* layout) {
  set_font(layout, {});
  pango_layout_set_text(layout, "A", 1);
  const bool drawn = pango_layout_get_unknown_glyphs_count(layout) == 0;
  PangoRectangle logical;
  pango_layout_get_extents(layout, nullptr, &logical);
  if (!drawn || logical.width <= 0)
    throw Error(ErrorKind::internal,
                "report: no font could be loaded, text would be missing from every page",
                "Install a font, for example the package fonts-dejavu-core.");
}

double text_width(std::string_view text, const TextStyle& style) {
  static std::mutex mutex;
  const std::scoped_lock lock(mutex);
  static Measurer measurer;
  static std::map<std::pair<std::string, bool>, double> known;
  if (known.size() > 20'000) known.clear();
  const auto [it, is_new] = known.try_emplace({std::string(text), style.bold}, 0.0);
  if (is_new) it->second = measurer.width(text, style.bold);
  return it->second * style.size / kMeasureSize;
}

std::string shortened(const std::string& text, double width, const TextStyle& style) {
  if (text_width(text, style) <= width) return text;
  std::size_t low = 1, high = std::max<std::size_t>(characters(text), 2);
  while (low + 1 < high) {
    const std::size_t middle = (low + high) / 2;
    (text_width(plain_text(text, middle), style) <= width ? low : high) = middle;
  }
  return low < 3 ? "…" : plain_text(text, low);
}

}  // namespace rigproof
