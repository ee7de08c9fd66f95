#include "diagnose/signature.h"

#include <cmath>
#include <memory>

namespace rigproof {
namespace {

constexpr double kPpm = 1e-6, kMicro = 1e-6, kUm = 1e-3;
constexpr double kLens = 0.1;  // k1 of a machine-vision lens, sd; common practice
// What a tape measure and a lens's nominal focal length leave open, sd.
constexpr double kTapeBaseline = 0.02, kTapeDistance = 0.02, kTapeFocal = 0.05;

// Central difference of what the rig measures, as optics states the fault.
Displacement by_optics(const StereoRig& rig, const CalibrationFaultKind& kind) {
  const auto field = [&](double value) {
    const CalibrationFault fault{std::string(kind.id), value, ""};
    return std::make_shared<const DisplacementField>(
        rig, believe(rig, {&fault, 1}), Matching::epipolar);
  };
  const auto up = field(kind.unit_step), down = field(-kind.unit_step);
  const double scale = 1 / (2 * kind.unit_step);
  return [up, down, scale](const SurfacePoint& s) -> Vec3 {
    return scale * (up->measure(s.point, s.normal).point - down->measure(s.point, s.normal).point);
  };
}

void add_calibration(const PicturedRig& pictured, std::vector<Signature>& out) {
  const StereoRig& rig = pictured.rig;
  for (const CalibrationFaultKind& kind : calibration_fault_kinds()) {
    if (kind.id == "local") continue;
    if (kind.id == "board-temperature" && rig.board_alpha_per_K == 0) continue;
    Signature s{std::string(kind.id),
                std::string(kind.unit),
                "",
                SignatureFamily::calibration,
                by_optics(rig, kind),
                {}};
    for (const StereoRig& other : pictured.variations)
      s.variations.push_back(by_optics(other, kind));
    out.push_back(std::move(s));
  }
}

void add_generic(const Volume& volume, std::vector<Signature>& out) {
  const Vec3 middle = volume.middle();
  const auto add = [&](const char* id, const char* unit, auto at) {
    const auto displacement = [=](const SurfacePoint& s) -> Vec3 {
      return at(Vec3(s.point - middle));
    };
    out.push_back({id, unit, "", SignatureFamily::calibration, displacement, {}});
  };
  const auto bent = [&](const char* id, auto shape) {
    out.push_back({id,
                   "um",
                   "",
                   SignatureFamily::calibration,
                   [=](const SurfacePoint& s) -> Vec3 {
                     const Vec3 n = volume.normalized(s.point);
                     return {0, 0, kUm * shape(n)};
                   },
                   {}});
  };
  add("scale", "ppm", [](const Vec3& p) -> Vec3 { return kPpm * p; });
  add("depth-scale", "ppm", [](const Vec3& p) { return Vec3(0, 0, kPpm * p.z()); });
  add("width-scale", "ppm", [](const Vec3& p) { return Vec3(kPpm * p.x(), 0, 0); });
  add("shear-xz", "urad", [](const Vec3& p) { return Vec3(kMicro * p.z(), 0, 0); });
  add("shear-yz", "urad", [](const Vec3& p) { return Vec3(0, kMicro * p.z(), 0); });
  add("shear-xy", "urad", [](const Vec3& p) { return Vec3(kMicro * p.y(), 0, 0); });
  bent("bow-x", [](const Vec3& n) { return n.x() * n.x(); });
  bent("bow-y", [](const Vec3& n) { return n.y() * n.y(); });
  bent("twist", [](const Vec3& n) { return n.x() * n.y(); });
}

void add_dents(const Volume& volume, std::vector<Signature>& out) {
  const CalibrationFaultKind& kind = *find_calibration_fault("local");
  for (const std::string& zone : all_zone_ids()) {
    // The dent that optics makes of one unit.
    const CalibrationFault fault{"local", 1, zone};
    const Dent dent = believe(StereoRig{}, {&fault, 1}, &volume).dents.front();
    out.push_back({"local",
                   std::string(kind.unit),
                   zone,
                   SignatureFamily::other,
                   [dent](const SurfacePoint& s) { return dent.displacement(s.point); },
                   {}});
  }
}

void add_warm_up(double longest_mm, std::vector<Signature>& out) {
  if (!(longest_mm > 0)) return;
  out.push_back(
      {"warm-up",
       "um",
       "",
       SignatureFamily::other,
       [=](const SurfacePoint& s) -> Vec3 { return kUm / longest_mm * s.progress * s.point; },
       {}});
}

}  // namespace

std::optional<PicturedRig> pictured_rig(const Rig& rig, const Field* field) {
  if (!rig.stereo || !field) return std::nullopt;
  const Stereo& from = *rig.stereo;
  StereoGeometry g;
  g.baseline_mm = from.baseline_mm;
  g.focal_px = from.focal_px;
  g.image_px = from.image_px;
  g.aim_mm = from.aim_mm;
  g.toe_in_deg = from.toe_in_deg;
  g.board_alpha_per_K = from.board_alpha_per_K;
  const Volume& v = field->volume;
  g.corner_radius =
      std::hypot(0.25 * (v.near_width + v.far_width), 0.25 * (v.near_height + v.far_height)) /
      v.middle().z();
  PicturedRig out{make_stereo_rig(g), {}};
  const auto vary = [&](auto change) {
    StereoGeometry other = g;
    change(other);
    out.variations.push_back(make_stereo_rig(other));
  };
  vary([](StereoGeometry& o) { o.distortion.k1 = -kLens; });
  if (from.tape) {
    vary([](StereoGeometry& o) { o.baseline_mm *= 1 + kTapeBaseline; });
    vary([](StereoGeometry& o) { o.focal_px *= 1 + kTapeFocal; });
    if (g.aim_mm > 0) vary([](StereoGeometry& o) { o.aim_mm *= 1 + kTapeDistance; });
  }
  return out;
}

std::vector<Signature> signatures(const std::optional<PicturedRig>& rig,
                                  const Volume& volume,
                                  double longest_mm) {
  std::vector<Signature> out;
  if (rig)
    add_calibration(*rig, out);
  else
    add_generic(volume, out);
  add_dents(volume, out);
  add_warm_up(longest_mm, out);
  return out;
}

}  // namespace rigproof
