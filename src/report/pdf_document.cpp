#include "report/pdf_document.h"

#include <cmath>
#include <numbers>

#include <cairo-pdf.h>
#include <fmt/format.h>

#include "base/error.h"
#include "report/pango_font.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

struct CairoRelease {
  void operator()(cairo_t* c) const { cairo_destroy(c); }
  void operator()(cairo_surface_t* s) const { cairo_surface_destroy(s); }
};

Rgb print_color(Ink ink) {
  switch (ink) {
    case Ink::text:
      return {20, 22, 28};
    case Ink::quiet:
      return {84, 88, 98};
    case Ink::grid:
      return {214, 214, 210};
    case Ink::axis:
      return {120, 122, 128};
    case Ink::mark:
      return {38, 60, 110};
    case Ink::second:
      return {140, 96, 30};
    case Ink::limit:
      return {20, 22, 28};
    case Ink::band:
      return {232, 234, 238};
    case Ink::guard:
      return {150, 152, 160};
    case Ink::failed:
      return {150, 36, 20};
    case Ink::no_data:
      return {168, 168, 168};
    case Ink::paper:
      return {255, 255, 255};
    case Ink::on_light:
      return {0, 0, 0};
    case Ink::on_dark:
      return {255, 255, 255};
    case Ink::none:
      break;
  }
  return {0, 0, 0};
}

cairo_status_t append_bytes(void* into, const unsigned char* data, unsigned int n) {
  static_cast<std::string*>(into)->append(reinterpret_cast<const char*>(data), n);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

struct PdfDocument::State {
  std::string bytes;
  double width = 0, height = 0;
  std::unique_ptr<cairo_surface_t, CairoRelease> surface;
  std::unique_ptr<cairo_t, CairoRelease> cairo;
  LayoutHandle layout;

  void use(Rgb c) { cairo_set_source_rgb(cairo.get(), c.r / 255.0, c.g / 255.0, c.b / 255.0); }
  void trace(const Shape& shape) {
    cairo_new_path(cairo.get());
    for (const Outline& outline : shape) {
      for (std::size_t i = 0; i < outline.points.size(); ++i)
        (i == 0 ? cairo_move_to : cairo_line_to)(
            cairo.get(), outline.points[i][0], outline.points[i][1]);
      if (outline.closed) cairo_close_path(cairo.get());
    }
  }
  // Diagonal lines clipped to the current path, which stays for the outline.
  void hatch(Ink ink) {
    cairo_t* c = cairo.get();
    double x0, y0, x1, y1;
    cairo_path_extents(c, &x0, &y0, &x1, &y1);
    std::unique_ptr<cairo_path_t, decltype(&cairo_path_destroy)> path(cairo_copy_path(c),
                                                                      cairo_path_destroy);
    cairo_save(c);
    cairo_clip(c);
    use(print_color(ink));
    cairo_set_line_width(c, 0.6);
    constexpr double step = 3;
    const double h = y1 - y0;
    // Nothing that is drawn is larger than a page; lines over more than that would be without end.
    const bool of_a_page = x1 - x0 < 2000 && h < 2000 && std::abs(x0) < 1e6;
    for (double x = std::floor((x0 - h) / step) * step; of_a_page && x < x1; x += step) {
      cairo_move_to(c, x, y1);
      cairo_line_to(c, x + h, y0);
    }
    cairo_stroke(c);
    cairo_restore(c);
    cairo_append_path(c, path.get());
  }
  void paint(const Fill& fill, const Line& line) {
    cairo_t* c = cairo.get();
    if (fill.hatched) {
      hatch(fill.ink);
    } else if (fill.color || fill.ink != Ink::none) {
      use(fill.color ? *fill.color : print_color(fill.ink));
      cairo_fill_preserve(c);
    }
    if (line.ink != Ink::none) {
      use(print_color(line.ink));
      cairo_set_line_width(c, line.width);
      const double dash[] = {4, 3};
      cairo_set_dash(c, dash, line.dashed ? 2 : 0, 0);
      cairo_stroke_preserve(c);
    }
    cairo_new_path(c);
  }
  void set_text(std::string_view text, const TextStyle& style) {
    set_font(layout.get(), style);
    pango_layout_set_text(layout.get(), text.data(), static_cast<int>(text.size()));
  }
};

PdfDocument::PdfDocument(Paper paper, const PdfInfo& info) : state_(std::make_unique<State>()) {
  State& s = *state_;
  s.width = paper == Paper::a4 ? 595.276 : 612;
  s.height = paper == Paper::a4 ? 841.89 : 792;
  s.surface.reset(cairo_pdf_surface_create_for_stream(append_bytes, &s.bytes, s.width, s.height));
  cairo_pdf_surface_restrict_to_version(s.surface.get(), CAIRO_PDF_VERSION_1_5);
  const auto set = [&](cairo_pdf_metadata_t what, const std::string& value) {
    cairo_pdf_surface_set_metadata(s.surface.get(), what, plain_text(value).c_str());
  };
  set(CAIRO_PDF_METADATA_TITLE, info.title);
  set(CAIRO_PDF_METADATA_AUTHOR, info.author);
  set(CAIRO_PDF_METADATA_SUBJECT, info.subject);
  set(CAIRO_PDF_METADATA_KEYWORDS, info.keywords);
  set(CAIRO_PDF_METADATA_CREATOR, info.creator);
  const Date date =
      info.date.value_or(Date{std::chrono::year{2000}, std::chrono::month{1}, std::chrono::day{1}});
  const std::string time = fmt::format("{:04}-{:02}-{:02}T12:00:00Z",
                                       static_cast<int>(date.year()),
                                       static_cast<unsigned>(date.month()),
                                       static_cast<unsigned>(date.day()));
  set(CAIRO_PDF_METADATA_CREATE_DATE, time);
  set(CAIRO_PDF_METADATA_MOD_DATE, time);
  s.cairo.reset(cairo_create(s.surface.get()));
  s.layout.reset(pango_cairo_create_layout(s.cairo.get()));
  require_font(s.layout.get());
}

PdfDocument::~PdfDocument() = default;

double PdfDocument::width() const { return state_->width; }
double PdfDocument::height() const { return state_->height; }

void PdfDocument::next_page() {
  cairo_identity_matrix(state_->cairo.get());
  cairo_show_page(state_->cairo.get());
}

void PdfDocument::place(Point2 offset, double scale) {
  cairo_identity_matrix(state_->cairo.get());
  cairo_translate(state_->cairo.get(), offset[0], offset[1]);
  cairo_scale(state_->cairo.get(), scale, scale);
}

void PdfDocument::begin(const MarkInfo&) {}
void PdfDocument::end() {}

void PdfDocument::shape(const Shape& shape, const Fill& fill, const Line& line) {
  state_->trace(shape);
  state_->paint(fill, line);
}

void PdfDocument::circle(Point2 c, double radius, const Fill& fill, const Line& line) {
  cairo_new_path(state_->cairo.get());
  cairo_arc(state_->cairo.get(), c[0], c[1], radius, 0, 2 * std::numbers::pi);
  cairo_close_path(state_->cairo.get());
  state_->paint(fill, line);
}

void PdfDocument::text(Point2 at, std::string_view raw, const TextStyle& style) {
  State& s = *state_;
  s.set_text(plain_text(raw, 1000), style);
  pango_layout_set_width(s.layout.get(), -1);
  pango_layout_set_single_paragraph_mode(s.layout.get(), TRUE);
  PangoRectangle logical;
  pango_layout_get_extents(s.layout.get(), nullptr, &logical);
  const double width = static_cast<double>(logical.width) / PANGO_SCALE;
  const double baseline =
      static_cast<double>(pango_layout_get_baseline(s.layout.get())) / PANGO_SCALE;
  const double share = style.anchor == Anchor::start ? 0 : style.anchor == Anchor::end ? 1 : 0.5;
  s.use(print_color(style.ink));
  cairo_move_to(s.cairo.get(), at[0] - share * width, at[1] - baseline);
  pango_cairo_show_layout(s.cairo.get(), s.layout.get());
  cairo_new_path(s.cairo.get());
}

double PdfDocument::paragraph(Point2 top_left,
                              double column,
                              std::string_view raw,
                              const TextStyle& style,
                              int max_lines,
                              bool draw) {
  State& s = *state_;
  s.set_text(plain_text(raw, 4000), style);
  PangoLayout* layout = s.layout.get();
  pango_layout_set_single_paragraph_mode(layout, FALSE);
  pango_layout_set_width(layout, static_cast<int>(column * PANGO_SCALE));
  pango_layout_set_wrap(layout, PANGO_WRAP_WORD_CHAR);
  pango_layout_set_line_spacing(layout, 1.05f);
  pango_layout_set_ellipsize(layout, max_lines > 0 ? PANGO_ELLIPSIZE_END : PANGO_ELLIPSIZE_NONE);
  pango_layout_set_height(layout, max_lines > 0 ? -max_lines : -1);
  pango_layout_set_alignment(layout,
                             style.anchor == Anchor::start    ? PANGO_ALIGN_LEFT
                             : style.anchor == Anchor::middle ? PANGO_ALIGN_CENTER
                                                              : PANGO_ALIGN_RIGHT);
  PangoRectangle logical;
  pango_layout_get_extents(layout, nullptr, &logical);
  if (draw) {
    s.use(print_color(style.ink));
    cairo_move_to(s.cairo.get(), top_left[0], top_left[1]);
    pango_cairo_show_layout(s.cairo.get(), layout);
    cairo_new_path(s.cairo.get());
  }
  pango_layout_set_ellipsize(layout, PANGO_ELLIPSIZE_NONE);
  pango_layout_set_height(layout, -1);
  pango_layout_set_alignment(layout, PANGO_ALIGN_LEFT);
  pango_layout_set_line_spacing(layout, 0);
  return static_cast<double>(logical.y + logical.height) / PANGO_SCALE;
}

void PdfDocument::watermark(std::string_view word) {
  State& s = *state_;
  cairo_t* c = s.cairo.get();
  cairo_save(c);
  cairo_identity_matrix(c);
  cairo_translate(c, s.width / 2, s.height / 2);
  cairo_rotate(c, -std::atan2(s.height, s.width));
  s.set_text(word, {84, Ink::text, Anchor::start, true});
  pango_layout_set_width(s.layout.get(), -1);
  PangoRectangle logical;
  pango_layout_get_extents(s.layout.get(), nullptr, &logical);
  const double width = static_cast<double>(logical.width) / PANGO_SCALE;
  const double fit = std::min(1.0, 0.75 * std::hypot(s.width, s.height) / width);
  cairo_scale(c, fit, fit);
  cairo_move_to(c, -width / 2, -static_cast<double>(logical.height) / PANGO_SCALE / 2);
  cairo_set_source_rgb(c, 0.90, 0.90, 0.90);
  pango_cairo_update_layout(c, s.layout.get());
  pango_cairo_show_layout(c, s.layout.get());
  cairo_new_path(c);
  cairo_restore(c);
  pango_cairo_update_layout(c, s.layout.get());
}

std::string PdfDocument::finish() {
  State& s = *state_;
  cairo_show_page(s.cairo.get());
  cairo_surface_finish(s.surface.get());
  if (const cairo_status_t status = cairo_surface_status(s.surface.get()))
    throw Error(ErrorKind::internal,
                fmt::format("report: cairo: {}", cairo_status_to_string(status)));
  return std::move(s.bytes);
}

}  // namespace rigproof
