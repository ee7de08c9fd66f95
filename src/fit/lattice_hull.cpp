#include "fit/lattice_hull.h"

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

namespace rigproof {
namespace {

using Wide = LatticeHull::Wide;

LatticeHull::Point minus(const LatticeHull::Point& a, const LatticeHull::Point& b) {
  return {a[0] - b[0], a[1] - b[1], a[2] - b[2]};
}

std::array<Wide, 3> cross(const LatticeHull::Point& a, const LatticeHull::Point& b) {
  return {Wide(a[1]) * b[2] - Wide(a[2]) * b[1],
          Wide(a[2]) * b[0] - Wide(a[0]) * b[2],
          Wide(a[0]) * b[1] - Wide(a[1]) * b[0]};
}

Wide dot(const std::array<Wide, 3>& a, const LatticeHull::Point& b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

double length(const std::array<Wide, 3>& a) {
  return std::hypot(
      static_cast<double>(a[0]), static_cast<double>(a[1]), static_cast<double>(a[2]));
}

double length(const LatticeHull::Point& a) {
  return std::hypot(
      static_cast<double>(a[0]), static_cast<double>(a[1]), static_cast<double>(a[2]));
}

}  // namespace

LatticeHull::Face LatticeHull::face(int a, int b, int c) const {
  Face f{{a, b, c}, {}, cross(minus(points_[b], points_[a]), minus(points_[c], points_[a]))};
  for (int k = 0; k < 3; ++k) f.normal[k] = static_cast<double>(f.exact[k]);
  return f;
}

int LatticeHull::side(const Face& f, const Point& p) const {
  const Point q = minus(p, points_[f.v[0]]);
  double sum = 0, size = 0;
  for (int k = 0; k < 3; ++k) {
    const double term = f.normal[k] * static_cast<double>(q[k]);
    sum += term;
    size += std::abs(term);
  }
  if (std::abs(sum) > 1e-14 * size) return sum > 0 ? 1 : -1;  // rounding is below 4ε·size
  const Wide exact = dot(f.exact, q);
  return (exact > 0) - (exact < 0);
}

bool LatticeHull::add(const Point& p) {
  points_.push_back(p);
  return solid() ? insert(static_cast<int>(points_.size()) - 1) : build();
}

// The first simplex: far points, so that the faces are not slivers, then all the others.
bool LatticeHull::build() {
  const int n = static_cast<int>(points_.size());
  if (n < 4) return false;
  const auto farthest = [n](const auto& distance) {
    int best = 0;
    double most = -1;
    for (int i = 0; i < n; ++i)
      if (const double d = distance(i); d > most) most = d, best = i;
    return std::pair(best, most);
  };
  const Point origin = points_[0];
  const auto [b, far] = farthest([&](int i) { return length(minus(points_[i], origin)); });
  if (far == 0) return false;
  const Point along = minus(points_[b], origin);
  const auto [c, wide] =
      farthest([&](int i) { return length(cross(along, minus(points_[i], origin))); });
  if (wide == 0) return false;
  const std::array<Wide, 3> normal = cross(along, minus(points_[c], origin));
  const auto [d, high] = farthest(
      [&](int i) { return std::abs(static_cast<double>(dot(normal, minus(points_[i], origin)))); });
  if (high == 0) return false;

  const bool above = dot(normal, minus(points_[d], origin)) > 0;
  const int second = above ? c : b, third = above ? b : c;
  faces_ = {face(0, second, third), face(0, third, d), face(third, second, d), face(second, 0, d)};
  for (int i = 1; i < n; ++i)
    if (i != b && i != c && i != d) insert(i);
  return true;
}

// Faces that see the point go, and their rim is joined to it. A face in whose plane the point lies
// stays; the rim is then never in line with the point, and no new face is flat.
bool LatticeHull::insert(int p) {
  std::vector<std::pair<int, int>> rim;
  std::vector<Face> kept;
  kept.reserve(faces_.size() + 8);
  for (const Face& f : faces_) {
    if (side(f, points_[p]) <= 0) {
      kept.push_back(f);
      continue;
    }
    for (int k = 0; k < 3; ++k) rim.emplace_back(f.v[k], f.v[(k + 1) % 3]);
  }
  if (rim.empty()) return false;
  std::vector<std::pair<int, int>> sorted = rim;
  std::ranges::sort(sorted);
  for (const auto& [a, b] : rim)
    if (!std::ranges::binary_search(sorted, std::pair(b, a))) kept.push_back(face(a, b, p));
  faces_ = std::move(kept);
  return true;
}

std::vector<LatticeHull::Edge> LatticeHull::edges() const {
  struct Half {
    int a, b, face;
    bool forward;
  };
  std::vector<Half> halves;
  for (int f = 0; f < static_cast<int>(faces_.size()); ++f)
    for (int k = 0; k < 3; ++k) {
      const int a = faces_[f].v[k], b = faces_[f].v[(k + 1) % 3];
      halves.push_back({std::min(a, b), std::max(a, b), f, a < b});
    }
  std::ranges::sort(halves, {}, [](const Half& h) { return std::tuple(h.a, h.b, !h.forward); });
  std::vector<Edge> edges;
  for (std::size_t i = 0; i + 1 < halves.size(); i += 2)
    edges.push_back({halves[i].a, halves[i].b, halves[i].face, halves[i + 1].face});
  return edges;
}

std::vector<int> LatticeHull::vertices() const {
  std::vector<int> v;
  for (const Face& f : faces_) v.insert(v.end(), f.v.begin(), f.v.end());
  std::ranges::sort(v);
  const auto rest = std::ranges::unique(v);
  v.erase(rest.begin(), rest.end());
  return v;
}

}  // namespace rigproof
