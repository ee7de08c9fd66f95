#include "simulate/simulate.h"

#include "base/atomic_file.h"
#include "base/error.h"
#include "base/input_file.h"
#include "simulate/papers.h"
#include "simulate/processing.h"
#include "simulate/scan_truth.h"

namespace rigproof {
namespace {

constexpr double kDuplicateTurn = 0.004;  // rad

std::string scan_name(std::size_t scan) {
  const std::string number = std::to_string(scan + 1);
  return "scans/scan-" + std::string(number.size() < 2 ? "0" : "") + number + ".ply";
}

// A measurement that is handed in a second time: turned and shifted a little.
MeasuredScan moved(MeasuredScan scan) {
  RigidTransform by;
  by.rotation = rotation_z(kDuplicateTurn);
  by.translation = {2.1, -1.3, 1.7};
  for (MeasuredPoint& p : scan.points) p.point = by * p.point;
  for (MeasuredDetail& d : scan.details)
    for (Vec3* v : {&d.clean, &d.high, &d.low, &d.truth}) *v = by * *v;
  return scan;
}

void make_folder(const std::filesystem::path& folder) {
  std::error_code ec;
  if (std::filesystem::exists(folder, ec) && !std::filesystem::is_empty(folder, ec))
    throw Error(ErrorKind::cannot_create,
                display(folder) + ": the folder is not empty",
                "Name another one with --out.");
  for (const char* sub : {"scans", "calibration", "artefacts"}) {
    std::filesystem::create_directories(folder / sub, ec);
    if (ec)
      throw Error(ErrorKind::cannot_create,
                  display(folder / sub) + ": " + ec.message(),
                  "Choose a place that can be written to.");
  }
}

}  // namespace

SimulatedSession simulate(const Scenario& scenario,
                          const std::filesystem::path& folder,
                          int threads,
                          const std::function<void(std::size_t, std::size_t)>& progress) {
  scenario.check();
  const SessionSetup setup = prepare(scenario);
  make_folder(folder);
  SimulatedSession out;
  out.step = setup.sensor.step;
  out.session = make_session(setup, folder);
  out.truth.faults = setup.plan.all;
  for (TrueFault& f : out.truth.faults)
    if (const int scan = setup.plan.scan(f.name); scan >= 0)
      f.scan = scan_name(static_cast<std::size_t>(scan));
  write_atomically(folder / "calibration" / "cameras.txt",
                   calibration_text(setup.sensor.belief.rig));

  MeasuredScan before;
  for (std::size_t i = 0; i < setup.placements.size(); ++i) {
    const int index = static_cast<int>(i);
    if (progress) progress(i, setup.placements.size());
    if (setup.plan.scan("missing") == index) continue;
    const Chance chance = setup.chance_of(i);
    const bool again = setup.plan.scan("duplicate") == index && i > 0;
    const std::size_t shown = again ? i - 1 : i;
    const MeasuredScan measured =
        again ? moved(std::move(before))
              : measure(setup.scene(i), setup.sensor_at(i), setup.condition(i), chance, threads);
    const std::string file = scan_name(i);
    const ScanTruth truth = scan_truth(setup, shown, measured, file);
    export_scan(
        measured, truth.shapes, scenario, setup.plan, index, chance.stream(99), folder / file);
    out.truth.scans.push_back(truth.scan);
    out.truth.values.insert(out.truth.values.end(), truth.values.begin(), truth.values.end());
    out.session.scans.push_back(folder / file);
    const Placement& p = setup.placements[i];
    ScanOverride words{file, p.artefact, clear_zone(setup, p.pose.translation), {}, "", ""};
    if (setup.plan.scan("wrong-artefact") < 0) words.artefact.clear();
    if (!words.artefact.empty() || !words.place.empty()) out.session.overrides.push_back(words);
    before = measured;
  }
  save_session(out.session);
  write_atomically(folder / "truth.json", to_json(out.truth));
  if (progress) progress(setup.placements.size(), setup.placements.size());
  return out;
}

}  // namespace rigproof
