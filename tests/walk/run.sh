#!/usr/bin/env bash
# run.sh BUILD_DIR - walks by the screen alone, with a hidden fault in each example circuit.
# SPDX-License-Identifier: MIT
#
# tests/walk/faults.txt lists circuits and faults; tests/walk/user.py is the person. Readings come from
# `jackvolt drop --fault`, so that the walk is judged by another command than itself.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
build=${1:-build/release}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
python=python3
if [ -x /usr/bin/python3 ]; then python=/usr/bin/python3; fi
export python build work

one() {
    IFS='|' read -r circuit kind fault <<<"$2"
    circuit=$(echo $circuit) kind=$(echo $kind)
    fault=$(sed 's/^ *//; s/ *$//' <<<"$fault")
    timeout 120 "$python" tests/walk/user.py "$build/jackvolt" "circuits/$circuit.json" "$kind" \
        "$fault" >"$work/$1" 2>&1 || echo failed >"$work/$1.failed"
}
export -f one

grep -v '^#' tests/walk/faults.txt | { if [ -n "${JV_LONG:-}" ]; then sed 's/^+ //'; else grep -v '^+'; fi; } >"$work/list"
n=$(wc -l <"$work/list")
awk '{ printf "%03d%c%s%c", NR, 0, $0, 0 }' "$work/list" |
    xargs -0 -n 2 -P 2 bash -c 'one "$@"' -
if [ "$n" -eq 0 ]; then fail "walk: no fault is listed"; fi
for k in $(seq -f %03g 1 "$n"); do
    name=$(tail -1 "$work/$k")
    if [ -e "$work/$k.failed" ]; then fail "walk: $name"; else pass "$name"; fi
done
# Every circuit has a fault of its own.
for file in circuits/*.json; do
    if ! grep -q "^$(basename "$file" .json) " tests/walk/faults.txt; then
        fail "walk: no fault is hidden in $file"
    fi
done
tally walk
