#!/bin/sh
# One shaded scan, lit from the upper left, of each sample rig; needs `ninja -C build shade_scan`.
set -eu
here=$(cd "$(dirname "$0")/../.." && pwd)
export RIGPROOF_SHARE="$here"
shade="$here/build/tests/simulate/shade_scan"
"$shade" R06 2 "$here/docs/pictures/R06.png"
"$shade" R09 7 "$here/docs/pictures/R09.png"
"$shade" R12 3 "$here/docs/pictures/R12.png"
"$shade" R15 10 "$here/docs/pictures/R15.png"
"$shade" R21 14 "$here/docs/pictures/R21.png"
