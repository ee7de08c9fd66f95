#pragma once

#include "geometry/region.h"
#include "scan/delivery.h"

namespace rigproof {

/// A region prepared for many tests: a conservative box in raw file values, then the exact test.
struct RegionFilter {
  RegionFilter(const Region& region, const Delivery& delivery, const Vec3& fallback_origin);

  float lo[3], hi[3];  ///< file values; every value of a point inside lies within
  Vec3 origin;         ///< file mm, near the region's middle

  /// As rigproof::contains(region, p), without its trigonometry a point.
  bool contains(const Vec3& p) const;

 private:
  Region region_;
  double cos_half_angle_ = -1;
};

}  // namespace rigproof
