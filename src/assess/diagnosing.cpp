#include "assess/diagnosing.h"

#include "diagnose/diagnose.h"
#include "diagnose/zones.h"

namespace rigproof {
namespace {

Observations observations_of(const Results& results, const std::vector<ScanPass>& passes) {
  Observations out;
  std::vector<ZoneNoise> plates, balls;
  for (std::size_t i = 0; i < passes.size(); ++i) {
    if (results.scans[i].status != ScanStatus::used) continue;
    const ScanPass& pass = passes[i];
    out.scans.push_back(pass.record.file);
    out.balls.insert(out.balls.end(), pass.balls.begin(), pass.balls.end());
    out.plates.insert(out.plates.end(), pass.plates.begin(), pass.plates.end());
    plates.insert(plates.end(), pass.plate_noise.begin(), pass.plate_noise.end());
    balls.insert(balls.end(), pass.ball_noise.begin(), pass.ball_noise.end());
  }
  out.artefacts = results.session.artefacts;
  out.temperature = results.temperature;
  out.noise = pooled_noise(plates.empty() ? balls : plates);
  return out;
}

std::vector<RatedValue> rated(const Results& results) {
  std::vector<RatedValue> out;
  for (const auto& c : results.characteristics)
    for (const auto& v : c.values) {
      RatedValue r{v.value.scan, v.value.artefact, c.id, v.value.ball, v.value.pair, std::nullopt};
      if (v.decision) r.ratio = v.decision->ratio;
      out.push_back(std::move(r));
    }
  return out;
}

}  // namespace

void diagnose_session(Results& results, const std::vector<ScanPass>& passes) {
  DiagnosisInput in;
  in.rig = &results.session.rig;
  in.field = results.session.field();
  in.observations = observations_of(results, passes);
  in.views_per_zone = results.session.views_per_zone;
  for (const Finding& f : results.findings) in.findings.push_back(f.id);
  if (in.field)
    results.zones =
        zone_records(in.field->volume, in.observations, rated(results), in.views_per_zone);
  results.diagnosis = diagnose(in);
}

}  // namespace rigproof
