#include "assess/judging.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "assess/retest.h"
#include "assess/session_evidence.h"
#include "evaluate/characteristic.h"
#include "judge/joint.h"
#include "judge/places.h"
#include "judge/scan_gates.h"
#include "judge/session_gates.h"
#include "judge/session_verdict.h"

namespace rigproof {
namespace {

void add(std::vector<Finding>& to, std::vector<Finding> more) {
  to.insert(to.end(), std::make_move_iterator(more.begin()), std::make_move_iterator(more.end()));
}
void add(std::vector<Finding>& to, const std::optional<Finding>& one) {
  if (one) to.push_back(*one);
}

const Limit* limit_of(const Limits& limits, const std::string& id) {
  const auto it = limits.by_characteristic.find(id);
  return it == limits.by_characteristic.end() ? nullptr : &it->second;
}

/// PF, PS and their like of a bar's balls are information, unless the procedure lets them serve as
/// ball positions.
bool is_information(const Session& session, const TestValue& value) {
  const Characteristic* c = find_characteristic(value.id);
  if (!c || c->kind != ArtefactKind::ball || session.procedure.bar_balls_are_positions)
    return false;
  const auto it = std::ranges::find(session.artefacts, value.artefact, &Artefact::serial);
  return it != session.artefacts.end() && it->kind != ArtefactKind::ball;
}

double seen_deg(const ScanPass& pass, const TestValue& value) {
  double least = 0;
  for (const auto& f : pass.record.features)
    if (f.sphere && (value.ball.empty() || f.ball == value.ball))
      least = least == 0 ? f.cap_half_angle_deg : std::min(least, f.cap_half_angle_deg);
  return least;
}

/// One correlation area for the session, from its plates where it has any: that of a single zone is
/// too uncertain to gate by.
void pool_noise(std::vector<ScanRecord>& scans, std::vector<ScanPass>& passes) {
  std::vector<ZoneNoise> zones;
  for (const auto& pass : passes)
    zones.insert(zones.end(), pass.plate_noise.begin(), pass.plate_noise.end());
  if (zones.empty())
    for (const auto& pass : passes)
      zones.insert(zones.end(), pass.ball_noise.begin(), pass.ball_noise.end());
  const ZoneNoise pooled = pooled_noise(zones);
  for (auto& pass : passes)
    for (auto& value : pass.values) with_pooled_noise(value, pooled);
  if (pooled.pairs == 0) return;
  for (auto& scan : scans)
    for (auto& feature : scan.features) {
      feature.cov *= pooled.area / feature.noise_area;
      feature.noise_area = pooled.area;
    }
}

/// The repeatability gate: a value too uncertain for its limit stops its scan. Where another one of
/// the scan lies outside beyond that doubt, the scan stays with its other values, or a poor rig
/// would never be called outside.
void gate_repeatability(const Session& session, ScanPass& pass, std::vector<Finding>& findings) {
  const auto limit_on = [&](const TestValue& v) -> std::optional<double> {
    const Limit* limit = limit_of(session.limits, v.id);
    if (!limit || is_information(session, v)) return std::nullopt;
    return limit->at(v.nominal_length);
  };
  const auto outside = [&](const TestValue& v) {
    const auto limit = limit_on(v);
    return limit && outside_beyond_doubt(v, *limit, session.limits, session.procedure);
  };
  const bool stays = std::ranges::any_of(pass.values, outside);
  std::vector<TestValue> kept;
  for (const auto& value : pass.values) {
    const auto limit = limit_on(value);
    const auto finding = limit && !outside(value)
                             ? repeatability_finding(value,
                                                     *limit,
                                                     seen_deg(pass, value),
                                                     session.procedure,
                                                     stays ? Severity::warn : Severity::stop)
                             : std::nullopt;
    if (!finding) {
      kept.push_back(value);
      continue;
    }
    findings.push_back(*finding);
    if (stays) continue;
    pass.record.status = ScanStatus::rejected;
    pass.record.reason = finding->id;
    for (auto& placed : pass.placed) placed.counts = false;
    kept.clear();
    break;
  }
  pass.values = std::move(kept);
}

CharacteristicResult start(const Characteristic& c, const Limits& limits) {
  CharacteristicResult out;
  out.id = c.id;
  out.symbol = c.symbol;
  out.judged = limit_of(limits, out.id) != nullptr;
  return out;
}

/// Outside beats undecided beats within.
Verdict worse(Verdict a, Verdict b) {
  const auto rank = [](Verdict v) {
    return v == Verdict::outside ? 2 : v == Verdict::undecided ? 1 : 0;
  };
  return rank(a) >= rank(b) ? a : b;
}

/// The largest |value|/limit stands for a characteristic, before any value that is information.
void decide_all(CharacteristicResult& c,
                const std::vector<ScanPass>& passes,
                const Session& session) {
  const Limits& limits = session.limits;
  const Limit* limit = limit_of(limits, c.id);
  std::pair<bool, double> most{false, -1};
  bool any = false;
  for (const auto& pass : passes)
    for (const auto& value : pass.values) {
      if (value.id != c.id) continue;
      JudgedValue judged{value, std::nullopt};
      const bool superseded = pass.record.status == ScanStatus::superseded;
      if (limit && !superseded && !is_information(session, value))
        judged.decision = decide(value, limit->at(value.nominal_length), limits, session.procedure);
      const auto& d = judged.decision;
      const std::pair<bool, double> weight{d.has_value(), d ? d->ratio : std::abs(value.value)};
      if (!superseded && weight > most) {
        most = weight;
        c.worst = static_cast<int>(c.values.size());
      }
      if (d) {
        c.verdict = any ? worse(c.verdict, d->verdict) : d->verdict;
        any = true;
      }
      c.values.push_back(std::move(judged));
    }
}

void characterise(Results& results, const std::vector<ScanPass>& passes, bool joint) {
  for (const auto& kind : characteristics()) {
    CharacteristicResult c = start(kind, results.session.limits);
    decide_all(c, passes, results.session);
    if (c.values.empty() && !c.judged) continue;
    results.characteristics.push_back(std::move(c));
  }
  std::vector<LimitedValue> limited;
  for (const auto& c : results.characteristics)
    for (const auto& v : c.values)
      if (v.decision) limited.push_back({&v.value, v.decision->limit});
  add(results.findings, uncertainty_ignored(limited, results.session.limits.rule));
  if (joint) results.p_all_within = limited.empty() ? 0 : joint_probability(limited);
}

std::vector<KindProgress> progress_of(const Session& session,
                                      const std::vector<PlacedArtefact>& placed,
                                      const Positions& positions) {
  std::vector<KindProgress> out;
  for (const ArtefactKind kind : {ArtefactKind::ball, ArtefactKind::bar, ArtefactKind::plate}) {
    KindProgress p;
    p.kind = kind;
    p.present =
        std::ranges::any_of(session.artefacts, [&](const auto& a) { return a.kind == kind; });
    const Demand& demand = session.procedure.demand;
    p.needed = kind == ArtefactKind::ball  ? demand.ball
               : kind == ArtefactKind::bar ? demand.bar
                                           : demand.plate;
    p.done = positions.of(kind);
    if (const Field* field = session.field(); field && p.present && p.done < p.needed)
      p.missing = missing_positions(positions_of(session), kind, placed, field->volume);
    out.push_back(std::move(p));
  }
  return out;
}

void warm_up(Results& results,
             const std::vector<PlacedArtefact>& placed,
             const Positions& positions,
             const std::vector<ScanPass>& passes) {
  if (!positions.closing) return;
  const Limit* limit = limit_of(results.session.limits, "sphere_spacing");
  if (!limit) return;
  const auto value_of = [&](int index) -> const TestValue* {
    for (const auto& pass : passes)
      for (const auto& value : pass.values)
        if (value.scan == placed[static_cast<std::size_t>(index)].scan &&
            value.id == "sphere_spacing")
          return &value;
    return nullptr;
  };
  const TestValue* first = value_of(positions.closing->first);
  const TestValue* last = value_of(positions.closing->second);
  if (first && last)
    add(results.findings,
        warm_up_finding(*first,
                        *last,
                        limit->at(first->nominal_length),
                        results.session.procedure.closing_share));
}

VerdictInput verdict_input(const Results& results,
                           std::vector<KindProgress> progress,
                           const Positions& positions) {
  VerdictInput input;
  for (const auto& c : results.characteristics) {
    JudgedCharacteristic j{c.id, c.judged, {}};
    for (const auto& v : c.values)
      if (v.decision) j.verdicts.push_back(v.decision->verdict);
    input.characteristics.push_back(std::move(j));
  }
  input.progress = std::move(progress);
  input.closing_needed = results.session.procedure.demand.closing_repeat;
  input.closing_done = positions.closing.has_value();
  input.findings = results.findings;
  input.minutes_per_scan = results.session.procedure.minutes_per_scan;
  return input;
}

/// Places as named against places as found, of the artefact that a scan shows first.
void places(Results& results, const std::vector<ScanPass>& passes, const Volume& volume) {
  std::vector<NamedPlace> named;
  for (const auto& pass : passes) {
    if (pass.placed.empty() || pass.record.place.empty()) continue;
    int hand = 0;
    for (const auto& feature : pass.evidence.features)
      if (hand == 0) hand = feature.hand;
    named.push_back({pass.record.file, pass.record.place, pass.placed.front().center, hand});
  }
  add(results.findings, place_findings(named, volume));
}

/// The scan without which the verdict would be another.
void one_scan_drives(Results& results, const VerdictInput& input) {
  if (results.verdict != Verdict::outside && results.verdict != Verdict::undecided) return;
  std::set<std::string> scans;
  for (const auto& c : results.characteristics)
    for (const auto& v : c.values)
      if (v.decision && v.decision->verdict != Verdict::within) scans.insert(v.value.scan);
  for (const auto& scan : scans) {
    VerdictInput without = input;
    for (std::size_t i = 0; i < results.characteristics.size(); ++i) {
      without.characteristics[i].verdicts.clear();
      for (const auto& v : results.characteristics[i].values)
        if (v.decision && v.value.scan != scan)
          without.characteristics[i].verdicts.push_back(v.decision->verdict);
    }
    const SessionVerdict other = session_verdict(without);
    if (other.verdict != results.verdict)
      results.findings.push_back(make_finding(
          "one-scan-drives", {{"scan", scan}, {"other", to_string(other.verdict)}}, scan));
  }
}

}  // namespace

void judge_session(Results& results, std::vector<ScanPass>& passes, const JudgingOptions& options) {
  const Session& session = results.session;
  const Volume* volume = session.field() ? &session.field()->volume : nullptr;
  pool_noise(results.scans, passes);
  for (auto& pass : passes) gate_repeatability(session, pass, results.findings);
  add(results.findings, apply_retest_rule(session, passes, SamePlace::for_volume(volume)));
  for (std::size_t i = 0; i < passes.size(); ++i) {
    results.scans[i].status = passes[i].record.status;
    results.scans[i].reason = passes[i].record.reason;
  }

  add(results.findings, session_evidence(session, passes, options));
  // A filter makes balls smaller as well.
  if (std::ranges::find(results.findings, "smoothed", &Finding::id) == results.findings.end())
    add(results.findings, surface_bias(session, passes));
  characterise(results, passes, options.joint);

  std::vector<PlacedArtefact> placed;
  for (const auto& pass : passes)
    placed.insert(placed.end(), pass.placed.begin(), pass.placed.end());
  const Positions positions = count_positions(
      placed, session.procedure.bar_balls_are_positions, SamePlace::for_volume(volume));
  const auto progress = progress_of(session, placed, positions);
  warm_up(results, placed, positions, passes);
  if (volume) {
    places(results, passes, *volume);
    add(results.findings, clustered(placed, positions, *volume));
    if (const Limit* limit = limit_of(session.limits, "sphere_spacing"))
      add(results.findings, direction_missing(placed, *volume, limit->at(0)));
  }
  for (const auto& artefact : session.artefacts)
    add(results.findings,
        artefact_findings(
            artefact, session.limits, session.procedure, volume, session.test_date()));
  add(results.findings,
      environment_findings(session.environment, session.artefacts, session.limits));
  add(results.findings, support_findings(session.environment, session.artefacts));
  std::vector<std::string> evaluated;
  for (const auto& c : results.characteristics)
    if (!c.values.empty()) evaluated.push_back(c.id);
  add(results.findings, limit_findings(evaluated, session.limits));
  add(results.findings, position_findings(progress, session.procedure.minutes_per_scan));

  const VerdictInput input = verdict_input(results, progress, positions);
  const SessionVerdict verdict = session_verdict(input);
  results.verdict = verdict.verdict;
  results.headline = verdict.headline;
  results.next_step = verdict.next_step;
  results.not_tested = verdict.not_tested;
  one_scan_drives(results, input);
}

}  // namespace rigproof
