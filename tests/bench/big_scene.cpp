#include "big_scene.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>
#include <vector>

#include <Eigen/Geometry>

namespace rigproof::bench {
namespace {

constexpr double kFar = std::numeric_limits<double>::infinity();
constexpr double kWidth = 420.0 / 600, kHeight = 336.0 / 600;  // of the image at distance 1
constexpr int kTile = 64;                                      // pixels
constexpr double kTableY = 110, kTableZ = 600;

/// splitmix64's finaliser (Steele, Lea, Flood, OOPSLA 2014).
std::uint64_t mix(std::uint64_t z) {
  z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
  z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
  return z ^ (z >> 31);
}

/// Random numbers by place: strictly between 0 and 1.
double uniform(std::uint64_t seed, std::uint64_t index) {
  const std::uint64_t b = mix(mix(seed + 0x9E3779B97F4A7C15u) + 0x9E3779B97F4A7C15u * (index + 1));
  return (static_cast<double>(b >> 11) + 0.5) * 0x1p-53;
}

struct Hit {
  double t = kFar;
  Vec3 normal = Vec3::Zero();
};

/// Rays start at the origin; directions have length 1.
Hit hit_plane(const Vec3& point, const Vec3& normal, const Vec3& d) {
  const double t = point.dot(normal) / d.dot(normal);
  return t > 0 ? Hit{t, normal} : Hit{};
}

Hit hit_sphere(const Vec3& c, double r, const Vec3& d) {
  const double b = c.dot(d), q = b * b - c.squaredNorm() + r * r;
  if (q < 0 || b < 0) return {};
  const double t = b - std::sqrt(q);
  return {t, (t * d - c) / r};
}

/// The wall of a cylinder from a to b; `cap`: and its end at b.
Hit hit_cylinder(const Vec3& a, const Vec3& b, double r, bool cap, const Vec3& d) {
  const double length = (b - a).norm();
  const Vec3 axis = (b - a) / length;
  const Vec3 u = d - d.dot(axis) * axis, w = -a + a.dot(axis) * axis;
  const double uu = u.squaredNorm(), uw = u.dot(w), q = uw * uw - uu * (w.squaredNorm() - r * r);
  Hit hit;
  if (q >= 0) {
    const double t = (-uw - std::sqrt(q)) / uu, along = (t * d - a).dot(axis);
    if (t > 0 && along >= 0 && along <= length) hit = {t, (w + t * u) / r};
  }
  if (cap) {
    const Hit end = hit_plane(b, axis, d);
    if (end.t < hit.t && (end.t * d - b).squaredNorm() <= r * r) hit = end;
  }
  return hit;
}

struct Block {
  Vec3 center = Vec3::Zero(), half = Vec3::Zero();
  Mat3 axes = Mat3::Identity();  // columns
};

Hit hit_box(const Block& box, const Vec3& d) {
  const Vec3 o = -box.axes.transpose() * box.center, v = box.axes.transpose() * d;
  double enter = 0, leave = kFar;
  int side = -1;
  for (int c = 0; c < 3; ++c) {
    const double p = (-box.half[c] - o[c]) / v[c], q = (box.half[c] - o[c]) / v[c];
    if (std::min(p, q) > enter) {
      enter = std::min(p, q);
      side = c;
    }
    leave = std::min(leave, std::max(p, q));
  }
  if (side < 0 || enter > leave) return {};
  return {enter, box.axes.col(side) * (v[side] > 0 ? -1.0 : 1.0)};
}

enum class Kind { plane, sphere, cylinder, box };

struct Part {
  Kind kind;
  Vec3 a, b;  // plane: point, normal; sphere: centre; cylinder: ends
  double radius = 0;
  Block box = {};

  Hit hit(const Vec3& d) const {
    switch (kind) {
      case Kind::plane:
        return hit_plane(a, b, d);
      case Kind::sphere:
        return hit_sphere(a, radius, d);
      case Kind::cylinder:
        return hit_cylinder(a, b, radius, true, d);
      case Kind::box:
        return hit_box(box, d);
    }
    return {};
  }
  /// A sphere around it all.
  Sphere bound() const {
    if (kind == Kind::sphere) return {a, radius};
    if (kind == Kind::box) return {box.center, box.half.norm()};
    return {0.5 * (a + b), 0.5 * (b - a).norm() + radius};
  }
};

/// Half the angle under which a sphere is seen from the origin, widened by `margin` mm.
double seen_under(const Sphere& s, double margin) {
  return std::asin(std::min(1.0, (s.radius + margin) / s.center.norm()));
}

bool overlap_in_view(const Sphere& s, const Sphere& t, double margin) {
  const double angle =
      std::acos(std::clamp(s.center.normalized().dot(t.center.normalized()), -1.0, 1.0));
  return angle < seen_under(s, margin) + seen_under(t, margin);
}

Vec3 up() { return Vec3(0, -0.8, -0.6); }  // of the table, which leans towards the sensor
Vec3 on_table(double right, double back) {
  return Vec3(right, kTableY, kTableZ) + back * Vec3(0, -0.6, 0.8);
}

}  // namespace

struct BigScene::Parts {
  std::vector<Part> parts;
  std::uint64_t columns = 0, rows = 0;
  std::uint64_t tile_columns = 0;
  std::vector<std::vector<std::uint16_t>> tiles;  // parts that a tile of the image may show

  void place(const std::array<Sphere, 2>& balls, std::uint64_t seed);
  void make_tiles();
  Vec3 direction(double column, double row) const {
    return Vec3((column / static_cast<double>(columns) - 0.5) * kWidth,
                (row / static_cast<double>(rows) - 0.5) * kHeight,
                1)
        .normalized();
  }
};

void BigScene::Parts::place(const std::array<Sphere, 2>& balls, std::uint64_t seed) {
  parts.push_back({Kind::plane, Vec3(0, 0, 900), Vec3(0.05, 0, -1).normalized()});
  parts.push_back({Kind::plane, on_table(0, 0), up()});
  for (const Sphere& s : balls) parts.push_back({Kind::sphere, s.center, s.center, s.radius});
  // Each ball stands on a stem out of its evaluation zone; a beam joins the stems.
  const Vec3 stem = -45 * up();
  for (const Sphere& s : balls) parts.push_back({Kind::cylinder, s.center, s.center + stem, 4});
  parts.push_back({Kind::cylinder, balls[0].center + stem, balls[1].center + stem, 5});
  const Vec3 middle = 0.5 * (balls[0].center + balls[1].center) + stem;
  const double height = (middle - on_table(0, 0)).dot(up());
  parts.push_back({Kind::cylinder, middle - height * up(), middle, 7});

  std::uint64_t draw = 0;
  const auto random = [&](double lo, double hi) {
    return lo + (hi - lo) * uniform(seed ^ 0x5CE4E5ull, draw++);
  };
  // Clutter may stand anywhere but between the sensor and the balls.
  const auto add = [&](const Part& part) {
    for (const Sphere& s : balls)
      if (overlap_in_view(part.bound(), s, 4)) return;
    parts.push_back(part);
  };
  for (int i = 0; i < 14; ++i) {
    const Vec3 half(random(8, 28), random(8, 28), random(5, 20));
    const Vec3 foot = on_table(random(-200, 200), random(-60, 200));
    const Mat3 turn = Eigen::AngleAxisd(random(0, std::numbers::pi), up()).toRotationMatrix();
    const Vec3 side = turn * Vec3::UnitX();
    Block box{foot + half[2] * up(), half, {}};
    box.axes << side, up().cross(side), up();
    add({Kind::box, box.center, box.center, 0, box});
  }
  for (int i = 0; i < 10; ++i) {
    const Vec3 foot = on_table(random(-200, 200), random(-60, 200));
    add({Kind::cylinder, foot, foot + random(10, 45) * up(), random(5, 18)});
  }
  const Vec3 foot = on_table(random(-60, 60), random(-60, -20));
  add({Kind::sphere, foot + 6 * up(), foot, 11});
  for (int cable = 0; cable < 3; ++cable) {
    const double start = random(-60, 120), swing = random(10, 30), bend = random(20, 50);
    constexpr int kPieces = 40;
    const auto at = [&](int i) {
      const double right = -220 + 440.0 * i / kPieces;
      return Vec3(on_table(right, start + swing * std::sin(right / bend)) + 2.5 * up());
    };
    for (int i = 0; i < kPieces; ++i) add({Kind::cylinder, at(i), at(i + 1), 2.5});
  }
}

void BigScene::Parts::make_tiles() {
  tile_columns = (columns + kTile - 1) / kTile;
  const std::uint64_t tile_rows = (rows + kTile - 1) / kTile;
  tiles.resize(tile_columns * tile_rows);
  for (std::uint64_t t = 0; t < tiles.size(); ++t) {
    const double c = static_cast<double>(t % tile_columns) * kTile;
    const double r = static_cast<double>(t / tile_columns) * kTile;
    const Vec3 middle = direction(c + 0.5 * kTile, r + 0.5 * kTile);
    double spread = 0;
    for (const double dc : {0, kTile})
      for (const double dr : {0, kTile})
        spread = std::max(spread, (direction(c + dc, r + dr) - middle).norm());
    for (std::size_t k = 0; k < parts.size(); ++k) {
      const Sphere bound = parts[k].bound();
      if (parts[k].kind == Kind::plane ||
          std::acos(std::clamp(bound.center.normalized().dot(middle), -1.0, 1.0)) <
              seen_under(bound, 0) + 1.1 * spread)
        tiles[t].push_back(static_cast<std::uint16_t>(k));
    }
  }
}

BigScene::BigScene(const BigSceneOptions& options)
    : options_(options), parts_(std::make_unique<Parts>()) {
  const double lean = 0.06 * (2 * uniform(options.seed, 0) - 1);
  const Vec3 along = Vec3(1, 0.08 + lean, 0.12 - lean).normalized();
  const Vec3 middle(4 * uniform(options.seed, 1), -14, 600 + 10 * uniform(options.seed, 2));
  balls_ = {Sphere{middle - 0.5 * kDistance * along, 0.5 * kDiameter},
            Sphere{middle + 0.5 * kDistance * along, 0.5 * kDiameter}};
  const double n = static_cast<double>(options.points);
  parts_->columns = std::max<std::uint64_t>(1, std::llround(std::sqrt(n * kWidth / kHeight)));
  parts_->rows = (options.points + parts_->columns - 1) / parts_->columns;
  parts_->place(balls_, options.seed);
  parts_->make_tiles();
}

BigScene::~BigScene() = default;

Vec3 BigScene::point(std::uint64_t index) const {
  std::uint64_t pixel = index;
  if (options_.order == Order::shuffled) {
    // A four-round Feistel network over the next power of four, walked until it is in range: a
    // permutation of all indices without a table.
    int half_bits = 1;
    while ((1ull << 2 * half_bits) < options_.points) ++half_bits;
    const std::uint64_t mask = (1ull << half_bits) - 1;
    do {
      std::uint64_t left = pixel >> half_bits, right = pixel & mask;
      for (std::uint64_t round = 0; round < 4; ++round) {
        const std::uint64_t next = left ^ (mix(right + (round << 40) + options_.seed) & mask);
        left = right;
        right = next;
      }
      pixel = left << half_bits | right;
    } while (pixel >= options_.points);
  }
  const std::uint64_t column = pixel % parts_->columns, row = pixel / parts_->columns;
  const Vec3 d =
      parts_->direction(static_cast<double>(column) + 0.5, static_cast<double>(row) + 0.5);
  Hit nearest;
  for (const std::uint16_t k : parts_->tiles[row / kTile * parts_->tile_columns + column / kTile]) {
    const Hit hit = parts_->parts[k].hit(d);
    if (hit.t < nearest.t) nearest = hit;
  }
  const std::uint64_t seed = options_.seed ^ 0x901Full;
  const double u = uniform(seed, 4 * pixel), v = uniform(seed, 4 * pixel + 1);
  const double noise =
      options_.noise_mm * std::sqrt(-2 * std::log(u)) * std::cos(2 * std::numbers::pi * v);
  Vec3 p = nearest.t * d + noise * nearest.normal;
  if (uniform(seed, 4 * pixel + 2) < options_.outlier_share)
    p += 30 * (2 * uniform(seed, 4 * pixel + 3) - 1) * d;
  return p;
}

}  // namespace rigproof::bench
