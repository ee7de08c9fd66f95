#include "sessions/magnitudes.h"

#include <algorithm>
#include <cmath>

#include "base/number.h"
#include "simulate/fault_plan.h"
#include "simulate/session_setup.h"

namespace rigproof::planted {

std::string of_noise(const char* name, double times, const Scenario& s) {
  return name + ("=" + exact(1000 * times * middle_noise(s)));
}

std::string of_limit(const char* name, double share, const char* id, const Scenario& s) {
  return name + ("=" + exact(1000 * share * s.limits.by_characteristic.at(id).at(0)));
}

std::string of_growth(double share, const Scenario& s) {
  double length = 0, alpha = 0;
  for (const Artefact& a : s.artefacts)
    for (const ArtefactDistance& d : a.distances)
      if (d.length.mm > length) length = d.length.mm, alpha = a.alpha_per_K;
  return "not-soaked=" + exact(share * s.limits.by_characteristic.at("sphere_spacing").at(length) /
                               (alpha * length));
}

std::string of_spacing(double times, const Scenario& s) {
  const StereoGeometry g = stereo_geometry(s);
  const double z = s.field_of_view().volume.middle().z(), b = g.baseline_mm / 2;
  return "thinned=" + exact(times * prepare(s).sensor.step * (z * z + b * b) / (z * g.focal_px));
}

}  // namespace rigproof::planted
