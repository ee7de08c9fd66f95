#!/bin/sh
# Which share of the lines of each room the tests run: coverage.sh [ROOM...], all rooms and all tests
# unless named. A tree of its own (build-coverage, g++), so about half an hour.
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
sh "$here/demo_scans/packages.sh" tests
tree=$here/build-coverage
cmake -S "$here" -B "$tree" -G Ninja -DCMAKE_BUILD_TYPE=Coverage \
  -DCMAKE_CXX_FLAGS_COVERAGE="-O1 --coverage" -DRIGPROOF_PCH=ON \
  -DCMAKE_CXX_COMPILER_LAUNCHER=ccache >/dev/null
. "$here/tests/scratch.sh"
find "$tree" -name '*.gcda' -delete
count() {
  ctest --test-dir "$tree" -j "$(nproc)" "$@" >&2 ||
    echo "Counted all the same; tests that ask for speed may fail where every line is counted." >&2
}
if [ $# -gt 0 ]; then
  # shellcheck disable=SC2046
  cmake --build "$tree" --target $(printf 'test_%s ' "$@") >&2
  count -R "^($(echo "$@" | tr ' ' '|'))\\."
else
  cmake --build "$tree" >&2
  count
  set -- $(cd "$here/src" && ls -d */ | tr -d /)
fi
for room in "$@"; do
  # Every source of the room counts, run or not; of its headers' code what its sources run.
  find "$tree/src/$room" -name '*.gcno' | while read -r notes; do
    (cd "$(dirname "$notes")" && gcov -n "$notes" 2>/dev/null)
  done | awk -v room="$room" '
    /^File/ { mine = index($0, "/src/" room "/") && /\.cpp\x27$/ }
    /^Lines executed/ && mine { split($2, part, ":"); lines += $4; run += part[2] / 100 * $4; mine = 0 }
    END { printf "%-10s %6d lines, %5.1f %% run\n", room, lines, lines ? 100 * run / lines : 0 }'
done
