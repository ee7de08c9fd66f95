#include "assess/selftest.h"

#include <cmath>
#include <numbers>

#include "evaluate/values.h"
#include "fit/fit.h"
#include "judge/decision.h"

namespace rigproof {
namespace {

/// A cap whose points lie in pairs ± δ about the sphere along one normal: the least-squares sphere
/// is the sphere itself, its form 2δ.
Points paired_cap(const Sphere& sphere, double delta) {
  Points out;
  out.origin = sphere.center;
  const double golden = std::numbers::pi * (3 - std::sqrt(5.0));
  for (int i = 0; i < 500; ++i) {
    const double z = -1 + 0.5 * (i + 0.5) / 500, s = std::sqrt(1 - z * z);
    const Vec3 n(s * std::cos(golden * i), s * std::sin(golden * i), z);
    for (const double sign : {-1.0, 1.0})
      out.push(sphere.center + (sphere.radius + sign * delta) * n);
  }
  return out;
}

/// z = 0.01·xy/10⁴ on a 3 × 3 grid of ± 100: flatness 0.02 by least squares and by minimum zone.
Points saddle() {
  Points out;
  for (const double x : {-100., 0., 100.})
    for (const double y : {-100., 0., 100.}) out.push({x, y, 0.01 * x * y / 1e4});
  return out;
}

/// The vertices of a regular tetrahedron with unit edge.
Points tetrahedron() {
  Points out;
  const double h = std::sqrt(0.5);
  for (const Vec3& p : {Vec3(0, 0, 0), Vec3(h, h, 0), Vec3(h, 0, h), Vec3(0, h, h)}) out.push(p);
  return out;
}

TestValue budgeted(std::initializer_list<BudgetLine> lines) {
  TestValue value;
  value.budget = lines;
  combine_budget(value);
  return value;
}

}  // namespace

bool SelfCheck::passed() const { return std::abs(got - expected) <= tolerance; }

std::vector<SelfCheck> run_selftest() {
  std::vector<SelfCheck> out;
  const Sphere ball{{12.5, -40, 610}, 15.0006};
  SphereFitOptions behind_the_surface;
  behind_the_surface.sensor = Vec3::Zero();
  const SphereFit fit = fit_sphere(paired_cap(ball, 0.004), behind_the_surface);
  out.push_back({"sphere: radius", "closed form", ball.radius, fit.sphere.radius, 1e-9});
  out.push_back(
      {"sphere: centre", "closed form", 0, (fit.sphere.center - ball.center).norm(), 1e-9});
  out.push_back({"sphere: form", "closed form", 0.008, fit.residuals.range(), 1e-9});
  out.push_back({"plane: flatness of a saddle",
                 "closed form",
                 0.02,
                 fit_plane(saddle()).residuals.range(),
                 1e-12});
  out.push_back({"plane: minimum zone of a saddle",
                 "closed form",
                 0.02,
                 minimum_zone_plane(saddle()).width,
                 1e-12});
  out.push_back({"plane: width of a unit tetrahedron",
                 "geometry, 1/√2",
                 std::sqrt(0.5),
                 minimum_zone_plane(tetrahedron()).width,
                 1e-12});
  out.push_back({"decision: Zener voltage, one-sided",
                 "JCGM 106:2012; inputs partly from memory",
                 0.919243,
                 probability_within(5.40, 5.47, 0.05, false, std::nullopt),
                 5e-7});
  out.push_back({"decision: T 0.030, u 0.004, e 0.0265",
                 "normal distribution",
                 0.959941,
                 probability_within(0.0265, 0.030, 0.002, true, std::nullopt),
                 5e-7});
  out.push_back({"decision: T 0.030, u 0.004, e 0.0310",
                 "normal distribution",
                 0.308538,
                 probability_within(0.0310, 0.030, 0.002, true, std::nullopt),
                 5e-7});
  out.push_back({"uncertainty: effective degrees of freedom",
                 "JCGM 100:2008, H.1, u in nm",
                 16,
                 std::floor(budgeted({{"calibration", 25e-6, 18.0, "", 1},
                                      {"comparison", 9.7e-6, 25.6, "", 1},
                                      {"temperature", 2.9e-6, 50.0, "", 1},
                                      {"expansion", 16.6e-6, 2.0, "", 1}})
                                .dof.value_or(0)),
                 1e-9});
  return out;
}

}  // namespace rigproof
