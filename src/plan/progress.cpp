#include "plan/progress.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include <fmt/format.h>

#include "base/number.h"

namespace rigproof {
namespace {

std::string first_part(const std::string& text) {
  const std::size_t end = text.find(" · ");
  return end == std::string::npos ? text : text.substr(0, end);
}

void describe(const ScanPass& pass, ScanNote& note) {
  note.artefact = pass.record.artefact;
  note.place = pass.record.zone;
  note.points = pass.record.points;
  for (const FeatureRecord& f : pass.record.features) {
    note.evaluated = note.evaluated == 0 ? f.points : std::min(note.evaluated, f.points);
    note.noise_mm = std::max(note.noise_mm, f.rms);
    if (f.sphere)
      note.cap_deg = std::min(note.cap_deg.value_or(f.cap_half_angle_deg), f.cap_half_angle_deg);
  }
}

void add_value(SessionProgress& p, const CharacteristicResult& c) {
  if (c.worst < 0) return;
  const JudgedValue& worst = c.values[static_cast<std::size_t>(c.worst)];
  RunningValue v{c.id, worst.value.scan, worst.value.value, std::nullopt, c.verdict};
  if (worst.decision) {
    v.limit_mm = worst.decision->limit;
    const double over = std::abs(v.value_mm) - *v.limit_mm;
    if (worst.decision->verdict == Verdict::outside &&
        (!p.outside || over > std::abs(p.outside->value_mm) - *p.outside->limit_mm))
      p.outside = v;
  }
  p.values.push_back(v);
}

}  // namespace

RunningSession::RunningSession(Session session)
    : session_(std::move(session)), positions_(positions_of(session_)) {}

RunningSession::RunningSession(Session session, std::vector<PlanEntry> positions)
    : session_(std::move(session)), positions_(std::move(positions)) {}

ScanNote RunningSession::take(const std::filesystem::path& file) {
  ScanPass pass = assess_scan(session_, file);
  for (FeatureRecord& f : pass.record.features) std::exchange(f.picture, {});  // frees it
  const std::string name = pass.record.file;
  drop(name);
  passes_.insert_or_assign(name, std::move(pass));
  order_.push_back(name);

  const Judged& now = judged();
  const auto record = std::ranges::find(now.results.scans, name, &ScanRecord::file);
  ScanNote note;
  note.file = name;
  describe(passes_.at(name), note);
  note.keep = record->status == ScanStatus::used;
  for (std::size_t i = 0; i < now.filled.size(); ++i)
    if (now.filled[i] >= 0 && now.placed[static_cast<std::size_t>(now.filled[i])].scan == name)
      note.position = positions_[i].id;
  for (const Finding& f : now.results.findings)
    if (f.scan == name && f.severity == Severity::stop) note.reasons.push_back(f.text);
  for (const Finding& f : now.results.findings)
    if (f.scan == name && f.severity == Severity::warn) note.reasons.push_back(first_part(f.text));
  if (note.keep && note.position.empty() && !positions_.empty())
    note.reasons.push_back(
        "fills no planned position that is free; it counts as a repeat or extra");
  return note;
}

void RunningSession::drop(const std::string& file) {
  judged_.reset();
  passes_.erase(file);
  std::erase(order_, file);
}

void RunningSession::rename(const std::string& from, const std::string& to) {
  auto node = passes_.extract(from);
  if (node.empty()) return;
  judged_.reset();
  ScanPass& pass = node.mapped();
  pass.record.file = to;
  for (TestValue& v : pass.values) v.scan = to;
  for (Finding& f : pass.findings) f.scan = f.scan == from ? to : f.scan;
  for (PlacedArtefact& p : pass.placed) p.scan = to;
  node.key() = to;
  passes_.insert(std::move(node));
  std::ranges::replace(order_, from, to);
}

const RunningSession::Judged& RunningSession::judged() {
  if (!judged_) judged_ = judge();
  return *judged_;
}

SameBy RunningSession::compared(const Fingerprint& a, const Fingerprint& b) {
  if (a.sha256.empty() || b.sha256.empty()) return same_measurement(a, b);
  const auto number = [this](const std::string& digest) {
    return numbers_.try_emplace(digest, numbers_.size()).first->second;
  };
  const auto [at, fresh] = compared_.try_emplace({number(a.sha256), number(b.sha256)}, SameBy::no);
  if (fresh) at->second = same_measurement(a, b);
  return at->second;
}

RunningSession::Judged RunningSession::judge() {
  Judged out;
  out.results.session = session_;
  out.results.simulated = session_.simulated || session_.rig.simulated;
  out.results.temperature = artefact_temperature(session_.environment);
  // Judging changes values and states, never the evidence, which is large: that is lent.
  std::vector<ScanPass> passes;
  passes.reserve(order_.size());
  for (const std::string& name : order_) {
    ScanEvidence lent = std::exchange(passes_.at(name).evidence, {});
    passes.push_back(passes_.at(name));
    passes.back().evidence = std::move(lent);
  }
  JudgingOptions judging;
  judging.joint = false;
  judging.same = [this](const Fingerprint& a, const Fingerprint& b) { return compared(a, b); };
  judge_together(out.results, passes, judging);
  out.results.inputs.clear();
  for (ScanRecord& scan : out.results.scans) scan.features.clear();
  for (std::size_t i = 0; i < passes.size(); ++i)
    passes_.at(order_[i]).evidence = std::move(passes[i].evidence);
  for (const ScanPass& pass : passes)
    out.placed.insert(out.placed.end(), pass.placed.begin(), pass.placed.end());
  out.filled.assign(positions_.size(), -1);
  const Field* field = session_.field();
  if (!field) return out;
  out.filled = match_positions(positions_, out.placed, field->volume);
  const Positions counted = count_positions(out.placed,
                                            session_.procedure.bar_balls_are_positions,
                                            SamePlace::for_volume(&field->volume));
  for (std::size_t i = 0; i < out.filled.size(); ++i)
    if (positions_[i].closing && counted.closing) out.filled[i] = counted.closing->second;
  return out;
}

SessionProgress RunningSession::progress() {
  const Judged& now = judged();
  SessionProgress p;
  const auto& planned = positions_;
  p.needed = static_cast<int>(planned.size());
  for (std::size_t i = 0; i < planned.size(); ++i) {
    if (now.filled[i] >= 0)
      ++p.done;
    else
      p.missing.push_back(planned[i]);
  }
  if (!p.missing.empty()) p.next = p.missing.front();
  p.minutes_left = session_.procedure.minutes_per_scan * static_cast<double>(p.missing.size());
  for (const CharacteristicResult& c : now.results.characteristics) add_value(p, c);
  p.verdict = now.results.verdict;
  p.headline = now.results.headline;
  p.next_step = now.results.next_step;
  p.simulated = now.results.simulated;
  return p;
}

}  // namespace rigproof
