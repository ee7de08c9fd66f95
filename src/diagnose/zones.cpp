#include "diagnose/zones.h"

#include <algorithm>
#include <array>
#include <cmath>

namespace rigproof {
namespace {

class Tally {
 public:
  Tally(const Volume& volume, const std::map<std::string, int>& views) : volume_(volume) {
    for (const std::string& id : all_zone_ids()) {
      ZoneRecord zone{id, 0, std::nullopt, std::nullopt};
      if (const auto at = views.find(id); at != views.end()) zone.views = at->second;
      zones_.push_back(std::move(zone));
    }
  }

  std::string zone(const Vec3& p) const { return zone_id(volume_, p); }
  void add(const std::string& id, const std::optional<double>& ratio) {
    ZoneRecord& z = *std::ranges::find(zones_, id, &ZoneRecord::zone);
    ++z.observations;
    if (ratio) z.worst_ratio = std::max(z.worst_ratio.value_or(0), *ratio);
  }
  std::vector<ZoneRecord> take() { return std::move(zones_); }

 private:
  const Volume& volume_;
  std::vector<ZoneRecord> zones_;
};

// One observation of what several characteristics judge: the worst of their ratios.
struct Rating {
  bool any = false;
  std::optional<double> ratio;

  void add(const RatedValue& v) {
    any = true;
    if (v.ratio) ratio = std::max(ratio.value_or(0), *v.ratio);
  }
};

bool of(const RatedValue& v, const std::string& scan, const std::string& artefact) {
  return v.scan == scan && v.artefact == artefact;
}

void add_balls(Tally& tally, const Observations& seen, const std::vector<RatedValue>& values) {
  for (const ObservedBall& ball : seen.balls) {
    Rating size, form;
    for (const RatedValue& v : values)
      if (of(v, ball.scan, ball.artefact) && v.ball == ball.ball && v.pair.first.empty())
        (v.characteristic.find("size") != std::string::npos ? size : form).add(v);
    for (const Rating& r : {size, form})
      if (r.any) tally.add(tally.zone(ball.sphere.center), r.ratio);
  }
}

void add_ends(Tally& tally, const Observations& seen, const std::vector<RatedValue>& values) {
  std::map<std::array<std::string, 4>, Rating> lengths;
  for (const RatedValue& v : values)
    if (!v.pair.first.empty()) lengths[{v.scan, v.artefact, v.pair.first, v.pair.second}].add(v);
  for (const auto& [key, rating] : lengths)
    for (const ObservedBall& ball : seen.balls)
      if (ball.scan == key[0] && ball.artefact == key[1] &&
          (ball.ball == key[2] || ball.ball == key[3]))
        tally.add(tally.zone(ball.sphere.center), rating.ratio);
}

void add_pieces(Tally& tally, const Observations& seen, const std::vector<RatedValue>& values) {
  for (const ObservedPlate& plate : seen.plates) {
    Rating whole;
    for (const RatedValue& v : values)
      if (of(v, plate.scan, plate.artefact) && v.ball.empty() && v.pair.first.empty()) whole.add(v);
    if (!whole.any) continue;
    std::map<std::string, double> farthest;
    double low = 0, high = 0;
    for (std::size_t k = 0; k < plate.means.size(); ++k) {
      if (plate.counts[k] == 0) continue;
      double& d = farthest[tally.zone(plate.patch(k))];
      d = std::max(d, std::abs(plate.means[k]));
      low = std::min(low, plate.means[k]);
      high = std::max(high, plate.means[k]);
    }
    const double range = high - low;
    for (const auto& [zone, deviation] : farthest) {
      std::optional<double> ratio = whole.ratio;
      if (ratio && range > 0 && deviation < std::max(high, -low))
        *ratio *= std::min(1.0, 2 * deviation / range);
      tally.add(zone, ratio);
    }
  }
}

}  // namespace

std::vector<ZoneRecord> zone_records(const Volume& volume,
                                     const Observations& seen,
                                     const std::vector<RatedValue>& values,
                                     const std::map<std::string, int>& views_per_zone) {
  Tally tally(volume, views_per_zone);
  add_balls(tally, seen, values);
  add_ends(tally, seen, values);
  add_pieces(tally, seen, values);
  return tally.take();
}

}  // namespace rigproof
