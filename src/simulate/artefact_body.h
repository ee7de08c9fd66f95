#pragma once

#include <vector>

#include "inputs/artefact.h"
#include "simulate/chance.h"
#include "simulate/virtual_scene.h"

namespace rigproof {

/// An artefact as it really is, beside what its certificate says. Its own frame: a bar along X
/// about its middle, a ball plate in X–Y, a plate's face in X–Y; Z points away from the sensor.
/// Lengths in mm at the reference temperature.
struct ArtefactBody {
  Artefact certificate;
  std::vector<Vec3> centers;  ///< of the balls
  std::vector<double> radii;
  std::vector<BallForm> forms;  ///< to_ball holds the ball's axes in the artefact's frame
  double bow_mm = 0, twist_mm = 0;
  double alpha_per_K = 0;

  /// Growth from the reference temperature.
  double growth(double celsius) const {
    return 1 + alpha_per_K * (celsius - certificate.reference_C);
  }
  /// Of a pair of balls at a temperature. mm
  double distance(std::size_t a, std::size_t b, double celsius) const {
    return (centers[a] - centers[b]).norm() * growth(celsius);
  }
};

/// Draws true sizes within the certificate's uncertainty (normal with U/k, at most U), ball form as
/// low harmonics with the certified peak-to-valley, plate bow and twist likewise, and expansion
/// within ± √3 u(α). With `ideal` everything is exactly as certified and perfectly shaped. Throws
/// Error(config) for a ball plate whose distances do not fix its balls in one plane.
ArtefactBody make_body(const Artefact& certificate, const Chance& chance, bool ideal);

/// Adds the artefact at a pose (artefact frame → sensor frame) with what carries it: stems and the
/// rod behind the balls of a bar, a post below a ball. Feature k of the scan is ball k, or the
/// plate's face.
void place(const ArtefactBody& body,
           const RigidTransform& pose,
           double celsius,
           VirtualScene& scene);

}  // namespace rigproof
