// assess: the road from a session to its results, on one screen.
// Enters: Session, AssessOptions. Leaves: Results, which every report, record and command reads.
#pragma once

#include <map>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "diagnose/diagnosis.h"
#include "evaluate/feature.h"
#include "evaluate/test_value.h"
#include "evaluate/values.h"
#include "inputs/session.h"
#include "judge/decision.h"
#include "judge/finding.h"

namespace rigproof {

struct JudgedValue {
  TestValue value;
  std::optional<Decision> decision;  ///< nullopt: not judged
};

struct CharacteristicResult {
  std::string id, symbol, unit = "mm";
  bool judged = false;
  Verdict verdict = Verdict::invalid;
  int worst = -1;  ///< index into values; largest |value|/limit, or |value| when not judged
  std::vector<JudgedValue> values;
};

enum class ScanStatus { used, rejected, withdrawn, superseded };
std::string to_string(ScanStatus status);

/// One plain fit of a zone: sphere (centre, radius) or plane (point, normal). mm
struct FitRecord {
  Vec3 center = Vec3::Zero(), normal = Vec3::Zero();
  double radius = 0;
  double rms = 0, min = 0, max = 0;  ///< of its residuals
  std::size_t points = 0;
  int iterations = 0;
};

/// One evaluated ball or plate as results.json lists it.
struct FeatureRecord {
  bool sphere = true;
  std::string artefact, ball;
  Vec3 center = Vec3::Zero();
  double radius = 0;
  Vec3 normal = Vec3::UnitZ();
  double form = 0;                ///< form or flatness, mm
  std::optional<double> form_mz;  ///< minimum zone
  std::size_t points = 0, left_out = 0, strays = 0;
  double rms = 0;
  double cap_half_angle_deg = 0;
  double length_mm = 0, width_mm = 0;  ///< plate extent
  Eigen::MatrixXd cov;                 ///< repeatability, see ufit.h: 4×4 sphere (mm²), 3×3 plane
  double noise_area = 1;               ///< correlation area in it
  /// How the zone came about. Axis of a ball's cap and where it was taken from.
  Vec3 axis = Vec3::Zero();
  std::string axis_from;
  double seen_half_angle_deg = 0;
  double holder_deg = 0;  ///< half-angle of the cone left out about holder_axis; 0: none
  Vec3 holder_axis = Vec3::Zero();
  bool holder_found = false;  ///< in the scan; else declared with the artefact
  double area_mm2 = 0;        ///< plate
  /// Of a plate's rectangle; axes zero in documents of before they were stored.
  Vec3 middle = Vec3::Zero(), axis_u = Vec3::Zero(), axis_v = Vec3::Zero();
  int rounds = 0;
  bool settled = false;
  FitRecord fit, fit_all;              ///< with the allowance left out; of all points
  std::optional<FitRecord> fit_fixed;  ///< calibrated radius held, as `fit`
  /// What values that no fit above gives are computed again from, where the procedure has such.
  std::vector<Enclosure> enclosures;
  std::vector<PatchMean> patches;
  std::optional<FitRecord> fit_patches;  ///< through them
  /// A thinned copy for pictures (≤ 2,000 points): position in the sensor frame and deviation, mm.
  std::vector<std::array<float, 4>> picture;
};

struct ScanRecord {
  std::string file;  ///< relative to the session
  std::string sha256;
  std::uint64_t bytes = 0, points = 0, dropped = 0, faces = 0;
  std::string format;
  bool simulated = false;  ///< its own header says so, whatever the session's files say
  ScanStatus status = ScanStatus::used;
  std::string reason;
  std::string artefact, place, zone;
  std::vector<FeatureRecord> features;
  double seconds = 0;  ///< printed only with --timings
};

struct InputRecord {
  std::string path, sha256;
  std::uint64_t bytes = 0;
};

struct Results {
  Verdict verdict = Verdict::invalid;
  std::string headline, next_step;
  double p_all_within = 0;
  bool simulated = false;
  Session session;
  std::string calibration_sha256;
  std::vector<CharacteristicResult> characteristics;
  std::vector<std::string> not_tested;
  std::vector<ScanRecord> scans;
  std::vector<Finding> findings;
  Diagnosis diagnosis;
  std::vector<ZoneRecord> zones;
  ArtefactTemperature temperature;
  /// Seconds of wall time: scans, judge, diagnose; summed over scans that ran side by side: read,
  /// locate, fit.
  std::map<std::string, double> timings;
  std::string selftest = "not run";  ///< passed | failed | not run
  std::vector<InputRecord> inputs;
};

}  // namespace rigproof
