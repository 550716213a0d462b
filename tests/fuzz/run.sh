#!/usr/bin/env bash
# run.sh BUILD_DIR - replays the seeds of every fuzz target without a fuzzer.
# SPDX-License-Identifier: MIT
#
# The seeds of tests/fuzz/fuzz_NAME.c stand in tests/fuzz/seeds/NAME/, one input a file.
# An input that once broke something is added there.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
build=${1:-build/release}
log=$(mktemp)
trap 'rm -f "$log"' EXIT

for source in tests/fuzz/fuzz_*.c; do
    [ -e "$source" ] || continue
    target=$(basename "$source" .c)
    seeds=0
    for seed in tests/fuzz/seeds/"${target#fuzz_}"/*; do
        [ -e "$seed" ] || continue
        seeds=$((seeds + 1))
        if timeout 60 "$build/tests/fuzz/$target" "$seed" >"$log" 2>&1; then
            pass "$target $seed"
        else
            fail "$target $seed"
            indent <"$log"
        fi
    done
    if [ "$seeds" -eq 0 ]; then fail "$target has no seeds"; fi
done
tally fuzz
