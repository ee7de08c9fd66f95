#include "report/sample_results.h"

#include <cmath>
#include <cstdint>
#include <numbers>

#include <Eigen/Geometry>
#include <fmt/format.h>

#include "evaluate/characteristic.h"
#include "evaluate/values.h"

namespace rigproof {
namespace {

using std::numbers::pi;

// Numbers that depend on nothing but the seed.
struct Dice {
  std::uint64_t state;
  double uniform() {
    state = state * 6364136223846793005ull + 1442695040888963407ull;
    return static_cast<double>(state >> 11) / 9007199254740992.0;
  }
  double normal() { return std::sqrt(-2 * std::log(1 - uniform())) * std::cos(2 * pi * uniform()); }
};

struct Maker {
  Results r;
  Dice dice{2026};
  double scale = 1;  // of all errors

  std::string hash() {
    std::string text;
    for (int i = 0; i < 8; ++i)
      text += fmt::format("{:08x}", static_cast<std::uint32_t>(dice.uniform() * 4294967295.0));
    return text;
  }

  ScanRecord& scan(const std::string& artefact, const std::string& place, const Vec3& center) {
    ScanRecord s;
    s.file = fmt::format("scans/scan{:03}.ply", r.scans.size() + 1);
    s.sha256 = hash();
    s.points = 1'180'000 + static_cast<std::uint64_t>(60'000 * dice.uniform());
    s.dropped = static_cast<std::uint64_t>(300 * dice.uniform());
    s.bytes = s.points * 12 + 220;
    s.format = "ply binary";
    s.artefact = artefact;
    s.place = place;
    s.zone = zone_id(r.session.rig.fields[0].volume, center);
    r.scans.push_back(s);
    r.inputs.push_back({s.file, s.sha256, s.bytes});
    return r.scans.back();
  }

  TestValue value(const ScanRecord& s, const std::string& id, const Vec3& at, double e) {
    TestValue v;
    v.id = id;
    v.scan = s.file;
    v.place = s.place;
    v.zone = s.zone;
    v.artefact = s.artefact;
    v.center = at;
    v.value = e;
    v.signed_value = find_characteristic(id)->signed_value;
    v.points = 40'000 + static_cast<std::size_t>(9'000 * dice.uniform());
    v.left_out = v.points * 3 / 1000;
    v.value_all_points = e * (v.signed_value ? 1.01 : 1.35);
    v.spacing_um = 90;
    v.u_fit = 0.0006 + 0.0003 * dice.uniform();
    return v;
  }

  void add(TestValue v) {
    combine_budget(v);
    for (CharacteristicResult& c : r.characteristics) {
      if (c.id != v.id) continue;
      JudgedValue judged{v, {}};
      const auto limit = r.session.limits.by_characteristic.find(v.id);
      if (limit != r.session.limits.by_characteristic.end())
        judged.decision =
            decide(v, limit->second.at(v.nominal_length), r.session.limits, r.session.procedure);
      c.values.push_back(judged);
    }
  }

  FeatureRecord ball(const std::string& artefact, const std::string& id, const Vec3& c, double D) {
    FeatureRecord f;
    f.artefact = artefact;
    f.ball = id;
    f.center = c;
    f.radius = D / 2 + 0.0006;
    f.points = 44'000;
    f.left_out = 132;
    f.strays = 7;
    f.rms = 0.0031 * scale;
    f.form = 6.1 * f.rms;
    f.form_mz = 0.97 * f.form;
    f.cap_half_angle_deg = 60;
    const Vec3 view = -c.normalized();
    const Vec3 side = view.cross(Vec3::UnitY()).normalized(), up = side.cross(view);
    for (int i = 0; i < 1500; ++i) {
      const double t = std::sqrt(dice.uniform()) * std::sin(pi / 3), phi = 2 * pi * dice.uniform();
      const double z = std::sqrt(1 - t * t);
      const Vec3 n = z * view + t * (std::cos(phi) * side + std::sin(phi) * up);
      const double d = scale * (0.0031 * dice.normal() / (0.4 + 0.6 * z) +
                                0.003 * std::cos(2 * phi) * t * t + 0.001);
      const Vec3 p = c + (f.radius + d) * n;
      f.picture.push_back({static_cast<float>(p.x()),
                           static_cast<float>(p.y()),
                           static_cast<float>(p.z()),
                           static_cast<float>(d)});
    }
    return f;
  }

  void ball_values_of(const ScanRecord& s, const FeatureRecord& f) {
    TestValue pf = value(s, "probing_form", f.center, f.form * (0.85 + 0.5 * dice.uniform()));
    pf.ball = f.ball;
    pf.budget = {{"artefact calibration", 0.0002, {}, "cal form", 1, LineShape::normal},
                 {"zone choice", 0.0005, 8.0, "", 1, LineShape::normal}};
    add(pf);
    TestValue ps = value(s, "probing_size", f.center, scale * 0.002 * dice.normal() + 0.0012);
    ps.ball = f.ball;
    ps.reference = 30.0012;
    ps.measured = ps.reference + ps.value;
    ps.budget = {{"artefact calibration", 0.0004, {}, "cal ball", 1, LineShape::normal},
                 {"temperature", 0.0001, {}, "T", 1, LineShape::normal},
                 {"zone choice", 0.0003, 8.0, "", 1, LineShape::normal}};
    add(ps);
    TestValue fd = value(s, "form_dispersion", f.center, 0.62 * pf.value);
    fd.ball = f.ball;
    fd.budget = pf.budget;
    add(fd);
  }

  void ball_scan(const std::string& place, const Vec3& c) {
    scan("ball-30-11", place, c);
    r.scans.back().features = {ball("ball-30-11", "A", c, 30)};
    ball_values_of(r.scans.back(), r.scans.back().features[0]);
  }

  void bar_scan(const std::string& bar,
                double L,
                const std::string& place,
                const Vec3& c,
                const Vec3& towards) {
    const Vec3 d = towards.normalized();
    scan(bar, place, c);
    r.scans.back().features = {ball(bar, "A", c - d * L / 2, 30),
                               ball(bar, "B", c + d * L / 2, 30)};
    const ScanRecord& s = r.scans.back();
    const double e = scale * (L * (28e-6 + 45e-6 * d.z() * d.z()) + 0.0011 * dice.normal());
    TestValue v = value(s, "sphere_spacing", c, e);
    v.pair = {"A", "B"};
    v.direction = d;
    v.nominal_length = L;
    v.reference = L + 0.0123;
    v.measured = v.reference + e;
    v.alternatives["fixed_radius"] = e - 0.0004;
    v.budget = {
        {"artefact calibration", 0.00055, {}, "cal " + bar, 1, LineShape::normal},
        {"temperature", L * 11.5e-6 * 0.2, {}, "T", 1, LineShape::normal},
        {"expansion coefficient", L * 1.3 * 0.577e-6, {}, "alpha", 1, LineShape::rectangular},
        {"drift since calibration", 0.0002, {}, "drift", 1, LineShape::rectangular},
        {"zone choice", 0.0003, 8.0, "", 1, LineShape::normal}};
    add(v);
  }

  void plate_scan(const std::string& place, const Vec3& c, const Vec3& normal) {
    const Vec3 n = normal.normalized();
    const Vec3 u = (Vec3::UnitX() - n * n.x()).normalized(), w = n.cross(u);
    FeatureRecord f;
    f.sphere = false;
    f.artefact = "plate-200-03";
    f.center = c;
    f.normal = n;
    f.length_mm = 194;
    f.width_mm = 144;
    f.points = 310'000;
    f.left_out = 930;
    f.rms = 0.0036 * scale;
    for (int i = 0; i < 2000; ++i) {
      const double a = dice.uniform() * 2 - 1, b = dice.uniform() * 2 - 1;
      const double d = scale * (0.006 * (a * a - 0.33) + 0.003 * a * b + 0.002 * dice.normal());
      const Vec3 p = c + a * 97 * u + b * 72 * w + d * n;
      f.picture.push_back({static_cast<float>(p.x()),
                           static_cast<float>(p.y()),
                           static_cast<float>(p.z()),
                           static_cast<float>(d)});
    }
    f.form = scale * 0.0175;
    f.form_mz = 0.97 * f.form;
    scan("plate-200-03", place, c);
    r.scans.back().features = {f};
    TestValue v = value(r.scans.back(), "flatness", c, f.form * (0.9 + 0.3 * dice.uniform()));
    v.direction = n;
    v.points = f.points;
    v.left_out = f.left_out;
    v.budget = {{"artefact calibration", 0.0008, {}, "cal plate", 1, LineShape::normal},
                {"support and bending", 0.0006, {}, "", 1, LineShape::rectangular},
                {"zone choice", 0.0004, 8.0, "", 1, LineShape::normal}};
    add(v);
  }
};

void describe(Session& s) {
  s.id = "2026-03-14-R12-300-acceptance";
  s.field_name = "300";
  s.calibration = "calibration/";
  s.operator_name = "O. Tester";
  s.customer = "Example Works";
  s.date = Date{std::chrono::year{2026}, std::chrono::month{3}, std::chrono::day{14}};
  s.environment.artefact_C = 21.3;
  s.environment.artefact_C_end = 21.5;
  s.environment.u_artefact_C = 0.2;
  s.environment.measured_on = "artefact";
  s.environment.soaked_h = 2;
  s.rig.id = "R12";
  s.rig.serial = "RP-0012";
  s.rig.lens_locked = true;
  s.rig.fields = {{"300", Volume::box(300, 200, 150, 600)}};
  Stereo stereo;
  stereo.baseline_mm = 300;
  stereo.focal_px = 3500;
  stereo.image_px = {2448, 2048};
  stereo.aim_mm = 600;
  s.rig.stereo = stereo;
  s.limits.name = "R12-agreed";
  s.limits.set_by = "Example Works and the test house";
  s.limits.date = Date{std::chrono::year{2026}, std::chrono::month{2}, std::chrono::day{1}};
  s.limits.role = "supplier";
  s.limits.by_characteristic = {{"probing_form", {0.030, 0}},
                                {"probing_size", {0.020, 0}},
                                {"sphere_spacing", {0.030, 0}},
                                {"flatness", {0.040, 0}}};
  s.limits_given = true;
  s.procedure.name = "single-view";
  s.procedure.title = "Single view, three artefacts";
  s.procedure.style = "VDI/VDE 2634 Part 2";
  s.procedure.demand = {8, 7, 6, true};
  s.procedure.characteristics = {
      {"probing_form", {0.003, "M"}}, {"sphere_spacing", {0.003, "M"}}, {"flatness", {0.003, "M"}}};
  s.procedure.deviations = {"Eight ball positions instead of ten.",
                            "The bar's balls serve as sphere positions too."};
  s.procedure.retest =
      "An exceedance may be remeasured once with three repeats that must all meet.";
}

void add_artefacts(Session& s) {
  const auto date = [](int y, unsigned m, unsigned d) {
    return Date{std::chrono::year{y}, std::chrono::month{m}, std::chrono::day{d}};
  };
  Artefact ball;
  ball.kind = ArtefactKind::ball;
  ball.serial = "ball-30-11";
  ball.material = "steel";
  ball.certificate = "K-1180";
  ball.laboratory = "Example Calibration Laboratory";
  ball.date = date(2026, 1, 20);
  ball.due = date(2027, 1, 20);
  ball.balls = {{"A", {30.0012, 0.0008}, 0.0004}};
  Artefact bar = ball;
  bar.kind = ArtefactKind::bar;
  bar.serial = "bar-250-07";
  bar.certificate = "K-1182";
  bar.balls = {{"A", {30.0012, 0.0008}, 0.0004}, {"B", {30.0007, 0.0008}, 0.0004}};
  bar.distances = {{"A", "B", {250.0123, 0.0011}}};
  Artefact shorter = bar;
  shorter.serial = "bar-110-02";
  shorter.certificate = "K-1183";
  shorter.distances = {{"A", "B", {110.0123, 0.0011}}};
  Artefact plate = ball;
  plate.kind = ArtefactKind::plate;
  plate.serial = "plate-200-03";
  plate.material = "aluminium";
  plate.alpha_per_K = 23e-6;
  plate.certificate = "K-1191";
  plate.balls.clear();
  plate.length_mm = 200;
  plate.width_mm = 150;
  plate.flatness = {0.002, 0.0016};
  s.artefacts = {ball, bar, shorter, plate};
}

void add_diagnosis(Results& r, bool clean) {
  r.diagnosis.ran = true;
  r.diagnosis.clean = clean;
  r.diagnosis.detection_limits = {{"baseline", "ppm", 41, 0.010},
                                  {"toe-in-right", "µrad", 22, 0.009},
                                  {"pitch-right", "µrad", 260, 0.006},
                                  {"radial-both", "px", 0.06, 0.011}};
  if (clean) return;
  r.diagnosis.causes = {{"toe-in-right", "µrad", 63.2, 5.1, 143.8, 0.91},
                        {"principal-x-right", "px", -0.171, 0.014, 141.2, 0.89}};
  r.diagnosis.indistinguishable = {{"toe-in-right", "principal-x-right"}};
  r.diagnosis.advice = {
      "Show the board again far and at the left: the error grows with depth there.",
      "Keep the board upright and tilted by 30 degrees in at least four views of the far third."};
}

void add_zones(Results& r) {
  for (const std::string& id : all_zone_ids()) {
    ZoneRecord z;
    z.zone = id;
    for (const ScanRecord& s : r.scans)
      if (s.zone == id && s.status == ScanStatus::used) ++z.observations;
    for (const auto& c : r.characteristics)
      for (const auto& v : c.values)
        if (v.value.zone == id && v.decision)
          z.worst_ratio = std::max(z.worst_ratio.value_or(0), v.decision->ratio);
    r.zones.push_back(z);
  }
}

// "probing, flatness": the groups whose characteristics came to this verdict.
std::string groups(const Results& r, Verdict verdict) {
  std::string out;
  for (const CharacteristicResult& c : r.characteristics) {
    const std::string group(find_characteristic(c.id)->group);
    if (c.verdict == verdict && out.find(group) == std::string::npos)
      out += (out.empty() ? "" : ", ") + group;
  }
  return out;
}

void conclude(Results& r, SampleCase which) {
  for (CharacteristicResult& c : r.characteristics) {
    c.symbol = find_characteristic(c.id)->symbol;
    c.judged = r.session.limits.by_characteristic.contains(c.id);
    c.verdict = Verdict::within;
    double worst = -1;
    for (std::size_t i = 0; i < c.values.size(); ++i) {
      const auto& v = c.values[i];
      const double size = v.decision ? v.decision->ratio : std::abs(v.value.value);
      if (size > worst) worst = size, c.worst = static_cast<int>(i);
      if (!v.decision) continue;
      if (v.decision->verdict == Verdict::outside) c.verdict = Verdict::outside;
      if (v.decision->verdict == Verdict::undecided && c.verdict == Verdict::within)
        c.verdict = Verdict::undecided;
    }
    if (!c.judged) c.verdict = Verdict::invalid;
  }
  r.p_all_within = which == SampleCase::within ? 0.998 : 0.021;
  switch (which) {
    case SampleCase::within:
      r.verdict = Verdict::within;
      r.headline = "WITHIN LIMITS: spacing, probing, flatness";
      r.next_step = "Seal the session (rigproof seal) and hand it over.";
      break;
    case SampleCase::outside:
      r.verdict = Verdict::outside;
      r.headline = "OUTSIDE LIMITS: " + groups(r, Verdict::outside);
      r.next_step =
          "Read the advice, recalibrate, and test again as a session of kind as-left; keep this "
          "one as as-found.";
      break;
    case SampleCase::undecided:
      r.verdict = Verdict::undecided;
      r.headline = "TOO CLOSE TO CALL: " + groups(r, Verdict::undecided);
      r.next_step =
          "Make the test better, never the limit wider: soak longer, put a thermometer on the "
          "artefact, or use one with a better certificate.";
      break;
    case SampleCase::invalid:
      r.verdict = Verdict::invalid;
      r.headline = "NOT A VALID TEST: 2 positions missing";
      r.next_step =
          "Scan 2 bar positions (P07, far-top-right; P08, far-bottom-left): about 4 minutes.";
      break;
  }
}

}  // namespace

Results sample_results(SampleCase which, int extra_balls) {
  Maker m;
  m.scale = which == SampleCase::outside ? 2.4 : which == SampleCase::undecided ? 1.21 : 1;
  describe(m.r.session);
  add_artefacts(m.r.session);
  for (const char* id :
       {"sphere_spacing", "probing_form", "probing_size", "form_dispersion", "flatness"}) {
    m.r.characteristics.emplace_back();
    m.r.characteristics.back().id = id;
  }
  const auto corner = [](int i) {
    return Vec3(i & 1 ? 105 : -105, i & 2 ? 62 : -62, i & 4 ? 650 : 550);
  };
  for (int i = 0; i < 8 + extra_balls; ++i)
    m.ball_scan(fmt::format("P{:02}", i + 1), corner(i % 8) + Vec3(i / 8, 0, 0));
  const char* bars = "bar-250-07";
  m.bar_scan(bars, 250, "P11", {0, 60, 560}, {1, 0, 0});
  m.bar_scan(bars, 250, "P12", {0, -60, 560}, {1, 0, 0});
  m.bar_scan(bars, 250, "P13", {0, 40, 630}, {1, 0, 0.1});
  m.bar_scan(bars, 250, "P14", {0, 0, 600}, {1, 0.5, 0.3});
  m.bar_scan(bars, 250, "P15", {0, 0, 600}, {1, -0.5, 0.3});
  m.bar_scan("bar-110-02", 110, "P16", {-90, 0, 600}, {0, 0, 1});
  m.bar_scan("bar-110-02", 110, "P17", {90, 0, 600}, {0, 0.3, 1});
  m.bar_scan("bar-110-02", 110, "P16", {-90, 0.1, 600}, {0, 0, 1});
  for (int i = 0; i < 6; ++i)
    m.plate_scan(fmt::format("P{}", 18 + i),
                 {i % 2 ? 30.0 : -30.0, 10.0 * (i % 3 - 1), 545 + 22.0 * i},
                 {0.3 * (i % 3 - 1), 0.4 * (i % 2), -1});
  m.scan("bar-250-07", "P13", {0, 60, 640});
  m.r.scans.back().status = ScanStatus::withdrawn;
  m.r.scans.back().reason = "The stand was touched during the scan.";
  m.r.findings = {
      {"withdrawn",
       Severity::note,
       Scope::scan,
       m.r.scans.back().file,
       "scans/scan023.ply was withdrawn: The stand was touched during the scan. · Withdrawn scans "
       "stay listed, so that nobody can choose the best ones in silence. · Nothing to do."},
      {"temperature-corrected",
       Severity::note,
       Scope::session,
       "",
       "Lengths were corrected for 21.4 °C by up to 4.0 µm. · The correction adds 0.6 µm of "
       "uncertainty. · Nothing to do."}};
  m.r.calibration_sha256 = m.hash();
  m.r.temperature = {21.4, 0.21, "artefact"};
  m.r.selftest = "passed";
  add_diagnosis(m.r, which == SampleCase::within);
  add_zones(m.r);
  conclude(m.r, which);
  return m.r;
}

}  // namespace rigproof
