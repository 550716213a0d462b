#!/usr/bin/env bash
# record.sh BUILD_DIR - walks the two walks of the manual anew. SPDX-License-Identifier: MIT
#
# When the fault finder asks in another order, the answers in docs/walks/ no longer fit. This takes them
# from a person who walks by the screen (tests/walk/user.py), and puts the records that come out
# into docs/manual.md, below its lines "<!-- record: sag -->" and "<!-- record: sensor -->".
# Read the difference before it is committed.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
build=${1:-build/release}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

record() { # KIND CIRCUIT FAULT
    JV_ANSWERS=docs/walks/$1.txt python3 tests/walk/user.py "$build/jackvolt" "circuits/$2.json" "$1" "$3"
    "$build/jackvolt" walk "circuits/$2.json" "$1" --answers "docs/walks/$1.txt" |
        sed -n '/^Record/,/^Local law/p' | sed '/^Local law/d' >"$work/$1"
    awk -v kind="$1" -v file="$work/$1" '
        index($0, "<!-- record: " kind " -->") { print; waiting = 1; next }
        waiting && /^\$ / { print; waiting = 0; skipping = 1
            while ((getline line < file) > 0) print line
            print "..."; next }
        skipping && /^```/ { skipping = 0 }
        !skipping { print }' docs/manual.md >"$work/manual"
    cp "$work/manual" docs/manual.md
}

record sag small-trailer "minus clamp: 35 mohm added"
record sensor sensor-harness "front left supply lead: shorted to ctl- at 40 % from a"
