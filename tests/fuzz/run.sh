#!/bin/sh
# Builds the fuzz targets in the sanitized clang tree and runs them, each for a number of executions
# from its seeds (tests/fuzz/seeds/<target>, and the files of fixtures/). Prints executions, coverage
# and what was found; exits 1 when anything was. Long: `sh tests/fuzz/run.sh -n 10000000`.
#
#   sh tests/fuzz/run.sh [-n EXECUTIONS] [--build DIR] [--corpus DIR] [TARGET...]
#
#   --corpus DIR   keeps what reaches new code between runs
set -eu
top=$(cd "$(dirname "$0")/../.." && pwd)
build=$top/build-asan executions=20000 corpus=''
while [ $# -gt 0 ]; do
  case $1 in
    -n) executions=$2; shift ;;
    --build) build=$2; shift ;;
    --corpus) corpus=$2; shift ;;
    -*) sed -n '2,/^set/s/^# \{0,1\}//p' "$0" | sed '$d' >&2; exit 64 ;;
    *) break ;;
  esac
  shift
done
[ $# -gt 0 ] || set -- ply pcd stl obj off xyz gz rig artefact limits procedure issuer session look
sh "$top/demo_scans/packages.sh" tests
launcher="-DCMAKE_C_COMPILER_LAUNCHER=ccache -DCMAKE_CXX_COMPILER_LAUNCHER=ccache"
# shellcheck disable=SC2086
cmake -S "$top" -B "$build" -G Ninja $launcher -DCMAKE_CXX_COMPILER=clang++-19 \
  -DCMAKE_C_COMPILER=clang-19 -DRIGPROOF_SANITIZE=address,undefined -DRIGPROOF_FUZZ=ON >/dev/null
# shellcheck disable=SC2046
cmake --build "$build" --target $(printf 'fuzz_%s ' "$@") >&2

scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
failed=0
for target in "$@"; do
  grown=${corpus:-$scratch/corpus}/$target
  mkdir -p "$grown" "$scratch/found"
  set -- "$top/tests/fuzz/seeds/$target"
  case $target in
    rig | artefact | procedure) set -- "$top/fixtures/${target}s" ;;
    limits) set -- "$top/fixtures/limits" ;;
  esac
  [ -d "$1" ] || set --
  log=$scratch/$target.log
  if RIGPROOF_SHARE=$top "$build/tests/fuzz/fuzz_$target" -runs="$executions" -seed=1 -max_len=4096 \
    -timeout=10 -rss_limit_mb=1024 -malloc_limit_mb=256 -print_final_stats=1 \
    -artifact_prefix="$scratch/found/$target-" "$grown" "$@" >"$log" 2>&1; then
    result=clean
  else
    result=FOUND failed=1
    tail -60 "$log" >&2
    cp -r "$scratch/found" "${corpus:-$build}/" && echo "inputs kept in ${corpus:-$build}/found" >&2
  fi
  awk -v target="$target" -v result="$result" '
    / cov: / { for (i = 1; i < NF; ++i) if ($i == "cov:") coverage = $(i + 1) }
    /stat::number_of_executed_units/ { runs = $2 }
    /stat::average_exec_per_sec/ { rate = $2 }
    END { printf "%-10s %10d executions, %6d a second, %6d places reached: %s\n",
          target, runs, rate, coverage, result }' "$log"
done
exit $failed
