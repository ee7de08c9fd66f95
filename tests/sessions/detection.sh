#!/bin/sh
# docs/detection.md on stdout: `detection.sh BUILD SEEDS`; 10 seeds plant 20 sessions a finding and
# rig and make 200 clean ones. Exit 1 when a demand is not met.
set -eu
build=$1 seeds=$2
planted=$((2 * seeds))
failed=0
cat <<END
# Detection and false alarms

Made by \`tests/slow.sh\`; do not edit. Sessions of the virtual rig, each with its own noise, artefacts
and arrangement, through the whole road; 40,000 points a scan unless the row says more.

## Planted sessions

Of every finding whose magnitude chance can hide, $planted sessions a rig at the magnitude of
[findings.md](findings.md), found of planted. Demand: 95 of 100. The other findings of that page do
not depend on chance: one session each, in every build.

END
"$build/tests/sessions/detection_rates" "$planted" 40000 || failed=1
cat <<END

## Clean sessions

$seeds seeds of five rigs and four procedures. Demand: none outside, none without a verdict, no stop, at
most 2 in 100 with a warning. A session too close to call is no alarm: its weakest value is so near to
its limit that the rule "proven" does not call it within.

END
"$build/tests/simulate/clean_sessions" "$seeds" 40000 >"$build/clean_sessions.txt" || failed=1
# The sessions that are not plainly within limits, then the sum.
grep -e "^    " -e "^[A-Z]" "$build/clean_sessions.txt" |
  awk '/^    / { if (last) print last; last = ""; sub(/^    /, "  - "); print; next }
       { last = "- " $0 } !/: WITHIN LIMITS/ { print last; last = "" }' || true
echo
tail -n 1 "$build/clean_sessions.txt"
exit $failed
