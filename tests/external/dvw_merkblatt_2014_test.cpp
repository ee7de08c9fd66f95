// DVW-Merkblatt 7-2014, "Verfahren zur standardisierten Überprüfung von terrestrischen
// Laserscannern (TLS)", DVW e.V. 2014, example 1: distances between the means of three repeats of
// four targets, from two stations, as printed there. Metres, printed to 0.1 mm.
#include <map>

#include <gtest/gtest.h>

#include "fit/moments.h"
#include "reference_table.h"

namespace rigproof {
namespace {

TEST(DvwMerkblatt2014, DistancesBetweenTargets) {
  const reference::Table t = reference::table("dvw_merkblatt_7_2014_ex1_targets.csv");
  ASSERT_EQ(t.rows.size(), 24u);
  std::map<std::string, Points> repeats;
  for (std::size_t i = 0; i < t.rows.size(); ++i)
    repeats[t.text(i, "station") + t.text(i, "target")].push_local(
        t.number(i, "x"), t.number(i, "y"), t.number(i, "z"));
  const auto distance = [&](const std::string& station,
                            const std::string& a,
                            const std::string& b) {
    return (moments(repeats.at(station + a)).centroid - moments(repeats.at(station + b)).centroid)
        .norm();
  };
  struct Row {
    const char *a, *b;
    double s1, s2, delta_mm;
  };
  double deltas[6];
  int k = 0;
  for (const Row& row : {Row{"T1", "T2", 39.7215, 39.7121, 9.4},
                         Row{"T1", "T3", 56.3712, 56.3655, 5.7},
                         Row{"T1", "T4", 44.5153, 44.5114, 3.9},
                         Row{"T2", "T3", 39.9967, 39.9955, 1.2},
                         Row{"T2", "T4", 19.9449, 19.9460, -1.1},
                         Row{"T3", "T4", 44.6711, 44.6702, 0.9}}) {
    const double s1 = distance("S1", row.a, row.b), s2 = distance("S2", row.a, row.b);
    EXPECT_NEAR(s1, row.s1, 0.51e-4) << row.a << row.b;
    EXPECT_NEAR(s2, row.s2, 0.51e-4) << row.a << row.b;
    EXPECT_NEAR(1000 * (s1 - s2), row.delta_mm, 0.11) << row.a << row.b;
    deltas[k++] = 1000 * (s1 - s2);
  }
  // The scanner's constant enters T1–T2 twice from one side only: half the difference.
  EXPECT_NEAR(deltas[0] / 2, 4.7, 0.06);
}

}  // namespace
}  // namespace rigproof
