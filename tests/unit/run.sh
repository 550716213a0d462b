#!/usr/bin/env bash
# run.sh BUILD_DIR - runs every cmocka program of a build and counts its tests.
# SPDX-License-Identifier: MIT
#
# Two programs run at a time. A program counts as failed once more when it dies, when it
# reports fewer tests than it planned, or when it skips one: a test that is not run
# proves nothing.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
build=${1:-build/release}
limit=${JV_TIMEOUT:-300} # seconds a program may take
logs=$build/tests/unit/logs
rm -rf "$logs"
mkdir -p "$logs"

names=()
for source in tests/unit/test_*.c; do
    [ -e "$source" ] || continue
    names+=("$(basename "$source" .c)")
done

run_one() {
    status=0
    CMOCKA_MESSAGE_OUTPUT=TAP timeout "$3" "$1/tests/unit/$4" >"$2/$4" 2>&1 || status=$?
    echo "$status" >"$2/$4.exit"
}
export -f run_one
if [ ${#names[@]} -gt 0 ]; then
    printf '%s\n' "${names[@]}" | xargs -P 2 -I{} bash -c 'run_one "$@"' - "$build" "$logs" "$limit" {}
fi

for name in "${names[@]}"; do
    log=$logs/$name
    status=$(cat "$log.exit")
    good=$(grep -a -c '^ok ' "$log" || true)
    bad=$(grep -a -c '^not ok ' "$log" || true)
    skipped=$(grep -a -c '^ok .*# SKIP' "$log" || true)
    planned=$(awk '/^1\.\.[0-9]+$/ { n += substr($0, 4) } END { print n + 0 }' "$log")
    passed=$((passed + good - skipped))
    failed=$((failed + bad))
    trouble=
    if [ "$bad" -gt 0 ]; then trouble="$bad failed"; fi
    if [ "$skipped" -gt 0 ]; then trouble="$skipped skipped"; failed=$((failed + skipped)); fi
    if [ "$planned" -eq 0 ] || [ $((good + bad)) -ne "$planned" ]; then
        trouble="ran $((good + bad)) of $planned tests, exit code $status"
        failed=$((failed + 1))
    elif [ "$status" -ne 0 ] && [ "$bad" -eq 0 ]; then
        trouble="exit code $status"
        failed=$((failed + 1))
    fi
    if [ -n "$trouble" ]; then
        echo "  FAIL  $name: $trouble"
        sed '/^ok /d' "$log" | indent
    elif [ -n "${V:-}" ]; then
        echo "  ok    $name: $good tests"
    fi
done
tally unit
