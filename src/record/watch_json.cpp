#include "record/watch_json.h"

#include "record/json_parts.h"

namespace rigproof {
namespace {

std::string line(const Json& j) {
  return j.dump(-1, ' ', false, nlohmann::json::error_handler_t::replace);
}

Json position(const PlanEntry& p) {
  return {{"id", p.id}, {"kind", to_string(p.kind)}, {"artefact", p.serial}, {"place", p.place}};
}

Json value(const RunningValue& v) {
  return {{"id", v.id},
          {"value", v.value_mm},
          {"limit", or_null(v.limit_mm)},
          {"scan", v.scan},
          {"verdict", v.limit_mm ? Json(to_string(v.verdict)) : Json(nullptr)}};
}

}  // namespace

std::string scan_line(const ScanNote& n, double seconds) {
  return line({{"event", "scan"},
               {"file", n.file},
               {"position", n.position.empty() ? Json(nullptr) : Json(n.position)},
               {"artefact", n.artefact},
               {"zone", n.place},
               {"keep", n.keep},
               {"reasons", n.reasons},
               {"points", n.points},
               {"evaluated", n.evaluated},
               {"cap_half_angle_deg", or_null(n.cap_deg)},
               {"noise", n.noise_mm},
               {"seconds", seconds}});
}

std::string progress_line(const SessionProgress& p) {
  Json j{{"event", "progress"},
         {"done", p.done},
         {"needed", p.needed},
         {"next", p.next ? position(*p.next) : Json(nullptr)},
         {"missing", Json::array()},
         {"minutes_left", p.minutes_left},
         {"values", Json::array()},
         {"outside", p.outside ? value(*p.outside) : Json(nullptr)},
         {"verdict", to_string(p.verdict)},
         {"headline", p.headline}};
  for (const PlanEntry& m : p.missing) j["missing"].push_back(position(m));
  for (const RunningValue& v : p.values) j["values"].push_back(value(v));
  return line(j);
}

std::string event_line(const std::string& event, const std::string& file, const std::string& text) {
  return line({{"event", event}, {"file", file}, {"text", text}});
}

}  // namespace rigproof
