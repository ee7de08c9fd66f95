#include "report/svg_canvas.h"

#include <algorithm>
#include <cmath>

#include <fmt/format.h>

#include "base/number.h"
#include "report/plain_text.h"

namespace rigproof {
namespace {

std::string_view role(Ink ink) {
  switch (ink) {
    case Ink::none:
      return "none";
    case Ink::text:
      return "text";
    case Ink::quiet:
      return "quiet";
    case Ink::grid:
      return "grid";
    case Ink::axis:
      return "axis";
    case Ink::mark:
      return "mark";
    case Ink::second:
      return "second";
    case Ink::limit:
      return "limit";
    case Ink::band:
      return "band";
    case Ink::guard:
      return "guard";
    case Ink::failed:
      return "failed";
    case Ink::no_data:
      return "no-data";
    case Ink::paper:
      return "paper";
    case Ink::on_light:
      return "on-light";
    case Ink::on_dark:
      return "on-dark";
  }
  return "none";
}

// Two decimals without trailing zeros; never "-0".
std::string coordinate(double v) {
  std::string text = fixed(v, 2);
  while (text.back() == '0') text.pop_back();
  if (text.back() == '.') text.pop_back();
  return text == "-0" ? "0" : text;
}

std::string pair(Point2 p) { return coordinate(p[0]) + ' ' + coordinate(p[1]); }

std::string escaped(std::string_view text) { return escape_html(plain_text(text)); }

}  // namespace

SvgCanvas::SvgCanvas(std::string id, double width, double height)
    : id_(std::move(id)), width_(width), height_(height) {}

void SvgCanvas::begin(const MarkInfo& info) {
  body_ += "<g";
  if (!info.key.empty()) body_ += " class=\"linked\" data-key=\"" + escaped(info.key) + '"';
  body_ += '>';
  if (!info.title.empty()) body_ += "<title>" + escaped(info.title) + "</title>";
}

void SvgCanvas::end() { body_ += "</g>"; }

std::string SvgCanvas::paint(const Fill& fill, const Line& line) {
  std::string classes = line.ink == Ink::none ? "" : fmt::format("l-{}", role(line.ink));
  std::string attributes;
  if (fill.hatched) {
    const std::string name(role(fill.ink));
    if (std::ranges::find(hatches_, name) == hatches_.end()) hatches_.push_back(name);
    attributes += fmt::format(" fill=\"url(#{}-hatch-{})\"", id_, name);
  } else if (fill.color) {
    attributes +=
        fmt::format(" fill=\"#{:02x}{:02x}{:02x}\"", fill.color->r, fill.color->g, fill.color->b);
  } else if (fill.ink == Ink::none) {
    attributes += " fill=\"none\"";
  } else {
    classes += fmt::format("{}f-{}", classes.empty() ? "" : " ", role(fill.ink));
  }
  if (line.ink != Ink::none && line.width != 1)
    attributes += " stroke-width=\"" + coordinate(line.width) + '"';
  if (line.dashed) attributes += " stroke-dasharray=\"4 3\"";
  return (classes.empty() ? "" : " class=\"" + classes + '"') + attributes;
}

void SvgCanvas::shape(const Shape& shape, const Fill& fill, const Line& line) {
  std::string d;
  for (const Outline& outline : shape) {
    for (std::size_t i = 0; i < outline.points.size(); ++i)
      d += (i == 0 ? "M" : "L") + pair(outline.points[i]);
    if (outline.closed) d += 'Z';
  }
  if (!d.empty()) body_ += "<path" + paint(fill, line) + " d=\"" + d + "\"/>";
}

void SvgCanvas::circle(Point2 c, double radius, const Fill& fill, const Line& line) {
  body_ += fmt::format("<circle{} cx=\"{}\" cy=\"{}\" r=\"{}\"/>",
                       paint(fill, line),
                       coordinate(c[0]),
                       coordinate(c[1]),
                       coordinate(radius));
}

void SvgCanvas::text(Point2 at, std::string_view text, const TextStyle& style) {
  const char* anchor = style.anchor == Anchor::middle ? " text-anchor=\"middle\""
                       : style.anchor == Anchor::end  ? " text-anchor=\"end\""
                                                      : "";
  body_ += fmt::format("<text class=\"t-{}\" x=\"{}\" y=\"{}\" font-size=\"{}\"{}{}>{}</text>",
                       role(style.ink),
                       coordinate(at[0]),
                       coordinate(at[1]),
                       coordinate(style.size),
                       anchor,
                       style.bold ? " font-weight=\"700\"" : "",
                       escaped(text));
}

std::string SvgCanvas::finish(const std::string& title, const std::string& description) const {
  std::string out = fmt::format(
      "<svg class=\"plot\" role=\"img\" viewBox=\"0 0 {0} {1}\" width=\"{0}\" height=\"{1}\" "
      "aria-labelledby=\"{2}-t {2}-d\"><title id=\"{2}-t\">{3}</title><desc id=\"{2}-d\">{4}"
      "</desc>",
      coordinate(width_),
      coordinate(height_),
      id_,
      escaped(title),
      escape_html(plain_text(description, 1000)));
  if (!hatches_.empty()) out += "<defs>";
  for (const std::string& name : hatches_)
    out += fmt::format(
        "<pattern id=\"{}-hatch-{}\" width=\"4\" height=\"4\" patternUnits=\"userSpaceOnUse\">"
        "<path class=\"l-{}\" d=\"M-1 1L1 -1M0 4L4 0M3 5L5 3\"/></pattern>",
        id_,
        name,
        name);
  if (!hatches_.empty()) out += "</defs>";
  return out + body_ + "</svg>";
}

}  // namespace rigproof
