#include "diagnose/tally.h"

#include <algorithm>
#include <cmath>

namespace rigproof {
namespace {

constexpr double kMultiples[] = {1.5, 3, 5};  // of the detection limit
constexpr double kPairMultiple = 3;
constexpr double kLeastApart = 1.5;  // detection limits that each fault of a pair shows by itself
constexpr double kNearTwin = 0.95;   // cosine
constexpr double kGap_px = 1;        // beyond it the rig would lose its matches
constexpr int kCleanShare = 8;       // clean sessions per session of one fault and size

// The limit of a dent is that of the zone.
bool tried(const TrialRig& rig, std::size_t i) {
  return rig.geometry.u[i] > 0 && rig.signatures[i].id != "warm-up";
}

bool names(const Diagnosis& d, const std::string& fault) {
  return std::ranges::any_of(
      d.causes, [&](const Cause& c) { return fault_class(c.id) == fault_class(fault); });
}

// Of two faults of one multiple of their limits: each does by itself, beside what the other does,
// enough to be found.
bool apart(double cosine) { return kPairMultiple * std::sqrt(1 - cosine * cosine) >= kLeastApart; }

// One other fault does what both do together (the foci of both cameras and that of the right one
// are the focus of the left one): the scans are the same, and one cause is the better answer. All
// limits are the same multiple of u, so that in whitened signatures both faults are of one length.
bool imitated(const TrialRig& rig, std::size_t i, std::size_t j, double sign) {
  const auto cosine = [&](std::size_t a, std::size_t b) {
    return rig.geometry.cosine(static_cast<Eigen::Index>(a), static_cast<Eigen::Index>(b));
  };
  const double length = std::sqrt(2 + 2 * sign * cosine(i, j));
  for (std::size_t k = 0; k < rig.signatures.size(); ++k)
    if (k != i && k != j && rig.geometry.u[k] > 0 &&
        std::abs(cosine(i, k) + sign * cosine(j, k)) >= kNearTwin * length)
      return true;
  return false;
}

}  // namespace

void Tally::add(const Trial& t) {
  ++sessions;
  in_set += t.in_set;
  first += t.first;
  set_sizes += t.set_size;
  if (!t.has_coefficient) return;
  ++coefficients;
  within_3u += std::abs(t.standardised) <= 3;
  squares += t.standardised * t.standardised;
}

void Tally::add(const Tally& o) {
  sessions += o.sessions;
  in_set += o.in_set;
  first += o.first;
  coefficients += o.coefficients;
  within_3u += o.within_3u;
  set_sizes += o.set_sizes;
  squares += o.squares;
}

double Tally::standardised() const {
  return coefficients > 0 ? std::sqrt(squares / coefficients) : 0;
}

void Statistics::add_rig(const TrialRig& rig, int sessions, std::uint64_t seed) {
  for (std::size_t i = 0; i < rig.signatures.size(); ++i) {
    const Signature& s = rig.signatures[i];
    if (!tried(rig, i) || s.id == "local") continue;
    units[s.id] = s.unit;
    limits[rig.name][s.id] = rig.detection(static_cast<int>(i));
  }
  add_faults(rig, sessions, seed);
  add_clean(rig, kCleanShare * sessions, seed + 1'000'000);
  add_pairs(rig, std::max(1, sessions / 4), seed + 2'000'000);
}

void Statistics::add(const Statistics& o) {
  for (const auto& [fault, by_multiple] : o.by_fault)
    for (const auto& [multiple, tally] : by_multiple) by_fault[fault][multiple].add(tally);
  for (const auto& [planted, row] : o.confusion)
    for (const auto& [named, n] : row) confusion[planted][named] += n;
  for (const auto& [rig, of_rig] : o.limits) limits[rig].insert(of_rig.begin(), of_rig.end());
  units.insert(o.units.begin(), o.units.end());
  left_out.insert(o.left_out.begin(), o.left_out.end());
  clean += o.clean;
  clean_named += o.clean_named;
  pairs += o.pairs;
  pairs_imitated += o.pairs_imitated;
  pairs_named += o.pairs_named;
  whole.add(o.whole);
  whole_clean += o.whole_clean;
  whole_clean_named += o.whole_clean_named;
}

void Statistics::add_whole(const TrialRig& rig, int sessions, std::uint64_t seed) {
  for (std::size_t i = 0; i < rig.signatures.size(); ++i) {
    const Signature& s = rig.signatures[i];
    if (!tried(rig, i) || (s.id == "local" && s.zone != "mid-middle-centre")) continue;
    const double value = kPairMultiple * rig.detection(static_cast<int>(i));
    if (rig.gap_px[i] * value > kGap_px) continue;
    for (int k = 0; k < sessions; ++k)
      whole.add(run_trial(rig, {s.id, value, s.zone}, ++seed, Depth::scans));
  }
  for (int k = 0; k < 5 * sessions; ++k) {
    ++whole_clean;
    whole_clean_named += !diagnose_trial(rig, {}, ++seed, Depth::scans).clean;
  }
}

void Statistics::add_faults(const TrialRig& rig, int sessions, std::uint64_t seed) {
  int dents = 0;
  for (std::size_t i = 0; i < rig.signatures.size(); ++i) {
    const Signature& s = rig.signatures[i];
    if (!tried(rig, i)) continue;
    const double limit = rig.detection(static_cast<int>(i));
    // Dents take turns, so that they are as many as the sessions of one other fault.
    const int count = s.id == "local" ? 1 : sessions;
    if (s.id == "local" && dents++ >= 3 * sessions) continue;
    for (const double multiple : kMultiples) {
      if (rig.gap_px[i] * multiple * limit > kGap_px) {
        left_out[rig.name].push_back(s.id);
        break;
      }
      for (int k = 0; k < count; ++k) {
        const double sign = (k + static_cast<int>(i)) % 2 ? -1 : 1;
        const Trial t = run_trial(rig, {s.id, sign * multiple * limit, s.zone}, ++seed);
        by_fault[s.id][multiple].add(t);
        const std::string named =
            t.diagnosis.causes.empty() ? "nothing" : fault_class(t.diagnosis.causes.front().id);
        ++confusion[fault_class(s.id)][named];
      }
    }
  }
}

void Statistics::add_clean(const TrialRig& rig, int sessions, std::uint64_t seed) {
  for (int k = 0; k < sessions; ++k) {
    ++clean;
    clean_named += !run_trial(rig, {}, ++seed).diagnosis.clean;
  }
}

void Statistics::add_pairs(const TrialRig& rig, int sessions, std::uint64_t seed) {
  for (std::size_t i = 0; i < rig.signatures.size(); ++i)
    for (std::size_t j = i + 1; j < rig.signatures.size(); ++j) {
      const Signature &a = rig.signatures[i], &b = rig.signatures[j];
      if (!tried(rig, i) || !tried(rig, j) || a.id == "local" || b.id == "local") continue;
      const double la = rig.detection(static_cast<int>(i)), lb = rig.detection(static_cast<int>(j));
      const auto r = static_cast<Eigen::Index>(i), c = static_cast<Eigen::Index>(j);
      if (fault_class(a.id) == fault_class(b.id) || !apart(rig.geometry.cosine(r, c))) continue;
      if (kPairMultiple * std::max(la * rig.gap_px[i], lb * rig.gap_px[j]) > kGap_px) continue;
      for (int k = 0; k < sessions; ++k) {
        const double sign = (k + static_cast<int>(i + j)) % 2 ? -1 : 1;
        ++seed;
        if (imitated(rig, i, j, sign)) {
          ++pairs_imitated;
          continue;
        }
        const Diagnosis d = diagnose_trial(
            rig, {{a.id, kPairMultiple * la, ""}, {b.id, sign * kPairMultiple * lb, ""}}, seed);
        ++pairs;
        pairs_named += names(d, a.id) && names(d, b.id);
      }
    }
}

}  // namespace rigproof
