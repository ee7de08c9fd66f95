#!/bin/sh
# What is too slow for every build: hundreds of sessions of the virtual rig through the whole road,
# and hundreds of runs killed at any moment. `slow.sh [SEEDS]`, 50 unless told: that many sessions a rig and density.
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
seeds=${1:-50}
echo "Rigproof slow statistics: $((7 * seeds)) sessions, about $((7 * seeds / 10 + 1)) minutes on two free cores."
sh "$here/demo_scans/packages.sh" tests
cmake -S "$here" -B "$here/build" -G Ninja >/dev/null
cmake --build "$here/build" --target ufit_scatter clean_sessions detection_rates plan_statistics \
  diagnose_confusion test_app
export RIGPROOF_SHARE="$here"
start=$(date +%s)
failed=0

# u_fit against the scatter of what it predicts: sizes, spacings, and one chi-square over all centres.
"$here/build/tests/simulate/ufit_scatter" "$seeds" 40000 || failed=1
dense=$(((seeds + 4) / 5))
"$here/build/tests/simulate/ufit_scatter" "$dense" 300000 || failed=1

# Planted findings are found, clean sessions of every rig and procedure are not rejected: none
# outside, no stop, hardly a false warning; and docs/detection.md anew.
sh "$here/tests/sessions/detection.sh" "$here/build" "$dense" >"$here/build/detection.md" || failed=1
cp "$here/build/detection.md" "$here/docs/detection.md"
"$here/build/tests/simulate/clean_sessions" 1 300000 || failed=1

# Plans of five rigs are seen when rendered; their detection limits hold.
for rig in R06 R09 R12 R15 R21; do
  "$here/build/tests/plan/plan_statistics" visible $rig || failed=1
done
"$here/build/tests/plan/plan_statistics" clean R12 1000 || failed=1
"$here/build/tests/plan/plan_statistics" clean R12 $((2 * seeds)) whole || failed=1
for fault in toe-in focal-left radial-both; do
  "$here/build/tests/plan/plan_statistics" detect R12 $fault 200 || failed=1
  "$here/build/tests/plan/plan_statistics" detect R12 $fault $((2 * seeds)) whole || failed=1
done

# How well the diagnosis names planted faults: thousands of sessions, and docs/diagnosis.md anew.
"$here/build/tests/diagnose/diagnose_confusion" "$here/docs/diagnosis.md" || failed=1

# Two hundred kills each of assess, seal and store writes: nothing is lost, the next run works.
RIGPROOF_KILLS=200 "$here/build/tests/app/test_app" --gtest_filter='Mishaps.*Killed*' || failed=1

echo "took $((($(date +%s) - start) / 60)) minutes"
exit $failed
