#!/usr/bin/env bash
# test_runners.sh - the test runners see each way in which a test can fail.
# SPDX-License-Identifier: MIT
#
# In a scratch tree with the real runners, and shell scripts in place of the programs.
set -eu -o pipefail
top=$(cd "$(dirname "$0")/../.." && pwd)
. "$top/tests/support/tally.sh"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"

fresh_tree() {
    rm -rf tests build
    mkdir -p tests/support tests/unit tests/cli tests/bad tests/fuzz build/tests/unit build/tests/fuzz
    cp "$top/tests/support/tally.sh" tests/support/
    for suite in unit cli bad fuzz; do cp "$top/tests/$suite/run.sh" "tests/$suite/"; done
    printf '#!/bin/sh\n[ "$1" = check ] && { echo "$2: no" >&2; exit 2; }\necho out; exit 1\n' >build/jackvolt
    chmod +x build/jackvolt
}

# program FILE: a script from stdin in place of a compiled program.
program() {
    { echo '#!/bin/sh'; cat; } >"$1"
    chmod +x "$1"
}

# expect NAME SUITE COUNTS: the runner's last line, and a verdict that goes with it.
expect() {
    local verdict=0 wanted=1 line
    JV_TALLY='' JV_TIMEOUT=1 "tests/$2/run.sh" build >log 2>&1 || verdict=$?
    line=$(tail -n 1 log | sed -E 's/ +/ /g')
    case $3 in *", 0 failed") wanted=0 ;; esac
    if [ "$line" = " $2 $3" ] && [ "$verdict" -eq "$wanted" ]; then
        pass "runners: $1"
    else
        fail "runners: $1: exit code $verdict,$line, not $3"
        sed 's/^/        /' log
    fi
}

unit_case() {
    fresh_tree
    : >tests/unit/test_a.c
    program build/tests/unit/test_a
    expect "$1" unit "$2"
}

unit_case "two good tests" "2 passed, 0 failed" <<<"printf '1..2\nok 1 - a\nok 2 - b\n'"
unit_case "a test that fails" "1 passed, 1 failed" <<<"printf '1..2\nok 1 - a\nnot ok 2 - b\n'; exit 1"
unit_case "a test that is skipped" "1 passed, 1 failed" <<<"printf '1..2\nok 1 - a\nok 2 - b # SKIP\n'"
unit_case "a program that dies half-way" "1 passed, 1 failed" <<<"printf '1..2\nok 1 - a\n'; kill -9 \$\$"
unit_case "a program that ends early" "1 passed, 1 failed" <<<"printf '1..2\nok 1 - a\n'"
unit_case "a program without tests" "0 passed, 1 failed" <<<":"
unit_case "a bad exit code after good tests" "1 passed, 1 failed" <<<"printf '1..1\nok 1 - a\n'; exit 23"
unit_case "a program that hangs" "1 passed, 1 failed" <<<"printf '1..2\nok 1 - a\n'; exec sleep 20"

fresh_tree
: >tests/unit/test_a.c
expect "a program that was not built" unit "0 passed, 1 failed"

# cli_case NAME COUNTS STDOUT STDERR EXIT, the command being `jackvolt drop; echo e >&2; exit 1`.
cli_case() {
    fresh_tree
    mkdir tests/cli/a
    echo 'jackvolt drop; echo err >&2; exit 1' >tests/cli/a/cmd
    if [ -n "$3" ]; then echo "$3" >tests/cli/a/stdout; fi
    if [ -n "$4" ]; then echo "$4" >tests/cli/a/stderr; fi
    if [ -n "$5" ]; then echo "$5" >tests/cli/a/exit; fi
    expect "$1" cli "$2"
}

cli_case "a command as expected" "1 passed, 0 failed" out err 1
cli_case "another stdout" "0 passed, 1 failed" other err 1
cli_case "another stderr" "0 passed, 1 failed" out other 1
cli_case "another exit code" "0 passed, 1 failed" out err 0
cli_case "stderr that nobody expects" "0 passed, 1 failed" out '' 1
cli_case "no stdout to compare with" "0 passed, 1 failed" '' err 1
cli_case "no exit code to compare with" "0 passed, 1 failed" out err ''

# bad_case NAME COUNTS EXPECT, with a program (stdin) in place of jackvolt.
bad_case() {
    fresh_tree
    echo '{' >tests/bad/a.json
    if [ -n "$3" ]; then echo "$3" >tests/bad/a.expect; fi
    program build/jackvolt
    expect "$1" bad "$2"
}

bad_case "a refusal as expected" "1 passed, 0 failed" no <<<'echo no >&2; exit 2'
bad_case "a refusal in other words" "0 passed, 1 failed" no <<<'echo other >&2; exit 2'
bad_case "a refusal with another exit code" "0 passed, 1 failed" no <<<'echo no >&2; exit 1'
bad_case "a refusal that prints" "0 passed, 1 failed" no <<<'echo no >&2; echo out; exit 2'
bad_case "a refusal without its words" "0 passed, 1 failed" '' <<<'echo no >&2; exit 2'
fresh_tree
echo no >tests/bad/b.expect
expect "words without their input" bad "0 passed, 1 failed"

fuzz_case() {
    fresh_tree
    : >tests/fuzz/fuzz_a.c
    mkdir -p tests/fuzz/seeds/a
    if [ -n "$3" ]; then echo x >tests/fuzz/seeds/a/1; fi
    program build/tests/fuzz/fuzz_a
    expect "$1" fuzz "$2"
}

fuzz_case "a seed that holds" "1 passed, 0 failed" seed <<<'exit 0'
fuzz_case "a seed that breaks" "0 passed, 1 failed" seed <<<'kill -11 $$'
fuzz_case "a target without seeds" "0 passed, 1 failed" '' <<<'exit 0'
tally runners
