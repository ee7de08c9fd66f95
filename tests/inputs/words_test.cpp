#include <cmath>

#include <Eigen/LU>

#include "inputs/material.h"
#include "inputs/near_name.h"
#include "inputs/scratch_folder.h"
#include "inputs/session.h"

namespace rigproof {
namespace {

TEST(Axes, TheDefaultIsTheSensorFrame) {
  EXPECT_EQ(axes_to_sensor("right down away"), Mat3(Mat3::Identity()));
}

TEST(Axes, WordsSayWhereTheExportedAxesPoint) {
  // A common export: x right, y up, z towards the rig; half a turn about x.
  const Mat3 r = axes_to_sensor("right up towards");
  EXPECT_EQ(Vec3(r * Vec3(1, 2, 3)), Vec3(1, -2, -3));
  const Mat3 q = axes_to_sensor("Away,left, up");
  EXPECT_EQ(Vec3(q * Vec3(5, 0, 0)), Vec3(0, 0, 5)) << "x points away";
  EXPECT_EQ(Vec3(q * Vec3(0, 5, 0)), Vec3(-5, 0, 0)) << "y points left";
  EXPECT_EQ(Vec3(q * Vec3(0, 0, 5)), Vec3(0, -5, 0)) << "z points up, and +Y is down";
}

// Of the 6·4·2 = 48 ways to name three perpendicular directions, half are rotations.
TEST(Axes, OfAllFortyEightHalfAreRotationsAndHalfAreRefused) {
  const std::vector<std::string> words{"right", "left", "down", "up", "away", "towards"};
  int rotations = 0, mirrors = 0, flat = 0;
  for (const auto& x : words)
    for (const auto& y : words)
      for (const auto& z : words) {
        try {
          const Mat3 r = axes_to_sensor(x + " " + y + " " + z);
          EXPECT_DOUBLE_EQ(r.determinant(), 1);
          EXPECT_EQ(Mat3(r.transpose() * r), Mat3(Mat3::Identity()));
          ++rotations;
        } catch (const Error& error) {
          EXPECT_EQ(error.kind(), ErrorKind::config);
          const std::string what = error.what();
          mirrors += what.find("mirror") != std::string::npos;
          flat += what.find("same line") != std::string::npos;
        }
      }
  EXPECT_EQ(rotations, 24);
  EXPECT_EQ(mirrors, 24);
  EXPECT_EQ(flat, 216 - 48);
}

TEST(Axes, AReflectionIsExplained) {
  const std::string what = refusal([] { axes_to_sensor("left down away"); });
  EXPECT_NE(what.find("a verdict could not tell"), std::string::npos) << what;
}

// ISO 3650:1998 states (11.5 ± 1.0)e-6 /K for steel gauge blocks (from memory); a half-width as
// rectangular distribution has the standard uncertainty half-width/√3 (JCGM 100:2008, 4.3.7).
TEST(Materials, SteelIsThatOfGaugeBlocks) {
  const Material* steel = find_material("Steel");
  ASSERT_TRUE(steel);
  EXPECT_DOUBLE_EQ(steel->alpha_per_K, 11.5e-6);
  EXPECT_DOUBLE_EQ(steel->u_alpha_per_K, 1e-6 / std::sqrt(3.0));
  EXPECT_EQ(steel->alpha_per_K, Artefact{}.alpha_per_K);
  EXPECT_EQ(steel->u_alpha_per_K, Artefact{}.u_alpha_per_K);
}

// Common practice, from memory of handbook tables (mean values near 20 °C, in ppm/K); each must lie
// inside the stated half-width.
TEST(Materials, HandbookValuesLieWithinTheStatedWidth) {
  struct Value {
    const char* name;
    double ppm;
  };
  for (const Value& v : {Value{"austenitic stainless steel", 16.0},  // 1.4401
                         Value{"stainless", 17.3},                   // 1.4301
                         Value{"hardened stainless steel", 10.2},    // 1.4125
                         Value{"aluminium", 23.6},                   // 6061
                         Value{"aluminum", 23.1},                    // pure
                         Value{"ZrO2", 10.5},
                         Value{"Al2O3", 5.4},  // sintered, 20–100 °C
                         Value{"Si3N4", 2.5},
                         Value{"invar", 1.2},
                         Value{"tungsten carbide", 4.5},  // 6 % cobalt
                         Value{"hard metal", 5.8},        // 12 % cobalt
                         Value{"fused silica", 0.55},
                         Value{"borosilicate glass", 3.3},
                         Value{"float glass", 9.0},
                         Value{"glass ceramic", 0.05},
                         Value{"granite", 5.0},
                         Value{"granite", 8.0},
                         Value{"titanium", 8.6},
                         Value{"brass", 18.7},
                         Value{"carbon fiber", -0.5}}) {
    const Material* m = find_material(v.name);
    ASSERT_TRUE(m) << v.name;
    const double half_width = m->u_alpha_per_K * std::sqrt(3.0);
    EXPECT_LE(std::abs(v.ppm * 1e-6 - m->alpha_per_K), half_width * (1 + 1e-9)) << v.name;
  }
}

TEST(Materials, AreTakenFromTheTableUnlessGiven) {
  const ScratchFolder folder;
  const std::string ball =
      "kind = \"ball\"\nserial = \"1\"\ndiameter = { mm = 30, U_um = 1 }\nmaterial = ";
  const Artefact table = load_artefact(folder.write("a.toml", ball + "\"invar\"\n"));
  EXPECT_TRUE(table.alpha_from_table);
  EXPECT_EQ(table.alpha_per_K, find_material("invar")->alpha_per_K);
  const Artefact given =
      load_artefact(folder.write("b.toml", ball + "\"bronze\"\nalpha_ppm_K = 18\n"));
  EXPECT_FALSE(given.alpha_from_table);
  EXPECT_DOUBLE_EQ(given.alpha_per_K, 18e-6);
  EXPECT_EQ(given.u_alpha_per_K, Artefact{}.u_alpha_per_K);
}

// The inch is 25.4 mm exactly (international yard and pound agreement, 1959).
TEST(Units, InMillimetres) {
  EXPECT_EQ(unit_to_mm("inch"), 25.4);
  EXPECT_EQ(unit_to_mm("m"), 1000);
  EXPECT_EQ(unit_to_mm("cm"), 10);
  EXPECT_EQ(unit_to_mm("mm"), 1);
  EXPECT_EQ(unit_to_mm("µm"), unit_to_mm("um"));
  EXPECT_DOUBLE_EQ(unit_to_mm("foot"), 12 * 25.4);
  EXPECT_DOUBLE_EQ(unit_to_mm("thou"), 0.0254);
  EXPECT_NE(refusal([] { unit_to_mm("inc"); }, ErrorKind::usage), "");
  EXPECT_NE(refusal([] { unit_to_mm(""); }, ErrorKind::usage), "");
}

TEST(Dates, IsoOnly) {
  EXPECT_EQ(to_string(parse_date("2024-02-29")), "2024-02-29");
  for (const char* bad : {"2026-02-29",
                          "2026-13-01",
                          "2026-1-1",
                          "26-01-01",
                          "2026/01/01",
                          "",
                          "2026-01-0x",
                          "2026-01-011",
                          "+026-01-01",
                          "2026--1-01"})
    EXPECT_NE(refusal([&] { parse_date(bad); }, ErrorKind::usage), "") << bad;
}

TEST(NearName, DistanceCountsEditsAndSwaps) {
  EXPECT_EQ(edit_distance("kitten", "sitting"), 3);  // Wikipedia's example of Levenshtein distance
  EXPECT_EQ(edit_distance("ca", "abc"), 3);          // the restricted form; the unrestricted is 2
  EXPECT_EQ(edit_distance("serail", "serial"), 1);
  EXPECT_EQ(edit_distance("", "abc"), 3);
  EXPECT_EQ(edit_distance("MM", "mm"), 0);
  EXPECT_EQ(edit_distance(std::string(500, 'a'), std::string(400, 'a')), 0) << "64 bytes count";
}

TEST(NearName, OnlyWhatIsNear) {
  EXPECT_EQ(near_name("probing_from", {"probing_size", "probing_form"}), "probing_form");
  EXPECT_EQ(near_name("flatness", {"probing_size", "sphere_spacing"}), "");
  EXPECT_EQ(near_name("x", {}), "");
}

}  // namespace
}  // namespace rigproof
