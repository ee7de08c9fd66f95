#pragma once

#include <string>

#include "report/canvas.h"

namespace rigproof {

/// Writes an inline SVG 1.1 element: real text, a title and a description, one class a role of ink
/// ("l-" lines, "f-" areas, "t-" text), coordinates to a hundredth. `id` must be unique on the
/// page: every id inside begins with it.
class SvgCanvas : public Canvas {
 public:
  SvgCanvas(std::string id, double width, double height);
  void begin(const MarkInfo& info) override;
  void end() override;
  void shape(const Shape& shape, const Fill& fill, const Line& line) override;
  void circle(Point2 center, double radius, const Fill& fill, const Line& line) override;
  void text(Point2 at, std::string_view text, const TextStyle& style) override;

  /// The finished element. `title` names the picture, `description` says what it shows.
  std::string finish(const std::string& title, const std::string& description) const;

 private:
  std::string paint(const Fill& fill, const Line& line);

  std::string id_, body_;
  double width_, height_;
  std::vector<std::string> hatches_;  // classes of the patterns used
};

}  // namespace rigproof
