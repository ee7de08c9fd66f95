#include "simulate/noise_field.h"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace rigproof {
namespace {

constexpr double kCut = 4;                  // kernel half-width in its standard deviations
constexpr std::int64_t kColumns = 1 << 20;  // index = row · kColumns + column

std::uint64_t at(int row, int column) {
  return static_cast<std::uint64_t>((row + 4096) * kColumns + column + 4096);
}

// Four 16-bit uniforms of one word, unit variance; smoothing does the rest of the way to a normal.
float rough_normal(std::uint64_t b) {
  const auto sum =
      static_cast<float>((b & 0xFFFF) + ((b >> 16) & 0xFFFF) + ((b >> 32) & 0xFFFF) + (b >> 48));
  return (sum - 2 * 65535.0f) * (1.7320508f / 65536.0f);
}

}  // namespace

NoiseField::NoiseField(Chance chance, double area_px2, double white_share)
    : chance_(chance), white_share_(std::clamp(white_share, 0.0, 1.0)) {
  const double smooth = std::max(1.0 - white_share_, 1e-9);
  width_px_ = std::sqrt(std::max(0.0, area_px2 - white_share_) / (4 * std::numbers::pi * smooth));
  const int half = width_px_ > 0.2 ? static_cast<int>(std::ceil(kCut * width_px_)) : 0;
  double squares = 0;
  for (int i = -half; i <= half; ++i) {
    kernel_.push_back(
        static_cast<float>(half ? std::exp(-0.5 * i * i / (width_px_ * width_px_)) : 1.0));
    squares += static_cast<double>(kernel_.back()) * kernel_.back();
  }
  for (float& k : kernel_) k /= static_cast<float>(std::sqrt(squares));
}

double NoiseField::correlation(double d) const {
  if (d == 0) return 1;
  return kernel_.size() < 2 ? 0
                            : (1 - white_share_) * std::exp(-d * d / (4 * width_px_ * width_px_));
}

double NoiseField::area_in_points(int step) const {
  const int reach = static_cast<int>(kernel_.size()) / step + 1;
  double sum = 0;
  for (int i = -reach; i <= reach; ++i)
    for (int j = -reach; j <= reach; ++j) sum += correlation(step * std::hypot(i, j));
  return sum;
}

std::vector<float> NoiseField::block(int row0, int rows, int col0, int columns, int step) const {
  const int half = static_cast<int>(kernel_.size()) / 2;
  const int width = (columns - 1) * step + 1 + 2 * half, taps = 2 * half + 1;
  const Chance lattice = chance_.stream(0), white = chance_.stream(1);
  // A ring of rows of the white lattice, so that each is drawn once.
  std::vector<std::vector<float>> ring(taps, std::vector<float>(width));
  std::vector<float> sum(width), out(static_cast<std::size_t>(rows) * columns);
  int drawn = row0 - half;  // first row not yet in the ring
  const auto smooth = static_cast<float>(std::sqrt(1 - white_share_));
  const double rest = std::sqrt(white_share_);
  for (int r = 0; r < rows; ++r) {
    const int row = row0 + r * step;
    for (drawn = std::max(drawn, row - half); drawn <= row + half; ++drawn) {
      std::vector<float>& line = ring[(drawn % taps + taps) % taps];
      for (int c = 0; c < width; ++c)
        line[c] = rough_normal(lattice.bits(at(drawn, col0 - half + c)));
    }
    std::ranges::fill(sum, 0.0f);
    for (int t = -half; t <= half; ++t) {
      const std::vector<float>& line = ring[((row + t) % taps + taps) % taps];
      const float k = kernel_[t + half];
      for (int c = 0; c < width; ++c) sum[c] += k * line[c];
    }
    for (int c = 0; c < columns; ++c) {
      float v = 0;
      for (int t = 0; t < taps; ++t) v += kernel_[t] * sum[c * step + t];
      v *= smooth;
      if (rest > 0) v += static_cast<float>(rest * white.normal(at(row, col0 + c * step)));
      out[static_cast<std::size_t>(r) * columns + c] = v;
    }
  }
  return out;
}

}  // namespace rigproof
