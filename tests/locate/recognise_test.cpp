#include "locate/recognise.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace rigproof {
namespace {

using testing::ElementsAre;
using testing::HasSubstr;
using testing::IsEmpty;

Artefact ball(const std::string& serial, double diameter) {
  Artefact a;
  a.kind = ArtefactKind::ball;
  a.serial = serial;
  a.balls = {{"A", {diameter, 0}, 0}};
  return a;
}

Artefact bar(const std::string& serial, double length, double a_mm, double b_mm) {
  Artefact a;
  a.kind = ArtefactKind::bar;
  a.serial = serial;
  a.balls = {{"A", {a_mm, 0}, 0}, {"B", {b_mm, 0}, 0}};
  a.distances = {{"A", "B", {length, 0}}};
  return a;
}

Artefact plate(const std::string& serial, double length, double width) {
  Artefact a;
  a.kind = ArtefactKind::plate;
  a.serial = serial;
  a.length_mm = length;
  a.width_mm = width;
  return a;
}

BallSighting seen(const Vec3& center, double diameter) {
  BallSighting b;
  b.sphere = {center, diameter / 2};
  b.support = 1000;
  return b;
}

Sighting seen_pair(double length, double left_mm, double right_mm) {
  Sighting s;
  s.balls = {seen({length / 2, 0, 600}, right_mm), seen({-length / 2, 0, 600}, left_mm)};
  return s;
}

TEST(RequestFor, AsksForEverySizeOnce) {
  const LocateRequest request = request_for(
      {bar("b", 250, 30.0012, 30.0007), ball("k", 30.4), ball("m", 50), plate("p", 300, 200)});
  EXPECT_THAT(request.ball_diameters_mm, ElementsAre(30.0007, 50));
  ASSERT_EQ(request.plates.size(), 1u);
  EXPECT_EQ(request.plates[0].length_mm, 300);
  EXPECT_FALSE(request.unknown_balls);
  EXPECT_TRUE(request_for({bar("typed", 250, 0, 0)}).unknown_balls);
  EXPECT_TRUE(request_for({}).unknown_balls);
  EXPECT_TRUE(request_for({}).unknown_plates);
}

TEST(Recognise, ABarByItsDistance) {
  const std::vector<Artefact> artefacts{bar("250", 250, 30, 30), bar("400", 400, 30, 30)};
  const Recognition r = recognise(seen_pair(250.1, 30.01, 30.02), artefacts);
  ASSERT_EQ(r.found.size(), 1u);
  EXPECT_EQ(r.found[0].artefact, &artefacts[0]);
  EXPECT_THAT(r.found[0].balls, ElementsAre(1, 0));  // from left to right
  EXPECT_FALSE(r.found[0].swapped);
  EXPECT_FALSE(r.ambiguous);
  EXPECT_NEAR(r.found[0].misfit, 0.02 / 30, 1e-6);
}

TEST(Recognise, ABarWhoseBallsTheRigMeasuresFarOut) {
  const std::vector<Artefact> artefacts{bar("250", 250, 30, 30)};
  for (double size : {26.0, 28.5, 31.7, 34.2}) {
    const Recognition r = recognise(seen_pair(251, size, size), artefacts);
    ASSERT_EQ(r.found.size(), 1u) << size;
    EXPECT_NEAR(r.found[0].misfit, std::abs(size / 30 - 1), 1e-9);
  }
}

TEST(Recognise, ARigWhoseScaleIsOutButNotAnotherBar) {
  const std::vector<Artefact> artefacts{bar("250", 250, 30, 30)};
  const Recognition scaled = recognise(seen_pair(250 * 1.06, 30 * 1.061, 30 * 1.059), artefacts);
  ASSERT_EQ(scaled.found.size(), 1u);
  EXPECT_THAT(scaled.candidates, ElementsAre(HasSubstr("265.000 mm for 250.000 mm (+6.0 %)")));
  const Recognition other = recognise(seen_pair(265, 30, 30), artefacts);
  EXPECT_THAT(other.found, IsEmpty());
  ASSERT_FALSE(other.candidates.empty());
  EXPECT_THAT(other.candidates[0], HasSubstr("not bar 250: 265.000 mm for 250.000 mm (+6.0 %)"));
}

TEST(Recognise, SwappedBallsByTheirDiameters) {
  const std::vector<Artefact> artefacts{bar("250", 250, 30, 25)};
  const Recognition listed = recognise(seen_pair(250, 30.02, 25.01), artefacts);
  ASSERT_EQ(listed.found.size(), 1u);
  EXPECT_FALSE(listed.found[0].swapped);
  EXPECT_THAT(listed.found[0].balls, ElementsAre(1, 0));
  const Recognition turned = recognise(seen_pair(250, 25.01, 30.02), artefacts);
  ASSERT_EQ(turned.found.size(), 1u);
  EXPECT_TRUE(turned.found[0].swapped);
  EXPECT_THAT(turned.found[0].balls, ElementsAre(0, 1));
  // A rig that measures all balls 6 % large does not turn the bar.
  EXPECT_FALSE(recognise(seen_pair(250, 31.8, 26.5), artefacts).found[0].swapped);
}

TEST(Recognise, ATypedBarHasTwoEqualBalls) {
  const std::vector<Artefact> artefacts{bar("typed", 250, 0, 0)};
  Sighting s = seen_pair(249.8, 25.3, 25.35);
  s.balls.push_back(seen({0, 249, 600}, 40));
  const Recognition r = recognise(s, artefacts);
  ASSERT_EQ(r.found.size(), 1u);
  EXPECT_THAT(r.found[0].balls, ElementsAre(1, 0));
  EXPECT_THAT(recognise(seen_pair(249.8, 25.3, 30), artefacts).found, IsEmpty());
  const Recognition off = recognise(seen_pair(262, 25.3, 25.3), artefacts);
  EXPECT_THAT(off.found, IsEmpty());
  EXPECT_THAT(off.candidates, testing::Contains(HasSubstr("(+4.8 %)")));
}

TEST(Recognise, BarsWithinTwoPercentMustBeNamed) {
  const std::vector<Artefact> artefacts{bar("250", 250, 30, 30), bar("252", 252, 30, 30)};
  const Recognition r = recognise(seen_pair(251, 30, 30), artefacts);
  EXPECT_TRUE(r.ambiguous);
  EXPECT_THAT(r.found, IsEmpty());
  EXPECT_EQ(r.candidates.size(), 2u);
  const Recognition named = recognise(seen_pair(250.3, 30, 30), artefacts, "252");
  ASSERT_EQ(named.found.size(), 1u);
  EXPECT_EQ(named.found[0].artefact->serial, "252");
  EXPECT_THAT(named.candidates, ElementsAre(HasSubstr("fits better: bar 250")));
  // Diameters tell them apart where they can.
  const std::vector<Artefact> sizes{bar("250", 250, 30, 30), bar("252", 252, 25, 25)};
  const Recognition told = recognise(seen_pair(251, 25.1, 25.1), sizes);
  ASSERT_EQ(told.found.size(), 1u);
  EXPECT_EQ(told.found[0].artefact->serial, "252");
}

TEST(Recognise, ThirdBallAtTheSameDistanceIsAmbiguous) {
  Sighting s = seen_pair(250, 30, 30);
  s.balls.push_back(seen({0, 250 * std::sqrt(0.75), 600}, 30));
  const std::vector<Artefact> artefacts{bar("250", 250, 30, 30)};
  const Recognition r = recognise(s, artefacts);
  EXPECT_TRUE(r.ambiguous);
  EXPECT_EQ(r.candidates.size(), 3u);
  s.balls[2].sphere.radius = 16.5;  // 10 % off: the pair whose diameters are right is meant
  EXPECT_EQ(recognise(s, artefacts).found.size(), 1u);
}

TEST(Recognise, ABallPlateByAllItsDistances) {
  Artefact plate;
  plate.kind = ArtefactKind::bar;
  plate.serial = "plate";
  const std::vector<Vec3> places{{0, 0, 600}, {100, 0, 600}, {0, 60, 600}, {90, 80, 610}};
  const std::vector<std::string> ids{"A", "B", "C", "D"};
  for (std::size_t i = 0; i < places.size(); ++i) {
    plate.balls.push_back({ids[i], {20, 0}, 0});
    for (std::size_t j = 0; j < i; ++j)
      plate.distances.push_back({ids[j], ids[i], {(places[i] - places[j]).norm(), 0}});
  }
  Sighting s;
  for (int k : {2, 0, 3, 1}) s.balls.push_back(seen(places[k], 20.05));
  s.balls.push_back(seen({200, 10, 500}, 20));
  const std::vector<Artefact> artefacts{bar("100", 100, 20, 20), plate};
  const Recognition r = recognise(s, artefacts);
  ASSERT_EQ(r.found.size(), 1u);  // its balls do not serve the bar of 100 mm as well
  EXPECT_EQ(r.found[0].artefact->serial, "plate");
  EXPECT_THAT(r.found[0].balls, ElementsAre(1, 3, 0, 2));
}

TEST(Recognise, OneBallOfABar) {
  Sighting s;
  s.balls = {seen({0, 0, 600}, 30.1)};
  const std::vector<Artefact> bars{bar("250", 250, 30, 30)};
  const Recognition r = recognise(s, bars);
  EXPECT_TRUE(r.one_ball);
  EXPECT_THAT(r.found, IsEmpty());
  EXPECT_THAT(r.candidates, ElementsAre(HasSubstr("only one ball (30.100 mm); bar 250 has 2")));
  // With a ball of that size registered it is that ball.
  const std::vector<Artefact> both{bar("250", 250, 30, 30), ball("k", 30)};
  const Recognition as_ball = recognise(s, both);
  EXPECT_FALSE(as_ball.one_ball);
  ASSERT_EQ(as_ball.found.size(), 1u);
  EXPECT_EQ(as_ball.found[0].artefact->serial, "k");
}

TEST(Recognise, ALoneBallOfABadRig) {
  const std::vector<Artefact> one{ball("203", 406)};
  for (double off : {0.88, 0.945, 1.055, 1.1, 1.14}) {
    Sighting s;
    s.balls = {seen({0, 0, 1200}, 406 * off)};
    const Recognition r = recognise(s, one);
    ASSERT_EQ(r.found.size(), 1u) << off;
    EXPECT_NEAR(r.found[0].misfit, std::abs(off - 1), 1e-9);
    EXPECT_EQ(r.candidates.size(), 1u);
  }
  Sighting s;
  s.balls = {seen({0, 0, 1200}, 406 * 1.055)};
  const std::vector<Artefact> two{ball("203", 406), ball("220", 440)};
  EXPECT_TRUE(recognise(s, two).ambiguous);  // +5.5 % of one, −2.7 % of the other
  s.balls = {seen({0, 0, 1200}, 440.2)};
  EXPECT_EQ(recognise(s, two).found.at(0).artefact->serial, "220");
  s.balls = {seen({0, 0, 1200}, 406 * 1.3)};
  EXPECT_THAT(recognise(s, one).found, IsEmpty());
}

TEST(Recognise, SeveralBallsOfOneSizeAreAmbiguous) {
  Sighting s;
  for (double x : {-50, 0, 70}) s.balls.push_back(seen({x, 0, 600}, 30.02));
  const std::vector<Artefact> one{ball("k", 30)};
  const Recognition r = recognise(s, one);
  EXPECT_TRUE(r.ambiguous);
  EXPECT_EQ(r.candidates.size(), 3u);
  // One right, the others only roughly: the right one.
  s.balls[0].sphere.radius = s.balls[1].sphere.radius = 16.5;
  EXPECT_THAT(recognise(s, one).found.at(0).balls, ElementsAre(2));
}

TEST(Recognise, ABarAndABallInOneScan) {
  Sighting s = seen_pair(250, 30, 30);
  s.balls.push_back(seen({0, 90, 600}, 50));
  const std::vector<Artefact> artefacts{ball("k", 50), bar("250", 250, 30, 30), ball("m", 30)};
  const Recognition r = recognise(s, artefacts);
  ASSERT_EQ(r.found.size(), 2u);
  EXPECT_EQ(r.found[0].artefact->serial, "250");
  EXPECT_EQ(r.found[1].artefact->serial, "k");
  EXPECT_FALSE(r.ambiguous);
}

TEST(Recognise, PlatesByTheirSides) {
  Sighting s;
  PlateSighting seen_plate;
  seen_plate.length_mm = 296;
  seen_plate.width_mm = 203;
  s.plates = {seen_plate};
  const std::vector<Artefact> artefacts{plate("p", 200, 300), plate("q", 250, 150)};
  const Recognition r = recognise(s, artefacts);
  ASSERT_EQ(r.found.size(), 1u);
  EXPECT_EQ(r.found[0].artefact->serial, "p");
  EXPECT_EQ(r.found[0].plate, 0);
  seen_plate.length_mm = 304;  // a second one as good: which?
  s.plates.push_back(seen_plate);
  EXPECT_TRUE(recognise(s, artefacts).ambiguous);
  s.plates[1].length_mm = 325;  // clearly worse
  EXPECT_EQ(recognise(s, artefacts).found.size(), 1u);
}

TEST(Recognise, PartOfAPlateByItsWholeSide) {
  const auto seen_plate = [](double length, double width) {
    PlateSighting p;
    p.length_mm = length;
    p.width_mm = width;
    return p;
  };
  const std::vector<Artefact> one{plate("p", 200, 140)};
  Sighting s;
  s.plates = {seen_plate(292, 53), seen_plate(201, 68)};  // a table beside it
  const auto part = recognise_part_of_plate(s, one);
  ASSERT_TRUE(part);
  EXPECT_EQ(part->plate, 1);
  s.plates = {seen_plate(138, 90)};  // torn across
  EXPECT_TRUE(recognise_part_of_plate(s, one));
  for (const auto& [length, width] : {std::pair{201.0, 25.0},     // less than a fifth
                                      std::pair{201.0, 130.0},    // whole
                                      std::pair{185.0, 68.0}}) {  // another side
    s.plates = {seen_plate(length, width)};
    EXPECT_FALSE(recognise_part_of_plate(s, one)) << length << " " << width;
  }
  s.plates = {seen_plate(201, 68), seen_plate(199, 70)};
  EXPECT_FALSE(recognise_part_of_plate(s, one)) << "two that fit";
}

TEST(Recognise, NothingInNothing) {
  EXPECT_THAT(recognise({}, {bar("b", 250, 30, 30), ball("k", 30), plate("p", 9, 9)}).found,
              IsEmpty());
  EXPECT_THAT(recognise(seen_pair(250, 30, 30), {}).found, IsEmpty());
}

}  // namespace
}  // namespace rigproof
