#include "report/deviation_map.h"

#include <algorithm>
#include <cmath>
#include <functional>
#include <map>
#include <numbers>
#include <optional>

#include <Eigen/Geometry>

#include "report/color_scale.h"
#include "report/contour.h"
#include "report/scene.h"

namespace rigproof {
namespace {

struct MapPoint {
  double u, v, deviation;
};

// About six points a cell keep the mean of a cell quieter than one point by more than half.
int cells_across(std::size_t points, double fill_share) {
  return std::clamp(static_cast<int>(std::sqrt(points / 6.0 / fill_share)), 8, 28);
}

// As high as wide, and no more than a picture can show: extents come from documents.
int rows_of(int columns, double height_share) {
  constexpr double fewest = 2, most = 400;
  const double rows = columns * height_share;
  return static_cast<int>(std::lround(rows > fewest ? std::min(rows, most) : fewest));
}

// What is no number lies in the first cell.
int cell_of(double share, int count) {
  const double at = (share + 1) / 2 * count;
  return at > 0 ? static_cast<int>(std::min(at, count - 1.0)) : 0;
}

double half_of(double extent) { return extent > 0 ? extent / 2 : 0; }

void add(std::vector<MapPoint>& points, const MapPoint& p) {
  if (std::isfinite(p.u) && std::isfinite(p.v)) points.push_back(p);
}

std::vector<MapPoint> ball_points(const FeatureRecord& f, double& half) {
  const Vec3 view = -f.center.normalized();
  const Vec3 right = (Vec3::UnitX() - view * view.x()).normalized();
  const Vec3 down = (-view).cross(right);
  std::vector<MapPoint> points;
  half = 0;
  for (const auto& p : f.picture) {
    const Vec3 n = (Vec3(p[0], p[1], p[2]) - f.center).normalized();
    // r = 2 sin(θ/2); the factor √(2/(1 + cos θ)) turns the orthographic radius sin θ into it.
    const double stretch = std::sqrt(2 / std::max(1 + n.dot(view), 1e-6));
    add(points, {stretch * n.dot(right), stretch * n.dot(down), p[3]});
  }
  for (const MapPoint& p : points) half = std::max(half, std::hypot(p.u, p.v));
  return points;
}

std::vector<MapPoint> plate_points(const FeatureRecord& f, double& half_u, double& half_v) {
  const auto [u, v] = plate_axes(f);
  std::vector<MapPoint> points;
  half_u = half_of(f.length_mm);
  half_v = half_of(f.width_mm);
  for (const auto& p : f.picture) {
    const Vec3 d = Vec3(p[0], p[1], p[2]) - f.center;
    add(points, {d.dot(u), d.dot(v), p[3]});
  }
  for (const MapPoint& p : points) {
    half_u = std::max(half_u, std::abs(p.u));
    half_v = std::max(half_v, std::abs(p.v));
  }
  return points;
}

bool inside(const DeviationField& f, int row, int column) {
  if (!f.round) return true;
  const double u = (column + 0.5) / f.columns * 2 - 1, v = (row + 0.5) / f.rows * 2 - 1;
  return u * u + v * v <= 1;
}

struct Cells {
  double x, y, w, h;  // top left cell and cell size, drawing units
};

// Runs of equal cells of one row become one rectangle; one shape a colour keeps pages small.
template <typename Key>
std::map<Key, Shape> runs(const DeviationField& f,
                          const Cells& cells,
                          const std::function<std::optional<Key>(int, int)>& key) {
  std::map<Key, Shape> shapes;
  for (int row = 0; row < f.rows; ++row) {
    for (int column = 0; column < f.columns;) {
      const auto k = key(row, column);
      int end = column + 1;
      while (end < f.columns && key(row, end) == k) ++end;
      if (k) {
        const double x0 = cells.x + column * cells.w, x1 = cells.x + end * cells.w;
        const double y0 = cells.y + row * cells.h, y1 = y0 + cells.h;
        shapes[*k].push_back({{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}, true});
      }
      column = end;
    }
  }
  return shapes;
}

void draw_cells(Canvas& canvas, const DeviationField& f, double full, const Cells& cells) {
  const auto at = [&](int r, int c) { return f.mean[static_cast<std::size_t>(r) * f.columns + c]; };
  constexpr int no_data = 1000;
  const auto color = runs<int>(f, cells, [&](int r, int c) -> std::optional<int> {
    if (!inside(f, r, c)) return std::nullopt;
    if (std::isnan(at(r, c))) return no_data;
    const double share = std::clamp(at(r, c) / full, -1.0, 1.0);
    return static_cast<int>(std::lround(share * kSignedSteps));
  });
  for (const auto& [step, shape] : color)
    canvas.shape(shape,
                 step == no_data ? Fill{Ink::no_data}
                                 : Fill{Ink::none, signed_color(double(step) / kSignedSteps)},
                 {});
  const auto beyond = runs<int>(f, cells, [&](int r, int c) -> std::optional<int> {
    return std::abs(at(r, c)) > full ? std::optional(0) : std::nullopt;
  });
  for (const auto& [unused, shape] : beyond)
    canvas.shape(shape, {Ink::text, std::nullopt, true}, {});
}

}  // namespace

DeviationField deviation_field(const FeatureRecord& feature) {
  DeviationField f;
  f.round = feature.sphere;
  constexpr double least_half = 1e-9;  // all points in one place
  std::vector<MapPoint> points;
  if (f.round) {
    points = ball_points(feature, f.half_width);
    f.half_width = f.half_height = std::max(f.half_width, least_half);
    f.columns = f.rows = cells_across(points.size(), std::numbers::pi / 4);
  } else {
    points = plate_points(feature, f.half_width, f.half_height);
    f.half_width = std::max(f.half_width, least_half);
    f.half_height = std::max(f.half_height, least_half);
    f.columns = cells_across(points.size(), 1);
    f.rows = rows_of(f.columns, f.half_height / f.half_width);
  }
  std::vector<double> sum(static_cast<std::size_t>(f.columns) * f.rows), n(sum.size());
  for (const MapPoint& p : points) {
    const int row = cell_of(p.v / f.half_height, f.rows);
    const std::size_t i =
        static_cast<std::size_t>(row) * f.columns + cell_of(p.u / f.half_width, f.columns);
    sum[i] += p.deviation;
    ++n[i];
  }
  for (std::size_t i = 0; i < sum.size(); ++i)
    f.mean.push_back(n[i] > 0 ? static_cast<float>(sum[i] / n[i]) : std::nanf(""));
  return f;
}

double map_scale(double limit_mm, const std::vector<DeviationField>& fields) {
  if (limit_mm > 0) return limit_mm / 2;
  double largest = 1e-6;
  for (const DeviationField& f : fields)
    for (const float m : f.mean)
      if (!std::isnan(m)) largest = std::max(largest, static_cast<double>(std::abs(m)));
  const double power = std::pow(10, std::floor(std::log10(largest)));
  for (const double step : {1.0, 2.0, 5.0})
    if (largest <= step * power) return step * power;
  return 10 * power;
}

void draw(Canvas& canvas, const DeviationField& f, double full, double width, double height) {
  const double ratio = f.half_width / f.half_height;
  const double w = std::min(width, height * ratio), h = w / ratio;
  const double x = (width - w) / 2, y = (height - h) / 2;
  const Cells cells{x, y, w / f.columns, h / f.rows};
  draw_cells(canvas, f, full, cells);
  const std::vector<float> smooth = smoothed(f.mean, f.columns, f.rows);
  const auto contour = [&](double level, const Line& line) {
    const Shape shape =
        contours(smooth, f.columns, f.rows, level, {cells.x, cells.y}, {cells.w, cells.h});
    if (!shape.empty()) canvas.shape(shape, {}, line);
  };
  contour(0, {Ink::axis, 0.7, false});
  for (const double sign : {-1.0, 1.0}) {
    contour(sign * full / 2, {Ink::text, 0.8, true});
    contour(sign * full, {Ink::text, 1.4, false});
  }
  if (f.round)
    canvas.circle({width / 2, height / 2}, w / 2, {}, {Ink::axis, 1, false});
  else
    canvas.rect({x, y}, w, h, {}, {Ink::axis, 1, false});
}

void draw_map_key(Canvas& canvas,
                  double full,
                  double width,
                  const NumberStyle& numbers,
                  const std::string& no_data,
                  const std::string& beyond) {
  constexpr int n = 2 * kSignedSteps + 1;
  const double bar = std::min(260.0, width - 40), cell = bar / n, x0 = 20;
  for (int i = 0; i < n; ++i)
    canvas.rect({x0 + i * cell, 4},
                cell,
                12,
                {Ink::none, signed_color(double(i - kSignedSteps) / kSignedSteps)});
  canvas.rect({x0, 4}, bar, 12, {}, {Ink::axis, 0.8, false});
  const int decimals = numbers.to_small(full) < 10 ? 1 : 0;
  for (const double share : {-1.0, -0.5, 0.0, 0.5, 1.0}) {
    const double x = x0 + bar / 2 + share * (bar - cell) / 2;
    const Line tick = share == 0               ? Line{Ink::axis, 0.7}
                      : std::abs(share) == 0.5 ? Line{Ink::text, 0.8, true}
                                               : Line{Ink::text, 1.4};
    canvas.line({x, 4}, {x, 20}, tick);
    canvas.text({x, 30},
                (share > 0 ? "+" : "") + numbers.small(share * full, share == 0 ? 0 : decimals),
                {9, Ink::quiet, Anchor::middle});
  }
  canvas.text({x0 + bar + 12, 14}, numbers.small_unit(), {9, Ink::quiet});
  canvas.rect({x0, 40}, 16, 10, {Ink::no_data});
  canvas.text({x0 + 22, 49}, no_data, {9, Ink::quiet});
  canvas.rect({x0 + bar / 2, 40}, 16, 10, {Ink::none, signed_color(1)});
  canvas.rect({x0 + bar / 2, 40}, 16, 10, {Ink::text, std::nullopt, true});
  canvas.text({x0 + bar / 2 + 22, 49}, beyond, {9, Ink::quiet});
}

}  // namespace rigproof
