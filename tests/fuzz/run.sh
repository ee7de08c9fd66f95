#!/bin/sh
# Builds the fuzz targets in the sanitized clang tree and runs them, each for a number of executions
# from its seeds: tests/fuzz/seeds/<target>, the files of fixtures/, and documents made on the spot.
# Prints executions, coverage and what was found; exits 1 when anything was.
#
#   sh tests/fuzz/run.sh [-n EXECUTIONS] [--build DIR] [--corpus DIR] [--no-build] [TARGET...]
#
#   -n EXECUTIONS  for each target, 20000 unless told; the long run takes 10000000
#   --corpus DIR   keeps what reaches new code between runs, and how far each target came: a long run
#                  that was stopped goes on from there, unless the target was built anew since
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
build=$top/build-asan executions=20000 corpus='' compile=1
while [ $# -gt 0 ]; do
  case $1 in
    -n) executions=$2; shift ;;
    --build) build=$2; shift ;;
    --corpus) corpus=$2; shift ;;
    --no-build) compile=0 ;;
    -*) sed -n '2,/^set/s/^# \{0,1\}//p' "$0" | sed '$d' >&2; exit 64 ;;
    *) break ;;
  esac
  shift
done
readers="ply pcd stl obj off xyz gz"
inputs="rig artefact limits procedure issuer plan session scenario templog"
documents="results pictures manifest bundle history drawn photo"
# shellcheck disable=SC2086
[ $# -gt 0 ] || set -- $readers $inputs $documents look
if [ $compile -eq 1 ]; then
  sh "$top/demo_scans/packages.sh" tests
  launcher="-DCMAKE_C_COMPILER_LAUNCHER=ccache -DCMAKE_CXX_COMPILER_LAUNCHER=ccache"
  # shellcheck disable=SC2086
  cmake -S "$top" -B "$build" -G Ninja $launcher -DCMAKE_CXX_COMPILER=clang++-19 \
    -DCMAKE_C_COMPILER=clang-19 -DRIGPROOF_SANITIZE=address,undefined -DRIGPROOF_FUZZ=ON \
    -DRIGPROOF_PCH=ON >/dev/null
  # shellcheck disable=SC2046
  cmake --build "$build" --target make_seeds $(printf 'fuzz_%s ' "$@") >&2
fi

scratch=$(mktemp -d -p /dev/shm 2>/dev/null || mktemp -d)
trap 'rm -rf "$scratch"' EXIT
trap 'exit 143' INT TERM
export TMPDIR="$scratch" RIGPROOF_SHARE="$top" RIGPROOF_HOME="$scratch/home"
# What costs half the speed and finds nothing here: uses of a stack that is gone, a stack of its own for
# signals at every error thrown.
export ASAN_OPTIONS=detect_stack_use_after_return=0:use_sigaltstack=0:malloc_context_size=1:quarantine_size_mb=16
# Leaks of the font libraries' own caches are none of ours.
export LSAN_OPTIONS="suppressions=$top/tests/leaks.supp:print_suppressions=0"
[ -x "$build/tests/fuzz/make_seeds" ] && "$build/tests/fuzz/make_seeds" "$scratch/seeds"
failed=0
for target in "$@"; do
  grown=${corpus:-$scratch/corpus}/$target
  seeds=$scratch/seeds/$target
  mkdir -p "$grown" "$scratch/found" "$seeds"
  longest=4096
  case $target in
    ply | pcd | stl | obj | off | xyz | gz) longest=1024 ;;
    results | pictures | drawn) longest=65536 ;;
    rig | artefact | procedure | scenario) cp "$top/fixtures/${target}s"/*.toml "$seeds" ;;
    limits) cp "$top/fixtures/limits"/*.toml "$seeds" ;;
  esac
  [ -d "$top/tests/fuzz/seeds/$target" ] && cp "$top/tests/fuzz/seeds/$target"/* "$seeds"
  # The words of the seeds are the dictionary.
  cat "$seeds"/* | LC_ALL=C tr -c 'A-Za-z0-9_.-' '\n' | LC_ALL=C grep -E '^[A-Za-z_-]{2,24}$' |
    sort -u | sed 's/.*/"&"/' >"$scratch/words"
  [ -s "$scratch/words" ] || echo '"rigproof"' >"$scratch/words"  # an empty one is refused
  fuzzer=$build/tests/fuzz/fuzz_$target
  log=$scratch/$target.log stand=${corpus:-$scratch}/$target.runs
  this=$(sha256sum <"$fuzzer" | cut -c1-64)
  runs=0 result=clean
  if [ -f "$stand" ] && [ "$(cut -d' ' -f1 "$stand")" = "$this" ]; then
    runs=$(cut -d' ' -f2 "$stand")
  fi
  # In slices, each with a seed of its own, so that little is lost when the run is stopped.
  while [ "$runs" -lt "$executions" ] && [ $result = clean ]; do
    slice=$((executions - runs < 500000 ? executions - runs : 500000))
    "$fuzzer" -runs=$slice -seed=$((runs / 500000 + 1)) -max_len=$longest -timeout=10 \
      -rss_limit_mb=1024 -malloc_limit_mb=256 -print_final_stats=1 -dict="$scratch/words" \
      -artifact_prefix="$scratch/found/$target-" "$grown" "$seeds" >"$log" 2>&1 || result=FOUND
    # The clock of the wall also runs while the machine does something else: what hangs in truth does
    # so again when the seconds of the processor are counted.
    late=$(sed -n 's/.*Test unit written to \(.*-timeout-[0-9a-f]*\)$/\1/p' "$log")
    if [ -n "$late" ] && (ulimit -t 10 && exec "$fuzzer" "$late") >>"$log" 2>&1; then
      rm "$late"
      result=clean
    fi
    runs=$((runs + $(awk '/stat::number_of_executed_units/ { n = $2 } END { print n + 0 }' "$log")))
    [ $result = FOUND ] || echo "$this $runs" >"$stand"
  done
  if [ $result = FOUND ]; then
    failed=1
    tail -60 "$log" >&2
    cp -r "$scratch/found" "${corpus:-$build}/" && echo "inputs kept in ${corpus:-$build}/found" >&2
  fi
  [ -f "$log" ] || : >"$log"  # had come far enough before
  awk -v target="$target" -v result="$result" -v runs="$runs" '
    / cov: / { for (i = 1; i < NF; ++i) if ($i == "cov:") coverage = $(i + 1) }
    /stat::average_exec_per_sec/ { rate = $2 }
    END { printf "%-10s %10d executions, %6d a second, %6d places reached: %s\n",
          target, runs, rate, coverage, result }' "$log"
done
exit $failed
