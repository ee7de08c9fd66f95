#include "report/canvas.h"

#include "report/plain_text.h"
#include "report/text_measure.h"

namespace rigproof {

void Canvas::line(Point2 a, Point2 b, const Line& line) { shape({{{a, b}, false}}, {}, line); }

void Canvas::rect(Point2 c, double width, double height, const Fill& fill, const Line& line) {
  shape({{{c, {c[0] + width, c[1]}, {c[0] + width, c[1] + height}, {c[0], c[1] + height}}, true}},
        fill,
        line);
}

void Canvas::text_within(Point2 at, double width, std::string_view raw, const TextStyle& style) {
  text(at, shortened(plain_text(raw), width, style), style);
}

}  // namespace rigproof
