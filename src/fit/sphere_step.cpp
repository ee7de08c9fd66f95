#include "fit/sphere_step.h"

#include <array>
#include <cfloat>
#include <cmath>
#include <cstring>

#include "fit/blocks.h"
#include "fit/decompose.h"

namespace rigproof {
namespace {

constexpr std::size_t kSums = 15;    // Σw, Σn (3), Σnnᵀ (6), Σd, Σdn (3), Σd²
constexpr std::size_t kChunk = 256;  // points whose n and d stay in the first-level cache

struct Chunk {
  alignas(64) double nx[kChunk], ny[kChunk], nz[kChunk], d[kChunk], w[kChunk];
};

// No point lies at the centre itself in practice; there the normal is zero instead of 0/0.
__attribute__((always_inline)) inline void fill(Chunk& chunk,
                                                const double* x,
                                                const double* y,
                                                const double* z,
                                                std::size_t n,
                                                const double* sphere) {
  const double cx = sphere[0], cy = sphere[1], cz = sphere[2], r = sphere[3];
  for (std::size_t i = 0; i < n; ++i) {
    const double dx = x[i] - cx, dy = y[i] - cy, dz = z[i] - cz;
    const double rho = std::sqrt(dx * dx + dy * dy + dz * dz);
    const double inverse = 1.0 / (rho > DBL_MIN ? rho : DBL_MIN);
    chunk.nx[i] = dx * inverse;
    chunk.ny[i] = dy * inverse;
    chunk.nz[i] = dz * inverse;
    chunk.d[i] = rho - r;
  }
}

template <bool kWeighted>
__attribute__((always_inline)) inline void accumulate(const Chunk& chunk, std::size_t n, Lanes* a) {
  Lanes nx, ny, nz, d, w;
  for (std::size_t i = 0; i < n; i += kLanes) {
    std::memcpy(&nx, chunk.nx + i, sizeof nx);
    std::memcpy(&ny, chunk.ny + i, sizeof ny);
    std::memcpy(&nz, chunk.nz + i, sizeof nz);
    std::memcpy(&d, chunk.d + i, sizeof d);
    Lanes wx = nx, wy = ny, wz = nz, wd = d;
    if constexpr (kWeighted) {
      std::memcpy(&w, chunk.w + i, sizeof w);
      wx *= w, wy *= w, wz *= w, wd *= w;
      a[0] += w;
    }
    a[1] += wx, a[2] += wy, a[3] += wz;
    a[4] += wx * nx, a[5] += wy * ny, a[6] += wz * nz;
    a[7] += wx * ny, a[8] += wx * nz, a[9] += wy * nz;
    a[10] += wd;
    a[11] += wd * nx, a[12] += wd * ny, a[13] += wd * nz;
    a[14] += wd * d;
  }
}

RIGPROOF_MULTIVERSION
void add_block(const double* x,
               const double* y,
               const double* z,
               const double* weights,
               std::size_t n,
               const double* sphere,
               double* out) {
  Lanes a[kSums] = {};
  Chunk chunk;
  std::size_t i = 0;
  for (; i + kChunk <= n; i += kChunk) {
    fill(chunk, x + i, y + i, z + i, kChunk, sphere);
    if (weights) {
      std::memcpy(chunk.w, weights + i, sizeof chunk.w);
      accumulate<true>(chunk, kChunk, a);
    } else {
      accumulate<false>(chunk, kChunk, a);
    }
  }
  if (i < n) {
    std::memset(&chunk, 0, sizeof chunk);
    fill(chunk, x + i, y + i, z + i, n - i, sphere);
    const std::size_t padded = (n - i + kLanes - 1) / kLanes * kLanes;  // the rest adds zeros
    if (weights) {
      std::memcpy(chunk.w, weights + i, (n - i) * sizeof(double));
      accumulate<true>(chunk, padded, a);
    } else {
      accumulate<false>(chunk, padded, a);
    }
  }
  for (std::size_t k = 0; k < kSums; ++k)
    out[k] =
        ((a[k][0] + a[k][1]) + (a[k][2] + a[k][3])) + ((a[k][4] + a[k][5]) + (a[k][6] + a[k][7]));
  if (!weights) out[0] = static_cast<double>(n);
}

}  // namespace

SphereSums& SphereSums::operator+=(const SphereSums& o) {
  weight += o.weight;
  n += o.n;
  nn += o.nn;
  d += o.d;
  dn += o.dn;
  dd += o.dd;
  return *this;
}

Eigen::Matrix4d SphereSums::normal() const {
  Eigen::Matrix4d m;
  m << nn, n, n.transpose(), weight;
  return m;
}

Eigen::Vector4d SphereSums::gradient() const { return {-dn.x(), -dn.y(), -dn.z(), -d}; }

SphereSums sphere_sums(const Points& points,
                       const Vec3& local_center,
                       double radius,
                       std::span<const double> weights,
                       int threads) {
  const double sphere[] = {local_center.x(), local_center.y(), local_center.z(), radius};
  return sum_blocks<SphereSums>(points.size(), threads, [&](std::size_t begin, std::size_t end) {
    std::array<double, kSums> s;
    add_block(&points.x[begin],
              &points.y[begin],
              &points.z[begin],
              weights.empty() ? nullptr : &weights[begin],
              end - begin,
              sphere,
              s.data());
    SphereSums sums;
    sums.weight = s[0];
    sums.n = {s[1], s[2], s[3]};
    sums.nn << s[4], s[7], s[8], s[7], s[5], s[9], s[8], s[9], s[6];
    sums.d = s[10];
    sums.dn = {s[11], s[12], s[13]};
    sums.dd = s[14];
    return sums;
  });
}

SphereSums sphere_sums_serial(const Points& points,
                              const Vec3& local_center,
                              double radius,
                              std::span<const double> weights) {
  SphereSums sums;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const double w = weights.empty() ? 1 : weights[i];
    const Vec3 q = points.local(i) - local_center;
    const double rho = q.norm(), d = rho - radius;
    const Vec3 normal = rho > 0 ? Vec3(q / rho) : Vec3(Vec3::Zero());
    sums.weight += w;
    sums.n += w * normal;
    sums.nn += w * normal * normal.transpose();
    sums.d += w * d;
    sums.dn += w * d * normal;
    sums.dd += w * d * d;
  }
  return sums;
}

std::optional<Eigen::Vector4d> sphere_step(const SphereSums& sums, bool hold_radius) {
  Eigen::Matrix4d inverse;
  if (!invert_normal(sums.normal(), hold_radius, inverse)) return std::nullopt;
  return -inverse * sums.gradient();
}

}  // namespace rigproof
