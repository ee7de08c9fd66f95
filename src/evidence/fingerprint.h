#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <vector>

#include "evidence/seen_surface.h"
#include "scan/scan.h"

namespace rigproof {

/// Of a point: its residual and the least, largest and second largest residual of its neighbours,
/// all about the neighbours' mean, mm.
using Neighbourhood = std::array<float, 4>;

/// What of a measurement survives renaming, rigid motion and shuffling: how points stand off their
/// neighbours. Distances alone would not do: on a frontal surface they hold the pixel grid and
/// next to nothing of the noise that tells two measurements apart. mm
struct Fingerprint {
  std::string sha256;
  std::uint64_t points = 0;
  /// |p₋₁ − 2p₀ + p₊₁| of successive points at fixed places of the file.
  std::vector<float> in_order;
  std::vector<Neighbourhood> about_neighbours;  ///< about the middle of each feature; ascending
  double noise = 0;                             ///< robust deviation of the first of these
  double exactness = 0;                         ///< of the scalar type at the largest coordinate
  double step = 0;                              ///< rounding beyond that
};

/// The part that the file as a whole tells; features are added one by one.
Fingerprint fingerprint(const Scan& scan);
/// About the middle of a feature's zone.
std::vector<Neighbourhood> neighbourhoods(const SeenSurface& surface);
void add_feature(Fingerprint& to, const std::vector<Neighbourhood>& of_feature);

/// How two scans were found to be one measurement.
enum class SameBy { no, file, order, neighbours };
/// One measurement, moved or renamed: the same bytes; nine tenths of what is in file order within
/// four steps of the coordinates; or, shuffled, a fifth of the neighbourhoods within one and a
/// half. Noise sets two measurements of one thing apart in all of these. Where rounding is as
/// coarse as noise, neighbourhoods say nothing and are passed over.
SameBy same_measurement(const Fingerprint& a, const Fingerprint& b);

}  // namespace rigproof
