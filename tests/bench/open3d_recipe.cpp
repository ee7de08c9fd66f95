// Both balls of the bench scene with Open3D. It has planes, thinning, clusters and crops but no
// sphere: sample consensus and least squares of the ball are written here, in double, with Eigen.
//   load      read the file, nothing else
//   obvious   strays removed by the distance of 20 neighbours, as its manual begins; then planes
//   and
//             balls by sample consensus on all points
//   thinned   the same on a voxel grid of the points; then every point near each ball
//             and least squares
//   clustered a coarser grid, and what the planes leave falls into clusters, searched one by one
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>
#include <memory>
#include <random>
#include <string>
#include <tuple>
#include <vector>

#include <Eigen/Dense>
#include <open3d/geometry/BoundingVolume.h>
#include <open3d/geometry/PointCloud.h>
#include <open3d/io/PointCloudIO.h>

#include "phases.h"

namespace {

using open3d::geometry::PointCloud;
using Vec3 = Eigen::Vector3d;
using Cloud = std::vector<Vec3>;

constexpr double kRadius = 15, kRadiusWithin = 0.5;  // mm
constexpr double kPlaneWithin = 0.25, kBallWithin = 0.15;
constexpr double kPlaneShare = 0.03;  // of all points: smaller planes may stay
constexpr int kMostPlanes = 8, kPlaneTries = 100, kBallTries = 20'000'000;
constexpr int kClusterTries = 20'000;
// A millimetre is what sample consensus needs: coarser, and clutter outvotes the balls.
constexpr double kVoxel = 1, kVoxelForClusters = 1.5, kClusterReach = 3;
constexpr std::size_t kFewestOnBall = 150;

struct Ball {
  Vec3 center = Vec3::Zero();
  double radius = 0;
  std::size_t support = 0;
};

std::shared_ptr<PointCloud> without_planes(std::shared_ptr<PointCloud> cloud) {
  const double fewest = kPlaneShare * static_cast<double>(cloud->points_.size());
  for (int k = 0; k < kMostPlanes; ++k) {
    const auto [plane, on] = cloud->SegmentPlane(kPlaneWithin, 3, kPlaneTries, 0.99);
    if (static_cast<double>(on.size()) < fewest) break;
    cloud = cloud->SelectByIndex(on, true);
  }
  return cloud;
}

/// The sphere through four points.
Ball through(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d) {
  Eigen::Matrix3d rows;
  rows << (b - a).transpose(), (c - a).transpose(), (d - a).transpose();
  const Vec3 squares((b - a).squaredNorm(), (c - a).squaredNorm(), (d - a).squaredNorm());
  const Vec3 offset = rows.inverse() * (0.5 * squares);
  return {a + offset, offset.norm()};
}

bool lies_on(const Ball& ball, const Vec3& p) {
  return std::abs((p - ball.center).norm() - ball.radius) < kBallWithin;
}

/// Sample consensus with the usual stop: 99 % sure that a better ball would have been seen.
Ball ball_in(const Cloud& points, int most_tries) {
  Ball best;
  if (points.size() < kFewestOnBall) return best;
  std::mt19937 random(1);
  std::uniform_int_distribution<std::size_t> any(0, points.size() - 1);
  double wanted = most_tries;
  for (int k = 0; k < wanted; ++k) {
    Ball ball =
        through(points[any(random)], points[any(random)], points[any(random)], points[any(random)]);
    if (!(std::abs(ball.radius - kRadius) < kRadiusWithin)) continue;
    for (const Vec3& p : points) ball.support += lies_on(ball, p);
    if (ball.support <= best.support) continue;
    best = ball;
    const double share = static_cast<double>(ball.support) / static_cast<double>(points.size());
    wanted = std::min<double>(most_tries, std::log(0.01) / std::log1p(-std::pow(share, 4)));
  }
  return best;
}

/// Gauss–Newton on the radial distances.
Ball refined(const Cloud& points, Ball ball) {
  for (int round = 0; round < 10; ++round) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Eigen::Vector4d right = Eigen::Vector4d::Zero();
    for (const Vec3& p : points) {
      const Vec3 d = p - ball.center;
      const double length = d.norm();
      Eigen::Vector4d row;
      row << -d / length, -1;
      normal += row * row.transpose();
      right -= row * (length - ball.radius);
    }
    const Eigen::Vector4d step = normal.ldlt().solve(right);
    ball.center += step.head<3>();
    ball.radius += step[3];
    if (step.norm() < 1e-10) break;
  }
  return ball;
}

Cloud near(const PointCloud& cloud, const Ball& ball) {
  const Vec3 reach = Vec3::Constant(ball.radius + kBallWithin);
  const auto box = cloud.Crop(
      open3d::geometry::AxisAlignedBoundingBox(ball.center - reach, ball.center + reach));
  std::erase_if(box->points_, [&](const Vec3& p) { return !lies_on(ball, p); });
  return box->points_;
}

/// The two best balls of all points.
std::vector<Ball> balls_of_all(Cloud points) {
  std::vector<Ball> balls;
  for (int k = 0; k < 2; ++k) {
    balls.push_back(ball_in(points, kBallTries));
    Cloud on;
    for (const Vec3& p : points)
      if (lies_on(balls[k], p)) on.push_back(p);
    balls[k] = refined(on, balls[k]);
    std::erase_if(points, [&](const Vec3& p) { return lies_on(balls[k], p); });
  }
  return balls;
}

/// The two best balls of the clusters; one cluster may hold both.
std::vector<Ball> balls_of_clusters(const PointCloud& cloud) {
  const std::vector<int> label = cloud.ClusterDBSCAN(kClusterReach, 5);
  std::map<int, Cloud> clusters;
  for (std::size_t i = 0; i < label.size(); ++i)
    if (label[i] >= 0) clusters[label[i]].push_back(cloud.points_[i]);
  std::vector<Ball> balls(2);
  for (auto& [id, points] : clusters)
    for (int k = 0; k < 2; ++k) {
      const Ball ball = ball_in(points, kClusterTries);
      if (ball.support < kFewestOnBall) break;
      balls.push_back(ball);
      std::erase_if(points, [&](const Vec3& p) { return lies_on(ball, p); });
    }
  std::sort(balls.begin(), balls.end(), [](const Ball& a, const Ball& b) {
    return a.support > b.support;
  });
  balls.resize(2);
  return balls;
}

}  // namespace

int main(int argc, char** argv) {
  const std::string how = argc == 3 ? argv[1] : "";
  if (how != "load" && how != "obvious" && how != "thinned" && how != "clustered") {
    std::fputs("usage: open3d_recipe load|obvious|thinned|clustered FILE\n", stderr);
    return 64;
  }
  rigproof::bench::Phases phases;
  auto all = std::make_shared<PointCloud>();
  if (!open3d::io::ReadPointCloud(argv[2], *all) || all->IsEmpty()) return 65;
  phases.end("load");
  if (how == "load") return 0;

  const bool thin = how != "obvious";
  auto cloud = all;
  if (thin) {
    cloud = all->VoxelDownSample(how == "clustered" ? kVoxelForClusters : kVoxel);
    phases.end("thin");
  } else {
    cloud = std::get<0>(all->RemoveStatisticalOutliers(20, 2.0));
    phases.end("strays");
  }
  cloud = without_planes(cloud);
  phases.end("planes");
  std::vector<Ball> balls =
      how == "clustered" ? balls_of_clusters(*cloud) : balls_of_all(cloud->points_);
  phases.end("balls");
  if (thin) {
    for (Ball& ball : balls) ball = refined(near(*all, ball), ball);
    phases.end("refine");
  }
  if (balls[0].radius == 0 || balls[1].radius == 0) {
    std::fputs("open3d_recipe: no two balls\n", stderr);
    return 3;
  }
  std::printf("distance %.6f\n", (balls[0].center - balls[1].center).norm());
  return 0;
}
