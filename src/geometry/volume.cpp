#include "geometry/volume.h"

#include <algorithm>
#include <cmath>

#include "base/error.h"

namespace rigproof {
namespace {

const std::array<const char*, 3> kDepth{"near", "mid", "far"};
const std::array<const char*, 3> kHeight{"top", "middle", "bottom"};
const std::array<const char*, 3> kWidth{"left", "centre", "right"};

int third(double normalized) { return normalized < -1.0 / 3 ? 0 : normalized > 1.0 / 3 ? 2 : 1; }

std::string name(int depth, int height, int width) {
  return std::string(kDepth[depth]) + "-" + kHeight[height] + "-" + kWidth[width];
}

}  // namespace

Volume Volume::box(double width, double height, double depth, double middle) {
  return {middle - depth / 2, middle + depth / 2, width, height, width, height};
}

Vec3 Volume::normalized(const Vec3& p) const {
  const double t = (p.z() - near_mm) / (far_mm - near_mm);
  // Widths are not extrapolated past the two end faces: a cone's tip would flip left and right.
  const double s = std::clamp(t, 0.0, 1.0);
  const double width = near_width + s * (far_width - near_width);
  const double height = near_height + s * (far_height - near_height);
  return {2 * p.x() / width, 2 * p.y() / height, 2 * t - 1};
}

Vec3 Volume::from_normalized(const Vec3& n) const {
  const double t = (n.z() + 1) / 2;
  const double s = std::clamp(t, 0.0, 1.0);
  return {n.x() / 2 * (near_width + s * (far_width - near_width)),
          n.y() / 2 * (near_height + s * (far_height - near_height)),
          near_mm + t * (far_mm - near_mm)};
}

double Volume::outside_by(const Vec3& p) const {
  const double depth = far_mm - near_mm;
  // A side face of the frustum leans by half the growth of the width over the depth.
  const auto side = [&](double coordinate, double at_near, double at_far) {
    const double slope = (at_far - at_near) / 2 / depth;
    const double half = at_near / 2 + slope * (p.z() - near_mm);
    return (std::abs(coordinate) - half) / std::hypot(1.0, slope);
  };
  return std::max({0.0,
                   near_mm - p.z(),
                   p.z() - far_mm,
                   side(p.x(), near_width, far_width),
                   side(p.y(), near_height, far_height)});
}

std::array<Vec3, 8> Volume::corners() const {
  std::array<Vec3, 8> out;
  for (int i = 0; i < 8; ++i)
    out[i] = from_normalized({i & 1 ? 1.0 : -1.0, i & 2 ? 1.0 : -1.0, i & 4 ? 1.0 : -1.0});
  return out;
}

double Volume::diagonal() const {
  const auto c = corners();
  double longest = 0;
  for (int i = 0; i < 4; ++i) longest = std::max(longest, (c[i] - c[7 - i]).norm());
  return longest;
}

std::string zone_id(const Volume& volume, const Vec3& p) {
  const Vec3 n = volume.normalized(p);
  return name(third(n.z()), third(n.y()), third(n.x()));
}

const std::vector<std::string>& all_zone_ids() {
  static const std::vector<std::string> ids = [] {
    std::vector<std::string> out;
    for (int d = 0; d < 3; ++d)
      for (int h = 0; h < 3; ++h)
        for (int w = 0; w < 3; ++w) out.push_back(name(d, h, w));
    return out;
  }();
  return ids;
}

Vec3 zone_center(const Volume& volume, const std::string& id) {
  const auto& ids = all_zone_ids();
  const auto it = std::find(ids.begin(), ids.end(), id);
  if (it == ids.end())
    throw Error(ErrorKind::config,
                "unknown zone \"" + id + "\"",
                "Zones are {near, mid, far}-{top, middle, bottom}-{left, centre, right}.");
  const int i = static_cast<int>(it - ids.begin());
  const Eigen::Vector3i steps(i % 3 - 1, i / 3 % 3 - 1, i / 9 - 1);
  return volume.from_normalized(steps.cast<double>() * (2.0 / 3));
}

}  // namespace rigproof
