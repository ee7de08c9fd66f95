// What must not change a value or a verdict, through the whole road; and what must, by how much.

#include <cmath>
#include <fstream>
#include <numeric>

#include <Eigen/Geometry>
#include <gtest/gtest.h>

#include "base/number.h"
#include "scan/ply_writer.h"
#include "sessions/planting.h"
#include "simulate/chance.h"

namespace rigproof::planted {
namespace {

namespace fs = std::filesystem;

/// One session in double PLY, with its results; made once.
struct Reference {
  Folder folder{"properties"};
  Session session;
  Results results;

  Reference() {
    Scenario s = base_scenario(Base::few);
    s.doubles = true;
    simulate(s, folder.path(), 1);
    session = load_session(folder.path());
    results = assess(session, {1, false, {}});
  }
};

const Reference& reference() {
  static const Reference made;
  return made;
}

using Write = std::function<fs::path(const Points&, const fs::path& at)>;

fs::path as_ply(const Points& points, const fs::path& at) {
  PlyOptions options;
  options.doubles = true;
  write_ply(at, points, options);
  return at;
}

/// Assesses a copy of the reference whose scans were written anew by `write`, in their order.
Results rewritten(const Write& write, const std::function<void(Session&)>& papers = {}) {
  const Folder copy("rewritten");
  fs::copy(reference().folder.path(), copy.path(), fs::copy_options::recursive);
  Session session = load_session(copy.path());
  for (fs::path& scan : session.scans) {
    const Points points = Scan::open(scan).all();
    fs::remove(scan);
    scan = write(points, scan);
  }
  if (papers) papers(session);
  return assess(session, {1, false, {}});
}

/// Same scans, counts and verdicts; values and p within the tolerance. mm
void expect_same(const Results& a, const Results& b, double tolerance) {
  EXPECT_EQ(a.headline, b.headline);
  ASSERT_EQ(a.characteristics.size(), b.characteristics.size());
  for (std::size_t c = 0; c < a.characteristics.size(); ++c) {
    const auto &of_a = a.characteristics[c].values, &of_b = b.characteristics[c].values;
    ASSERT_EQ(of_a.size(), of_b.size()) << a.characteristics[c].id;
    ASSERT_FALSE(of_a.empty());
    for (std::size_t i = 0; i < of_a.size(); ++i) {
      EXPECT_NEAR(of_a[i].value.value, of_b[i].value.value, tolerance) << of_a[i].value.id;
      EXPECT_NEAR(of_a[i].value.value_all_points, of_b[i].value.value_all_points, tolerance);
      EXPECT_NEAR(of_a[i].value.u, of_b[i].value.u, tolerance);
      EXPECT_EQ(of_a[i].value.points, of_b[i].value.points);
      EXPECT_EQ(of_a[i].value.left_out, of_b[i].value.left_out);
      ASSERT_EQ(of_a[i].decision.has_value(), of_b[i].decision.has_value());
      if (of_a[i].decision) {
        EXPECT_EQ(of_a[i].decision->verdict, of_b[i].decision->verdict);
      }
    }
  }
}

TEST(Properties, ARigidMotionThatIsDeclaredChangesNothing) {
  RigidTransform there;
  there.rotation = (Eigen::AngleAxisd(0.7, Vec3(1, -2, 0.5).normalized())).toRotationMatrix();
  there.translation = {1234.5, -567.8, 891.2};
  const Mat3 back = there.rotation.transpose();
  const Vec3 shift = -(back * there.translation);
  const Results moved = rewritten(
      [&](const Points& points, const fs::path& at) {
        Points out;
        for (std::size_t i = 0; i < points.size(); ++i) out.push(there * points.at(i));
        return as_ply(out, at);
      },
      [&](Session& s) {
        for (const fs::path& scan : s.scans) {
          const std::string name = "scans/" + scan.filename().string();
          auto words = std::ranges::find(s.overrides, name, &ScanOverride::file);
          if (words == s.overrides.end())
            words = s.overrides.insert(words, ScanOverride{name, "", "", {}, "", ""});
          words->transform = {back(0, 0),
                              back(0, 1),
                              back(0, 2),
                              shift.x(),
                              back(1, 0),
                              back(1, 1),
                              back(1, 2),
                              shift.y(),
                              back(2, 0),
                              back(2, 1),
                              back(2, 2),
                              shift.z(),
                              0,
                              0,
                              0,
                              1};
        }
      });
  expect_same(reference().results, moved, 1e-5);
}

TEST(Properties, TheOrderOfThePointsChangesNothing) {
  const Results shuffled = rewritten([](const Points& points, const fs::path& at) {
    std::vector<std::pair<std::uint64_t, std::size_t>> order(points.size());
    const Chance chance(3);
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = {chance.bits(i), i};
    std::ranges::sort(order);
    Points out;
    out.origin = points.origin;
    for (const auto& [key, i] : order) out.push_local(points.x[i], points.y[i], points.z[i]);
    return as_ply(out, at);
  });
  expect_same(reference().results, shuffled, 1e-5);
}

TEST(Properties, TheFileFormatChangesNothing) {
  const Results text = rewritten([](const Points& points, const fs::path& at) {
    fs::path to = at;
    to.replace_extension(".xyz");
    std::ofstream out(to);
    for (std::size_t i = 0; i < points.size(); ++i) {
      const Vec3 p = points.at(i);
      out << exact(p.x()) << ' ' << exact(p.y()) << ' ' << exact(p.z()) << '\n';
    }
    return to;
  });
  expect_same(reference().results, text, 1e-9);
}

TEST(Properties, TheUnitChangesNothing) {
  const Results metres = rewritten(
      [](const Points& points, const fs::path& at) {
        Points out;
        for (std::size_t i = 0; i < points.size(); ++i) out.push(points.at(i) / 1000);
        return as_ply(out, at);
      },
      [](Session& s) {
        s.rig.units = "m";
        s.rig.unit_mm = 1000;
      });
  expect_same(reference().results, metres, 1e-5);
}

TEST(Properties, ThreadsChangeNothing) {
  for (const int threads : {2, 3, 7}) {
    const Results again = assess(reference().session, {threads, false, {}});
    expect_same(reference().results, again, 0);
    EXPECT_EQ(reference().results.p_all_within, again.p_all_within);
    EXPECT_EQ(reference().results.findings.size(), again.findings.size());
  }
}

// Scaling all points by 1 + ε moves every spacing error by ε times the length; without noise, so
// that the zone's edge does not add its own.
TEST(Properties, AScaledWorldIsSeenInFull) {
  Scenario s = base_scenario(Base::few);
  s.make_ideal();
  const Folder folder("scaled");
  simulate(s, folder.path(), 1);
  const Session session = load_session(folder.path());
  const Results before = assess(session, {1, false, {}});
  constexpr double kEps = 1e-4;
  for (const fs::path& scan : session.scans) {
    Points out;
    const Points points = Scan::open(scan).all();
    for (std::size_t i = 0; i < points.size(); ++i) out.push((1 + kEps) * points.at(i));
    as_ply(out, scan);
  }
  const Results after = assess(session, {1, false, {}});
  int compared = 0;
  for (std::size_t c = 0; c < before.characteristics.size(); ++c) {
    if (before.characteristics[c].id != "sphere_spacing") continue;
    const auto &a = before.characteristics[c].values, &b = after.characteristics[c].values;
    ASSERT_EQ(a.size(), b.size());
    for (std::size_t i = 0; i < a.size(); ++i, ++compared)
      EXPECT_NEAR(b[i].value.value - a[i].value.value, kEps * a[i].value.measured, 1e-6);
  }
  EXPECT_GE(compared, 5);
}

// Whoever asks why gets the same values, bit for bit.
TEST(Properties, DiagnosisChangesNoValue) {
  const Results diagnosed = assess(reference().session, {1, true, {}});
  EXPECT_GT(diagnosed.zones.size(), 0u);
  expect_same(reference().results, diagnosed, 0);
  EXPECT_EQ(reference().results.verdict, diagnosed.verdict);
  EXPECT_EQ(reference().results.p_all_within, diagnosed.p_all_within);
  ASSERT_EQ(reference().results.findings.size(), diagnosed.findings.size());
  for (std::size_t i = 0; i < diagnosed.findings.size(); ++i)
    EXPECT_EQ(reference().results.findings[i].text, diagnosed.findings[i].text);
}

int rank(Verdict v) { return v == Verdict::outside ? 0 : v == Verdict::undecided ? 1 : 2; }

// A wider limit never makes a verdict worse, and never another value. No limit enters the pass of a
// scan, so the scans are read once.
TEST(Properties, VerdictsAreMonotoneInTheLimit) {
  std::vector<ScanPass> passes;
  for (const fs::path& scan : reference().session.scans)
    passes.push_back(assess_scan(reference().session, scan, {1, false, {}}));
  for (const DecisionRule rule :
       {DecisionRule::simple, DecisionRule::proven, DecisionRule::guarded}) {
    std::vector<Results> results;
    for (const double share : {0.7, 0.8, 0.9, 1.0, 1.3, 2.0}) {
      Session session = reference().session;
      session.limits.rule = rule;
      session.limits.guard_mm = 0.001;
      for (auto& [id, limit] : session.limits.by_characteristic) limit.A_mm *= share;
      std::vector<ScanPass> copies = passes;
      results.emplace_back().session = session;
      judge_together(results.back(), copies);
    }
    for (const Results& r : results) EXPECT_NE(r.verdict, Verdict::invalid) << r.headline;
    for (std::size_t k = 1; k < results.size(); ++k) {
      EXPECT_LE(rank(results[k - 1].verdict), rank(results[k].verdict)) << results[k].headline;
      EXPECT_LE(results[k - 1].p_all_within, results[k].p_all_within);
      for (std::size_t c = 0; c < results[k].characteristics.size(); ++c) {
        const auto &tight = results[k - 1].characteristics[c],
                   &wide = results[k].characteristics[c];
        EXPECT_LE(rank(tight.verdict), rank(wide.verdict)) << tight.id;
        ASSERT_EQ(tight.values.size(), wide.values.size());
        for (std::size_t i = 0; i < tight.values.size(); ++i) {
          EXPECT_EQ(tight.values[i].value.value, wide.values[i].value.value);
          EXPECT_EQ(tight.values[i].value.points, wide.values[i].value.points);
          EXPECT_LE(tight.values[i].decision->p_within, wide.values[i].decision->p_within);
        }
      }
    }
  }
}

}  // namespace
}  // namespace rigproof::planted
