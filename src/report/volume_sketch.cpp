#include "report/volume_sketch.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "report/text_measure.h"
#include "report/value_plot.h"

namespace rigproof {
namespace {

constexpr double kMargin = 14, kTitle = 16;

double widest(const Volume& v) { return std::max(v.near_width, v.far_width); }
double highest(const Volume& v) { return std::max(v.near_height, v.far_height); }

// Millimetres to the two axes of a view, about its middle.
Point2 flat(View view, const Volume& volume, const Vec3& p) {
  const double depth = p.z() - (volume.near_mm + volume.far_mm) / 2;
  switch (view) {
    case View::front:
      return {p.x(), p.y()};
    case View::top:
      return {p.x(), -depth};
    case View::side:
      return {depth, p.y()};
  }
  return {0, 0};
}

struct Projector {
  View view;
  const Volume& volume;
  Point2 middle;
  double scale;
  Point2 operator()(const Vec3& p) const {
    const Point2 q = flat(view, volume, p);
    return {middle[0] + scale * q[0], middle[1] + scale * q[1]};
  }
};

void draw_volume(Canvas& canvas, const Projector& to) {
  const Volume& v = to.volume;
  const auto corner = [&](double x, double y, double z) {
    return to(v.from_normalized({x, y, z}));
  };
  const auto edge = [&](Vec3 a, Vec3 b, const Line& line) {
    canvas.line(corner(a.x(), a.y(), a.z()), corner(b.x(), b.y(), b.z()), line);
  };
  const Line thin{Ink::grid, 0.8}, frame{Ink::axis, 1.2};
  for (const double t : {-1.0 / 3, 1.0 / 3}) {
    switch (to.view) {
      case View::front:
        edge({t, -1, 1}, {t, 1, 1}, thin);
        edge({-1, t, 1}, {1, t, 1}, thin);
        break;
      case View::top:
        edge({t, 0, -1}, {t, 0, 1}, thin);
        edge({-1, 0, t}, {1, 0, t}, thin);
        break;
      case View::side:
        edge({0, t, -1}, {0, t, 1}, thin);
        edge({0, -1, t}, {0, 1, t}, thin);
        break;
    }
  }
  const auto outline = [&](std::initializer_list<Vec3> corners) {
    Outline o{{}, true};
    for (const Vec3& c : corners) o.points.push_back(corner(c.x(), c.y(), c.z()));
    canvas.shape({o}, {}, frame);
  };
  if (to.view == View::front) {
    outline({{-1, -1, -1}, {1, -1, -1}, {1, 1, -1}, {-1, 1, -1}});
    if (v.near_width != v.far_width || v.near_height != v.far_height)
      outline({{-1, -1, 1}, {1, -1, 1}, {1, 1, 1}, {-1, 1, 1}});
  } else if (to.view == View::top) {
    outline({{-1, 0, -1}, {1, 0, -1}, {1, 0, 1}, {-1, 0, 1}});
  } else {
    outline({{0, -1, -1}, {0, -1, 1}, {0, 1, 1}, {0, 1, -1}});
  }
}

void draw_piece(Canvas& canvas, const PlacedPiece& p, const Projector& to, Ink counted) {
  const Ink ink = p.verdict == Verdict::outside ? Ink::failed : p.counts ? counted : Ink::quiet;
  canvas.begin({p.label, p.words});
  if (!p.corners.empty()) {
    Outline plate{{}, true};
    for (const Vec3& c : p.corners) plate.points.push_back(to(c));
    canvas.shape({plate}, {}, {ink, 1, !p.counts});
  }
  if (p.balls.size() > 1)
    canvas.line(to(p.balls.front()), to(p.balls.back()), {ink, 1.2, !p.counts});
  for (const Vec3& b : p.balls)
    canvas.circle(to(b), std::max(p.radius * to.scale, 2.0), {Ink::paper}, {ink, 1.1, false});
  draw_glyph(canvas, to(p.center), p.verdict, 2.2);
  canvas.end();
}

struct Taken {
  double x0, y0, x1, y1;
  bool meets(const Taken& o) const { return x0 < o.x1 && o.x0 < x1 && y0 < o.y1 && o.y0 < y1; }
};

// More labels than a view could ever hold are not tried: each is held against all pieces.
constexpr std::size_t kMostLabels = 500;

// Labels go to the first free place about their piece; one that finds none is left out: the table
// and the other views carry it.
void draw_labels(Canvas& canvas, const VolumeSketch& sketch, const Projector& to, Point2 size) {
  const TextStyle style{8, Ink::text};
  std::vector<Taken> taken;
  for (const PlacedPiece& p : sketch.pieces) {
    const Point2 c = to(p.center);
    taken.push_back({c[0] - 3, c[1] - 3, c[0] + 3, c[1] + 3});
  }
  std::set<std::string> done;
  for (const PlacedPiece& p : sketch.pieces) {
    if (done.size() == kMostLabels) break;
    if (!done.insert(p.label).second) continue;
    const Point2 c = to(p.center);
    const double w = text_width(p.label, style);
    for (const Point2 shift : {Point2{5, 3},
                               {-5 - w, 3},
                               {-w / 2, -6},
                               {-w / 2, 12},
                               {5, -7},
                               {5, 13},
                               {-5 - w, -7},
                               {-5 - w, 13}}) {
      const double x = c[0] + shift[0], y = c[1] + shift[1];
      const Taken box{x - 1, y - 7, x + w + 1, y + 2};
      if (box.x0 < 0 || box.x1 > size[0] || box.y0 < kTitle || box.y1 > size[1]) continue;
      if (std::ranges::any_of(taken, [&](const Taken& t) { return t.meets(box); })) continue;
      taken.push_back(box);
      canvas.begin({p.label, ""});
      canvas.text({x, y}, p.label, style);
      canvas.end();
      break;
    }
  }
}

}  // namespace

Volume sketch_room(const Volume& v, const std::vector<PlacedPiece>& pieces) {
  constexpr double most = 1.6;
  const Vec3 middle(0, 0, (v.near_mm + v.far_mm) / 2);
  const Vec3 half(widest(v) / 2, highest(v) / 2, (v.far_mm - v.near_mm) / 2);
  Vec3 reach = half;
  const auto add = [&](const Vec3& p, double radius) {
    const Vec3 out = (p - middle).cwiseAbs() + Vec3::Constant(radius);
    reach = reach.cwiseMax(out.cwiseMin(most * half));
  };
  for (const PlacedPiece& p : pieces) {
    for (const Vec3& ball : p.balls) add(ball, p.radius);
    for (const Vec3& corner : p.corners) add(corner, 0);
  }
  return Volume::box(2 * reach.x(), 2 * reach.y(), 2 * reach.z(), middle.z());
}

double sketch_scale(const Volume& v, double width, double height) {
  const double depth = v.far_mm - v.near_mm;
  const double across = std::max(widest(v), depth), down = std::max(highest(v), depth);
  return std::min((width - 2 * kMargin) / across, (height - 2 * kMargin - kTitle) / down);
}

Point2 sketch_size(const Volume& v, View view, double scale) {
  const double depth = v.far_mm - v.near_mm;
  const double w = view == View::side ? depth : widest(v);
  const double h = view == View::top ? depth : highest(v);
  return {w * scale + 2 * kMargin, h * scale + 2 * kMargin + kTitle};
}

void draw(Canvas& canvas, const VolumeSketch& sketch, double width, double height, double scale) {
  const Projector to{sketch.view, sketch.volume, {width / 2, (height + kTitle) / 2}, scale};
  canvas.text_within({0, 11}, width, sketch.title, {9.5, Ink::text, Anchor::start, true});
  draw_volume(canvas, to);
  for (const PlacedPiece& p : sketch.pieces) draw_piece(canvas, p, to, sketch.ink);
  if (sketch.labels) draw_labels(canvas, sketch, to, {width, height});
}

}  // namespace rigproof
