#!/bin/sh
# clang-tidy over every room, or over those named: tidy.sh [ROOM...]. A room is one source here, so that
# the libraries' headers are read once for all its files: about ten minutes on two cores. A file whose
# local names clash with another's is looked at alone as well. Ends with 1 when a remark is left.
set -eu
top=$(cd "$(dirname "$0")/.." && pwd)
cd "$top"

tidy() { # tree, source: what is remarked
  status=0
  clang-tidy-19 -p "build-tidy/$1" --quiet --extra-arg=-Wno-unknown-warning-option "$2" \
    2>/dev/null || status=$?
  [ $status -le 1 ] # 1: remarks; else it did not run
}

if [ "${1:-}" = "--one" ]; then # a room, and where to say it
  for all in build-tidy/rooms/src/"$2"/CMakeFiles/*.dir/Unity/*.cxx; do
    [ -f "$all" ] || { echo "$2 is no room" >&2; exit 255; }  # ends xargs, too
    tidy rooms "$all"
  done >"$3/$2.room"
  for file in $(sed -n "s|^$top/\(src/[^:]*\.cpp\):.*\[clang-diagnostic-error\]\$|\1|p" "$3/$2.room" | sort -u); do
    tidy files "$file"
  done >"$3/$2.files"
  awk '/: error: / { tell = !index($0, "[clang-diagnostic-error]") } tell' "$3/$2.room" >"$3/$2.remarks"
  cat "$3/$2.files" >>"$3/$2.remarks"
  echo "  $2: $(grep -c ': error: ' "$3/$2.remarks" || true) remarks"
  exit 0
fi

# Trees that are only configured: their lists of commands name every file, and every room.
cmake -S . -B build-tidy/files -G Ninja -DRIGPROOF_TESTS=OFF >/dev/null
cmake -S . -B build-tidy/rooms -G Ninja -DRIGPROOF_TESTS=OFF -DCMAKE_UNITY_BUILD=ON \
  -DCMAKE_UNITY_BUILD_BATCH_SIZE=0 >/dev/null
said=$(mktemp -d)
trap 'rm -rf "$said"' EXIT
# shellcheck disable=SC2046
[ $# -gt 0 ] || set -- $(cd src && ls -d */ | tr -d /)
printf '%s\n' "$@" | xargs -P "$(nproc)" -I ROOM sh tests/tidy.sh --one ROOM "$said"
cat "$said"/*.remarks
if grep -q ': error: ' "$said"/*.remarks; then
  echo "The remarks must go, or be argued in .clang-tidy." >&2
  exit 1
fi
