#!/usr/bin/env bash
# run.sh BUILD_DIR [--write] - inputs that must be refused. SPDX-License-Identifier: MIT
#
# Each tests/bad/NAME.json has a NAME.expect: what `jackvolt check` must write to
# stderr, to the byte. Exit code 2, and nothing on stdout. The name says the fault.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
build=${1:-build/release}
write=
if [ "${2:-}" = --write ]; then write=1; fi
PATH=$PWD/$build:$PATH
export PATH LC_ALL=C.UTF-8
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

for file in tests/bad/*.json; do
    [ -e "$file" ] || continue
    expect=${file%.json}.expect
    code=0
    timeout 60 jackvolt check "$file" >"$work/stdout" 2>"$work/stderr" </dev/null || code=$?
    if [ -n "$write" ]; then cp "$work/stderr" "$expect"; fi
    if [ "$code" -ne 2 ]; then
        fail "$file: exit code $code, not 2"
    elif [ -s "$work/stdout" ]; then
        fail "$file: wrote to stdout"
    elif [ ! -e "$expect" ]; then
        fail "$file: $expect is missing"
    elif ! diff -u --label expected --label stderr "$expect" "$work/stderr" >"$work/diff"; then
        fail "$file"
        indent <"$work/diff"
    else
        pass "$file"
    fi
done
for expect in tests/bad/*.expect; do
    [ -e "$expect" ] || continue
    [ -e "${expect%.expect}.json" ] || fail "$expect has no input beside it"
done
tally bad
