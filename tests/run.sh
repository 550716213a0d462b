#!/usr/bin/env bash
# run.sh BUILD_DIR - every test of a build, with one total at the end.
# SPDX-License-Identifier: MIT
set -eu -o pipefail
cd "$(dirname "$0")/.."
. tests/support/tally.sh
build=${1:-build/release}
outer=${JV_TALLY:-}
JV_TALLY=$(mktemp)
export JV_TALLY
trap 'rm -f "$JV_TALLY"' EXIT

verdict=0
tests/unit/run.sh "$build" || verdict=1
tests/cli/run.sh "$build" || verdict=1
tests/walk/run.sh "$build" || verdict=1
tests/bad/run.sh "$build" || verdict=1
tests/bad/made.sh "$build" || verdict=1
tests/fuzz/run.sh "$build" || verdict=1
tests/trial/run.sh "$build" || verdict=1
tests/infra/run.sh "$build" || verdict=1

if [ -n "$outer" ]; then cat "$JV_TALLY" >>"$outer"; fi
total || verdict=1
exit $verdict
