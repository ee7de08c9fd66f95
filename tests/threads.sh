#!/bin/sh
# The suite under ThreadSanitizer: threads.sh [-R EXPRESSION], everything unless told, as ctest takes
# it. A clang tree of its own (build-tsan); about an hour on two cores.
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
sh "$here/demo_scans/packages.sh" tests
tree=$here/build-tsan
cmake -S "$here" -B "$tree" -G Ninja -DCMAKE_C_COMPILER_LAUNCHER=ccache \
  -DCMAKE_CXX_COMPILER_LAUNCHER=ccache -DCMAKE_CXX_COMPILER=clang++-19 -DCMAKE_C_COMPILER=clang-19 \
  -DRIGPROOF_SANITIZE=thread -DRIGPROOF_PCH=ON >/dev/null
cmake --build "$tree" >&2
. "$here/tests/scratch.sh"
export TSAN_OPTIONS="suppressions=$here/tests/races.supp" RIGPROOF_SHARE="$here"
ctest --test-dir "$tree" -j 2 --output-on-failure "$@"
