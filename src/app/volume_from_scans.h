#pragma once

#include <filesystem>
#include <string>
#include <vector>

#include "geometry/volume.h"
#include "inputs/rig.h"

namespace rigproof {

struct VolumeFromScans {
  Volume volume;
  std::vector<std::string> notes;  ///< what was seen, and what looks odd
};

/// The frustum between two scans of anything flat that fills the field of view: one at its near
/// end, one at its far end. Each gives the median distance and the box of its points after strays
/// in depth are left out (5 median absolute deviations); tenths of a millimetre. The rig says units
/// and axes. Throws Error(data) when the distances are not in front of the rig and in this order.
VolumeFromScans volume_from_scans(const std::filesystem::path& near,
                                  const std::filesystem::path& far,
                                  const Rig& rig);

}  // namespace rigproof
