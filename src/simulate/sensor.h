#pragma once

#include <cstdint>
#include <functional>
#include <vector>

#include "optics/match.h"
#include "simulate/chance.h"
#include "simulate/virtual_scene.h"

namespace rigproof {

/// Error of matching along the epipolar line (free_match: along both image axes).
struct MatchingNoise {
  bool on = true;
  double disparity_px = 0.02;     ///< standard deviation at frontal incidence in focus
  double area_px2 = 25;           ///< correlation area A = ∬ρ, camera-1 pixels²
  double white_share = 0.2;       ///< share of the variance without correlation
  double incidence_power = 0.25;  ///< sd grows with (cos incidence)^−power, worse camera
  double defocus = 0.1;           ///< relative growth of sd at the near and far end
  double focus_mm = 0;            ///< best distance; 0: middle of the volume
};

/// What spoils single points. Shares of the points on a surface.
struct Blemishes {
  double saturation_deg = 1.2;  ///< half-angle about the normal that mirrors the projector
  double dropouts = 0.003;      ///< single pixels without a match
  double outliers = 0.0001;     ///< matches of the wrong place, within ± outlier_px
  double outlier_px = 0.5;
  double flying = 0.15;        ///< silhouette pixels that land between front and back
  double lost_at_edge = 0.5;   ///< silhouette pixels without a match
  double least_cosine = 0.17;  ///< of incidence, either camera or the projector

  static Blemishes none();
};

/// Conditions of one scan beyond the rig's own.
struct ScanCondition {
  double noise_factor = 1;
  double inward_mm = 0;        ///< light enters the balls' surface by this much
  double second_shell_mm = 0;  ///< every other exposure sees the scene displaced along the view
  double cap_deg = 0;          ///< > 0: balls are seen only within this angle of their cap's axis
};

/// The rig as it is and as it believes to be.
struct Sensor {
  StereoRig truth;
  Belief belief;
  bool calibrated = true;  ///< belief equals truth: every match lies on its epipolar line
  Matching matching = Matching::epipolar;
  MatchingNoise noise;
  Blemishes blemishes;
  double near_mm = 0, far_mm = 0;  ///< of the volume, for defocus
  int step = 1;                    ///< every step-th pixel of camera 1
};

/// One measured pixel. mm, sensor frame
struct MeasuredPoint {
  Vec3 point = Vec3::Zero();
  std::int32_t row = 0, column = 0;  ///< of the grid of every step-th pixel
  std::int32_t feature = -1;         ///< of the artefact; −1: rod, clutter, flying points
  std::int32_t detail = -1;          ///< index into MeasuredScan::details
};

/// The same pixel of a feature without noise, and at ± one standard deviation of matching.
struct MeasuredDetail {
  Vec3 clean = Vec3::Zero(), high = Vec3::Zero(), low = Vec3::Zero();
  Vec3 truth = Vec3::Zero();  ///< on the surface
  bool outlier = false;
};

struct MeasuredScan {
  int rows = 0, columns = 0;          ///< of the grid
  std::vector<MeasuredPoint> points;  ///< row by row
  std::vector<MeasuredDetail> details;
};

/// Renders a scene through the sensor. The same bytes for the same chance, whatever the threads.
MeasuredScan measure(const VirtualScene& scene,
                     const Sensor& sensor,
                     const ScanCondition& condition,
                     const Chance& chance,
                     int threads = 0);

/// The same in pieces, top to bottom: `take` is called in order for every block of rows. Indices of
/// details count within the piece.
void measure_rows(const VirtualScene& scene,
                  const Sensor& sensor,
                  const ScanCondition& condition,
                  const Chance& chance,
                  int threads,
                  const std::function<void(const MeasuredScan&)>& take);

/// Share of all camera-1 pixels that would give a point, from every 24th pixel.
double covered_share(const VirtualScene& scene, const Sensor& sensor);

}  // namespace rigproof
