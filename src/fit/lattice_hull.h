#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include <Eigen/Core>

namespace rigproof {

/// Convex hull of points on an integer lattice, grown point by point. Every side test is exact
/// (coordinates up to 2³⁹ in size make a 3×3 determinant fit 128 bits), so that coplanar and
/// collinear points, the rule with gridded scans, never break the surface.
class LatticeHull {
 public:
  using Point = std::array<std::int64_t, 3>;
  __extension__ using Wide = __int128;
  static constexpr double kLimit = 549755813888.0;  ///< 2³⁹, largest |coordinate|

  struct Face {
    std::array<int, 3> v;       ///< point numbers, counter-clockwise seen from outside
    Eigen::Vector3d normal;     ///< outward, on the lattice, not of unit length
    std::array<Wide, 3> exact;  ///< the same normal
  };
  struct Edge {
    int a, b;         ///< point numbers
    int left, right;  ///< faces
  };

  /// Gives the point the next number. True when the hull changed.
  bool add(const Point& p);

  const std::vector<Point>& points() const { return points_; }
  /// False while all points lie in one plane; there are no faces then.
  bool solid() const { return !faces_.empty(); }
  const std::vector<Face>& faces() const { return faces_; }
  /// Each edge once, ordered by its points. Edges inside a flat facet are among them.
  std::vector<Edge> edges() const;
  /// Numbers of the points that are corners of faces, ascending.
  std::vector<int> vertices() const;

 private:
  bool build();
  bool insert(int p);
  Face face(int a, int b, int c) const;
  /// Sign of the side of the face's plane on which p lies: +1 outside.
  int side(const Face& f, const Point& p) const;

  std::vector<Point> points_;
  std::vector<Face> faces_;
};

}  // namespace rigproof
