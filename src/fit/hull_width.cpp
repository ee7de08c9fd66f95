#include "fit/hull_width.h"

#include <algorithm>
#include <cmath>
#include <initializer_list>
#include <limits>

#include <Eigen/Geometry>

namespace rigproof {
namespace {

// Products of lattice differences are rounded to doubles here. A sign within this share of its size
// counts as both: a pair too many costs one look at its true width, a pair missed would be wrong.
constexpr double kUnsure = 1e-14;

Support support(const Vec3& normal, const std::vector<int>& vertices, const std::vector<Vec3>& q) {
  Support s;
  s.normal = normal;
  s.low = std::numeric_limits<double>::infinity();
  s.high = -std::numeric_limits<double>::infinity();
  for (int v : vertices) {
    const double t = normal.dot(q[v]);
    s.low = std::min(s.low, t);
    s.high = std::max(s.high, t);
  }
  return s;
}

// The vertex that is opposite to a face of the hull.
int farthest(const Support& s,
             int of_face,
             const std::vector<int>& vertices,
             const std::vector<Vec3>& q) {
  const double face = s.normal.dot(q[of_face]);
  return *std::ranges::max_element(
      vertices, {}, [&](int v) { return std::abs(s.normal.dot(q[v]) - face); });
}

struct Ridge {
  LatticeHull::Edge edge;
  Vec3 along;        // lattice
  Vec3 left, right;  // unit outward normals of its faces, lattice
};

struct Sides {
  double left, right;  // the two face normals along the other edge
  bool possible;       // some normal between them is across it
};

Sides across(const Ridge& r, const Vec3& along) {
  const double left = r.left.dot(along), right = r.right.dot(along);
  const double unsure = kUnsure * along.norm();
  const bool beyond = std::min(left, right) > unsure || std::max(left, right) < -unsure;
  return {left, right, !beyond};
}

// The normals that keep an edge on the hull form an arc between those of its faces. Two edges are
// opposite when one arc and the mirror image of the other cross.
bool opposite(const Ridge& a, const Ridge& b) {
  const Sides s = across(a, b.along);
  if (!s.possible) return false;
  const Sides t = across(b, a.along);
  if (!t.possible) return false;
  const Vec3 n = std::abs(s.right) * a.left + std::abs(s.left) * a.right;
  const Vec3 m = std::abs(t.right) * b.left + std::abs(t.left) * b.right;
  return n.dot(m) <= 1e-6 * n.norm() * m.norm();
}

std::vector<Ridge> ridges(const LatticeHull& hull, const std::vector<LatticeHull::Point>& lattice) {
  std::vector<Ridge> all;
  for (const LatticeHull::Edge& e : hull.edges()) {
    Vec3 along;
    for (int k = 0; k < 3; ++k) along[k] = static_cast<double>(lattice[e.b][k] - lattice[e.a][k]);
    all.push_back({e,
                   along,
                   hull.faces()[e.left].normal.normalized(),
                   hull.faces()[e.right].normal.normalized()});
  }
  return all;
}

}  // namespace

Support hull_width(const LatticeHull& hull, const std::vector<Vec3>& q) {
  const std::vector<int> vertices = hull.vertices();
  Support best;
  best.high = std::numeric_limits<double>::infinity();
  const auto look = [&](const Vec3& across, std::initializer_list<int> touching) {
    const double length = across.norm();
    if (!(length > 0)) return;
    Support s = support(across / length, vertices, q);
    if (!(s.width() < best.width())) return;
    s.contacts = touching;
    if (touching.size() == 3) s.contacts.push_back(farthest(s, *touching.begin(), vertices, q));
    best = std::move(s);
  };
  for (const LatticeHull::Face& f : hull.faces())
    look((q[f.v[1]] - q[f.v[0]]).cross(q[f.v[2]] - q[f.v[0]]), {f.v[0], f.v[1], f.v[2]});

  const std::vector<Ridge> all = ridges(hull, hull.points());
  for (std::size_t i = 0; i < all.size(); ++i) {
    const Vec3 e = q[all[i].edge.b] - q[all[i].edge.a];
    for (std::size_t j = i + 1; j < all.size(); ++j) {
      if (!opposite(all[i], all[j])) continue;
      const LatticeHull::Edge &a = all[i].edge, &b = all[j].edge;
      look(e.cross(q[b.b] - q[b.a]), {a.a, a.b, b.a, b.b});
    }
  }
  return best;
}

}  // namespace rigproof
