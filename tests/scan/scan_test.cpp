// What every Scan gives, whatever its format: sample, regions, all points, units and transforms.
#include "scan/scan.h"

#include <cmath>
#include <limits>
#include <numbers>
#include <random>

#include <Eigen/Geometry>
#include <gmock/gmock.h>

#include "base/sha256.h"
#include "samples.h"
#include "scan/ply_writer.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

constexpr double kNaN = std::numeric_limits<double>::quiet_NaN();
constexpr std::size_t kPoints = 150'000;

/// A wavy plate with a ball before it, row by row as a camera sees it; every 11th point invalid,
/// one point far away. Values are exact in float.
Points scene() {
  Points p;
  std::mt19937 random(7);
  for (std::size_t i = 0; i < kPoints; ++i) {
    const double x = static_cast<double>(i % 500) * 0.5 - 125,
                 y = static_cast<double>(i / 500) * 0.5 - 75;
    double z = 600 + 3 * std::sin(x / 30) + static_cast<double>(random() % 1000) * 1e-5;
    if (x * x + y * y < 225) z = 580 - std::sqrt(225 - x * x - y * y);
    if (i % 11 == 3) z = kNaN;
    if (i == 70'000) z = 1e30;
    p.push(Vec3(x, y, z));
  }
  for (auto* v : {&p.x, &p.y, &p.z})
    for (double& value : *v) value = static_cast<float>(value);
  return p;
}

std::vector<Region> regions() {
  ShellRegion ball{.center = {0, 0, 580}, .inner_mm = 14, .outer_mm = 16};
  ShellRegion cap = ball;
  cap.half_angle_deg = 50;
  SlabRegion slab{.plane = {{60, 10, 600}, Vec3(0.05, 0, -1).normalized()},
                  .half_u_mm = 20,
                  .half_v_mm = 30,
                  .gate_mm = 2};
  slab.axis_v = Vec3::UnitY();
  slab.axis_u = slab.axis_v.cross(slab.plane.normal);
  Box box;
  box.add(Vec3(-50, -40, 0));
  box.add(Vec3(50, 40, 1e29));
  Box everything;
  everything.lo = Vec3::Constant(-1e300);
  everything.hi = Vec3::Constant(1e300);
  Box nowhere;
  nowhere.add(Vec3(0, 0, -5));
  return {ball, cap, slab, box, everything, nowhere, Box{}};
}

bool finite(const Vec3& p) { return p.allFinite(); }

/// The plain way: every point, every region, rigproof::contains.
void expect_gathered(const Scan& scan, const Points& truth, double tolerance) {
  const auto all_regions = regions();
  const auto found = scan.gather(all_regions);
  ASSERT_EQ(found.size(), all_regions.size());
  for (std::size_t k = 0; k < found.size(); ++k) {
    SCOPED_TRACE(k);
    std::vector<Vec3> expected;
    for (std::size_t i = 0; i < truth.size(); ++i)
      if (finite(truth.at(i)) && contains(all_regions[k], truth.at(i)))
        expected.push_back(truth.at(i));
    ASSERT_EQ(found[k].size(), expected.size());
    for (std::size_t i = 0; i < expected.size(); ++i)
      ASSERT_LE((found[k].at(i) - expected[i]).norm(), tolerance * (1 + expected[i].norm())) << i;
  }
  EXPECT_GT(found[0].size(), 1000u);
  EXPECT_GT(found[2].size(), 1000u);
  EXPECT_TRUE(found[5].empty() && found[6].empty());
}

void expect_same(const Points& a, const Points& b) {
  EXPECT_EQ(a.origin, b.origin);
  EXPECT_EQ(a.x, b.x);
  EXPECT_EQ(a.y, b.y);
  EXPECT_EQ(a.z, b.z);
}

TEST(Scan, GathersWhatThePlainTestFinds) {
  const fs::path folder = scratch("gather");
  const Points truth = scene();
  for (const bool doubles : {false, true}) {
    write_ply(folder / "a.ply", truth, {.doubles = doubles, .comments = {}});
    expect_gathered(Scan::open(folder / "a.ply"), truth, 0);
  }
  expect_gathered(Scan::from_points(truth, "scene"), truth, 0);
}

TEST(Scan, GathersTheSameThroughUnitAndTransform) {
  const fs::path folder = scratch("moved");
  const Points truth = scene();
  ScanOptions options;
  options.unit_mm = 25.4;
  options.to_sensor.rotation =
      Eigen::AngleAxisd(0.7, Vec3(1, 2, -1).normalized()).toRotationMatrix();
  options.to_sensor.translation = Vec3(10, -20, 400);
  Points in_file, expected;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    const Vec3 p = options.to_sensor.inverse() * truth.at(i) / options.unit_mm;
    in_file.push(p);
    expected.push(options.to_sensor * Vec3(options.unit_mm * p));
  }
  write_ply(folder / "a.ply", in_file, {.doubles = true, .comments = {}});
  const Scan scan = Scan::open(folder / "a.ply", options);
  expect_gathered(scan, expected, 1e-14);
  Box box;
  for (std::size_t i = 0; i < expected.size(); ++i)
    if (finite(expected.at(i))) box.add(expected.at(i));
  EXPECT_EQ(scan.facts().box.lo, box.lo);
  EXPECT_EQ(scan.facts().box.hi, box.hi);
}

TEST(Scan, SameBytesWhateverTheThreads) {
  const fs::path folder = scratch("threads");
  const Points truth = scene();
  write_ply(folder / "a.ply", truth);
  std::string text = "x y z\n";
  for (std::size_t i = 0; i < truth.size(); ++i)
    text += std::to_string(truth.x[i]) + " " + std::to_string(truth.y[i]) + " " +
            std::to_string(truth.z[i]) + "\n";
  write_file(folder / "a.xyz", text);
  for (const char* name : {"a.ply", "a.xyz"}) {
    ScanOptions one, eight;
    one.threads = 1;
    eight.threads = 8;
    one.sample_target = eight.sample_target = 10'000;
    const Scan a = Scan::open(folder / name, one), b = Scan::open(folder / name, eight);
    expect_same(a.sample(), b.sample());
    expect_same(a.all(), b.all());
    const auto ga = a.gather(regions()), gb = b.gather(regions());
    for (std::size_t k = 0; k < ga.size(); ++k) expect_same(ga[k], gb[k]);
    EXPECT_EQ(a.facts().sha256, b.facts().sha256);
    EXPECT_EQ(a.facts().box.lo, b.facts().box.lo);
    EXPECT_EQ(a.facts().dropped, b.facts().dropped);
  }
}

TEST(Scan, FactsOfTheScene) {
  const fs::path folder = scratch("facts");
  const Points truth = scene();
  write_ply(folder / "a.ply", truth);
  const Scan scan = Scan::open(folder / "a.ply");
  std::uint64_t dropped = 0;
  Box box;
  for (std::size_t i = 0; i < truth.size(); ++i) {
    if (finite(truth.at(i)))
      box.add(truth.at(i));
    else
      ++dropped;
  }
  EXPECT_EQ(scan.facts().dropped, dropped);
  EXPECT_EQ(scan.facts().points, truth.size() - dropped);
  EXPECT_EQ(scan.facts().box.lo, box.lo);
  EXPECT_EQ(scan.facts().box.hi, box.hi);
  EXPECT_EQ(scan.facts().sha256, sha256_file(folder / "a.ply"));
  EXPECT_EQ(scan.sha256(), scan.facts().sha256);
  ScanOptions later;
  later.hash_in_background = true;
  const Scan background = Scan::open(folder / "a.ply", later);
  EXPECT_EQ(background.facts().sha256, "");
  EXPECT_EQ(background.sha256(), scan.facts().sha256);
  later.hash = false;
  EXPECT_EQ(Scan::open(folder / "a.ply", later).sha256(), "");
  EXPECT_GT(scan.timings().open_s, 0);
}

TEST(Scan, SampleIsEvenInFileOrderAndOfTheWantedSize) {
  const Points truth = scene();
  const fs::path folder = scratch("sample");
  write_ply(folder / "a.ply", truth);
  ScanOptions options;
  options.sample_target = 20'000;
  const Scan scan = Scan::open(folder / "a.ply", options);
  const Points& s = scan.sample();
  EXPECT_NEAR(static_cast<double>(s.size()), 20'000, 600);  // the finite share is estimated
  // In file order, every tenth of the file equally represented, no image column preferred.
  std::vector<int> column(500, 0), tenth(10, 0);
  double last = -1;
  for (std::size_t i = 0; i < s.size(); ++i) {
    const Vec3 p = s.at(i);
    const double index = std::round((p.y() + 75) * 2) * 500 + std::round((p.x() + 125) * 2);
    EXPECT_GT(index, last);
    last = index;
    ++column[static_cast<std::size_t>(std::round((p.x() + 125) * 2))];
    ++tenth[static_cast<std::size_t>(index / kPoints * 10)];
  }
  // Binomial scatter about 40 a column: five standard deviations.
  EXPECT_THAT(column, testing::Each(testing::AllOf(testing::Gt(8), testing::Lt(75))));
  for (const int n : tenth) EXPECT_NEAR(n, static_cast<double>(s.size()) / 10, 60);
  EXPECT_LT((s.origin - Vec3(0, 0, 600)).norm(), 60);  // undisturbed by the point at 1e30
}

TEST(Scan, SampleHoldsAllPointsWhenThereAreFewer) {
  const Points truth = scene();
  const fs::path folder = scratch("few");
  write_ply(folder / "a.ply", truth);
  const Scan scan = Scan::open(folder / "a.ply");
  expect_same(scan.sample(), scan.all());
  EXPECT_EQ(scan.sample().size(), scan.facts().points);
  // Valid pixels in one corner only, where a probe of the file may miss them.
  Points corner;
  for (std::size_t i = 0; i < kPoints; ++i)
    corner.push(i % 30'000 < 40 && i < 90'000 ? Vec3(static_cast<double>(i), 1, 2)
                                              : Vec3(kNaN, kNaN, kNaN));
  write_ply(folder / "b.ply", corner);
  ScanOptions options;
  options.sample_target = 1000;
  const Scan few = Scan::open(folder / "b.ply", options);
  EXPECT_EQ(few.facts().points, 120u);
  EXPECT_EQ(few.sample().size(), 120u);
  write_ply(folder / "c.ply", Points{});
  EXPECT_EQ(Scan::open(folder / "c.ply").sample().size(), 0u);
  EXPECT_TRUE(Scan::open(folder / "c.ply").facts().box.empty());
}

TEST(Scan, FromPointsKeepsOriginAndValues) {
  Points points;
  points.origin = Vec3(1e6 / 3, -2e6 / 7, 600);
  for (int i = 0; i < 1000; ++i) points.push_local(i / 7.0, -i / 3.0, i / 11.0);
  const Scan scan = Scan::from_points(points, "memory");
  expect_same(scan.sample(), points);
  expect_same(scan.all(), points);
  EXPECT_EQ(scan.facts().points, 1000u);
  Box box;
  box.add(points.at(100));
  box.add(points.at(200));
  const auto found = scan.gather(std::vector<Region>{box});
  ASSERT_EQ(found[0].size(), 101u);
  // Near the region, so that nothing is lost to the far origin: the differences are exact to
  // rounding of the coordinates within the region.
  for (int i = 0; i <= 100; ++i) EXPECT_LE((found[0].at(i) - points.at(100 + i)).norm(), 1e-10);
}

TEST(Scan, FarOriginLosesNothing) {
  // Metres in a national grid as doubles with 0.1 µm digits.
  const Vec3 far(3512345.25, 5412345.5, 512.125);
  std::string body;
  std::vector<Vec3> truth;
  for (int i = 0; i < 2000; ++i) {
    truth.emplace_back(far + Vec3(i * 1e-3, (i % 50) * 1e-3, (i % 7) * 1e-7));
    body += raw(truth.back().x(), truth.back().y(), truth.back().z());
  }
  const fs::path folder = scratch("far");
  write_file(folder / "a.ply",
             ply_header("binary_little_endian", vertex_element("double", 2000)) + body);
  const Points p = Scan::open(folder / "a.ply").all();
  EXPECT_LT(Vec3(p.local(0)).norm(), 20);
  for (int i = 0; i < 2000; ++i) EXPECT_EQ(Vec3(p.local(i)), Vec3(truth[i] - p.origin));
}

TEST(Scan, ATransformIsAppliedOnlyWhenRigid) {
  const fs::path folder = scratch("transform");
  const Mat3 r = Eigen::AngleAxisd(0.3, Vec3::UnitZ()).toRotationMatrix();
  const auto file = [&](const Mat3& m, bool split) {
    std::string comment = "comment transform";
    char number[64];
    for (int i = 0; i < 3; ++i) {
      for (int j = 0; j < 4; ++j) {
        std::snprintf(number, sizeof number, " %.7f", j < 3 ? m(i, j) : 10.0 * (i + 1));
        comment += number;
      }
      if (split) comment += "\ncomment";
    }
    return write_file(folder / "t.ply", float_ply(kCorners, comment + " 0 0 0 1\n"));
  };
  for (const bool split : {false, true}) {
    const Scan scan = Scan::open(file(r, split), {.unit_mm = 2});
    EXPECT_TRUE(scan.facts().transform_applied);
    EXPECT_EQ(scan.facts().transform_scale, 1);
    const Points p = scan.all();
    for (std::size_t i = 0; i < p.size(); ++i) {
      const Vec3 q(kCorners[i][0], kCorners[i][1], kCorners[i][2]);
      EXPECT_LT((p.at(i) - 2 * (r * q + Vec3(10, 20, 30))).norm(), 1e-6);
      // Seven printed digits must not scale: lengths stay to 1e-14.
      for (std::size_t k = 0; k < i; ++k)
        EXPECT_NEAR((p.at(i) - p.at(k)).norm(),
                    2 * (q - Vec3(kCorners[k][0], kCorners[k][1], kCorners[k][2])).norm(),
                    1e-13);
    }
  }
  const auto scale_of = [&](const Mat3& m) {
    const Scan scan = Scan::open(file(m, false));
    EXPECT_FALSE(scan.facts().transform_applied);
    EXPECT_EQ(scan.all().at(1), Vec3(1.5, 0, 0));
    return scan.facts().transform_scale;
  };
  EXPECT_NEAR(scale_of(1.00002 * r), 1.00002, 1e-7);
  EXPECT_NEAR(scale_of(25.4 * r), 25.4, 1e-6);
  EXPECT_NEAR(scale_of(-r), -1, 1e-6);
  Mat3 shear = r;
  shear.col(0) += 0.001 * shear.col(1);
  EXPECT_NE(scale_of(shear), 1);
  ScanOptions options;
  options.transform = {1, 0, 0, 5, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1};
  EXPECT_EQ(Scan::open(file(25.4 * r, false), options).all().at(0), Vec3(5, 0, 0));
  options.transform->at(12) = 1;
  EXPECT_THROW(Scan::open(file(r, false), options), Error);
}

TEST(Scan, AFileThatChangesBetweenThePassesIsAnError) {
  const fs::path folder = scratch("change");
  write_ply(folder / "a.ply", scene());
  const Scan scan = Scan::open(folder / "a.ply");
  const fs::path path = folder / "a.ply";
  fs::last_write_time(path, fs::last_write_time(path) + std::chrono::seconds(5));
  try {
    scan.gather(regions());
    FAIL();
  } catch (const Error& e) {
    EXPECT_EQ(e.kind(), ErrorKind::io);
  }
  fs::resize_file(path, 1000);
  EXPECT_THROW(scan.all(), Error);
}

TEST(Scan, RefusesAUnitThatIsNone) {
  const fs::path path = write_file(scratch("unit") / "a.ply", float_ply(kCorners));
  for (const double unit : {0.0, -1.0, kNaN})
    EXPECT_THROW(Scan::open(path, {.unit_mm = unit}), Error);
}

}  // namespace
}  // namespace rigproof
