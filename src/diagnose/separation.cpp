#include "diagnose/separation.h"

#include <array>
#include <cmath>
#include <set>

namespace rigproof {
namespace {

constexpr double kTelling = 2;  // u that a difference must have

struct Direction {
  const char* words;
  std::array<double, 3> along;
};
constexpr std::array<Direction, 9> kDirections{{
    {"from left to right", {1, 0, 0}},
    {"from top to bottom", {0, 1, 0}},
    {"in depth", {0, 0, 1}},
    {"from near left to far right", {1, 0, 1}},
    {"from near right to far left", {-1, 0, 1}},
    {"from near top to far bottom", {0, 1, 1}},
    {"from near bottom to far top", {0, -1, 1}},
    {"from top left to bottom right", {1, 1, 0}},
    {"from bottom left to top right", {1, -1, 0}},
}};

// Root mean variance of the session's lengths, shared terms included.
double typical_u(const ObservationModel& m) {
  double sum = 0;
  int n = 0;
  for (std::size_t i = 0; i < m.rows().size(); ++i)
    if (m.rows()[i].kind == ObservationKind::length) {
      const auto k = static_cast<Eigen::Index>(i);
      sum += m.covariance()(k, k);
      ++n;
    }
  return n > 0 ? std::sqrt(sum / n) : 0;
}

std::set<double> lengths_of(const std::vector<Artefact>& artefacts) {
  std::set<double> out;
  for (const Artefact& a : artefacts)
    for (const ArtefactDistance& d : a.distances) out.insert(d.length.mm);
  return out;
}

}  // namespace

std::optional<TellingBar> telling_bar(const DiagnosisModel& model,
                                      const std::vector<Artefact>& artefacts,
                                      const Suspect& a,
                                      const Suspect& b) {
  const double u = typical_u(model.observations);
  if (!(u > 0)) return std::nullopt;
  const auto moved = [&](const Vec3& p) -> Vec3 {
    const SurfacePoint at{p, -p.normalized(), 0.5};
    return a.coefficient * model.signatures[a.signature].displacement(at) -
           b.coefficient * model.signatures[b.signature].displacement(at);
  };
  std::optional<TellingBar> best;
  const auto consider = [&](const std::string& zone, const Direction& d, double length) {
    const Vec3 along = Vec3(d.along[0], d.along[1], d.along[2]).normalized();
    const Vec3 middle = zone_center(model.volume, zone);
    const Vec3 from = middle - 0.5 * length * along, to = middle + 0.5 * length * along;
    if (!model.volume.contains(from) || !model.volume.contains(to)) return;
    const double difference = std::abs(along.dot(moved(to) - moved(from)));
    if (difference > kTelling * u && (!best || difference > best->difference))
      best = TellingBar{zone, d.words, length, difference, u};
  };
  for (const double length : lengths_of(artefacts))
    for (const std::string& zone : all_zone_ids())
      for (const Direction& d : kDirections) consider(zone, d, length);
  return best;
}

}  // namespace rigproof
