#include "simulate/processing.h"

#include <cmath>
#include <limits>

#include "base/number.h"

namespace rigproof {
namespace {

constexpr double kNanShare = 0.08, kTruncatedShare = 0.2;
constexpr double kTailCut = 2;  // standard deviations
constexpr double kInchesPerMm = 1 / 25.4;

void make_perfect(PointCloud& cloud, const std::vector<MeasuredShape>& shapes) {
  for (MeasuredPoint& p : cloud.points)
    if (p.feature >= 0) p.point = shapes[p.feature].onto(p.point);
}

void cut_tails(PointCloud& cloud, const std::vector<MeasuredShape>& shapes) {
  std::vector<double> squares(shapes.size(), 0), counts(shapes.size(), 0);
  const auto spread = [&](double within) {
    std::vector<double> s(shapes.size(), 0), n(shapes.size(), 0);
    for (const MeasuredPoint& p : cloud.points) {
      if (p.feature < 0) continue;
      const double d = shapes[p.feature].deviation(p.point);
      if (std::abs(d) > within * std::sqrt(squares[p.feature])) continue;
      s[p.feature] += d * d;
      n[p.feature] += 1;
    }
    for (std::size_t i = 0; i < s.size(); ++i) squares[i] = n[i] > 0 ? s[i] / n[i] : 0;
  };
  squares.assign(shapes.size(), 1e300);
  spread(1);
  spread(4);  // without the outliers that would widen it
  std::erase_if(cloud.points, [&](const MeasuredPoint& p) {
    return p.feature >= 0 && std::abs(shapes[p.feature].deviation(p.point)) >
                                 kTailCut * std::sqrt(squares[p.feature]);
  });
}

void spoil(PointCloud& cloud, const Chance& chance) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  for (std::size_t i = 0; i < cloud.points.size(); ++i)
    if (chance.uniform(i) < kNanShare) cloud.points[i].point = Vec3::Constant(nan);
}

std::string scaled_transform(double ppm) {
  const std::string s = exact(1 + ppm * 1e-6);
  return "transform " + s + " 0 0 0 0 " + s + " 0 0 0 0 " + s + " 0 0 0 0 1";
}

void mirror(PointCloud& cloud) {
  for (MeasuredPoint& p : cloud.points) p.point.x() = -p.point.x();
}

}  // namespace

Vec3 MeasuredShape::onto(const Vec3& p) const {
  if (is_ball) return sphere.center + sphere.radius * (p - sphere.center).normalized();
  return p - plane.deviation(p) * plane.normal;
}

void export_scan(const MeasuredScan& measured,
                 const std::vector<MeasuredShape>& shapes,
                 const Scenario& scenario,
                 const FaultPlan& plan,
                 int scan,
                 const Chance& chance,
                 const std::filesystem::path& file) {
  PointCloud cloud{measured.rows, measured.columns, measured.points, {}, {}};
  cloud.comments = {"simulated by rigproof: not a measurement",
                    "grid " + std::to_string(measured.rows) + " rows " +
                        std::to_string(measured.columns) +
                        " columns, row by row, only pixels with a point"};
  if (plan.has("perfect")) make_perfect(cloud, shapes);
  if (plan.has("smoothed")) smooth(cloud, std::max(3, static_cast<int>(plan.value("smoothed"))));
  if (plan.has("tails-cut")) cut_tails(cloud, shapes);
  if (plan.has("thinned")) thin(cloud, plan.value("thinned"));
  if (plan.has("mirrored")) mirror(cloud);
  if (plan.has("mesh") || scenario.export_as == ExportKind::mesh) make_mesh(cloud);
  if (scenario.export_as == ExportKind::shuffled) shuffle(cloud, chance.stream(0));
  if (scenario.export_as == ExportKind::decimated) decimate(cloud);
  if (plan.has("rounded")) round_to(cloud, plan.value("rounded") * 1e-3);
  if (plan.has("nan")) spoil(cloud, chance.stream(1));
  if (plan.has("scaled")) cloud.comments.push_back(scaled_transform(plan.value("scaled")));
  write_cloud(cloud,
              file,
              plan.has("inches") ? kInchesPerMm : 1,
              scenario.doubles,
              plan.scan("truncated") == scan ? kTruncatedShare : 0);
}

}  // namespace rigproof
