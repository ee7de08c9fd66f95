#include "assess/retest.h"

#include <algorithm>

namespace rigproof {
namespace {

bool at_its_place(const ScanPass& a, const ScanPass& b, const SamePlace& tolerance) {
  for (const PlacedArtefact& p : a.placed)
    for (const PlacedArtefact& q : b.placed)
      if (p.serial == q.serial && at_same_place(p, q, tolerance)) return true;
  // A zone holds several places; other words name one.
  const auto& zones = all_zone_ids();
  return a.placed.empty() && !a.record.place.empty() && a.record.place == b.record.place &&
         std::ranges::find(zones, a.record.place) == zones.end();
}

bool meets(const ScanPass& pass, const Session& session) {
  const auto& limits = session.limits.by_characteristic;
  return std::ranges::all_of(pass.values, [&](const TestValue& v) {
    const auto limit = limits.find(v.id);
    if (limit == limits.end()) return true;
    return decide(v, limit->second.at(v.nominal_length), session.limits, session.procedure)
               .verdict == Verdict::within;
  });
}

std::string reason_of(const Session& session, const ScanPass& pass) {
  const auto words = std::ranges::find(session.overrides, pass.record.file, &ScanOverride::file);
  return words == session.overrides.end() ? "" : words->retest;
}

Finding supersede(ScanPass& pass, const std::string& reason) {
  pass.record.status = ScanStatus::superseded;
  pass.record.reason = reason;
  for (auto& placed : pass.placed) placed.counts = false;
  return make_finding("retest", {{"scan", pass.record.file}, {"reason", reason}}, pass.record.file);
}

}  // namespace

std::vector<Finding> apply_retest_rule(const Session& session,
                                       std::vector<ScanPass>& passes,
                                       const SamePlace& tolerance) {
  std::vector<Finding> out;
  if (session.procedure.retest.empty()) return out;
  const auto repeats = static_cast<std::size_t>(session.procedure.retest_repeats);
  for (std::size_t i = 0; i < passes.size(); ++i) {
    ScanPass& pass = passes[i];
    std::vector<const ScanPass*> later;
    for (std::size_t k = i + 1; k < passes.size(); ++k)
      if (passes[k].record.status == ScanStatus::used && at_its_place(pass, passes[k], tolerance))
        later.push_back(&passes[k]);
    if (pass.record.status == ScanStatus::rejected && !later.empty()) {
      out.push_back(supersede(pass, pass.record.reason));
      continue;
    }
    const std::string reason = reason_of(session, pass);
    if (pass.record.status == ScanStatus::used && !reason.empty() && later.size() >= repeats &&
        !meets(pass, session) &&
        std::ranges::all_of(later, [&](const ScanPass* p) { return meets(*p, session); }))
      out.push_back(supersede(pass, reason));
  }
  return out;
}

}  // namespace rigproof
