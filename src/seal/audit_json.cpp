#include <cmath>

#include <nlohmann/json.hpp>

#include "base/version.h"
#include "seal/audit.h"

namespace rigproof {
namespace {

using Json = nlohmann::ordered_json;

template <class T>
Json or_null(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json value(const ComparedValue& v) {
  return {{"characteristic", v.characteristic},
          {"scan", v.scan},
          {"artefact", v.artefact},
          {"feature", v.feature},
          {"old", or_null(v.before)},
          {"new", or_null(v.after)},
          {"old_verdict", v.verdict_before},
          {"new_verdict", v.verdict_after},
          {"difference", std::isfinite(v.difference) ? Json(v.difference) : Json(nullptr)},
          {"same", v.same()}};
}

}  // namespace

std::string audit_json(const Audit& a) {
  Json j{{"schema", "rigproof-audit-1"},
         {"outcome", to_string(a.outcome)},
         {"from", a.bundle ? "cut-outs" : "scans"},
         {"signature", a.signature ? "good" : "bad"},
         {"signer", {{"key", a.manifest.key}, {"known", a.known_signer}, {"name", a.signer}}},
         {"authorised_by", a.manifest.authorised_by},
         {"sealed", a.manifest.sealed},
         {"sealed_by_version", a.manifest.version},
         {"version", version()},
         {"files",
          {{"listed", a.manifest.files.size()},
           {"changed", a.changed},
           {"missing", a.missing},
           {"added", a.added},
           {"cut_outs", a.cut_outs},
           {"unvouched", a.unvouched}}}};
  j["recomputed"] = a.comparison.has_value();
  if (a.comparison) {
    j["verdict"] = {{"old", to_string(a.comparison->verdict_before)},
                    {"new", to_string(a.comparison->verdict_after)}};
    j["largest_difference"] = a.comparison->largest_difference;
  }
  j["values"] = Json::array();
  if (a.comparison)
    for (const auto& v : a.comparison->values) j["values"].push_back(value(v));
  j["differs"] = a.differs;
  j["notes"] = a.notes;
  j["findings"] = Json::array();
  for (const auto& f : a.findings)
    j["findings"].push_back({{"id", f.id},
                             {"severity", to_string(f.severity)},
                             {"scope", to_string(f.scope)},
                             {"scan", f.scan},
                             {"text", f.text}});
  return j.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

}  // namespace rigproof
