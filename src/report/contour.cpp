#include "report/contour.h"

#include <array>
#include <cmath>
#include <map>

namespace rigproof {
namespace {

// Edge of the grid of cell centres: index of its first centre and whether it runs down.
using Edge = std::pair<int, bool>;

struct Segments {
  std::map<Edge, std::vector<Edge>> next;
  void add(Edge a, Edge b) {
    next[a].push_back(b);
    next[b].push_back(a);
  }
  // Takes one chain of segments out, from an open end where there is one.
  std::vector<Edge> take() {
    Edge at = next.begin()->first;
    for (const auto& [edge, to] : next)
      if (to.size() == 1) {
        at = edge;
        break;
      }
    std::vector<Edge> chain{at};
    while (!next[at].empty()) {
      const Edge to = next[at].back();
      next[at].pop_back();
      std::erase(next[to], at);
      if (next[at].empty()) next.erase(at);
      at = to;
      chain.push_back(at);
    }
    next.erase(at);
    return chain;
  }
};

}  // namespace

std::vector<float> smoothed(const std::vector<float>& grid, int columns, int rows) {
  static constexpr std::array<double, 5> weight{1, 4, 6, 4, 1};
  std::vector<float> out(grid.size(), std::nanf(""));
  for (int r = 0; r < rows; ++r) {
    for (int c = 0; c < columns; ++c) {
      if (std::isnan(grid[static_cast<std::size_t>(r) * columns + c])) continue;
      double sum = 0, total = 0;
      for (int i = -2; i <= 2; ++i) {
        for (int j = -2; j <= 2; ++j) {
          if (r + i < 0 || r + i >= rows || c + j < 0 || c + j >= columns) continue;
          const float v = grid[static_cast<std::size_t>(r + i) * columns + c + j];
          if (std::isnan(v)) continue;
          sum += weight[i + 2] * weight[j + 2] * v;
          total += weight[i + 2] * weight[j + 2];
        }
      }
      out[static_cast<std::size_t>(r) * columns + c] = static_cast<float>(sum / total);
    }
  }
  return out;
}

Shape contours(const std::vector<float>& grid,
               int columns,
               int rows,
               double level,
               Point2 corner,
               Point2 cell) {
  const auto value = [&](int i) { return grid[static_cast<std::size_t>(i)] - level; };
  Segments segments;
  for (int r = 0; r + 1 < rows; ++r) {
    for (int c = 0; c + 1 < columns; ++c) {
      const int a = r * columns + c, b = a + 1, d = a + columns, e = d + 1;
      if (std::isnan(value(a) + value(b) + value(d) + value(e))) continue;
      const bool above[4] = {value(a) > 0, value(b) > 0, value(e) > 0, value(d) > 0};
      const Edge edges[4] = {
          {a, false}, {b, true}, {d, false}, {a, true}};  // top right bottom left
      std::vector<Edge> cut;
      for (int k = 0; k < 4; ++k)
        if (above[k] != above[(k + 1) % 4]) cut.push_back(edges[k]);
      if (cut.size() == 2) segments.add(cut[0], cut[1]);
      if (cut.size() == 4) {
        const bool middle = value(a) + value(b) + value(d) + value(e) > 0;
        const bool turn = middle == above[0];
        segments.add(cut[0], cut[turn ? 1 : 3]);
        segments.add(cut[2], cut[turn ? 3 : 1]);
      }
    }
  }
  const auto point = [&](const Edge& edge) -> Point2 {
    const int i = edge.first, j = i + (edge.second ? columns : 1);
    const double t = value(i) / (value(i) - value(j));
    const int row = i / columns;
    const double x = i % columns + 0.5 + (edge.second ? 0 : t);
    const double y = row + 0.5 + (edge.second ? t : 0);
    return {corner[0] + x * cell[0], corner[1] + y * cell[1]};
  };
  Shape shape;
  while (!segments.next.empty()) {
    Outline line;
    for (const Edge& edge : segments.take()) line.points.push_back(point(edge));
    if (line.points.size() > 1) shape.push_back(line);
  }
  return shape;
}

}  // namespace rigproof
