#include <algorithm>
#include <fstream>

#include "sessions/planting.h"
#include "sessions/spoil.h"

namespace rigproof::planted {

using enum Severity;

namespace {

using Papers = std::function<void(Session&, const Truth&)>;

Papers on_bars(const std::function<void(Artefact&)>& change) {
  return [change](Session& s, const Truth&) {
    for (Artefact& a : s.artefacts)
      if (a.kind == ArtefactKind::bar) change(a);
  };
}

// What an earlier evaluation in the same folder left behind.
void earlier(const Session& s, const std::string& rule, const std::string& calibration) {
  std::filesystem::create_directories(s.folder / "out");
  std::ofstream(s.folder / "out/results.json")
      << R"({"schema": "rigproof-results-1", "session": {"rule": ")" << rule
      << R"(", "calibration_sha256": ")" << calibration << R"("}, "scans": [{}, {}, {}]})";
}

Date day(int y, unsigned m, unsigned d) {
  return Date(std::chrono::year(y), std::chrono::month(m), std::chrono::day(d));
}

// One ball of one bar stands 60 µm further out.
void stretch(Session& s, const Truth& t, std::size_t scan, double by) {
  const TrueFeature ball = t.scans.at(scan).features.at(1);
  const Vec3 along =
      (ball.expected_center - t.scans.at(scan).features.at(0).expected_center).normalized();
  change_points(s, scan, [=](const Vec3& p) -> std::optional<Vec3> {
    return on(ball, p, 3) ? Vec3(p + by * along) : p;
  });
}

}  // namespace

std::vector<Planting> paper_plantings() {
  return {
      {.finding = "rig-mismatch",
       .severity = stop,
       .how = "the scans' headers name another serial",
       .session =
           [](Session& s, const Truth&) {
             s.rig.serial = "R12-0044";
             add_comment(s, "serial: R12-0045");
           },
       .beside = {"position-missing"}},
      {.finding = "calibration-changed",
       .severity = stop,
       .how = "an earlier evaluation of the session hashed another calibration",
       .session = [](Session& s, const Truth&) { earlier(s, "proven", std::string(64, 'a')); }},
      {.finding = "calibration-by-words",
       .severity = note,
       .how = "the calibration is named in words",
       .session = [](Session& s, const Truth&) { s.calibration = "as of last Monday"; }},
      {.finding = "lens-lock-unknown",
       .severity = note,
       .how = "the rig does not say that its lenses are locked",
       .session = [](Session& s, const Truth&) { s.rig.lens_locked = false; }},
      {.finding = "artefact-weak",
       .how = "certificates of the bars with U = 20 µm",
       .session = on_bars([](Artefact& a) { a.distances[0].length.U_mm = 0.02; }),
       .beside = {"*"}},
      {.finding = "coated",
       .severity = note,
       .how = "a coating of 5 µm is declared",
       .session = on_bars([](Artefact& a) { a.coating_mm = 0.005; })},
      {.finding = "size-unsuited",
       .how = "a plate of 62 × 20 mm is registered",
       .session =
           [](Session& s, const Truth&) {
             Artefact strip = *std::ranges::find(s.artefacts, ArtefactKind::plate, &Artefact::kind);
             strip.serial = "plate-62-09";
             strip.name.clear();
             strip.length_mm = 62;
             strip.width_mm = 20;
             s.artefacts.push_back(strip);
           }},
      {.finding = "balls-alike",
       .severity = note,
       .how = "bars with balls of one size",
       .scenario =
           [](Scenario& s) {
             for (Artefact& a : s.artefacts)
               if (a.kind == ArtefactKind::bar)
                 a.balls[1].diameter.mm = a.balls[0].diameter.mm + 0.0004;
           }},
      {.finding = "wrong-support",
       .how = "a bar stands otherwise than its certificate says",
       .session =
           [](Session& s, const Truth&) {
             for (Artefact& a : s.artefacts) {
               a.support = "two points";
               if (a.kind == ArtefactKind::bar) s.environment.support[a.serial] = "a flat table";
             }
           }},
      {.finding = "temperature-corrected",
       .severity = note,
       .how = "a room of 24 °C",
       .scenario = [](Scenario& s) { s.artefact_C = 24; }},
      {.finding = "temperature-missing",
       .how = "no temperature was given",
       .session =
           [](Session& s, const Truth&) {
             s.environment.artefact_C.reset();
             s.environment.artefact_C_end.reset();
             s.environment.u_artefact_C.reset();
             s.environment.measured_on.clear();
           },
       .beside = {"*"}},
      {.finding = "temperature-room",
       .severity = note,
       .how = "the thermometer hung in the room",
       .session =
           [](Session& s, const Truth&) {
             s.environment.measured_on = "room";
             s.environment.u_artefact_C.reset();
           },
       .beside = {"*"}},
      {.finding = "temperature-jump",
       .how = "a log that climbs by 2 K within an hour",
       .session =
           [](Session& s, const Truth&) {
             s.environment.log = "env.csv";
             std::ofstream(s.folder / "env.csv")
                 << "time,artefact_C\n2026-03-14 09:00,20.3\n2026-03-14 09:30,20.4\n"
                    "2026-03-14 10:00,21.4\n2026-03-14 10:30,22.4\n";
           }},
      {.finding = "limit-missing",
       .severity = note,
       .how = "no limit of flatness",
       .session = [](Session& s, const Truth&) { s.limits.by_characteristic.erase("flatness"); }},
      {.finding = "limits-after-scans",
       .how = "limits dated a day after the test",
       .session = [](Session& s, const Truth&) { s.limits.date = day(2026, 3, 15); }},
      {.finding = "rule-after-scans",
       .how = "an earlier evaluation of the session used another rule",
       .session = [](Session& s, const Truth&) { earlier(s, "simple", ""); }},
      {.finding = "uncertainty-ignored",
       .how = "the rule \"simple\" and a thermometer that is sure to 5 K only",
       .session =
           [](Session& s, const Truth&) {
             s.limits.rule = DecisionRule::simple;
             s.environment.u_artefact_C = 5;
           }},
      {.finding = "clock-odd",
       .how = "a certificate dated after the test",
       .session = on_bars([](Artefact& a) { a.date = day(2026, 4, 1); })},
      {.finding = "one-scan-drives",
       .how = "one distance of one scan is 80 µm too long",
       .session = [](Session& s, const Truth& t) { stretch(s, t, 1, 0.08); }},
      {.finding = "withdrawn",
       .severity = note,
       .how = "one scan is withdrawn",
       .session =
           [](Session& s, const Truth&) {
             std::erase_if(s.overrides,
                           [](const auto& o) { return o.file == "scans/scan-02.ply"; });
             s.overrides.push_back({"scans/scan-02.ply", "", "", {}, "the table was knocked", ""});
           },
       .beside = {"position-missing"}},
      {.finding = "retest",
       .severity = note,
       .how = "a truncated scan, taken again at its place",
       .session =
           [](Session& s, const Truth&) {
             const auto again = s.folder / "scans/scan-09.ply";
             std::filesystem::copy_file(s.scans.at(1), again);
             std::filesystem::resize_file(s.scans.at(1),
                                          std::filesystem::file_size(s.scans.at(1)) / 2);
             for (const char* file : {"scans/scan-02.ply", "scans/scan-09.ply"}) {
               std::erase_if(s.overrides, [&](const auto& o) { return o.file == file; });
               s.overrides.push_back({file, "", "P02", {}, "", ""});
             }
           },
       .beside = {"truncated"}},
  };
}

std::vector<Planting> elsewhere_plantings() {
  std::vector<Planting> out;
  const auto add = [&](const char* id, Severity severity, By by, const char* how) {
    Planting p;
    p.finding = id;
    p.severity = severity;
    p.by = by;
    p.how = how;
    out.push_back(p);
  };
  add("fit-failed", stop, By::gate, "a zone that is no sphere");
  add("artefact-uncertified", warn, By::gate, "an artefact named on the command line");
  add("still-growing", note, By::watch, "a file that is still written");
  add("same-person", note, By::audit, "the operator seals");
  add("scan-edited", stop, By::audit, "a scan of a sealed session is changed");
  add("certificate-edited", stop, By::audit, "the certificate of a sealed session is changed");
  add("unknown-signer", warn, By::audit, "a seal made with a key that is not trusted");
  add("raw-missing", warn, By::audit, "a raw file of a sealed session is gone");
  add("other-version", note, By::audit, "a session that another version has evaluated");
  return out;
}

}  // namespace rigproof::planted
