// Widths of the Platonic solids (elementary geometry). Between faces and corners alone the
// tetrahedron would measure √(2/3) = 0.8165; its width is 1/√2, between opposite edges.
#include <map>

#include <gtest/gtest.h>

#include "fit/fit.h"
#include "reference_table.h"

namespace rigproof {
namespace {

TEST(PlatonicWidth, AllFive) {
  const reference::Table t = reference::table("platonic_width.csv");
  std::map<std::string, Points> solids;
  for (std::size_t i = 0; i < t.rows.size(); ++i)
    solids[t.text(i, "solid")].push_local(t.number(i, "x"), t.number(i, "y"), t.number(i, "z"));
  const double golden = (1 + std::sqrt(5.0)) / 2;
  const std::map<std::string, double> widths = {
      {"tetrahedron", 1 / std::sqrt(2.0)},
      {"cube", 1},
      {"octahedron", std::sqrt(2.0 / 3)},
      {"icosahedron", golden * golden / std::sqrt(3.0)},
      {"dodecahedron", std::sqrt(250 + 110 * std::sqrt(5.0)) / 10}};
  ASSERT_EQ(solids.size(), widths.size());
  for (const auto& [name, width] : widths) {
    const PlaneZone zone = minimum_zone_plane(solids.at(name));
    EXPECT_TRUE(zone.exact) << name;
    EXPECT_NEAR(zone.width, width, 3e-14) << name;
  }
  for (std::size_t i = 0; i < t.rows.size(); ++i)
    EXPECT_NEAR(t.number(i, "width"), widths.at(t.text(i, "solid")), 1e-12);
}

}  // namespace
}  // namespace rigproof
