#include <cmath>

#include <gtest/gtest.h>

#include "evaluate/made_points.h"
#include "evidence/fingerprint.h"
#include "evidence/repeats.h"

namespace rigproof {
namespace {

std::vector<double> uniform(std::size_t n, double width, std::uint64_t seed) {
  Random random(seed, 1);
  std::vector<double> out;
  for (std::size_t i = 0; i < n; ++i) out.push_back(width * random.uniform());
  return out;
}

TEST(CommonStep, IsThatOfTheRounding) {
  for (const double step : {0.001, 0.0075, 0.02}) {
    std::vector<double> values = uniform(4000, 30, 1);
    for (double& v : values) v = std::round(v / step) * step;
    EXPECT_NEAR(common_step(values, 1e-9), step, 1e-3 * step);
  }
  EXPECT_EQ(common_step(uniform(4000, 30, 2), 1e-9), 0);
}

TEST(CommonStep, RoundingOfFloatsIsNone) {
  std::vector<double> values = uniform(4000, 30, 3);
  for (double& v : values) v = static_cast<double>(static_cast<float>(600 + v));
  EXPECT_EQ(common_step(values, 600 * 1.2e-7), 0);
}

TEST(Repeats, CountsEveryExactPairAndNoOther) {
  Points p;
  const auto x = uniform(20'000, 30, 4), y = uniform(20'000, 30, 5);
  for (std::size_t i = 0; i < x.size(); ++i) p.push_local(x[i], y[i], 0.1 * x[i]);
  EXPECT_EQ(repeats(p).duplicates, 0u);
  for (std::size_t i = 0; i < 700; ++i) p.push_local(x[7 * i], y[7 * i], 0.1 * x[7 * i]);
  const Repeats r = repeats(made::shuffled(p, 1));
  EXPECT_EQ(r.looked_at, 20'700u);
  EXPECT_EQ(r.duplicates, 700u);
}

TEST(Repeats, ChoosesBothOfAPairInLargeClouds) {
  Points p;
  const auto x = uniform(150'000, 30, 6), y = uniform(150'000, 30, 7);
  for (std::size_t i = 0; i < x.size(); ++i)
    for (int twice = 0; twice < 2; ++twice) p.push_local(x[i], y[i], 0);
  const Repeats r = repeats(p);
  EXPECT_NEAR(static_cast<double>(r.duplicates), 0.5 * static_cast<double>(r.looked_at), 1);
}

struct Seen {
  Points points;
  std::vector<double> residuals;
};

Seen measured(std::uint64_t seed) {
  Seen s;
  Random random(seed, 9);
  s.points =
      made::plate({0, 0, 600}, Vec3::UnitX(), Vec3::UnitY(), 30, 20, 0.2, [&](double, double) {
        return 0.003 * random.normal();
      });
  s.residuals.assign(s.points.size(), 0);
  return s;
}

Fingerprint print_of(const Points& points) {
  Fingerprint f = fingerprint(Scan::from_points(points, "made"));
  const auto residuals = plane_residuals(points, fit_plane(points).plane);
  add_feature(f,
              neighbourhoods({points,
                              residuals,
                              -Vec3::UnitZ(),
                              std::nullopt,
                              -Vec3::UnitZ(),
                              0.2,
                              Vec3::UnitX(),
                              Vec3::UnitY()}));
  return f;
}

Points as_floats(Points p) {
  for (std::size_t i = 0; i < p.size(); ++i) {
    const Vec3 q = p.at(i).cast<float>().cast<double>();
    p.x[i] = q.x() - p.origin.x(), p.y[i] = q.y() - p.origin.y(), p.z[i] = q.z() - p.origin.z();
  }
  return p;
}

TEST(SameMeasurement, SurvivesRigidMotionAndShuffling) {
  const Points first = measured(1).points;
  RigidTransform turn;
  turn.rotation = Eigen::AngleAxisd(0.3, Vec3::UnitZ()).toRotationMatrix();
  turn.translation = {12, -5, 8};
  const Fingerprint a = print_of(as_floats(first));
  EXPECT_EQ(same_measurement(a, print_of(as_floats(made::moved(first, turn)))), SameBy::order);
  EXPECT_EQ(same_measurement(a, print_of(as_floats(made::shuffled(first, 2)))), SameBy::neighbours);
}

TEST(SameMeasurement, TwoMeasurementsOfOneThingAreTwo) {
  for (std::uint64_t seed = 1; seed < 8; ++seed)
    EXPECT_EQ(same_measurement(print_of(as_floats(measured(seed).points)),
                               print_of(as_floats(measured(seed + 100).points))),
              SameBy::no);
}

TEST(SameMeasurement, SameBytes) {
  Fingerprint a, b;
  a.sha256 = b.sha256 = "00ff";
  EXPECT_EQ(same_measurement(a, b), SameBy::file);
}

}  // namespace
}  // namespace rigproof
