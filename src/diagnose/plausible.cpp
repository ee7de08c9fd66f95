#include "diagnose/plausible.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <string_view>

namespace rigproof {
namespace {

constexpr double kAngle = 10'000;     // µrad: small angles
constexpr double kShare = 150'000;    // ppm: what recognising still takes for the artefact
constexpr double kWarmer = 100;       // K
constexpr double kPixels = 100;       // px, of the principal point or at the corner
constexpr double kOfDiagonal = 0.02;  // a dent, a bow or a growth, of the volume's diagonal

constexpr std::array<std::string_view, 5> kNotTheRig{
    "too-perfect", "scaled", "mirrored", "same-measurement", "rig-mismatch"};
constexpr std::array<std::string_view, 4> kLooksLikeADent{
    "smoothed", "thinned", "tails-cut", "outliers-above-allowance"};

double largest(const std::string& unit, const Volume& volume) {
  if (unit == "urad") return kAngle;
  if (unit == "ppm") return kShare;
  if (unit == "K") return kWarmer;
  if (unit == "px") return kPixels;
  if (unit == "um") return 1000 * kOfDiagonal * volume.diagonal();
  return std::numeric_limits<double>::infinity();
}

}  // namespace

bool is_possible(const Cause& cause, const Volume& volume) {
  return std::abs(cause.coefficient) <= largest(cause.unit, volume);
}

bool is_explained(const Cause& cause, const std::vector<std::string>& findings) {
  return std::ranges::any_of(findings, [&](const std::string& f) {
    return std::ranges::find(kNotTheRig, f) != kNotTheRig.end() ||
           (cause.id == "local" && std::ranges::find(kLooksLikeADent, f) != kLooksLikeADent.end());
  });
}

}  // namespace rigproof
