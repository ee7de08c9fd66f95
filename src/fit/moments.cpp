#include "fit/moments.h"

#include <array>
#include <cmath>
#include <cstring>

#include "fit/blocks.h"

namespace rigproof {
namespace {

constexpr std::size_t kSums = 12;  // Σq (3), Σqqᵀ (6), Σ|q|²q (3)

struct RawSums {
  std::array<double, kSums> s{};
  RawSums& operator+=(const RawSums& o) {
    for (std::size_t k = 0; k < kSums; ++k) s[k] += o.s[k];
    return *this;
  }
};

// Eight running sums a moment; missing points of the last group count as the shift itself.
RIGPROOF_MULTIVERSION
void add_block(const double* x,
               const double* y,
               const double* z,
               std::size_t n,
               const double* shift,
               double* out) {
  Lanes a[kSums] = {};
  const auto add = [&a, shift](const Lanes& px, const Lanes& py, const Lanes& pz)
                       __attribute__((always_inline)) {
                         const Lanes qx = px - shift[0], qy = py - shift[1], qz = pz - shift[2];
                         const Lanes xx = qx * qx, yy = qy * qy, zz = qz * qz,
                                     square = xx + yy + zz;
                         a[0] += qx, a[1] += qy, a[2] += qz;
                         a[3] += xx, a[4] += yy, a[5] += zz;
                         a[6] += qx * qy, a[7] += qx * qz, a[8] += qy * qz;
                         a[9] += square * qx, a[10] += square * qy, a[11] += square * qz;
                       };
  Lanes px, py, pz;
  std::size_t i = 0;
  for (; i + kLanes <= n; i += kLanes) {
    std::memcpy(&px, x + i, sizeof px);
    std::memcpy(&py, y + i, sizeof py);
    std::memcpy(&pz, z + i, sizeof pz);
    add(px, py, pz);
  }
  if (i < n) {
    for (std::size_t l = 0; l < kLanes; ++l) {
      const bool here = i + l < n;
      px[l] = here ? x[i + l] : shift[0];
      py[l] = here ? y[i + l] : shift[1];
      pz[l] = here ? z[i + l] : shift[2];
    }
    add(px, py, pz);
  }
  for (std::size_t k = 0; k < kSums; ++k)
    out[k] =
        ((a[k][0] + a[k][1]) + (a[k][2] + a[k][3])) + ((a[k][4] + a[k][5]) + (a[k][6] + a[k][7]));
}

// Mean of up to 1024 points spread over the file: near enough to the centroid to lose no digits.
Vec3 near_center(const Points& points) {
  const std::size_t n = points.size(), m = std::min<std::size_t>(n, 1024);
  Vec3 sum = Vec3::Zero();
  for (std::size_t k = 0; k < m; ++k) sum += points.local(k * n / m);
  return sum / static_cast<double>(m);
}

}  // namespace

double Moments::spread() const {
  return n ? std::sqrt(scatter.trace() / static_cast<double>(n)) : 0;
}

Moments moments(const Points& points, int threads) {
  Moments result;
  result.n = points.size();
  if (result.n == 0) return result;
  const Vec3 shift = near_center(points);
  const auto s = sum_blocks<RawSums>(result.n, threads, [&](std::size_t begin, std::size_t end) {
                   RawSums sums;
                   add_block(&points.x[begin],
                             &points.y[begin],
                             &points.z[begin],
                             end - begin,
                             shift.data(),
                             sums.s.data());
                   return sums;
                 }).s;
  const double n = static_cast<double>(result.n);
  const Vec3 m = Vec3(s[0], s[1], s[2]) / n;
  Mat3 a;
  a << s[3], s[6], s[7], s[6], s[4], s[8], s[7], s[8], s[5];
  result.centroid = shift + m;
  result.scatter = a - n * m * m.transpose();
  result.third = Vec3(s[9], s[10], s[11]) - a.trace() * m - 2 * a * m + 2 * n * m.squaredNorm() * m;
  return result;
}

Moments moments_serial(const Points& points) {
  Moments result;
  result.n = points.size();
  if (result.n == 0) return result;
  for (std::size_t i = 0; i < result.n; ++i) result.centroid += points.local(i);
  result.centroid /= static_cast<double>(result.n);
  for (std::size_t i = 0; i < result.n; ++i) {
    const Vec3 q = points.local(i) - result.centroid;
    result.scatter += q * q.transpose();
    result.third += q.squaredNorm() * q;
  }
  return result;
}

}  // namespace rigproof
