#!/bin/sh
# Installs what is missing, builds, and shows the program at work. `run.sh --packages` installs and stops.
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
echo "Rigproof: needs administrator rights when packages are missing; about 5 minutes the first time."
sh "$here/demo_scans/packages.sh" build
[ "${1:-}" = "--packages" ] && exit 0
cmake -S "$here" -B "$here/build-demo" -G Ninja -DRIGPROOF_TESTS=OFF >/dev/null
cmake --build "$here/build-demo" -j "$(nproc)" --target rigproof
program="$here/build-demo/src/app/rigproof"
echo
"$program" look "$here/demo_scans/bar-250.ply" --bar 250 --ball 30
echo
echo "The program: $program"
echo "A scan of your own: $program look scan001.stl --ball 30"
