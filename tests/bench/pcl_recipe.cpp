// Both balls of the bench scene with PCL alone, as one would write it after its manual.
//   load      read the file, nothing else
//   obvious   strays removed by the distance of 20 neighbours, as its manual begins; then planes
//   and
//             balls by sample consensus on all points
//   thinned   the same on a voxel grid of the points; then every point near each ball,
//             moved to a near origin because PCL computes in float, and least squares
//   clustered a coarser grid, and what the planes leave falls into clusters, searched one by one
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <string>
#include <vector>

#include <pcl/filters/statistical_outlier_removal.h>
#include <pcl/filters/voxel_grid.h>
#include <pcl/io/ply_io.h>
#include <pcl/point_cloud.h>
#include <pcl/point_types.h>
#include <pcl/sample_consensus/ransac.h>
#include <pcl/sample_consensus/sac_model_plane.h>
#include <pcl/sample_consensus/sac_model_sphere.h>
#include <pcl/search/kdtree.h>
#include <pcl/segmentation/extract_clusters.h>

#include "phases.h"

namespace {

using Cloud = pcl::PointCloud<pcl::PointXYZ>;

constexpr double kRadius = 15, kRadiusWithin = 0.5;  // mm
constexpr double kPlaneWithin = 0.25, kBallWithin = 0.15;
constexpr double kPlaneShare = 0.03;  // of all points: smaller planes may stay
constexpr int kMostPlanes = 8, kPlaneTries = 100, kBallTries = 20'000'000;
constexpr int kClusterTries = 20'000;
// A millimetre is what sample consensus needs: coarser, and clutter outvotes the balls.
constexpr float kVoxel = 1, kVoxelForClusters = 1.5, kClusterReach = 3;
constexpr std::size_t kFewestOnBall = 150;

struct Ball {
  Eigen::Vector3d center = Eigen::Vector3d::Zero();
  double radius = 0;
  std::size_t support = 0;
};

Cloud::Ptr without(const Cloud& cloud, const pcl::Indices& taken) {
  std::vector<bool> out(cloud.size(), false);
  for (const int i : taken) out[static_cast<std::size_t>(i)] = true;
  Cloud::Ptr rest(new Cloud);
  rest->reserve(cloud.size() - taken.size());
  for (std::size_t i = 0; i < cloud.size(); ++i)
    if (!out[i]) rest->push_back(cloud[i]);
  return rest;
}

Cloud::Ptr without_planes(Cloud::Ptr cloud) {
  const double fewest = kPlaneShare * static_cast<double>(cloud->size());
  for (int k = 0; k < kMostPlanes; ++k) {
    pcl::SampleConsensusModelPlane<pcl::PointXYZ>::Ptr model(
        new pcl::SampleConsensusModelPlane<pcl::PointXYZ>(cloud));
    pcl::RandomSampleConsensus<pcl::PointXYZ> search(model, kPlaneWithin);
    search.setMaxIterations(kPlaneTries);
    pcl::Indices on;
    if (!search.computeModel()) break;
    search.getInliers(on);
    if (static_cast<double>(on.size()) < fewest) break;
    cloud = without(*cloud, on);
  }
  return cloud;
}

/// The ball that most points lie on; takes its points out of the cloud.
Ball next_ball(Cloud::Ptr& cloud, int most_tries) {
  pcl::SampleConsensusModelSphere<pcl::PointXYZ>::Ptr model(
      new pcl::SampleConsensusModelSphere<pcl::PointXYZ>(cloud));
  model->setRadiusLimits(kRadius - kRadiusWithin, kRadius + kRadiusWithin);
  pcl::RandomSampleConsensus<pcl::PointXYZ> search(model, kBallWithin);
  search.setMaxIterations(most_tries);
  if (!search.computeModel()) return {};
  pcl::Indices on;
  search.getInliers(on);
  Eigen::VectorXf found, better;
  search.getModelCoefficients(found);
  model->optimizeModelCoefficients(on, found, better);
  cloud = without(*cloud, on);
  return {better.head<3>().cast<double>(), better[3], on.size()};
}

std::vector<Ball> balls_of_all(Cloud::Ptr cloud) {
  std::vector<Ball> balls;
  for (int k = 0; k < 2; ++k) balls.push_back(next_ball(cloud, kBallTries));
  return balls;
}

/// The two best balls of the clusters; one cluster may hold both.
std::vector<Ball> balls_of_clusters(const Cloud::Ptr& cloud) {
  pcl::EuclideanClusterExtraction<pcl::PointXYZ> clustering;
  clustering.setInputCloud(cloud);
  clustering.setSearchMethod(
      pcl::search::KdTree<pcl::PointXYZ>::Ptr(new pcl::search::KdTree<pcl::PointXYZ>));
  clustering.setClusterTolerance(kClusterReach);
  clustering.setMinClusterSize(static_cast<int>(kFewestOnBall));
  std::vector<pcl::PointIndices> clusters;
  clustering.extract(clusters);
  std::vector<Ball> balls(2);
  for (const auto& cluster : clusters) {
    Cloud::Ptr points(new Cloud(*cloud, cluster.indices));
    for (int k = 0; k < 2; ++k) {
      const Ball ball = next_ball(points, kClusterTries);
      if (ball.support < kFewestOnBall) break;
      balls.push_back(ball);
    }
  }
  std::stable_sort(balls.begin(), balls.end(), [](const Ball& a, const Ball& b) {
    return a.support > b.support;
  });
  balls.resize(2);
  return balls;
}

/// Least squares over every point of the full cloud near the ball.
Ball refined(const Cloud& all, const Ball& ball) {
  Cloud::Ptr near(new Cloud);
  for (const auto& p : all) {
    const Eigen::Vector3d d = p.getVector3fMap().cast<double>() - ball.center;
    if (std::abs(d.norm() - ball.radius) < kBallWithin)
      near->push_back(
          {static_cast<float>(d.x()), static_cast<float>(d.y()), static_cast<float>(d.z())});
  }
  pcl::SampleConsensusModelSphere<pcl::PointXYZ> model(near);
  pcl::Indices every(near->size());
  for (std::size_t i = 0; i < every.size(); ++i) every[i] = static_cast<int>(i);
  Eigen::VectorXf start(4), better;
  start << 0, 0, 0, static_cast<float>(ball.radius);
  model.optimizeModelCoefficients(every, start, better);
  return {ball.center + better.head<3>().cast<double>(), better[3], near->size()};
}

}  // namespace

int main(int argc, char** argv) {
  const std::string how = argc == 3 ? argv[1] : "";
  if (how != "load" && how != "obvious" && how != "thinned" && how != "clustered") {
    std::fputs("usage: pcl_recipe load|obvious|thinned|clustered FILE\n", stderr);
    return 64;
  }
  rigproof::bench::Phases phases;
  Cloud::Ptr all(new Cloud);
  if (pcl::io::loadPLYFile(argv[2], *all) != 0 || all->empty()) return 65;
  phases.end("load");
  if (how == "load") return 0;

  const bool thin = how != "obvious";
  Cloud::Ptr cloud = all;
  if (thin) {
    cloud.reset(new Cloud);
    pcl::VoxelGrid<pcl::PointXYZ> grid;
    grid.setInputCloud(all);
    const float edge = how == "clustered" ? kVoxelForClusters : kVoxel;
    grid.setLeafSize(edge, edge, edge);
    grid.filter(*cloud);
    phases.end("thin");
  } else {
    cloud.reset(new Cloud);
    pcl::StatisticalOutlierRemoval<pcl::PointXYZ> strays;
    strays.setInputCloud(all);
    strays.setMeanK(20);
    strays.setStddevMulThresh(2.0);
    strays.filter(*cloud);
    phases.end("strays");
  }
  cloud = without_planes(cloud);
  phases.end("planes");
  std::vector<Ball> balls = how == "clustered" ? balls_of_clusters(cloud) : balls_of_all(cloud);
  phases.end("balls");
  if (thin) {
    for (Ball& ball : balls) ball = refined(*all, ball);
    phases.end("refine");
  }
  if (balls[0].radius == 0 || balls[1].radius == 0) {
    std::fputs("pcl_recipe: no two balls\n", stderr);
    return 3;
  }
  std::printf("distance %.6f\n", (balls[0].center - balls[1].center).norm());
  return 0;
}
