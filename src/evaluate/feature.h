#pragma once

#include <optional>
#include <string>
#include <vector>

#include "evaluate/enclosure.h"
#include "evaluate/patches.h"
#include "evaluate/ufit.h"
#include "fit/fit.h"
#include "geometry/region.h"
#include "geometry/volume.h"
#include "inputs/artefact.h"
#include "inputs/procedure.h"
#include "locate/sighting.h"

namespace rigproof {

/// Where the middle of a cap was taken from.
enum class CapAxis {
  cameras,  ///< mean of the directions to the cameras
  origin,   ///< direction to the frame origin
  seen      ///< direction of the seen surface: the frame cannot be where the ball was seen from
};
std::string to_string(CapAxis from);

/// What the widened or narrowed zone would give; see the budget line "zone choice". mm
struct BallVariant {
  Sphere sphere;                                       ///< of all its points
  double form = 0;                                     ///< range with the allowance left out
  std::optional<double> dispersion, form_25, size_25;  ///< where evaluated; diameter for size
};
struct PlateVariant {
  double flatness = 0;  ///< range with the allowance left out
  std::optional<double> distortion, flatness_mz;
};

/// The evaluation zone of one ball and the plain fits in it. The zone is the set of points inside
/// the shell gate, inside the cap and outside the holder's cone, all three about the fit with
/// nothing left out (`fit_all`), so that it is one zone for every characteristic, whatever its
/// allowance. Fewer than four points, or points that are no sphere, leave `fit.ok()` false.
struct BallFeature {
  Sphere located;
  SphereFit fit;            ///< free radius, allowance left out
  SphereFit fit_all;        ///< free radius, nothing left out
  SphereFit fit_fixed;      ///< calibrated radius held; not_run without one
  SphereFit fit_fixed_all;  ///< the same, nothing left out; only where the radius rule is fixed
  double share = 0;         ///< the allowance that was left out of `fit`
  double form = 0, form_all = 0;  ///< max − min with and without the allowance, mm
  /// Where asked for: minimum_zone, as `form`; concentric_shell and free_shell, of all points.
  std::vector<Enclosure> enclosures;
  std::optional<double> form_mz() const { return width_of(enclosures, "minimum_zone"); }
  std::optional<PatchFit> patches;  ///< of all points, where asked for
  std::size_t points = 0, left_out = 0, strays = 0;
  Vec3 cap_axis = -Vec3::UnitZ();
  CapAxis axis_from = CapAxis::seen;
  double cap_half_angle_deg = 0;  ///< about cap_axis, holds 99 % of the points in the zone
  /// Half-angle of the round cap with the solid angle of the surface that the scan holds, in the
  /// gate, about the mean direction of its points: how much of the ball was seen.
  double seen_half_angle_deg = 0;
  double zone_half_angle_deg = 0;  ///< the same of the points in the zone
  double spacing_mm = 0;           ///< √(seen area of the zone / points)
  int rounds = 0;
  bool settled = false;                                        ///< the set of points repeated
  BallVariant wider, narrower;                                 ///< cap ± 5°
  ZoneNoise noise;                                             ///< scatter along the ray
  Eigen::Matrix4d covariance = Eigen::Matrix4d::Zero();        ///< of `fit`, see ufit.h, mm²
  Eigen::Matrix4d covariance_fixed = Eigen::Matrix4d::Zero();  ///< of `fit_fixed`, mm²
  Points zone;                    ///< kept for evidence and maps; dropped before the session pass
  std::vector<double> residuals;  ///< of `zone` about `fit`
};

/// The evaluation zone of one plate: within the gate of the plane fitted with nothing left out,
/// inside the working area (see ZoneContext::plates) less its border, inside the measuring volume.
struct PlateFeature {
  PlateSighting located;
  PlaneFit fit, fit_all;
  double share = 0;  ///< the allowance that was left out of `fit`
  double flatness = 0, flatness_all = 0;
  /// Where asked for: minimum_zone, as `flatness`; minimum_zone_all and parallel_planes, of all
  /// points.
  std::vector<Enclosure> enclosures;
  std::optional<double> flatness_mz() const { return width_of(enclosures, "minimum_zone"); }
  std::size_t points = 0, left_out = 0, strays = 0;
  Vec3 center = Vec3::Zero();                           ///< of the working area, on the plane
  Vec3 axis_u = Vec3::UnitX(), axis_v = Vec3::UnitY();  ///< along its length and width
  double length_mm = 0, width_mm = 0;                   ///< sides of the evaluated rectangle
  double area_mm2 = 0;  ///< of the rectangle inside the measuring volume
  double spacing_mm = 0;
  int rounds = 0;
  bool settled = false;
  PlateVariant wider, narrower;    ///< border ∓ 1 mm
  ZoneNoise noise;                 ///< scatter along the normal
  Mat3 covariance = Mat3::Zero();  ///< of `fit`: offset (mm²), tilt about v, tilt about u (rad²)
  Points zone;
  std::vector<double> residuals;
};

/// What is known beforehand of the plate that was found. 0: unknown.
struct PlateNominal {
  double length_mm = 0, width_mm = 0;
  double border_mm = -1;  ///< of the artefact; negative: the procedure's
};

/// What the zone needs to know beside the procedure.
struct ZoneContext {
  std::vector<Vec3> cameras;  ///< empty: directions to the frame origin
  /// One a ball, or empty. The axis of the cone points from the ball along its holder, in the
  /// sensor frame.
  std::vector<std::optional<Holder>> holders;
  /// One a plate, or empty. The working area is centred on the seen surface. Each side is the
  /// nominal one, or the seen one where it is shorter (a plate that leaves the field) or where none
  /// is known.
  std::vector<PlateNominal> plates;
  const Volume* volume = nullptr;               ///< plates are cut by it; nullptr: unknown
  RadiusRule center_radius = RadiusRule::free;  ///< fixed: also fit_fixed_all
  std::optional<ShellRule> dispersion;          ///< form_dispersion is evaluated, with this shell
  bool both_shells = false;                     ///< with the other one too
  double dispersion_share = 0.95;               ///< of the points that it and flat_distortion hold
  std::vector<int> patches;  ///< form_25 or size_25 is evaluated: patches of each ring
  bool distortion = false;   ///< flat_distortion is evaluated
  double allowance_ball = 0, allowance_plate = 0;
  bool minimum_zones = false;  ///< also the exact minimum zones (slow for large zones)
  bool flatness_mz = false;    ///< flatness_mz is evaluated: also of the varied rectangles
};

/// Balls of one scan, evaluated in one gathering pass. `diameters` calibrated (0 unknown), one a
/// ball.
std::vector<BallFeature> evaluate_balls(const Scan& scan,
                                        const std::vector<BallSighting>& balls,
                                        const std::vector<double>& diameters,
                                        const ZoneRules& rules,
                                        const ZoneContext& context);

std::vector<PlateFeature> evaluate_plates(const Scan& scan,
                                          const std::vector<PlateSighting>& plates,
                                          const ZoneRules& rules,
                                          const ZoneContext& context);

/// The fits of a ball or plate with another share of its zone left out than its own.
struct AllowedSphere {
  SphereFit fit, fixed;  ///< free radius; radius held at the one given (not_run for 0)
  std::size_t left_out = 0;
};
AllowedSphere with_allowance(const BallFeature& ball, double share, double calibrated_mm);
struct AllowedPlane {
  PlaneFit fit;
  std::size_t left_out = 0;
};
AllowedPlane with_allowance(const PlateFeature& plate, double share);

/// Every point belongs to one artefact: nothing located, nothing left out (look --whole).
BallFeature whole_ball(const Points& points, const ZoneContext& context);
PlateFeature whole_plate(const Points& points, const ZoneContext& context);

}  // namespace rigproof
