#!/bin/sh
# Installs what is missing, builds, and runs every test. `tests/run.sh --ci` adds the format check,
# cppcheck and clang-tidy, makes warnings errors, runs the tests once more under AddressSanitizer and
# UBSan, and each fuzzer for a few thousand executions (docs/reliability.md).
set -eu
here=$(cd "$(dirname "$0")/.." && pwd)
echo "Rigproof tests: needs administrator rights when packages are missing; half an hour the first"
echo "time on two cores, an hour or more with --ci, minutes when nothing changed."
sh "$here/demo_scans/packages.sh" tests
jobs=$(nproc)
launcher="-DCMAKE_C_COMPILER_LAUNCHER=ccache -DCMAKE_CXX_COMPILER_LAUNCHER=ccache"
ci=0
[ "${1:-}" = "--ci" ] && ci=1
. "$here/tests/scratch.sh"

if [ $ci -eq 1 ]; then
  echo "== format"
  find "$here/src" "$here/tests" -name '*.h' -o -name '*.cpp' | sort |
    xargs clang-format-19 --dry-run --Werror
fi

echo "== build and test"
werror=OFF
[ $ci -eq 1 ] && werror=ON
# shellcheck disable=SC2086
cmake -S "$here" -B "$here/build" -G Ninja $launcher -DRIGPROOF_WERROR=$werror >/dev/null
cmake --build "$here/build" -j "$jobs"
ctest --test-dir "$here/build" -j "$jobs" --output-on-failure

echo "== the installed program finds its own files"
installed=$scratch/installed
cmake --install "$here/build" --prefix "$installed" >/dev/null
(cd "$installed" && RIGPROOF_HOME="$installed/home" bin/rigproof selftest --quiet &&
  RIGPROOF_HOME="$installed/home" bin/rigproof new s --rig R12/300 --yes --quiet)

if [ $ci -eq 1 ]; then
  echo "== cppcheck"
  sh "$here/tests/cppcheck.sh"
  echo "== clang-tidy"
  sh "$here/tests/tidy.sh"

  echo "== AddressSanitizer and UBSan"
  # shellcheck disable=SC2086
  cmake -S "$here" -B "$here/build-asan" -G Ninja $launcher -DCMAKE_CXX_COMPILER=clang++-19 \
    -DCMAKE_C_COMPILER=clang-19 -DRIGPROOF_SANITIZE=address,undefined -DRIGPROOF_FUZZ=ON \
    -DRIGPROOF_PCH=ON >/dev/null
  # Sessions, plans and published numbers have been through the same code above; here they would
  # only take long.
  rooms='base geometry fit optics scan inputs locate evaluate evidence judge assess record report
    seal app'
  # shellcheck disable=SC2046,SC2086
  cmake --build "$here/build-asan" -j "$jobs" --target $(printf 'test_%s ' $rooms) fuzzers
  # Leaks of the font libraries' own caches are none of ours. Of the program, what takes foreign
  # files: the rest computes the same again, ten times slower.
  # shellcheck disable=SC2086
  LSAN_OPTIONS="suppressions=$here/tests/leaks.supp" ctest --test-dir "$here/build-asan" \
    -j "$jobs" --output-on-failure -R "^($(echo $rooms | tr ' ' '|'))\." \
    -E '^app\.(Bundle|Explain|Interim|Mishaps|PlanCommand|Readme|Redo|Seal|SealHonesty|Watch)\.'

  echo "== fuzzers"
  sh "$here/tests/fuzz/run.sh" --no-build -n 2000
fi
