#!/bin/sh
# cppcheck over every room. Ends with 1 when it says anything but what cppcheck.supp names with its
# reason.
set -eu
cd "$(dirname "$0")/.."
cppcheck -j "$(nproc)" --enable=warning,performance,portability --std=c++20 -q --error-exitcode=1 \
  --suppressions-list=tests/cppcheck.supp -I src src
