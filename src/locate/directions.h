#pragma once

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <vector>

#include "geometry/points.h"

namespace rigproof {

/// Directions in bands of latitude cut into bins of nearly equal solid angle.
class Directions {
 public:
  /// About `count` bins on the whole sphere.
  explicit Directions(double count) {
    bands_ = std::max(2, static_cast<int>(std::lround(std::sqrt(count * M_PI) / 2)));
    for (int b = 0; b < bands_; ++b) {
      first_.push_back(static_cast<std::uint32_t>(size_));
      const double sine = std::sin(M_PI * (b + 0.5) / bands_);
      sectors_.push_back(std::max(1, static_cast<int>(std::lround(2 * bands_ * sine))));
      size_ += sectors_.back();
      for (int s = 0; s < sectors_.back(); ++s) middles_.push_back(middle(b, s));
    }
  }
  std::size_t size() const { return size_; }
  std::uint32_t bin(const Vec3& v) const {
    const double theta = std::atan2(std::sqrt(v.x() * v.x() + v.y() * v.y()), v.z());
    const double turn = std::atan2(v.y(), v.x()) / (2 * M_PI) + 0.5;
    const int b = std::min(bands_ - 1, static_cast<int>(theta / M_PI * bands_));
    return first_[b] + std::min(sectors_[b] - 1, static_cast<int>(turn * sectors_[b]));
  }
  const Vec3& middle(std::size_t bin) const { return middles_[bin]; }

 private:
  Vec3 middle(int band, int sector) const {
    const double theta = M_PI * (band + 0.5) / bands_;
    const double phi = 2 * M_PI * ((sector + 0.5) / sectors_[band] - 0.5);
    return {std::sin(theta) * std::cos(phi), std::sin(theta) * std::sin(phi), std::cos(theta)};
  }

  int bands_ = 2;
  std::size_t size_ = 0;
  std::vector<std::uint32_t> first_;
  std::vector<int> sectors_;
  std::vector<Vec3> middles_;
};

}  // namespace rigproof
