#include "simulate/simulate.h"

#include <cmath>
#include <fstream>

#include <gtest/gtest.h>

#include "base/error.h"
#include "base/sha256.h"
#include "fit/fit.h"
#include "scan/scan.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

class Simulate : public testing::Test {
 protected:
  void SetUp() override {
    const auto* test = testing::UnitTest::GetInstance()->current_test_info();
    folder_ = fs::temp_directory_path() / ("rigproof_simulate_" + std::string(test->name()));
    fs::remove_all(folder_);
  }
  void TearDown() override { fs::remove_all(folder_); }

  // A small session: what is asked for, two bars unless the test says otherwise.
  static Scenario small(const std::vector<Fault>& faults = {}, std::size_t scans = 2) {
    Scenario s = demo_scenario("R12", "half-hour", faults, 5, 20'000);
    s.procedure.positions.resize(scans);
    s.procedure.demand = {};
    return s;
  }
  SimulatedSession made(const Scenario& s, const std::string& name = "a") {
    return simulate(s, folder_ / name);
  }
  Scan scan(const SimulatedSession& s, std::size_t i) const {
    return Scan::open(s.session.scans.at(i));
  }

  fs::path folder_;
};

// Points of a sphere by its true place: a zone that no fit has chosen.
Points near(const Points& all, const Vec3& center, double radius) {
  Points out;
  out.origin = center;
  for (std::size_t i = 0; i < all.size(); ++i) {
    const Vec3 d = all.at(i) - center;
    if (std::abs(d.norm() - radius) < 0.1 && -d.dot(center) > 0.5 * radius * center.norm())
      out.push(all.at(i));
  }
  return out;
}

// Noise-free and fault-free: truth to 1e-6 mm, by plain least squares on the written points.
TEST_F(Simulate, IdealSessionReproducesTruth) {
  Scenario s = small({}, 14);
  s.make_ideal();
  const SimulatedSession made_one = made(s);
  ASSERT_EQ(made_one.truth.scans.size(), 14u);
  int balls = 0, plates = 0;
  for (std::size_t i = 0; i < made_one.truth.scans.size(); ++i) {
    const Points all = scan(made_one, i).all();
    for (const TrueFeature& f : made_one.truth.scans[i].features) {
      if (f.kind == "plane") {
        Points face;
        face.origin = f.center;
        for (std::size_t k = 0; k < all.size(); ++k)
          if (std::abs(f.normal.dot(all.at(k) - f.center)) < 1e-3 &&
              (all.at(k) - f.center).norm() < 60)
            face.push(all.at(k));
        EXPECT_LT(fit_plane(face).residuals.range(), 1e-6);
        EXPECT_EQ(f.form < 1e-9, true);
        ++plates;
        continue;
      }
      const SphereFit fit = fit_sphere(near(all, f.center, f.radius));
      ASSERT_TRUE(fit.ok());
      EXPECT_LT((fit.sphere.center - f.center).norm(), 1e-6);
      EXPECT_NEAR(fit.sphere.radius, f.radius, 1e-6);
      EXPECT_LT((f.expected_center - f.center).norm(), 1e-6);
      ++balls;
    }
  }
  EXPECT_EQ(balls, 15);
  EXPECT_EQ(plates, 6);
  for (const TrueValue& v : made_one.truth.values) EXPECT_NEAR(v.truth, v.expected, 1e-6) << v.id;
}

TEST_F(Simulate, SameBytesWhateverTheThreads) {
  const Scenario s = small();
  simulate(s, folder_ / "one", 1);
  simulate(s, folder_ / "three", 3);
  int files = 0;
  for (const auto& entry : fs::recursive_directory_iterator(folder_ / "one")) {
    if (!entry.is_regular_file()) continue;
    const fs::path other = folder_ / "three" / fs::relative(entry.path(), folder_ / "one");
    EXPECT_EQ(sha256_file(entry.path()), sha256_file(other)) << entry.path();
    ++files;
  }
  EXPECT_GE(files, 10);
  Scenario other = s;
  other.seed = 6;
  simulate(other, folder_ / "other");
  EXPECT_NE(sha256_file(folder_ / "one/scans/scan-01.ply"),
            sha256_file(folder_ / "other/scans/scan-01.ply"));
}

TEST_F(Simulate, SessionIsCompleteAndSaysItIsSimulated) {
  Scenario s = small();
  s.rig.simulated = false;
  made(s);
  const Session back = load_session(folder_ / "a");
  EXPECT_TRUE(back.simulated);
  EXPECT_TRUE(back.rig.simulated);
  EXPECT_EQ(back.scans.size(), 2u);
  EXPECT_EQ(back.artefacts.size(), 4u);
  ASSERT_TRUE(back.rig.noise);
  EXPECT_TRUE(fs::exists(folder_ / "a/truth.json"));
  EXPECT_TRUE(fs::exists(folder_ / "a/calibration/cameras.txt"));
  EXPECT_THROW(made(s), Error);  // the folder is not empty
}

TEST_F(Simulate, ScansKeepNearTheAskedNumberOfPoints) {
  Scenario s = small({}, 14);
  s.points = 40'000;
  const SimulatedSession m = made(s);
  double sum = 0;
  for (const fs::path& file : m.session.scans)
    sum += static_cast<double>(Scan::open(file).facts().points) / 14;
  EXPECT_GT(sum, 15'000);
  EXPECT_LT(sum, 60'000);
}

TEST_F(Simulate, ProcessingFaultsShowInTheFiles) {
  const SimulatedSession plain = made(small(), "plain");
  const double points = static_cast<double>(scan(plain, 0).facts().points);

  EXPECT_THROW(scan(made(small({parse_fault("truncated")}), "t"), 1), TruncatedScan);
  EXPECT_NEAR(
      static_cast<double>(scan(made(small({parse_fault("nan")}), "n"), 0).facts().dropped) / points,
      0.08,
      0.01);
  EXPECT_GT(scan(made(small({parse_fault("mesh")}), "m"), 0).facts().faces, points);
  EXPECT_LT(
      static_cast<double>(scan(made(small({parse_fault("thinned=2")}), "th"), 0).facts().points),
      0.7 * points);
  EXPECT_NEAR(
      scan(made(small({parse_fault("scaled=500")}), "s"), 0).facts().transform_scale, 1.0005, 1e-9);
  const Box inches = scan(made(small({parse_fault("inches")}), "i"), 0).facts().box;
  EXPECT_NEAR(inches.hi.z() * 25.4, scan(plain, 0).facts().box.hi.z(), 1e-3);
  const Box mirrored = scan(made(small({parse_fault("mirrored")}), "mi"), 0).facts().box;
  EXPECT_NEAR(-mirrored.lo.x(), scan(plain, 0).facts().box.hi.x(), 1e-3);
  const Points rounded = scan(made(small({parse_fault("rounded=20")}), "r"), 0).all();
  for (std::size_t i = 0; i < rounded.size(); i += 997)
    EXPECT_NEAR(std::remainder(rounded.at(i).x(), 0.02), 0, 1e-4);
}

TEST_F(Simulate, ShapesOfProcessedPoints) {
  const auto spread = [&](const char* fault, const std::string& name) {
    // Dense enough that a kernel of neighbours bends no ball.
    Scenario s = fault ? small({parse_fault(fault)}) : small();
    s.points = 150'000;
    const SimulatedSession m = made(s, name);
    const TrueFeature& f = m.truth.scans[0].features[0];
    const Points zone = near(scan(m, 0).all(), f.expected_center, f.expected_radius);
    const ResidualStats r = fit_sphere(zone).residuals;
    return std::pair{r.rms, r.range()};
  };
  const auto plain = spread(nullptr, "plain");
  EXPECT_GT(plain.first, 0.004);
  EXPECT_LT(plain.first, 0.02);
  EXPECT_LT(spread("perfect", "p").second, 2e-4);  // rounding of float files
  EXPECT_LT(spread("smoothed", "s").first, 0.8 * plain.first);
  const auto cut = spread("tails-cut", "c");
  EXPECT_LT(cut.second, 4.2 * plain.first);
  EXPECT_LT(spread("short-cap=35", "sc").first, 0.02);
}

TEST_F(Simulate, DuplicateIsOneMeasurementMoved) {
  const SimulatedSession m = made(small({parse_fault("duplicate")}, 3));
  const Points a = scan(m, 1).all(), b = scan(m, 2).all();
  ASSERT_EQ(a.size(), b.size());
  for (std::size_t i = 1; i < a.size(); i += 501)
    EXPECT_NEAR((a.at(i) - a.at(i - 1)).norm(), (b.at(i) - b.at(i - 1)).norm(), 4e-4);
  EXPECT_GT((a.at(0) - b.at(0)).norm(), 1);
}

TEST_F(Simulate, PapersCarryPlacementFaults) {
  const SimulatedSession overdue = made(small({parse_fault("overdue")}), "o");
  EXPECT_LT(*overdue.session.artefacts[0].due, *overdue.session.date);
  const SimulatedSession soak = made(small({parse_fault("not-soaked=4")}), "k");
  EXPECT_EQ(*soak.session.environment.artefact_C_end, *soak.session.environment.artefact_C + 4);
  const SimulatedSession missing = made(small({parse_fault("missing")}, 5), "m");
  EXPECT_EQ(missing.session.scans.size(), 4u);
  const SimulatedSession wrong = made(small({parse_fault("wrong-artefact")}, 3), "w");
  EXPECT_EQ(wrong.session.artefacts.size(), 5u);
  EXPECT_EQ(wrong.truth.scans[2].artefact, wrong.session.overrides[2].artefact + "-other");
}

TEST(Faults, EveryNameIsKnownAndParsed) {
  EXPECT_EQ(fault_kinds().size(), 43u);
  EXPECT_EQ(*parse_fault("toe-in=-50").value, -50);
  EXPECT_EQ(parse_fault("local=40@far-top-left").zone, "far-top-left");
  EXPECT_FALSE(parse_fault("inches").value);
  for (const char* bad : {"toein",
                          "inches=2",
                          "toe-in=",
                          "toe-in=x",
                          "toe-in=1e999",
                          "local=1@nowhere",
                          "pitch=1@mid"})
    EXPECT_THROW(parse_fault(bad), Error) << bad;
  try {
    parse_fault("toein");
  } catch (const Error& e) {
    EXPECT_NE(e.next_step().find("toe-in"), std::string::npos);
  }
}

// Every fault has a default, can be planted in the sample rig and leaves a loadable session.
TEST_F(Simulate, EveryFaultCanBePlanted) {
  Scenario s = small({}, 4);
  s.points = 5000;
  for (const FaultKind& kind : fault_kinds()) {
    s.faults = {{std::string(kind.name), {}, ""}};
    const SimulatedSession m = made(s, std::string(kind.name));
    ASSERT_EQ(m.truth.faults.size(), 1u);
    if (!kind.unit.empty()) {
      EXPECT_NE(m.truth.faults[0].value, 0) << kind.name;
    }
    EXPECT_NO_THROW(load_session(folder_ / std::string(kind.name))) << kind.name;
  }
}

TEST_F(Simulate, ScenarioFilesAreReadStrictly) {
  const Scenario s =
      load_scenario(fs::path(RIGPROOF_SOURCE_DIR) / "fixtures/scenarios/example.toml");
  EXPECT_EQ(s.seed, 7u);
  EXPECT_EQ(s.artefact_C, 22.4);
  ASSERT_EQ(s.faults.size(), 2u);
  EXPECT_EQ(*s.faults[0].value, 120);
  fs::create_directories(folder_);
  const auto refused = [&](const std::string& text) {
    std::ofstream(folder_ / "s.toml") << "rig = \"R12\"\n" << text;
    try {
      load_scenario(folder_ / "s.toml");
    } catch (const Error& e) {
      return e.kind() == ErrorKind::config &&
                     std::string(e.what()).find("s.toml:") == std::string::npos
                 ? std::string("no place")
                 : std::string(e.what()) + e.next_step();
    }
    return std::string("accepted");
  };
  EXPECT_NE(refused("sed = 3\n").find("seed"), std::string::npos);
  EXPECT_NE(refused("[[fault]]\nname = \"toein\"\n").find("toe-in"), std::string::npos);
  EXPECT_NE(refused("[[fault]]\nname = \"inches\"\nvalue = 3\n"), "accepted");
  EXPECT_NE(refused("points = 3\n"), "accepted");
  EXPECT_NE(refused("[noise]\nwhite_share = 2\n"), "accepted");
  EXPECT_NE(refused("[[scan]]\nartefact = \"nothing\"\ncenter = [0, 0, 600]\n"), "accepted");
}

// All five sample rigs can place every position of every shipped procedure.
TEST(Arrangement, EveryPositionFindsItsArtefact) {
  for (const char* rig : {"R06", "R09", "R12", "R15", "R21"})
    for (const char* procedure : {"half-hour", "single-view", "optical-cms", "interim"}) {
      const Scenario s = demo_scenario(rig, procedure, {}, 1, 1e5);
      std::vector<ArtefactBody> bodies;
      for (const Artefact& a : s.artefacts) bodies.push_back(make_body(a, Chance(1), true));
      const Volume& volume = s.field_of_view().volume;
      const auto placed = arrange(
          s.procedure.positions, bodies, volume, make_stereo_rig(stereo_geometry(s)), Chance(2));
      EXPECT_EQ(placed.size(), s.procedure.positions.size()) << rig << " " << procedure;
      for (const Placement& p : placed)
        for (const ArtefactBody& b : bodies)
          if (b.certificate.serial == p.artefact) {
            EXPECT_EQ(reaches_out(b, p.pose, volume), 0) << rig << " " << p.position;
          }
    }
}

TEST_F(Simulate, BigSceneHoldsTheBar) {
  fs::create_directories(folder_);
  write_big_scene(folder_ / "big.ply", 200'000, 3);
  const Scan s = Scan::open(folder_ / "big.ply");
  EXPECT_NEAR(static_cast<double>(s.facts().points), 200'000, 20'000);
}

}  // namespace
}  // namespace rigproof
