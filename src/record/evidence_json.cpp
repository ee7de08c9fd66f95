#include "record/evidence_json.h"

namespace rigproof {
namespace {

Json vectors(const std::vector<Vec3>& all) {
  Json out = Json::array();
  for (const Vec3& v : all) out.push_back(vector_json(v));
  return out;
}

Json enclosure(const Enclosure& e) {
  Json j{{"name", e.name}, {"center", vector_json(e.center)}};
  if (!e.sphere) j["normal"] = vector_json(e.normal);
  j["low"] = e.low;
  j["high"] = e.high;
  j["width"] = e.width;
  j["points"] = e.points;
  j["held"] = e.held;
  j["below"] = e.below;
  j["low_points"] = vectors(e.low_points);
  j["high_points"] = vectors(e.high_points);
  return j;
}

Json patches(const FeatureRecord& f) {
  Json means = Json::array(), points = Json::array();
  for (const PatchMean& m : f.patches) {
    means.push_back(vector_json(m.point));
    points.push_back(m.points);
  }
  const FitRecord& fit = *f.fit_patches;
  return {{"center", vector_json(fit.center)},
          {"radius", fit.radius},
          {"rms", fit.rms},
          {"min", fit.min},
          {"max", fit.max},
          {"means", std::move(means)},
          {"points", std::move(points)}};
}

}  // namespace

void add_evidence(Json& j, const FeatureRecord& f) {
  if (!f.sphere && f.axis_u.squaredNorm() > 0)
    j["rectangle"] = {{"center", vector_json(f.middle)}, {"axes", vectors({f.axis_u, f.axis_v})}};
  if (!f.enclosures.empty()) {
    j["enclosures"] = Json::array();
    for (const Enclosure& e : f.enclosures) j["enclosures"].push_back(enclosure(e));
  }
  if (f.fit_patches) j["patches"] = patches(f);
}

}  // namespace rigproof
