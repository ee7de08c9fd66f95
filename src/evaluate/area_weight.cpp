#include "evaluate/area_weight.h"

#include <algorithm>
#include <cmath>

#include "evaluate/cap.h"
#include "fit/sphere_step.h"

namespace rigproof {
namespace {

constexpr double kCell = 2;  // spacings
constexpr double kMostCells = 4e6;
constexpr int kSteps = 30;
constexpr double kSmallStep = 1e-12;  // of the radius

// Cells over coordinates (a, b) of each point; the number of its cell's points, one a point.
class Cells {
 public:
  Cells(std::vector<double> a, std::vector<double> b, double size) {
    const auto [a0, a1] = std::ranges::minmax(a);
    const auto [b0, b1] = std::ranges::minmax(b);
    while (((a1 - a0) / size + 1) * ((b1 - b0) / size + 1) > kMostCells) size *= 2;
    const auto columns = static_cast<std::size_t>((b1 - b0) / size) + 1;
    const auto rows = static_cast<std::size_t>((a1 - a0) / size) + 1;
    counts_.assign(rows * columns, 0);
    of_.resize(a.size());
    for (std::size_t i = 0; i < a.size(); ++i) {
      of_[i] = static_cast<std::size_t>((a[i] - a0) / size) * columns +
               static_cast<std::size_t>((b[i] - b0) / size);
      ++counts_[of_[i]];
    }
  }
  std::size_t count() const { return counts_.size(); }
  std::size_t cell(std::size_t point) const { return of_[point]; }
  double share(std::size_t point) const { return 1.0 / counts_[of_[point]]; }

 private:
  std::vector<std::size_t> of_;
  std::vector<int> counts_;
};

}  // namespace

Sphere area_weighted_sphere(const BallFeature& ball) {
  const Points& p = ball.zone;
  Sphere s = ball.fit_all.sphere;
  if (p.empty() || !(ball.spacing_mm > 0)) return s;
  // Lambert's azimuthal projection about the cap's axis keeps areas.
  const auto [u, v] = across(ball.cap_axis);
  const Vec3 c = s.center - p.origin;
  std::vector<double> a(p.size()), b(p.size()), weights(p.size());
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Vec3 n = (p.local(i) - c).normalized();
    const double scale = s.radius * std::sqrt(2 / std::max(1e-9, 1 + n.dot(ball.cap_axis)));
    a[i] = scale * n.dot(u);
    b[i] = scale * n.dot(v);
  }
  const Cells cells(std::move(a), std::move(b), kCell * ball.spacing_mm);
  for (std::size_t i = 0; i < p.size(); ++i) weights[i] = cells.share(i);
  for (int k = 0; k < kSteps; ++k) {
    const auto step = sphere_step(sphere_sums(p, s.center - p.origin, s.radius, weights), false);
    if (!step || !(step->norm() < s.radius)) return ball.fit_all.sphere;
    s = {s.center + step->head<3>(), s.radius + (*step)[3]};
    if (step->norm() < kSmallStep * s.radius) break;
  }
  return s;
}

Plane area_weighted_plane(const PlateFeature& plate) {
  const Points& p = plate.zone;
  if (p.empty() || !(plate.spacing_mm > 0)) return plate.fit_all.plane;
  std::vector<double> a(p.size()), b(p.size());
  for (std::size_t i = 0; i < p.size(); ++i) {
    a[i] = p.local(i).dot(plate.located.axis_u);
    b[i] = p.local(i).dot(plate.located.axis_v);
  }
  const Cells cells(std::move(a), std::move(b), kCell * plate.spacing_mm);
  std::vector<Vec3> sums(cells.count(), Vec3::Zero());
  std::vector<char> occupied(cells.count(), 0);
  for (std::size_t i = 0; i < p.size(); ++i) {
    sums[cells.cell(i)] += cells.share(i) * p.local(i);
    occupied[cells.cell(i)] = 1;
  }
  Points means;
  means.origin = p.origin;
  for (std::size_t k = 0; k < sums.size(); ++k)
    if (occupied[k]) means.push_local(sums[k].x(), sums[k].y(), sums[k].z());
  const Plane& plain = plate.fit_all.plane;
  const PlaneFit fit = fit_plane(means, plain.point + plain.normal);
  return fit.ok() ? fit.plane : plain;
}

}  // namespace rigproof
