# shellcheck shell=sh
# To be sourced: what the tests leave in $TMPDIR goes when the script that ran them ends.
scratch=$(mktemp -d)
trap 'rm -rf "$scratch"' EXIT
trap 'exit 143' INT TERM
export TMPDIR="$scratch"
