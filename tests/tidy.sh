#!/bin/sh
# clang-tidy over the sources that changed since the last landing: since origin/main where this clone
# has one and is ahead of it, else in the last ten commits. `--all` takes every source. A changed
# header stands for the source of its name. Two cores take 7 to 15 files a minute, so that no more
# than the latest 60 are looked at. Ends with 1 when a remark is left in one of the rooms below; the
# others have not been gone through as a whole, and their remarks are only printed.
set -eu
cd "$(dirname "$0")/.."
clean="base evaluate fit geometry locate optics"
most=60
since="-n 10"
[ -n "$(git log -n 1 --format=%h origin/main..HEAD 2>/dev/null)" ] && since=origin/main..HEAD
# shellcheck disable=SC2086
if [ "${1:-}" = "--all" ]; then
  most=100000
  files=$(git ls-files -- src)
else
  files=$(git log --format= --name-only $since -- src)
fi
files=$(echo "$files" | sed -n 's/\.h$/.cpp/; /\.cpp$/p' | awk '!seen[$0]++' |
  while read -r file; do if [ -f "$file" ]; then echo "$file"; fi; done)
[ -z "$files" ] && exit 0
echo "$(echo "$files" | wc -l) sources changed; the latest $most of them at most are looked at"

# A tree that is only configured: its list of commands names every source.
cmake -S . -B build-tidy -G Ninja >/dev/null
remarked=$(mktemp)
trap 'rm -f "$remarked"' EXIT
echo "$files" | head -n "$most" | xargs -P "$(nproc)" -n 1 sh -c 'clang-tidy-19 -p build-tidy --quiet \
  --extra-arg=-Wno-unknown-warning-option "$1" || echo "$1" >>"$0"' "$remarked"
if grep -E "^src/($(echo "$clean" | tr ' ' '|'))/" "$remarked"; then
  echo "has remarks that must go, or be argued in .clang-tidy" >&2
  exit 1
fi
