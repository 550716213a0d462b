#!/usr/bin/env bash
# run.sh BUILD_DIR - the fault finder in a closed loop; figures stand in docs/trial.md.
# SPDX-License-Identifier: MIT
#
# A few vehicles of two circuits; with JV_LONG 400 each of every circuit, which takes an hour and
# holds the bars that it prints.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
build=${1:-build/release}
log=$(mktemp)
trap 'rm -f "$log"' EXIT

cases=8
if [ -n "${JV_LONG:-}" ]; then cases=400; fi
if timeout "${JV_TRIAL_SECONDS:-14400}" "$build/tests/trial/trial" $cases >"$log" 2>&1; then
    pass "trial of $cases"
else
    fail "trial of $cases"
fi
if [ -n "${JV_LONG:-}" ]; then cat "$log"; elif [ "$failed" -gt 0 ]; then indent <"$log"; fi
tally trial
