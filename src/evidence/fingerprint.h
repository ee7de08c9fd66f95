#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "evidence/seen_surface.h"
#include "scan/scan.h"

namespace rigproof {

/// What of a measurement survives renaming, rigid motion and shuffling: how points stand off their
/// neighbours. Distances alone would not do: on a frontal surface they hold the pixel grid and
/// next to nothing of the noise that tells two measurements apart. mm
struct Fingerprint {
  std::string sha256;
  std::uint64_t points = 0;
  /// |p₋₁ − 2p₀ + p₊₁| of successive points at fixed places of the file.
  std::vector<float> in_order;
  /// Of points about the middle of each feature: residual, least, largest and second largest
  /// residual of the neighbours, all about the neighbours' mean; ascending.
  std::vector<std::array<float, 4>> about_neighbours;
  double noise = 0;      ///< robust deviation of the first of these
  double exactness = 0;  ///< of the scalar type at the largest coordinate
  double step = 0;       ///< rounding beyond that
};

/// The part that the file as a whole tells; features are added one by one.
Fingerprint fingerprint(const Scan& scan);
/// The neighbourhoods about the middle of a feature's zone.
void add_feature(Fingerprint& to, const SeenSurface& surface);

/// How two scans were found to be one measurement.
enum class SameBy { no, file, order, neighbours };
/// One measurement, moved or renamed: the same bytes; nine tenths of what is in file order within
/// four steps of the coordinates; or, shuffled, a fifth of the neighbourhoods within one and a
/// half. Noise sets two measurements of one thing apart in all of these. Where rounding is as
/// coarse as noise, neighbourhoods say nothing and are passed over.
SameBy same_measurement(const Fingerprint& a, const Fingerprint& b);

}  // namespace rigproof
