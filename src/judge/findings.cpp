#include "judge/findings_parts.h"

namespace rigproof {
namespace {

using enum Severity;
using enum Scope;

}  // namespace

std::vector<FindingKind> findings_of_the_decision() {
  return {
      // Decision and integrity
      {"limit-missing",
       note,
       session,
       "{characteristic} has no limit. · Its values are printed without a verdict. · Add a limit "
       "to limits.toml before the next session if it should be judged.",
       {}},
      {"limits-after-scans",
       warn,
       session,
       "The limits are dated {limits_date}, after the first scan ({scan_date}). · Limits chosen "
       "with the result in hand prove nothing. · Agree on limits before scanning.",
       {}},
      {"rule-after-scans",
       warn,
       session,
       "The decision rule changed from \"{earlier}\" to \"{rule}\" since {where}. · Who carries "
       "the burden of "
       "proof must be settled beforehand. · Agree on the rule before scanning.",
       {}},
      {"uncertainty-ignored",
       warn,
       session,
       "Under the rule \"simple\" U is up to {percent} % of the limit ({characteristic}, {scan}). "
       "· "
       "The rule leaves U out: so near to its limit a value may lie on either side. · Use a better "
       "certificate or a thermometer on the artefact, or agree on the rule \"proven\" before the "
       "next session.",
       {}},
      {"one-scan-drives",
       warn,
       session,
       "Without {scan} the verdict would be {other}. · One scan decides; it still counts. · Repeat "
       "that position before acting on the verdict.",
       {}},
      {"retest",
       note,
       session,
       "{scan} was repeated under the retest rule ({reason}). · Both are printed; the repeat "
       "counts. · Nothing to do.",
       {}},
      {"withdrawn",
       note,
       scan,
       "{scan} was withdrawn: {reason} · It stays on the record and gives no value. · Nothing to "
       "do.",
       {}},
      {"scan-edited",
       stop,
       session,
       "{scan} is not the file that was assessed: its hash differs. · The verdict is about other "
       "points. · Restore the original file.",
       {}},
      {"certificate-edited",
       stop,
       session,
       "{file} is not the document that was sealed: its hash differs. · Its words may differ from "
       "the results. · Ask the issuer for the original.",
       {}},
      {"unknown-signer",
       warn,
       session,
       "The seal was made with a key that is not trusted here ({key}). · Anyone can make a seal; "
       "only a known key says who. · Compare the key with the issuer by another way.",
       {}},
      {"raw-missing",
       warn,
       session,
       "The raw file of {scan} is not here. · Values can be recomputed only from the cut-outs. · "
       "Ask the issuer for the raw scans if that matters.",
       {}},
      {"other-version",
       note,
       session,
       "Computed again with version {version} instead of {sealed}; the largest difference is "
       "{difference}. · Versions may differ in the last digits. · Nothing to do while the "
       "difference is far below the uncertainty.",
       {}},
      {"clock-odd",
       warn,
       session,
       "{detail} · Order and dates of the scans cannot be trusted. · Set the clock of the "
       "computer, and write date into session.toml.",
       {}},
  };
}

const std::vector<FindingKind>& finding_table() {
  static const std::vector<FindingKind> table = [] {
    std::vector<FindingKind> all = findings_before();
    for (const auto& part : {findings_of_scans(), findings_of_the_decision()})
      all.insert(all.end(), part.begin(), part.end());
    return all;
  }();
  return table;
}

}  // namespace rigproof
