// Balls of 0.3 m radius in rooms scanned by a multi-beam LiDAR (the folder's README names the
// origin), through the program and through a plain fit written for this test alone, which also
// reads the files by itself. It starts from the independent answers of expected.csv.
#include <algorithm>
#include <bit>
#include <cmath>
#include <fstream>

#include <Eigen/Dense>
#include <gtest/gtest.h>

#include "app/program.h"
#include "shared_data.h"

namespace rigproof {
namespace {

using Vec3 = Eigen::Vector3d;
using Ball = Eigen::Vector4d;  // centre and radius, mm

/// Vertices of a binary PLY of three floats, in metres, as mm.
std::vector<Vec3> read_points(const std::filesystem::path& file) {
  static_assert(std::endian::native == std::endian::little);
  std::ifstream in(file, std::ios::binary);
  std::size_t n = 0;
  for (std::string line; std::getline(in, line) && line != "end_header";)
    if (line.starts_with("element vertex ")) n = std::stoul(line.substr(15));
  std::vector<Vec3> points;
  float v[3];
  while (points.size() < n && in.read(reinterpret_cast<char*>(v), sizeof v))
    points.push_back(1000 * Vec3(v[0], v[1], v[2]));
  return points;
}

double residual(const Vec3& p, const Ball& b) { return (p - b.head<3>()).norm() - b[3]; }

/// Least squares of the distances from the surface, by Gauss–Newton.
Ball fit(const std::vector<Vec3>& points, Ball b) {
  for (int round = 0; round < 100; ++round) {
    Eigen::Matrix4d normal = Eigen::Matrix4d::Zero();
    Ball gradient = Ball::Zero();
    for (const Vec3& p : points) {
      Ball row;
      row << (b.head<3>() - p).normalized(), -1;
      normal += row * row.transpose();
      gradient += residual(p, b) * row;
    }
    const Ball step = normal.ldlt().solve(-gradient);
    b += step;
    if (step.norm() < 1e-10 * b[3]) break;
  }
  return b;
}

/// Within `gate` of the sphere and within `cap_deg` of the direction to the frame's origin.
std::vector<Vec3> zone(const std::vector<Vec3>& points,
                       const Ball& b,
                       double gate,
                       double cap_deg) {
  const Vec3 axis = -b.head<3>().normalized();
  std::vector<Vec3> in;
  for (const Vec3& p : points) {
    const double along = (p - b.head<3>()).normalized().dot(axis);
    if (std::abs(residual(p, b)) <= gate && along >= std::cos(cap_deg * M_PI / 180))
      in.push_back(p);
  }
  return in;
}

/// Zone and fit by turns until the ball stands still; `gate` from the radius. A second ball when in
/// the end two of them take turns, each the fit of the other's zone.
template <class Gate>
std::vector<Ball> settle(const std::vector<Vec3>& points, Ball b, const Gate& gate, double cap) {
  Ball before = b;
  for (int round = 0; round < 50; ++round) {
    const Ball next = fit(zone(points, b, gate(b[3]), cap), b);
    if ((next - b).norm() < 1e-9 * b[3]) return {next};
    before = b;
    b = next;
  }
  return {before, b};
}

/// How many points only one of the zones of two balls holds; 0 for one ball.
template <class Gate>
std::size_t differ(const std::vector<Vec3>& points,
                   const std::vector<Ball>& balls,
                   const Gate& gate) {
  return std::ranges::count_if(points, [&](const Vec3& p) {
    const auto in = [&](const Ball& b) { return !zone({p}, b, gate(b[3]), 60).empty(); };
    return in(balls.front()) != in(balls.back());
  });
}

std::vector<Vec3> without_largest(std::vector<Vec3> points, const Ball& b, std::size_t count) {
  std::ranges::stable_sort(
      points, std::ranges::greater{}, [&](const Vec3& p) { return std::abs(residual(p, b)); });
  points.erase(points.begin(), points.begin() + static_cast<std::ptrdiff_t>(count));
  return points;
}

/// Largest difference of the coordinates and the radius, relative to the radius.
double apart(const Ball& a, const Ball& b) { return (a - b).cwiseAbs().maxCoeff() / b[3]; }

/// The ball as the procedure wants it: 3 ‰ of the zone's points left out, one refit.
Ball with_allowance(const std::vector<Vec3>& own, const Ball& b) {
  return fit(without_largest(own, b, own.size() * 3 / 1000), b);
}

bool has_finding(const nlohmann::json& scan, const std::string& id) {
  return std::ranges::any_of(scan["findings"], [&](const auto& f) { return f["id"] == id; });
}

// Points with an rms of 8–12 mm in five to ten rings of the scanner. The independent answers hold
// all points within 30 mm of the sphere, the program those of its evaluation zone, a cap of 60°
// with a gate of a tenth of the radius. So the plain fit must give the former with the former's
// zone, and the program with the program's: to rounding, no noise between them. In four of the
// eight two zones take turns for ever; the program must give the fit of one of them and say so,
// unless no more than two points come and go.
//
// What the two zones differ by is real, and large where a ring is not of the ball. In ex2_L1_S3 the
// lowest ring (23 points, 76–83° off the axis) leaves the sphere by up to 79 mm: it meets what
// carries the ball. 13 of its points lie within 30 mm and count among the 111. The two centres
// differ by (30.8, 4.8, 11.8) mm, the radii by 26.0; without that ring in the larger zone by (8.2,
// 0.7, 2.5) and 6.6, of the size of the standard uncertainty of the difference of such zones, (8.3,
// 1.9, 2.3) and 6.9 (a standard deviation of 8.9 mm a point and 3.9 mm a ring, from the residuals
// of the eight scans). ex2_L1_S2 is another such case.
TEST(Look, BallsInRooms) {
  RIGPROOF_SHARED_FILE(folder, "scans/lidar_sphere_rooms");
  int checked = 0;
  for (const auto& row : read_rows(folder / "expected.csv")) {
    if (!row[0].starts_with("ex2_")) continue;
    const std::vector<Vec3> points = read_points(folder / row[0]);
    ASSERT_EQ(points.size(), std::stoul(row[1])) << row[0];
    Ball answer;
    for (int i = 0; i < 4; ++i) answer[i] = 1000 * std::stod(row[2 + i]);
    const auto all = settle(points, answer, [](double) { return 30.0; }, 180);
    ASSERT_EQ(all.size(), 1u) << row[0];
    EXPECT_LT(apart(all[0], answer), 1e-6) << row[0];

    const ProgramRun run =
        run_program({"look", folder / row[0], "--ball", "600", "--units", "m", "--json"});
    ASSERT_EQ(run.code, 0) << row[0] << run.err;
    const auto scan = run.json();
    const auto f = scan["features"][0];
    Ball found;
    for (int i = 0; i < 3; ++i) found[i] = f["center"][i].get<double>();
    found[3] = f["radius"].get<double>();

    const auto tenth = [](double radius) { return 0.1 * radius; };
    const std::vector<Ball> plain = settle(points, answer, tenth, 60);
    EXPECT_EQ(has_finding(scan, "zone-unsettled"), differ(points, plain, tenth) > 2) << row[0];
    bool agrees = false;
    for (std::size_t i = 0; i < plain.size(); ++i) {
      const Ball& zone_of = plain[plain.size() - 1 - i];  // of two, each has the other's zone
      const std::vector<Vec3> own = zone(points, zone_of, tenth(zone_of[3]), 60);
      agrees |= f["points"] == own.size() && apart(found, with_allowance(own, plain[i])) < 1e-6;
    }
    EXPECT_TRUE(agrees) << row[0] << " " << found.transpose();
    ++checked;
  }
  EXPECT_EQ(checked, 8);
}

}  // namespace
}  // namespace rigproof
