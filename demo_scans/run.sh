#!/bin/sh
# Installs what is missing, builds, and judges the session beside this file, as every session is
# judged. `run.sh --packages` installs and stops.
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
echo "Rigproof: needs administrator rights when packages are missing; about 5 minutes the first time."
sh "$here/demo_scans/packages.sh" build
[ "${1:-}" = "--packages" ] && exit 0
cmake -S "$here" -B "$here/build-demo" -G Ninja -DRIGPROOF_TESTS=OFF >/dev/null
cmake --build "$here/build-demo" -j "$(nproc)" --target rigproof
program="$here/build-demo/src/app/rigproof"
out=$(mktemp -d "${TMPDIR:-/tmp}/rigproof-demo-XXXXXX")
echo
"$program" assess "$here/demo_scans/half-hour" --out "$out/out"
echo
echo "Report:              $out/out/report.html"
echo "The program:         $program"
echo "A scan of your own:  $program look scan001.stl --ball 30"
