#include <array>
#include <cmath>

#include <Eigen/Geometry>

#include "fit/blocks.h"
#include "fit/decompose.h"
#include "fit/fit.h"
#include "fit/moments.h"
#include "fit/residuals.h"

namespace rigproof {
namespace {

// Second principal direction over the first below which the points count as a line. The scatter
// matrix holds squares, so nothing finer than √ε of it is seen.
constexpr double kLine = 1e-7;

Vec3 with_largest_positive(const Vec3& v) {
  Eigen::Index k;
  v.cwiseAbs().maxCoeff(&k);
  return v[k] < 0 ? Vec3(-v) : v;
}

struct Frame {
  Vec3 centroid;  // local
  Vec3 u, v, w;   // principal directions, largest first
  double uu = 0, vv = 0;
};

struct Tilt {
  double u = 0, v = 0, w = 0, uu = 0, vv = 0, uw = 0, vw = 0;
  Tilt& operator+=(const Tilt& o) {
    u += o.u, v += o.v, w += o.w;
    uu += o.uu, vv += o.vv, uw += o.uw, vw += o.vw;
    return *this;
  }
};

// Sums in principal axes: the scatter there is graded and its small entries have full accuracy.
RIGPROOF_MULTIVERSION
void tilt_block(const double* x,
                const double* y,
                const double* z,
                std::size_t n,
                const double* f,
                double* out) {
  Lanes a[7] = {};
  for (std::size_t i = 0; i < n; i += kLanes) {
    Lanes dx = {}, dy = {}, dz = {};
    for (std::size_t l = 0; l < kLanes && i + l < n; ++l) {
      dx[l] = x[i + l] - f[0];
      dy[l] = y[i + l] - f[1];
      dz[l] = z[i + l] - f[2];
    }
    const Lanes u = dx * f[3] + dy * f[4] + dz * f[5];
    const Lanes v = dx * f[6] + dy * f[7] + dz * f[8];
    const Lanes w = dx * f[9] + dy * f[10] + dz * f[11];
    a[0] += u, a[1] += v, a[2] += w;
    a[3] += u * u, a[4] += v * v, a[5] += u * w, a[6] += v * w;
  }
  for (std::size_t k = 0; k < 7; ++k)
    out[k] =
        ((a[k][0] + a[k][1]) + (a[k][2] + a[k][3])) + ((a[k][4] + a[k][5]) + (a[k][6] + a[k][7]));
}

Tilt tilt(const Points& points, const Frame& f, int threads) {
  std::array<double, 12> shape;
  for (int k = 0; k < 3; ++k) {
    shape[k] = f.centroid[k];
    shape[3 + k] = f.u[k];
    shape[6 + k] = f.v[k];
    shape[9 + k] = f.w[k];
  }
  return sum_blocks<Tilt>(points.size(), threads, [&](std::size_t begin, std::size_t end) {
    double s[7];
    tilt_block(&points.x[begin], &points.y[begin], &points.z[begin], end - begin, shape.data(), s);
    return Tilt{s[0], s[1], s[2], s[3], s[4], s[5], s[6]};
  });
}

// The eigenvectors of the scatter matrix carry its rounding, the square of the points'. One
// correction in principal axes makes them those of the singular value decomposition.
void refine(Frame& f, const Points& points, double ww, int threads) {
  const Tilt t = tilt(points, f, threads);
  const double n = static_cast<double>(points.size());
  f.uu = t.uu - t.u * t.u / n;
  f.vv = t.vv - t.v * t.v / n;
  const double slope_u = (t.uw - t.u * t.w / n) / (f.uu - ww);
  const double slope_v = (t.vw - t.v * t.w / n) / (f.vv - ww);
  f.centroid += (t.u * f.u + t.v * f.v + t.w * f.w) / n;
  f.w = (f.w - slope_u * f.u - slope_v * f.v).normalized();
  f.u = (f.u - f.u.dot(f.w) * f.w).normalized();
  f.v = f.w.cross(f.u);
}

}  // namespace

PlaneFit fit_plane(const Points& points, const std::optional<Vec3>& sensor, int threads) {
  PlaneFit fit;
  fit.stop = FitStop::degenerate;
  if (points.empty()) return fit;
  const Moments m = moments(points, threads);
  fit.plane.point = points.origin + m.centroid;
  if (!m.scatter.allFinite()) return fit;
  const PrincipalAxes axes = principal_axes(m.scatter);
  if (points.size() < 3 || !(axes.values[1] > kLine * kLine * axes.values[2])) return fit;

  Frame f{m.centroid, axes.axes.col(2), axes.axes.col(1), axes.axes.col(0)};
  if (axes.values[0] < 0.99 * axes.values[1])
    refine(f, points, std::max(0.0, axes.values[0]), threads);
  else
    f.uu = axes.values[2], f.vv = axes.values[1];

  fit.plane.point = points.origin + f.centroid;
  fit.plane.normal = with_largest_positive(f.w);
  if (sensor && fit.plane.normal.dot(*sensor - fit.plane.point) < 0) fit.plane.normal *= -1;
  fit.axis_u = with_largest_positive(f.u);
  fit.axis_v = fit.plane.normal.cross(fit.axis_u);
  fit.cofactor.diagonal() << 1.0 / static_cast<double>(points.size()), 1 / f.uu, 1 / f.vv;
  fit.residuals = plane_residual_stats(points, fit.plane, threads);
  fit.stop = FitStop::converged;
  return fit;
}

}  // namespace rigproof
