#!/bin/sh
# Debian 12 packages by name. `packages.sh build` or `packages.sh tests` installs what is missing and
# nothing else; without anything missing it does nothing and needs no rights.
set -eu
build="g++ cmake ninja-build pkg-config ca-certificates libeigen3-dev libnanoflann-dev libcli11-dev
libtomlplusplus-dev nlohmann-json3-dev libcairo2-dev libpango1.0-dev libqpdf-dev libsqlite3-dev
libpq-dev libsodium-dev libssl-dev liblzf-dev libqrencode-dev libembree-dev libjs-three
libkainjow-mustache-dev libfmt-dev zlib1g-dev libpng-dev libjpeg-dev libboost-dev fonts-dejavu-core"
tests="$build libgtest-dev libgmock-dev libbenchmark-dev libcgal-dev libalglib-dev libceres-dev
poppler-utils qpdf postgresql python3-jsonschema locales clang-19 clang-format-19 clang-tidy-19
libclang-rt-19-dev cppcheck ccache git chromium"
case "${1:-build}" in
  build) wanted=$build ;;
  tests) wanted=$tests ;;
  *) echo "usage: packages.sh build|tests" >&2; exit 64 ;;
esac
missing=""
for package in $wanted; do
  dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'install ok installed' ||
    missing="$missing $package"
done
[ -z "$missing" ] && exit 0
echo "These packages are missing and will be installed (administrator rights, about two minutes):"
echo "$missing" | fold -s -w 90
if [ "$(id -u)" -eq 0 ]; then as_root=""; else as_root="sudo"; fi
$as_root apt-get update -q
# shellcheck disable=SC2086
$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $missing
