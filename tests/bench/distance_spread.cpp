// The distance of the two balls over many seeds of the bench scene, against the truth, and the
// least spread that any unbiased estimator could have from the points of the same evaluation zones
// (Cramér–Rao bound for independent radial noise: σ² (JᵀJ)⁻¹ a ball, which is also the covariance
// of least squares). Also holds every fit against Gauss–Newton written here in long double.
#include <cmath>
#include <cstdio>
#include <cstdlib>

#include <Eigen/Dense>

#include "base/error.h"
#include "base/threads.h"
#include "big_scene.h"
#include "evaluate/feature.h"
#include "inputs/session.h"
#include "locate/sighting.h"

namespace {

using namespace rigproof;
using Matrix = Eigen::Matrix<long double, 4, 4>;
using Column = Eigen::Matrix<long double, 4, 1>;

struct PlainFit {
  Column solution = Column::Zero();  // centre about the zone's origin, radius
  Matrix normal = Matrix::Zero();
};

PlainFit plain_fit(const Points& zone, const Sphere& start) {
  PlainFit fit;
  const Vec3 c = start.center - zone.origin;
  fit.solution << c.x(), c.y(), c.z(), start.radius;
  for (int round = 0; round < 6; ++round) {
    fit.normal.setZero();
    Column right = Column::Zero();
    for (std::size_t i = 0; i < zone.size(); ++i) {
      const Eigen::Matrix<long double, 3, 1> d =
          zone.local(i).cast<long double>() - fit.solution.head<3>();
      const long double length = d.norm();
      Column row;
      row << -d / length, -1;
      fit.normal += row * row.transpose();
      right -= row * (length - fit.solution[3]);
    }
    fit.solution += fit.normal.ldlt().solve(right);
  }
  return fit;
}

Points made(const bench::BigScene& scene, std::uint64_t count) {
  constexpr std::uint64_t kChunk = 1u << 14;
  Points points;
  for (auto* v : {&points.x, &points.y, &points.z}) v->resize(count);
  parallel_blocks((count + kChunk - 1) / kChunk, 0, [&](std::size_t b, int) {
    for (std::uint64_t i = b * kChunk; i < std::min(count, (b + 1) * kChunk); ++i) {
      const Vec3 p = scene.point(i).cast<float>().cast<double>();
      points.x[i] = p.x();
      points.y[i] = p.y();
      points.z[i] = p.z();
    }
  });
  return points;
}

/// The sightings of the bar's balls; clutter may have given others.
std::vector<BallSighting> nearest(const std::vector<BallSighting>& sighted,
                                  const bench::BigScene& scene) {
  std::vector<BallSighting> both;
  for (const Sphere& truth : scene.balls())
    for (const BallSighting& s : sighted)
      if ((s.sphere.center - truth.center).norm() < 0.1 * truth.radius) both.push_back(s);
  return both;
}

}  // namespace

int main(int argc, char** argv) {
  const std::uint64_t count = argc > 1 ? std::strtoull(argv[1], nullptr, 10) : 2'000'000;
  const int seeds = argc > 2 ? std::atoi(argv[2]) : 20;
  try {
    const Procedure procedure = load_procedure(find_input("procedures", "single-view"));
    LocateRequest request;
    request.ball_diameters_mm = {bench::BigScene::kDiameter};
    ZoneContext context;
    context.allowance_ball = procedure.characteristics.at("probing_form").allowance;
    double squares = 0, bound = 0, worst_fit = 0;
    std::size_t fewest = SIZE_MAX, others = 0;
    for (int seed = 1; seed <= seeds; ++seed) {
      bench::BigSceneOptions options;
      options.points = count;
      options.seed = static_cast<std::uint64_t>(seed);
      const bench::BigScene scene(options);
      const Scan scan = Scan::from_points(made(scene, count), "scene");
      const Sighting sighting = locate(scan, request);
      const auto both = nearest(sighting.balls, scene);
      others += sighting.balls.size() - both.size();
      if (both.size() != 2) {
        std::printf("seed %d: %zu balls found\n", seed, both.size());
        return 3;
      }
      const auto balls = evaluate_balls(scan,
                                        both,
                                        {bench::BigScene::kDiameter, bench::BigScene::kDiameter},
                                        procedure.zones,
                                        context);
      const Vec3 apart = balls[0].fit.sphere.center - balls[1].fit.sphere.center;
      const double error = apart.norm() - bench::BigScene::kDistance;
      squares += error * error;
      const Eigen::Matrix<long double, 3, 1> along = apart.normalized().cast<long double>();
      for (const BallFeature& ball : balls) {
        const PlainFit plain = plain_fit(ball.zone, ball.fit_all.sphere);
        const Matrix inverse = plain.normal.inverse();
        bound += static_cast<double>(options.noise_mm * options.noise_mm * along.transpose() *
                                     inverse.topLeftCorner<3, 3>() * along);
        const Vec3 center = ball.zone.origin + plain.solution.head<3>().cast<double>();
        worst_fit = std::max(worst_fit, (center - ball.fit_all.sphere.center).norm());
        fewest = std::min(fewest, ball.points);
      }
    }
    const double rms = std::sqrt(squares / seeds), least = std::sqrt(bound / seeds);
    std::printf(
        "%d seeds of %llu points, at least %zu in a zone, %zu other surfaces taken for balls\n",
        seeds,
        static_cast<unsigned long long>(count),
        fewest,
        others);
    std::printf("distance RMS %.4f um, bound of the same zones %.4f um, ratio %.3f\n",
                1000 * rms,
                1000 * least,
                rms / least);
    std::printf("centres within %.2e um of long double least squares\n", 1000 * worst_fit);
  } catch (const Error& error) {
    std::fprintf(stderr, "distance_spread: %s\n", error.what());
    return 70;
  }
  return 0;
}
