#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace rigproof {

/// Roles of a drawing's inks. A page style decides what each looks like: HTML by a class a role, in
/// light and dark; PDF by a table whose greys differ when printed without colour.
enum class Ink {
  none,
  text,    ///< words and values
  quiet,   ///< axis numbers, captions
  grid,    ///< thin helper lines
  axis,    ///< zero lines and frames
  mark,    ///< the plotted quantity
  second,  ///< a second quantity beside it
  limit,   ///< agreed limit
  band,    ///< area within the limit
  guard,   ///< area too close to the limit to call
  failed,  ///< values outside
  no_data,
  paper,
  on_light,  ///< words on a light colour of a scale, whatever the page
  on_dark,
};

struct Rgb {
  std::uint8_t r = 0, g = 0, b = 0;
  friend bool operator==(const Rgb&, const Rgb&) = default;
};

/// Area: a role or a colour of a scale, plain or hatched.
struct Fill {
  Ink ink = Ink::none;
  std::optional<Rgb> color = {};
  bool hatched = false;  ///< lines in `ink`
};
struct Line {
  Ink ink = Ink::none;
  double width = 1;
  bool dashed = false;
};

enum class Anchor { start, middle, end };
struct TextStyle {
  double size = 10;  ///< pt or SVG user units
  Ink ink = Ink::text;
  Anchor anchor = Anchor::start;
  bool bold = false;
};

using Point2 = std::array<double, 2>;
struct Outline {
  std::vector<Point2> points;
  bool closed = false;
};
using Shape = std::vector<Outline>;

/// What a group of marks is: `key` links it with a table row, `title` is what a reader who cannot
/// see it (or who points at it) is told.
struct MarkInfo {
  std::string key, title;
};

/// A drawing surface: origin top left, y down. Two back ends; plots are written once.
class Canvas {
 public:
  virtual ~Canvas() = default;
  virtual void begin(const MarkInfo& info) = 0;
  virtual void end() = 0;
  virtual void shape(const Shape& shape, const Fill& fill, const Line& line) = 0;
  virtual void circle(Point2 center, double radius, const Fill& fill, const Line& line) = 0;
  /// `at`: anchor point on the baseline. Text is made plain before it is drawn.
  virtual void text(Point2 at, std::string_view text, const TextStyle& style) = 0;

  void line(Point2 a, Point2 b, const Line& line);
  void rect(Point2 corner, double width, double height, const Fill& fill, const Line& line = {});
  /// Text cut with "…" so that it is no wider than `width`.
  void text_within(Point2 at, double width, std::string_view text, const TextStyle& style);
};

}  // namespace rigproof
