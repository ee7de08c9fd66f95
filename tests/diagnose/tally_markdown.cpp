#include <set>

#include <fmt/format.h>

#include "diagnose/tally.h"

namespace rigproof {
namespace {

std::string share(int part, int of) {
  return of > 0 ? fmt::format("{:.1f} %", 100.0 * part / of) : "–";
}

std::string fault_table(const Statistics& s) {
  std::string out =
      "| fault | × limit | sessions | in the set | first | mean set | coefficient within 3 u | "
      "standardised |\n|---|---|---|---|---|---|---|---|\n";
  std::map<double, Tally> all;
  const auto row = [&](const std::string& name, double multiple, const Tally& t) {
    out += fmt::format("| {} | {} | {} | {} | {} | {:.2f} | {} | {:.2f} |\n",
                       name,
                       multiple,
                       t.sessions,
                       share(t.in_set, t.sessions),
                       share(t.first, t.sessions),
                       t.mean_set(),
                       share(t.within_3u, t.coefficients),
                       t.standardised());
  };
  for (const auto& [fault, by_multiple] : s.by_fault)
    for (const auto& [multiple, tally] : by_multiple) {
      row(fault, multiple, tally);
      all[multiple].add(tally);
    }
  for (const auto& [multiple, tally] : all) row("**all**", multiple, tally);
  return out;
}

std::string whole_words(const Statistics& s) {
  if (s.whole.sessions == 0) return "";
  return fmt::format(
      "- Sessions of whole scans (40,000 points each, rendered with noise and blemishes, located, "
      "fitted and\n  judged), one fault of three times its limit: {}, in the set in {}, first in "
      "{},\n"
      "  coefficient within 3 u in {}; clean: {}, a fault named in {}.\n",
      s.whole.sessions,
      share(s.whole.in_set, s.whole.sessions),
      share(s.whole.first, s.whole.sessions),
      share(s.whole.within_3u, s.whole.coefficients),
      s.whole_clean,
      share(s.whole_clean_named, s.whole_clean));
}

std::string demand_table(const Statistics& s) {
  std::string out = "| demand | measured | wanted | met |\n|---|---|---|---|\n";
  for (const StatisticsDemand& d : s.demands())
    out +=
        fmt::format("| {} | {} | {} | {} |\n", d.what, d.measured, d.wanted, d.met ? "yes" : "no");
  return out;
}

std::string confusion_table(const Statistics& s) {
  std::set<std::string> columns;
  for (const auto& [planted, row] : s.confusion)
    for (const auto& [named, n] : row) columns.insert(named);
  std::string head = "| planted \\ named first |", rule = "|---|", body;
  for (const std::string& c : columns) {
    head += " " + c + " |";
    rule += "---|";
  }
  for (const auto& [planted, row] : s.confusion) {
    body += "| " + planted + " |";
    for (const std::string& c : columns) {
      const auto at = row.find(c);
      body += at == row.end() ? "  |" : fmt::format(" {} |", at->second);
    }
    body += "\n";
  }
  return head + "\n" + rule + "\n" + body;
}

std::string limit_table(const Statistics& s) {
  std::string head = "| fault |", rule = "|---|", body;
  for (const auto& [rig, limits] : s.limits) {
    head += " " + rig + " |";
    rule += "---|";
  }
  for (const auto& [fault, unit] : s.units) {
    body += "| " + fault + ", " + unit + " |";
    for (const auto& [rig, limits] : s.limits) {
      const auto at = limits.find(fault);
      body += at == limits.end() ? " – |" : fmt::format(" {:.3g} |", at->second);
    }
    body += "\n";
  }
  return head + "\n" + rule + "\n" + body;
}

}  // namespace

std::string Statistics::markdown(int sessions, std::uint64_t seed) const {
  std::string gaps;
  for (const auto& [rig, faults] : left_out)
    for (const std::string& f : faults) gaps += fmt::format(" {} on {};", f, rig);
  if (!gaps.empty()) gaps.back() = '.';
  int trials = 0;
  for (const auto& [fault, by_multiple] : by_fault)
    for (const auto& [multiple, tally] : by_multiple) trials += tally.sessions;
  return fmt::format(
      R"(# Diagnosis: how well planted faults are named

Written by one command, from the folder of the clone:

```
ninja -C build diagnose_confusion && build/tests/diagnose/diagnose_confusion docs/diagnosis.md
```

Sessions of three invented rigs (fields of 100, 300 and 1200 mm; procedure `single-view`) are
simulated up to their observations: the artefacts as they really are (certificate errors, form,
expansion, temperature) stand before the faulty rig, whose exact optics with lens distortion carry
them into its field; plain fits give centres, radii and patch means; the noise of the matching is
added with the covariance that it has. Nothing is rendered. {sessions} sessions a rig, fault and
size, first seed {seed}.

- Clean sessions: {clean}, of which a fault is named in {clean_named}.
- Sessions with one fault: {trials}. Left out where the rays would miss each other by more than a
  pixel, so that a rig would lose its matches (5 times the limit, some at 3):
 {gaps}
- Sessions with two separable faults of three times their limits: {pairs}, both named in
  {pairs_named}. Separable: each does at least one and a half times its limit beside what the other
  does, and no single other fault does what both do together (cosine 0.95: {imitated} pairs, as
  board pitch with the focal length of the left camera, which together are that of the right one).

{whole}
{demands}
Board pitch, board temperature and baseline count as one fault (`baseline`): no scan tells them
apart. Pitch and roll of a camera count as one (`pitch`): they differ only by what a matcher that
follows believed epipolar lines makes of the gap between the rays. "First" counts the fault itself
or one whose signature has a cosine of 0.95 and more with it in that session. The set of causes
counts each zone of a dent by itself. "Standardised" is the root mean square of
(coefficient − planted)/u.

## One fault

{faults}
## Which fault comes first

{confusion}
## Detection limits

The size that is found with 95 % probability while 5 % of clean sessions name anything.

{limits})",
      fmt::arg("sessions", sessions),
      fmt::arg("seed", seed),
      fmt::arg("clean", clean),
      fmt::arg("clean_named", share(clean_named, clean)),
      fmt::arg("trials", trials),
      fmt::arg("gaps", gaps.empty() ? " none." : gaps),
      fmt::arg("pairs", pairs),
      fmt::arg("imitated", pairs_imitated),
      fmt::arg("pairs_named", share(pairs_named, pairs)),
      fmt::arg("demands", demand_table(*this)),
      fmt::arg("whole", whole_words(*this)),
      fmt::arg("faults", fault_table(*this)),
      fmt::arg("confusion", confusion_table(*this)),
      fmt::arg("limits", limit_table(*this)));
}

}  // namespace rigproof
