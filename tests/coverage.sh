#!/usr/bin/env bash
# coverage.sh BUILD_DIR - runs the tests of a coverage build and prints what they covered.
# SPDX-License-Identifier: MIT
#
# The gate: 90 % of the lines of each of the layers that calculate or read.
set -eu -o pipefail
cd "$(dirname "$0")/.."
build=${1:-build/coverage}
gate=90
gated=(physics circuit read solve)

find "$build" -name '*.gcda' -delete
tests/run.sh "$build"
gcovr --root . --filter src/ -j 2 --json "$build/coverage.json" "$build"
gcovr --root . --add-tracefile "$build/coverage.json" --txt - | sed 's/  *$//'

verdict=0
for layer in "${gated[@]}"; do
    if ! compgen -G "src/$layer/*.c" >/dev/null; then continue; fi
    share=$(gcovr --root . --add-tracefile "$build/coverage.json" --filter "src/$layer/" \
        --json-summary-pretty --json-summary - |
        sed -n 's/^ *"line_percent": \([0-9.]*\),*$/\1/p' | tail -n 1)
    if awk -v share="$share" -v gate=$gate 'BEGIN { exit !(share >= gate) }'; then
        echo "coverage: src/$layer $share % of lines"
    else
        echo "coverage: src/$layer $share % of lines, $gate % asked for"
        verdict=1
    fi
done
exit $verdict
