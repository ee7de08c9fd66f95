#include <cmath>
#include <random>

#include "base/number.h"
#include "inputs/issuer.h"
#include "inputs/scratch_folder.h"
#include "inputs/session.h"
#include "inputs/toml_reader.h"
#include "inputs/toml_writer.h"

namespace rigproof {
namespace {

namespace fs = std::filesystem;

// Writing and reading again is checked on the struct (fields that matter) and on the text: a second
// writing gives the same bytes.
template <class T, class Load>
T reread(const ScratchFolder& folder, const T& value, Load load) {
  const std::string text = to_toml(value);
  const T back = load(folder.write("back.toml", text));
  EXPECT_EQ(to_toml(back), text);
  return back;
}

TEST(RoundTrip, EveryFixtureComesBack) {
  const ScratchFolder folder;
  const auto each = [&](const char* kind, auto load) {
    for (const auto& entry : fs::directory_iterator(fixtures() / kind)) {
      const auto first = load(entry.path());
      const auto again = load(folder.write(entry.path().filename().string(), to_toml(first)));
      EXPECT_EQ(to_toml(again), to_toml(first)) << entry.path();
    }
  };
  each("rigs", load_rig);
  each("artefacts", load_artefact);
  each("limits", load_limits);
  each("procedures", load_procedure);
}

TEST(RoundTrip, NumbersComeBackToTheLastBit) {
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> exponent(-6, 3);
  for (int i = 0; i < 4000; ++i) {
    const double mm = std::pow(10, exponent(random));
    const auto t = TomlTable::parse(toml_small_length("U", mm), "x.toml");
    ASSERT_EQ(t.small_length("U", {0, 1e9, "µm", false}), mm) << exact(mm);
    const double per_K = mm * 1e-5;
    if (per_K > 199e-6) continue;
    const auto e = TomlTable::parse(toml_expansion("alpha", per_K), "x.toml");
    ASSERT_EQ(e.expansion("alpha", 0), per_K) << exact(per_K);
  }
}

TEST(RoundTrip, SmallLengthsAreWrittenInMicrometres) {
  EXPECT_EQ(toml_small_length("U", 0.0008), "U_um = 0.8");
  EXPECT_EQ(toml_small_length("", 0.0022), "um = 2.2");
  EXPECT_EQ(toml_small_length("drift", 0.0005, "_per_year"), "drift_um_per_year = 0.5");
  EXPECT_EQ(toml_expansion("alpha", 11.5e-6), "alpha_ppm_K = 11.5");
}

TEST(RoundTrip, TextsWithQuotesAndControlCharactersComeBack) {
  const std::string nasty = "a \"b\" \\ c ' # = [x] ü µ";
  const auto t = TomlTable::parse("k = " + toml_text(nasty), "x.toml");
  EXPECT_EQ(t.text("k"), nasty);
  EXPECT_EQ(toml_text("\n\x7f"), "\"\\u000A\\u007F\"");
}

Artefact full_bar() {
  Artefact a;
  a.kind = ArtefactKind::bar;
  a.serial = "\"odd\" 7";
  a.material = "";
  a.alpha_from_table = false;
  a.alpha_per_K = 1.0 / 3e5;
  a.u_alpha_per_K = 1.0 / 7e6;
  a.certificate = "K-1";
  a.laboratory = "L";
  a.date = parse_date("2024-02-29");
  a.due = parse_date("2025-02-28");
  a.reference_C = 20.1;
  a.k = 2.05;
  a.drift_mm_per_year = 1.0 / 3000;
  a.support = "ends";
  a.support_mm = 0.00123;
  a.bending = Bending{12.5, 33.3};
  a.surface = "dull";
  a.coating_mm = 0.0123456789;
  a.holder = Holder{{0, 0.6, 0.8}, 12.5};
  a.balls = {{"A", {30.001234567890123, 1.0 / 900}, 0.1 / 300}, {"B", {29.9, 0}, 0}};
  a.distances = {{"B", "A", {250.01230000000001, 0.0011}}};
  return a;
}

TEST(RoundTrip, AnArtefactWithEverything) {
  const ScratchFolder folder;
  const Artefact a = full_bar(), b = reread(folder, a, load_artefact);
  EXPECT_EQ(b.serial, a.serial);
  EXPECT_EQ(b.alpha_per_K, a.alpha_per_K);
  EXPECT_EQ(b.u_alpha_per_K, a.u_alpha_per_K);
  EXPECT_FALSE(b.alpha_from_table);
  EXPECT_EQ(b.date, a.date);
  EXPECT_EQ(b.due, a.due);
  EXPECT_EQ(b.k, a.k);
  EXPECT_EQ(b.drift_mm_per_year, a.drift_mm_per_year);
  EXPECT_EQ(b.coating_mm, a.coating_mm);
  EXPECT_EQ(b.support_mm, a.support_mm);
  ASSERT_TRUE(b.bending);
  EXPECT_EQ(b.bending->off_axis_mm, 12.5);
  EXPECT_EQ(b.bending->slope_urad, 33.3);
  EXPECT_EQ(b.holder->axis, a.holder->axis);
  EXPECT_EQ(b.holder->half_angle_deg, a.holder->half_angle_deg);
  ASSERT_EQ(b.balls.size(), 2u);
  EXPECT_EQ(b.balls[0].diameter.mm, a.balls[0].diameter.mm);
  EXPECT_EQ(b.balls[0].diameter.U_mm, a.balls[0].diameter.U_mm);
  EXPECT_EQ(b.balls[0].form_mm, a.balls[0].form_mm);
  EXPECT_EQ(b.distances[0].from, "B");
  EXPECT_EQ(b.distances[0].length.mm, a.distances[0].length.mm);
}

TEST(RoundTrip, AnUncertifiedBarNeedsNoUncertaintyAndNoBallSize) {
  const ScratchFolder folder;
  Artefact a;
  a.serial = "bar 250 mm";
  a.certified = false;
  a.balls = {{"A", {0, 0}, 0}, {"B", {0, 0}, 0}};
  a.distances = {{"A", "B", {250, 0}}};
  const Artefact b = reread(folder, a, load_artefact);
  EXPECT_FALSE(b.certified);
  EXPECT_EQ(b.balls[1].diameter.mm, 0);
  EXPECT_EQ(b.alpha_per_K, 11.5e-6) << "steel is assumed";
  EXPECT_TRUE(b.alpha_from_table);
}

TEST(RoundTrip, ARigWithAFrustumATransformToeInAndNoise) {
  const ScratchFolder folder;
  Rig rig;
  rig.id = "R99";
  rig.serial = "S-1";
  rig.units = "inch";
  rig.unit_mm = 25.4;
  rig.export_kind = "mesh";
  rig.filter = "median 3";
  rig.axes.clear();
  rig.axes_stated = true;
  rig.to_sensor.rotation << 0.36, 0.48, -0.8, -0.8, 0.6, 0, 0.48, 0.64, 0.6;
  rig.to_sensor.translation = {1.5, -2, 1.0 / 3};
  rig.lens_locked = rig.simulated = true;
  rig.fields = {{"a", {500.1, 700.3, 300, 200, 420, 280}}, {"b", Volume::box(1, 2, 3.3, 77.7)}};
  Stereo s;
  s.tape = true;
  s.baseline_mm = 301;
  s.focal_px = 25.0 / 3.45 * 1000;
  s.image_px = {2448, 2048};
  s.toe_in_deg = {14.1, 13.9};
  s.board_alpha_per_K = 8.5e-6;
  rig.stereo = s;
  rig.noise = NoiseReference{0.0031, 25, 2, {0.8, 0.6}, 0.25, "2026-03-14-R12-300"};
  const Rig b = reread(folder, rig, load_rig);
  EXPECT_EQ(b.unit_mm, 25.4);
  EXPECT_EQ(b.to_sensor.rotation, rig.to_sensor.rotation);
  EXPECT_EQ(b.to_sensor.translation, rig.to_sensor.translation);
  EXPECT_EQ(b.fields[0].volume.far_width, 420);
  EXPECT_EQ(b.fields[1].volume.near_mm, rig.fields[1].volume.near_mm);
  EXPECT_EQ(b.fields[1].volume.far_mm, rig.fields[1].volume.far_mm);
  EXPECT_EQ(b.stereo->focal_px, s.focal_px);
  EXPECT_EQ(b.stereo->toe_in_deg, s.toe_in_deg);
  EXPECT_EQ(b.stereo->aim_mm, 0);
  EXPECT_EQ(b.stereo->board_alpha_per_K, 8.5e-6);
  EXPECT_TRUE(b.stereo->tape && b.lens_locked && b.simulated);
  EXPECT_EQ(b.noise->sd_mm, 0.0031);
  EXPECT_EQ(b.noise->lags, rig.noise->lags);
  // Every pixel and "not stated" are two things.
  for (const double pitch : {2.0, 1.0, 0.0}) {
    rig.noise->pitch_px = pitch;
    EXPECT_EQ(reread(folder, rig, load_rig).noise->pitch_px, pitch);
  }
}

TEST(RoundTrip, ATransformOfSixDigitsBecomesARotationAndStaysOne) {
  const ScratchFolder folder;
  const auto file = folder.write("rig.toml",
                                 "id = \"R1\"\n"
                                 "transform = [[0.866025, -0.5, 0, 10], [0.5, 0.866025, 0, 0],\n"
                                 "             [0, 0, 1, 0], [0, 0, 0, 1]]\n");
  const Rig rig = load_rig(file);
  const Mat3 r = rig.to_sensor.rotation;
  EXPECT_LT((r.transpose() * r - Mat3::Identity()).cwiseAbs().maxCoeff(), 1e-14);
  EXPECT_NEAR(r(0, 0), std::sqrt(3) / 2, 1e-6);
  EXPECT_EQ(reread(folder, rig, load_rig).to_sensor.rotation, r);
}

TEST(RoundTrip, ATapeMeasureGivesTheFocalLengthInPixels) {
  const ScratchFolder folder;
  const Rig rig = load_rig(folder.write("rig.toml",
                                        "id = \"R1\"\n[tape]\nbaseline_mm = 300\n"
                                        "distance_mm = 600\nlens_mm = 12\npixel_um = 3.45\n"
                                        "image_px = [2448, 2048]\n"));
  ASSERT_TRUE(rig.stereo && rig.stereo->tape);
  EXPECT_DOUBLE_EQ(rig.stereo->focal_px, 12 / 0.00345);  // f / pixel pitch
  EXPECT_EQ(rig.stereo->aim_mm, 600);
  EXPECT_EQ(reread(folder, rig, load_rig).stereo->focal_px, rig.stereo->focal_px);
}

TEST(RoundTrip, LimitsAndProcedure) {
  const ScratchFolder folder;
  Limits limits;
  limits.name = "agreed";
  limits.set_by = "customer";
  limits.date = parse_date("2026-02-01");
  limits.rule = DecisionRule::guarded;
  limits.guard_mm = 0.004;
  limits.role = "supplier";
  limits.by_characteristic = {{"sphere_spacing", {0.01, 15000}}, {"flatness", {1.0 / 30, 0}}};
  const Limits b = reread(folder, limits, load_limits);
  EXPECT_EQ(b.rule, DecisionRule::guarded);
  EXPECT_EQ(b.guard_mm, 0.004);
  EXPECT_EQ(b.by_characteristic.at("sphere_spacing").K, 15000);
  EXPECT_EQ(b.by_characteristic.at("flatness").A_mm, 1.0 / 30);

  Procedure p = load_procedure(fixtures() / "procedures" / "half-hour.toml");
  p.center_radius = RadiusRule::fixed;
  p.dispersion_shell = ShellRule::free;
  p.zones.stray_gates = 2.5;
  p.overdue_stops = true;
  p.dispersion_share = 0.9;
  p.proven_probability = 0.975;
  p.retest_repeats = 5;
  p.patches = {1, 6};
  p.sizes = {0.03, 0.15, 0.25, 0.4, 60};
  const Procedure q = reread(folder, p, load_procedure);
  EXPECT_EQ(q.center_radius, RadiusRule::fixed);
  EXPECT_EQ(q.dispersion_shell, ShellRule::free);
  EXPECT_EQ(q.zones.stray_gates, 2.5);
  EXPECT_TRUE(q.overdue_stops && q.bar_balls_are_positions);
  EXPECT_EQ(q.positions.size(), 15u);
  EXPECT_EQ(q.positions.back().repeats, "P01");
  EXPECT_EQ(q.max_ufit_share, 1.0 / 3);
  EXPECT_EQ(q.dispersion_share, 0.9);
  EXPECT_EQ(q.proven_probability, 0.975);
  EXPECT_EQ(q.retest_repeats, 5);
  EXPECT_EQ(q.patches, p.patches);
  EXPECT_EQ(q.sizes.ball_most, 0.15);
  EXPECT_EQ(q.sizes.plate_width_mm, 60);
  EXPECT_EQ(q.marks, p.marks);
  EXPECT_EQ(q.marks.at("center_radius"), "M");
}

TEST(RoundTrip, AnIssuer) {
  const ScratchFolder home;
  const Variable variable("RIGPROOF_HOME", (home / "deep").string());
  EXPECT_FALSE(home_issuer());
  const Issuer issuer{"Works", {"Street 1", "Town"}, "Hall 2", {"en", "de"}, "Letter", "inch", "A"};
  save_home_issuer(issuer);
  const auto back = home_issuer();
  ASSERT_TRUE(back);
  EXPECT_EQ(to_toml(*back), to_toml(issuer));
  EXPECT_EQ(back->address, issuer.address);
  EXPECT_EQ(back->languages, issuer.languages);
}

}  // namespace
}  // namespace rigproof
