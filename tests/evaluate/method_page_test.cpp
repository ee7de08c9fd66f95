// docs/method.md names every characteristic and every budget line of the code, with its formula.
#include <fstream>
#include <set>
#include <sstream>

#include <gtest/gtest.h>

#include "evaluate/characteristic.h"
#include "evaluate/made_points.h"
#include "evaluate/values.h"

namespace rigproof {
namespace {

std::vector<std::string> rows() {
  std::ifstream in(std::string(RIGPROOF_SOURCE_DIR) + "/docs/method.md");
  EXPECT_TRUE(in);
  std::vector<std::string> out;
  for (std::string line; std::getline(in, line);)
    if (line.starts_with("| ")) out.push_back(line);
  return out;
}

std::string row_of(const std::string& first_cell) {
  for (const std::string& row : rows())
    if (row.starts_with("| " + first_cell + " |")) return row;
  return {};
}

TEST(MethodPage, NamesEveryCharacteristic) {
  for (const Characteristic& c : characteristics()) {
    const std::string row = row_of("`" + std::string(c.id) + "`");
    EXPECT_NE(row, "") << c.id;
    EXPECT_NE(row.find("| " + std::string(c.symbol) + " |"), std::string::npos) << c.id;
  }
}

// An error against a calibrated value has a sign; a range and the width of a zone have none.
TEST(MethodPage, DifferencesFromCalibratedValuesAreSigned) {
  for (const Characteristic& c : characteristics()) {
    const bool difference = c.definition.find(" - calibrated") != std::string_view::npos;
    EXPECT_EQ(c.signed_value, difference) << c.id;
  }
}

// Values of every characteristic of a bar and a plate.
std::vector<TestValue> all_values() {
  Procedure procedure;
  for (const Characteristic& c : characteristics())
    procedure.characteristics[std::string(c.id)] = {};
  ValueContext context;
  context.procedure = &procedure;
  ZoneContext zone;
  zone.minimum_zones = zone.flatness_mz = zone.distortion = true;
  zone.dispersion = procedure.dispersion_shell;
  zone.patches = procedure.patches;

  Artefact bar;
  bar.serial = "bar";
  bar.balls = {{"A", {30, 0.001}, 0.0004}, {"B", {30, 0.001}, 0.0004}};
  bar.distances = {{"A", "B", {100, 0.001}}};
  std::vector<BallFeature> balls;
  for (const double x : {-50.0, 50.0}) {
    const Sphere s{{x, 0, 600}, 15};
    const Vec3 axis = -s.center.normalized();
    balls.push_back(made::ball(made::cap(s, axis, 75, 0.5), made::sighting(s, axis), 30, zone));
  }
  std::vector<TestValue> out = ball_values(bar, {&balls[0], &balls[1]}, context);

  Artefact plate;
  plate.kind = ArtefactKind::plate;
  plate.serial = "plate";
  const Vec3 at(0, 0, 600);
  const PlateFeature f =
      made::plate_feature(made::plate(at, Vec3::UnitX(), Vec3::UnitY(), 100, 80, 2),
                          made::plate_sighting(at, Vec3::UnitX(), Vec3::UnitY(), 100, 80),
                          zone);
  for (TestValue& v : plate_values(plate, f, context)) out.push_back(std::move(v));
  return out;
}

TEST(MethodPage, StatesEveryBudgetLineWithItsFormula) {
  std::set<std::string> ids;
  for (const TestValue& v : all_values()) {
    ids.insert(v.id);
    for (const BudgetLine& line : v.budget) {
      const std::string row = row_of(line.line);
      EXPECT_NE(row, "") << line.line;
      EXPECT_NE(row.find("| `" + line.formula + "` |"), std::string::npos) << line.line;
      EXPECT_NE(row.find(line.dof ? "| 8 |" : "| ∞ |"), std::string::npos) << line.line;
    }
  }
  EXPECT_EQ(ids.size(), characteristics().size()) << "every characteristic has a value here";
}

TEST(MethodPage, NamesWhatStandsBesideAValue) {
  std::ifstream in(std::string(RIGPROOF_SOURCE_DIR) + "/docs/method.md");
  std::ostringstream page;
  page << in.rdbuf();
  for (const TestValue& v : all_values())
    for (const auto& [name, value] : v.alternatives)
      EXPECT_NE(page.str().find("`" + name + "`"), std::string::npos) << name;
}

}  // namespace
}  // namespace rigproof
