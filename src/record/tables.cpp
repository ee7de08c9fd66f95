#include "record/tables.h"

#include <algorithm>

#include "base/number.h"
#include "record/csv.h"

namespace rigproof {
namespace {

std::string of(const JudgedValue& judged) {
  const TestValue& v = judged.value;
  const auto& d = judged.decision;
  const auto fixed_radius = v.alternatives.find("fixed_radius");
  return csv_row({csv_text(v.id),
                  csv_text(v.scan),
                  csv_text(v.place),
                  csv_text(v.zone),
                  csv_text(v.artefact),
                  csv_text(v.ball.empty() ? v.pair.first : v.ball),
                  csv_text(v.pair.second),
                  exact(v.measured),
                  exact(v.reference),
                  exact(v.value),
                  d ? exact(d->limit) : "",
                  d ? exact(d->ratio) : "",
                  exact(v.u),
                  exact(v.U),
                  exact(v.k),
                  exact(v.u_fit),
                  d ? exact(d->p_within) : "",
                  d ? to_string(d->verdict) : "",
                  std::to_string(v.points),
                  std::to_string(v.left_out),
                  exact(v.value_all_points),
                  exact(v.spacing_um),
                  fixed_radius == v.alternatives.end() ? "" : exact(fixed_radius->second)});
}

}  // namespace

std::string values_csv(const Results& results) {
  std::string out = csv_row({"characteristic",
                             "scan",
                             "place",
                             "zone",
                             "artefact",
                             "from",
                             "to",
                             "measured",
                             "reference",
                             "value",
                             "limit",
                             "ratio",
                             "u",
                             "U",
                             "k",
                             "u_fit",
                             "p_within",
                             "verdict",
                             "points",
                             "left_out",
                             "value_all_points",
                             "spacing_um",
                             "value_fixed_radius"});
  for (const auto& c : results.characteristics)
    for (const auto& v : c.values) out += of(v);
  return out;
}

std::string positions_csv(const Results& results) {
  std::string out = csv_row({"scan",
                             "status",
                             "reason",
                             "artefact",
                             "place",
                             "zone",
                             "x",
                             "y",
                             "z",
                             "points",
                             "dropped",
                             "worst_ratio",
                             "sha256"});
  for (const auto& s : results.scans) {
    double worst = -1;
    for (const auto& c : results.characteristics)
      for (const auto& v : c.values)
        if (v.value.scan == s.file && v.decision) worst = std::max(worst, v.decision->ratio);
    Vec3 center = Vec3::Zero();
    for (const auto& f : s.features) center += f.center / static_cast<double>(s.features.size());
    const bool placed = !s.features.empty();
    out += csv_row({csv_text(s.file),
                    to_string(s.status),
                    csv_text(s.reason),
                    csv_text(s.artefact),
                    csv_text(s.place),
                    csv_text(s.zone),
                    placed ? exact(center.x()) : "",
                    placed ? exact(center.y()) : "",
                    placed ? exact(center.z()) : "",
                    std::to_string(s.points),
                    std::to_string(s.dropped),
                    worst < 0 ? "" : exact(worst),
                    csv_text(s.sha256)});
  }
  return out;
}

}  // namespace rigproof
