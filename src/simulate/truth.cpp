#include "simulate/truth.h"

#include <nlohmann/json.hpp>

namespace rigproof {
namespace {

using Json = nlohmann::ordered_json;

Json triple(const Vec3& v) { return Json::array({v.x(), v.y(), v.z()}); }

Json to_json(const TrueFault& f) {
  Json j{{"name", f.name}, {"value", f.value}, {"unit", f.unit}};
  if (!f.zone.empty()) j["zone"] = f.zone;
  if (!f.scan.empty()) j["scan"] = f.scan;
  return j;
}

Json to_json(const TrueFeature& f) {
  Json j{{"kind", f.kind}};
  if (f.kind == "sphere") {
    j["ball"] = f.ball;
    j["center"] = triple(f.center);
    j["radius"] = f.radius;
    j["form"] = f.form;
    j["expected_center"] = triple(f.expected_center);
    j["expected_radius"] = f.expected_radius;
    j["expected_form"] = f.expected_form;
  } else {
    j["center"] = triple(f.center);
    j["normal"] = triple(f.normal);
    j["flatness"] = f.form;
    j["expected_center"] = triple(f.expected_center);
    j["expected_flatness"] = f.expected_form;
  }
  return j;
}

Json to_json(const TrueValue& v) {
  Json j{{"scan", v.scan}};
  if (!v.ball.empty()) j["ball"] = v.ball;
  if (!v.from.empty()) j["pair"] = Json::array({v.from, v.to});
  j["id"] = v.id;
  j["true"] = v.truth;
  j["expected"] = v.expected;
  return j;
}

template <typename Items>
Json list(const Items& items) {
  Json j = Json::array();
  for (const auto& item : items) j.push_back(to_json(item));
  return j;
}

}  // namespace

std::string to_json(const Truth& truth) {
  Json scans = Json::array();
  for (const TrueScan& s : truth.scans)
    scans.push_back({{"file", s.file},
                     {"artefact", s.artefact},
                     {"place", s.place},
                     {"features", list(s.features)}});
  const Json j{{"faults", list(truth.faults)}, {"scans", scans}, {"values", list(truth.values)}};
  return j.dump(1) + "\n";
}

}  // namespace rigproof
