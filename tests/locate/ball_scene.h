#pragma once

#include "locate/locate_points.h"
#include "locate/virtual_table.h"

namespace rigproof::testing_scenes {

/// One kind of generated scene: three balls of one size on stems over a cluttered table.
struct BallCase {
  const char* name;
  double noise;          ///< along the ray, in ball radii
  double cap_deg = 180;  ///< of each ball that answers, its axis up to 17° off the view
  double rig_scale = 1;  ///< true size over the size asked for
  double outliers = 0.02, flying = 0.2;
  int columns = 260;
  int balls = 3;
};

struct BallScene {
  Points points;
  double asked_mm = 0;  ///< diameter
  std::vector<Sphere> truth;
};

inline BallScene make_ball_scene(const BallCase& kind, std::uint64_t seed) {
  Random random(seed);
  VirtualTable table = cluttered_table(random);
  const double asked = random.uniform(10, 18), radius = asked * kind.rig_scale;
  BallScene scene;
  scene.asked_mm = 2 * asked;
  while (static_cast<int>(scene.truth.size()) < kind.balls) {
    const Vec3 c(random.uniform(-120, 120), random.uniform(-90, 90), random.uniform(520, 640));
    bool apart = true;
    for (const Sphere& other : scene.truth)
      apart = apart && (other.center - c).head<2>().norm() > 3.2 * radius;
    if (!apart) continue;
    scene.truth.push_back({c, radius});
    const Vec3 axis = (-c.normalized() + 0.3 * random.direction()).normalized();
    table.balls.push_back({scene.truth.back(), axis, kind.cap_deg});
    // A stem that leaves the ball downwards, and into it, as a holder does.
    table.cylinders.push_back({c + Vec3(0, 0.8 * radius, 0.1 * radius),
                               c + Vec3(random.uniform(-10, 10), 80, radius),
                               radius * random.uniform(0.15, 0.35)});
  }
  VirtualTable::View view;
  view.columns = kind.columns;
  view.rows = kind.columns * 4 / 5;
  view.noise_mm = kind.noise * asked;
  view.outliers = kind.outliers;
  view.flying = kind.flying;
  scene.points = table.scan(view, random);
  return scene;
}

struct BallScore {
  int hit = 0, missed = 0, wrong = 0;
  std::vector<double> center_errors, radius_errors;  ///< in radii
};

inline void add_score(const BallScene& scene, const Sighting& sighting, BallScore& score) {
  std::vector<bool> used(sighting.balls.size(), false);
  for (const Sphere& t : scene.truth) {
    bool hit = false;
    for (std::size_t k = 0; k < used.size(); ++k) {
      const Sphere& s = sighting.balls[k].sphere;
      if (used[k] || (s.center - t.center).norm() > 0.3 * t.radius) continue;
      used[k] = hit = true;
      score.center_errors.push_back((s.center - t.center).norm() / t.radius);
      score.radius_errors.push_back(std::abs(s.radius / t.radius - 1));
      break;
    }
    (hit ? score.hit : score.missed) += 1;
  }
  for (bool u : used) score.wrong += !u;
}

}  // namespace rigproof::testing_scenes
