#!/usr/bin/env bash
# run.sh BUILD_DIR [--write] [NAME..] - command line tests. SPDX-License-Identifier: MIT
#
# tests/cli/NAME/cmd is a line of shell, run in the top directory with jackvolt on PATH
# and $SCRATCH an empty directory. Beside it: `stdout` and `exit` (the exit code), which
# must be equal to the byte, and `stderr`, which when absent means that nothing may
# be written there. --write writes them from what came out: read the difference before you keep it.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
build=${1:-build/release}
shift || true
write=
if [ "${1:-}" = --write ]; then write=1; shift; fi
PATH=$PWD/$build:$PATH
export PATH LC_ALL=C.UTF-8 TZ=UTC
unset COLUMNS NO_COLOR || true
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# The difference of one file, shown indented; true when there is none.
same() {
    if [ ! -e "$1" ]; then echo "        $1 is missing"; return 1; fi
    diff -u --label expected --label "$(basename "$1")" "$1" "$2" | indent
}

run_case() {
    local dir=$1 code=0 ok=1
    rm -rf "$work"/*
    mkdir "$work/scratch"
    SCRATCH=$work/scratch timeout 60 sh "$dir/cmd" >"$work/stdout" 2>"$work/stderr" </dev/null ||
        code=$?
    echo "$code" >"$work/exit"
    if [ -n "$write" ]; then
        cp "$work/stdout" "$work/exit" "$dir/"
        if [ -s "$work/stderr" ]; then cp "$work/stderr" "$dir/"; else rm -f "$dir/stderr"; fi
        return 0
    fi
    same "$dir/exit" "$work/exit" || ok=
    same "$dir/stdout" "$work/stdout" || ok=
    if [ -e "$dir/stderr" ]; then
        same "$dir/stderr" "$work/stderr" || ok=
    elif [ -s "$work/stderr" ]; then
        echo "        not expected on stderr:"
        indent <"$work/stderr"
        ok=
    fi
    [ -n "$ok" ]
}

for cmd in tests/cli/*/cmd; do
    [ -e "$cmd" ] || continue
    dir=$(dirname "$cmd")
    name=$(basename "$dir")
    if [ $# -gt 0 ] && [[ " $* " != *" $name "* ]]; then continue; fi
    if run_case "$dir"; then pass "cli/$name"; else fail "cli/$name: $(cat "$cmd")"; fi
done
tally cli
