#!/usr/bin/env bash
# hunt.sh BUILD_DIR SECONDS - runs each fuzz target of a fuzzer build for a while.
# SPDX-License-Identifier: MIT
#
# New inputs stay in BUILD_DIR/corpus/NAME for the next run; one that breaks something
# is left as BUILD_DIR/found/NAME-*: mend the fault and add the input to tests/fuzz/seeds/NAME.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
build=${1:-build/fuzz}
seconds=${2:-20}
verdict=0
mkdir -p "$build/found"
for source in tests/fuzz/fuzz_*.c; do
    [ -e "$source" ] || continue
    target=$(basename "$source" .c)
    name=${target#fuzz_}
    mkdir -p "$build/corpus/$name"
    echo "fuzz: $name for $seconds s"
    if "$build/tests/fuzz/$target" -max_total_time="$seconds" -timeout=10 -rss_limit_mb=1024 \
        -max_len=65536 -verbosity=1 -print_final_stats=1 -artifact_prefix="$build/found/$name-" \
        "$build/corpus/$name" "tests/fuzz/seeds/$name" >"$build/$name.log" 2>&1; then
        grep -E 'stat::(number_of_executed_units|peak_rss_mb)' "$build/$name.log" | sed 's/^/  /'
    else
        tail -n 60 "$build/$name.log"
        echo "fuzz: $name broke; the input is in $build/found/"
        verdict=1
    fi
done
exit $verdict
