#!/bin/sh
# Times what compare.sh does not: `assess` of a session of 24 scans of 2 million points against the
# bare reads of the same files, text formats, and the start of the program; all in one run. Prints
# medians and ratios, and holds the answers of one core against those of all. Exits 1 when a run
# fails, 4 when a goal is missed.
#
#   sh tests/bench/session.sh [-n PIXELS] [-r RUNS] [--build DIR]
#
# Of 6.8 million pixels a scan 2.3 to 3 million see something. Needs 1.5 GB in $TMPDIR.
set -eu

points=6800000 runs=5
top=$(cd "$(dirname "$0")/../.." && pwd)
build=$top/build-bench
while [ $# -gt 0 ]; do
  case $1 in
    -n) points=$2; shift ;;
    -r) runs=$2; shift ;;
    --build) build=$2; shift ;;
    *) sed -n '2,/^set/s/^# \{0,1\}//p' "$0" | sed '$d' >&2; exit 64 ;;
  esac
  shift
done

cmake -S "$top" -B "$build" -G Ninja -DRIGPROOF_BENCH=ON -DRIGPROOF_TESTS=OFF >/dev/null
ninja -C "$build" rigproof make_big_scene bare_read scan_load assess_session time_runs >&2
bench=$build/tests/bench
rigproof=$build/src/app/rigproof
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
trap 'exit 130' INT TERM
export RIGPROOF_HOME="$folder/home"

echo "machine: $(nproc) cores,$(sed -n 's/^model name[^:]*://p' /proc/cpuinfo | head -1)"
printf 'rig = "R21"\nprocedure = "single-view"\nseed = 1\npoints = %s\n' "$points" >"$folder/scenario.toml"
"$rigproof" simulate "$folder/scenario.toml" --out "$folder/session" --quiet >/dev/null
first=$(find "$folder/session/scans" -type f | sort | head -1)
echo
echo "single-view, $(find "$folder/session/scans" -type f | wc -l) scans, $(du -sm "$folder/session/scans" | cut -f1) MiB; the report is timed apart"
{
  echo "bare reads|$runs|$bench/bare_read $(find "$folder/session/scans" -type f | sort | tr '\n' ' ')"
  echo "assess, no documents|$runs|$bench/assess_session $folder/session"
} >"$folder/tasks"
"$bench/time_runs" "$first" 0 <"$folder/tasks" >"$folder/table" || { cat "$folder/table"; exit 1; }
sed '$d' "$folder/table"

# Same input, same bytes, whatever the threads.
"$rigproof" assess "$folder/session" --out "$folder/all" --quiet >/dev/null || [ $? -le 3 ]
taskset -c 0 "$rigproof" assess "$folder/session" --out "$folder/one" --quiet >/dev/null || [ $? -le 3 ]
same=0
cmp "$folder/all/results.json" "$folder/one/results.json" && same=1
rm -rf "$folder/session" "$folder/all" "$folder/one"

# Text: the points of the large scene, one line each.
echo
echo "text of 3 million points, loaded whole on one core"
: >"$folder/text"
for ending in xyz csv; do
  "$bench/make_big_scene" "$folder/scan.$ending" -n 3000000 >/dev/null
  megabytes=$(($(stat -c %s "$folder/scan.$ending") / 1000000))
  {
    echo "bare read, $ending|$runs|$bench/bare_read $folder/scan.$ending"
    echo "$ending, $megabytes MB|$runs|/usr/bin/taskset -c 0 $bench/scan_load $folder/scan.$ending"
  } | "$bench/time_runs" "$folder/scan.$ending" 0 | sed '$d' | tee -a "$folder/text"
done

echo
echo "start"
{
  echo "--version|20|$rigproof --version"
  echo "--help|20|$rigproof --help"
} | "$bench/time_runs" "$folder/scan.xyz" 0 | sed '$d' | tee "$folder/start"

echo
awk -v same="$same" -v cores="$(nproc)" "$(cat "$top/tests/bench/goals.awk")"'
  /^bare reads/ { bare = value($0, 2) }
  /^assess, no/ { assess = value($0, 2); busy = value($0, 7) }
  /^(xyz|csv), / { rate = $2 / value($0, 2); if (!text || rate < text) text = rate }
  /^--version/ { version = value($0, 2) }
  /^--help/ { help = value($0, 2) }
  END {
    goal("assess without documents / bare reads", assess / bare, 10, 1)
    goal("cores kept busy, share", busy / cores, 0.8, 0)
    goal("text, MB/s a core", text, 100, 0)
    goal("--version, ms", 1000 * version, 30, 1)
    goal("--help, ms", 1000 * help, 30, 1)
    goal("results.json of one core and of all are the same", same, 1, 0)
    exit missed ? 4 : 0
  }' "$folder/table" "$folder/text" "$folder/start"
