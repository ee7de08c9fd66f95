#include "plan/plan.h"

#include <set>

#include <gmock/gmock.h>

#include "diagnose/diagnose.h"
#include "inputs/nominal.h"
#include "judge/positions.h"
#include "plan/plan_session.h"
#include "plan/selection.h"

namespace rigproof {
namespace {

std::vector<PlacedArtefact> placed_by(const Plan& plan) {
  std::vector<PlacedArtefact> out;
  for (const PlannedScan& s : plan.scans)
    out.push_back({s.id, s.kind, s.artefact, s.center, s.direction, s.reaches, true});
  return out;
}

class PlanOfRig : public testing::TestWithParam<const char*> {};

// What the verdict will count: enough distinct positions, a closing repeat, no crowding.
TEST_P(PlanOfRig, MeetsTheProcedureAsTheVerdictCounts) {
  const Session session = session_before_scanning(GetParam());
  const Plan plan = make_plan(session, {.compare = false});
  EXPECT_TRUE(plan.meets_procedure()) << testing::PrintToString(plan.lacking);
  const auto placed = placed_by(plan);
  const Volume& volume = session.field()->volume;
  const Positions p = count_positions(placed, true, SamePlace::for_volume(&volume));
  EXPECT_GE(p.bars, 7);
  EXPECT_GE(p.plates, 6);
  EXPECT_GE(p.balls, 10);
  EXPECT_TRUE(p.closing);
  EXPECT_FALSE(clustered(placed, p, volume));
  EXPECT_EQ(plan.scans.size(), 15u);
  EXPECT_EQ(plan.minutes, 30);
  // Few moves: each artefact is fetched once, the closing repeat's once more.
  std::set<std::string> artefacts;
  for (const PlannedScan& s : plan.scans) artefacts.insert(s.artefact);
  EXPECT_LE(plan.artefact_changes, static_cast<int>(artefacts.size()));
}
INSTANTIATE_TEST_SUITE_P(Rigs, PlanOfRig, testing::Values("R06", "R12", "R21"));

TEST(Plan, SaysWhatTheArtefactsCannotDo) {
  Session session = session_before_scanning("R12");
  session.artefacts = {nominal_bar(1000, 50), nominal_plate(200, 150)};
  session.artefacts[0].serial = "long";
  const Plan plan = make_plan(session, {.compare = false});
  EXPECT_FALSE(plan.meets_procedure());
  ASSERT_FALSE(plan.lacking.empty());
  EXPECT_THAT(plan.lacking,
              testing::Contains(testing::AllOf(testing::HasSubstr("0 of 7 bar"),
                                               testing::HasSubstr("too long"))));
}

TEST(Plan, IsTheSameEveryTime) {
  const Session session = session_before_scanning("R12", "interim");
  const Plan a = make_plan(session, {.compare = false}), b = make_plan(session, {.compare = false});
  ASSERT_EQ(a.scans.size(), b.scans.size());
  for (std::size_t i = 0; i < a.scans.size(); ++i) {
    EXPECT_EQ(a.scans[i].center, b.scans[i].center);
    EXPECT_EQ(a.scans[i].artefact, b.scans[i].artefact);
  }
}

// The positions go through plan.toml and back to where they were.
TEST(Plan, IsFilledByScansAtItsOwnPlaces) {
  const Session session = session_before_scanning("R12");
  const Plan plan = make_plan(session, {.compare = false});
  const Volume& volume = session.field()->volume;
  const auto positions = planned_positions(plan, volume);
  const auto placed = placed_by(plan);
  const std::vector<int> filled = match_positions(positions, placed, volume);
  for (std::size_t i = 0; i < filled.size(); ++i)
    if (!positions[i].closing) {
      ASSERT_GE(filled[i], 0) << positions[i].id;
      const PlacedArtefact& by = placed[static_cast<std::size_t>(filled[i])];
      EXPECT_LT((by.center - plan.scans[i].center).norm(), 1e-6) << positions[i].id;
    }
}

// What a search adds scan by scan against the whole at once.
TEST(Information, IsTheSameInParts) {
  const Session session = session_before_scanning("R12");
  const PlacingRules rules = placing_rules(session.rig, *session.field(), session.procedure);
  std::vector<ArtefactShape> shapes;
  for (const Artefact& a : session.artefacts) shapes.push_back(shape_of(a));
  std::vector<Spot> spots;
  for (const PlannedPosition& p : textbook_positions(3, 2, 1, false))
    spots.push_back(stand(p, shapes, rules).value());
  const Information information(
      spots, rules, expected_noise(session.rig, *session.field()), session);
  const std::vector<std::size_t> all{0, 1, 2, 3, 4, 5};
  const Eigen::MatrixXd whole = information.of(all);
  for (std::size_t split = 0; split <= all.size(); ++split) {
    const auto middle = all.begin() + static_cast<std::ptrdiff_t>(split);
    const Information::Part part(information, {all.begin(), middle});
    const Eigen::MatrixXd sum = part.with({middle, all.end()});
    EXPECT_LT((sum - whole).norm(), 1e-9 * whole.norm()) << split;
  }
}

// Schur complement with nuisances as free parameters against the covariance that diagnose builds:
// two ways to one number.
TEST(Information, AgreesWithTheDiagnosis) {
  const Session session = session_before_scanning("R12");
  const PlacingRules rules = placing_rules(session.rig, *session.field(), session.procedure);
  const ExpectedNoise noise = expected_noise(session.rig, *session.field());
  std::vector<ArtefactShape> shapes;
  for (const Artefact& a : session.artefacts) shapes.push_back(shape_of(a));
  std::vector<Spot> spots;
  std::vector<std::size_t> all;
  for (const PlannedPosition& p : textbook_positions(4, 3, 1, false)) {
    const auto spot = stand(p, shapes, rules);
    ASSERT_TRUE(spot) << p.id;
    all.push_back(spots.size());
    spots.push_back(*spot);
  }
  const Information information(spots, rules, noise, session);
  const std::vector<double> own = precision_of(information.of(all));
  DiagnosisInput in;
  in.rig = &session.rig;
  in.field = session.field();
  in.observations = expected_observations(spots, rules, noise, session);
  const DiagnosisModel model(in);
  int compared = 0;
  for (std::size_t f = 0; f < information.faults(); ++f)
    for (std::size_t i = 0; i < model.signatures.size(); ++i) {
      const Signature& s = model.signatures[i];
      if (s.id != information.fault(f).id || s.zone != information.fault(f).zone) continue;
      if (!(model.geometry.u[i] > 0)) continue;
      const double theirs = model.geometry.u[i] * worst_length_change(s, model.volume);
      // The scatter that the diagnosis estimates from the plates is known to a few per cent.
      EXPECT_NEAR(own[f], theirs, 0.1 * theirs) << s.id << ' ' << s.zone;
      ++compared;
    }
  EXPECT_GT(compared, 20);
}

}  // namespace
}  // namespace rigproof
