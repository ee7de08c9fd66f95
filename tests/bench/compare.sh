#!/bin/sh
# Times `rigproof look` on a made scan of 20 million points against a bare read of the file and
# against the same job done with PCL alone and with Open3D alone, all in one run. Every figure is a
# whole process; `rigproof look` includes the SHA-256 of the file. Prints medians, ratios, peak
# memory and the error of each answer. Exits 1 when a run fails, 4 when a goal is missed.
#
#   sh tests/bench/compare.sh [-n POINTS] [-r RUNS] [--seed N] [--shuffled] [--quick]
#                             [--sizes] [--spread] [--instructions] [--micro] [--build DIR]
#
#   --quick          without the obvious recipes, which take minutes
#   --sizes          also the cost at 1.2, 2, 5, 10, 20 and 50 million points
#   --spread         also the distance over 20 seeds against its Cramér–Rao bound
#   --instructions   also instruction counts at 1 and 5 million points, which need no quiet machine
#   --micro          also the time of single steps (Google Benchmark)
# Needs room for the scans in $TMPDIR, up to 0.9 GB with --sizes.
set -eu

points=20000000 runs=5 seed=1 order='' quick='' sizes='' spread='' instructions='' micro=''
top=$(cd "$(dirname "$0")/../.." && pwd)
build=$top/build-bench
while [ $# -gt 0 ]; do
  case $1 in
    -n) points=$2; shift ;;
    -r) runs=$2; shift ;;
    --seed) seed=$2; shift ;;
    --build) build=$2; shift ;;
    --shuffled) order=--shuffled ;;
    --quick) quick=1 ;;
    --sizes) sizes=1 ;;
    --spread) spread=1 ;;
    --instructions) instructions=1 ;;
    --micro) micro=1 ;;
    *) sed -n '2,/^set/s/^# \{0,1\}//p' "$0" | sed '$d' >&2; exit 64 ;;
  esac
  shift
done

targets='rigproof make_big_scene bare_read scan_load time_runs'
[ -z "$spread" ] || targets="$targets distance_spread"
[ -z "$micro" ] || targets="$targets bench_road"
cmake -S "$top" -B "$build" -G Ninja -DRIGPROOF_BENCH=ON -DRIGPROOF_TESTS=OFF >/dev/null
others=''
for other in pcl open3d; do
  if ninja -C "$build" -t query ${other}_recipe >/dev/null 2>&1; then
    others="$others $other"
    targets="$targets ${other}_recipe"
  else
    echo "$other is not installed: its recipes are left out" >&2
  fi
done
# shellcheck disable=SC2086
ninja -C "$build" $targets >&2

bench=$build/tests/bench
rigproof=$build/src/app/rigproof
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
trap 'exit 130' INT TERM

make_scan() { # points file
  # shellcheck disable=SC2086
  "$bench/make_big_scene" "$2" -n "$1" --seed "$seed" $order >"$folder/truth"
  truth=$(awk '$1 == "distance" { print $2 }' "$folder/truth")
}

ours() { # file runs
  echo "bare read|$2|$bench/bare_read $1"
  echo "rigproof look|$2|$rigproof look $1 --bar 250 --ball 30 --json"
}

echo "machine: $(nproc) cores,$(sed -n 's/^model name[^:]*://p' /proc/cpuinfo | head -1)"
scan=$folder/scan.ply
make_scan "$points" "$scan"
echo
echo "$points points${order:+, shuffled}, seed $seed"
{
  ours "$scan" "$runs"
  echo "load only: ours|$runs|$bench/scan_load $scan"
  for other in $others; do
    echo "load only: $other|$runs|$bench/${other}_recipe load $scan"
    for how in thinned clustered; do
      echo "$other $how|$runs|$bench/${other}_recipe $how $scan"
    done
    [ -n "$quick" ] || echo "$other obvious|1|$bench/${other}_recipe obvious $scan"
  done
} >"$folder/tasks"
"$bench/time_runs" "$scan" "$truth" <"$folder/tasks" >"$folder/table" || { cat "$folder/table"; exit 1; }
cat "$folder/table"

echo
echo "phases of look, each the least of $runs runs, against the least bare read"
for _ in $(seq "$runs"); do
  "$rigproof" look "$scan" --bar 250 --ball 30 --timings --json 2>/dev/null
done | awk -v bare="$(awk '/^bare read/ { print $5 }' "$folder/table")" '
  /"(read|locate|fit)": [0-9.e-]+,?$/ {
    gsub(/[":,]/, "")
    if (!($1 in least) || $2 < least[$1]) least[$1] = $2
  }
  END {
    split("read locate fit", phases)
    for (k = 1; k <= 3; ++k) {
      name = phases[k]
      printf "  %-8s %7.3f s %6.2f\n", name, least[name], least[name] / bare
    }
  }'
rm "$scan"

if [ -n "$sizes" ]; then
  for size in 1200000 2000000 5000000 10000000 20000000 50000000; do
    make_scan $size "$scan"
    echo
    echo "$size points${order:+, shuffled}"
    # What takes a twentieth of a second needs more rounds.
    ours "$scan" $((size < 3000000 ? 3 * runs : runs)) | "$bench/time_runs" "$scan" "$truth" >"$folder/table.$size"
    cat "$folder/table.$size"
    rm "$scan"
  done
fi

if [ -n "$spread" ]; then
  echo
  "$bench/distance_spread" 2000000 20
fi

# Millions of instructions when the figures below were last looked at, as valgrind counts them.
recorded() { # points
  case $1 in 1000000) echo 1204 ;; 5000000) echo 2793 ;; esac
}
if [ -n "$instructions" ]; then
  echo
  for size in 1000000 5000000; do
    make_scan $size "$scan"
    # Of all threads, in user code. Valgrind emulates where the machine has no counter.
    if perf stat -e instructions:u true 2>&1 | grep -q 'instructions:u.*[0-9]'; then
      count=$(perf stat -x , -e instructions:u "$rigproof" look "$scan" --bar 250 --ball 30 2>&1 \
        >/dev/null | awk -F , '/instructions/ { print $1 }')
      with='perf stat'
    elif command -v valgrind >/dev/null; then
      count=$(valgrind --tool=callgrind --callgrind-out-file=/dev/null "$rigproof" look "$scan" \
        --bar 250 --ball 30 2>&1 >/dev/null | awk '/Collected/ { print $NF }')
      with=valgrind
    else
      echo "neither perf nor valgrind counts instructions here" >&2
      break
    fi
    echo "instructions at $size points: $count ($with)"
    echo "$size $count $(recorded $size)" >>"$folder/table.instructions"
    rm "$scan"
  done
fi

if [ -n "$micro" ]; then
  echo
  "$bench/bench_road"
fi

# The goals, on the table of the first run and, of other sizes, on theirs.
echo
awk "$(cat "$top/tests/bench/goals.awk")"'
  FILENAME ~ /table\.instructions$/ {
    goal("instructions at " $1 " points / recorded", $2 / 1e6 / $3, 1.05, 1)
    next
  }
  FILENAME ~ /table\.[0-9]+$/ {
    if (/^rigproof look/) at[FILENAME ~ /\.1200000$/ ? "small" : FILENAME ~ /\.2000000$/ ? "few" : \
                             FILENAME ~ /\.50000000$/ ? "many" : "other"] = value($0, 2)
    next
  }
  /^bare read/ { bare = value($0, 2) }
  /^rigproof look/ { look = value($0, 2); peak = value($0, 6) }
  /^load only: ours/ { load = value($0, 2) }
  /^load only: [po]/ && !/ours/ { if (!other || value($0, 2) < other) other = value($0, 2) }
  / thinned/ { if (!thinned || value($0, 2) < thinned) thinned = value($0, 2) }
  / clustered/ { if (!cluster || value($0, 2) < cluster) cluster = value($0, 2) }
  / obvious/ { if (!obvious || value($0, 2) < obvious) obvious = value($0, 2) }
  /^file/ { allowed = $(NF - 1) }
  END {
    goal("look / bare read", look / bare, 2, 1)
    goal("peak memory, MiB", peak, allowed, 1)
    if (thinned) goal("better thinned recipe / look", thinned / look, 15, 0)
    if (cluster) goal("better clustered recipe / look", cluster / look, 5, 0)
    if (obvious) goal("better obvious recipe / look", obvious / look, 200, 0)
    goal("load only / bare read", load / bare, 2.5, 1)
    if (other) goal("better other load / load only", other / load, 4, 0)
    if ("small" in at) goal("1.2 million points, ms", 1000 * at["small"], 60, 1)
    if ("many" in at) goal("cost of 50 million points / 25 of 2 million",
                           at["many"] / (25 * at["few"]), 1, 1)
    exit missed ? 4 : 0
  }' "$folder"/table*
