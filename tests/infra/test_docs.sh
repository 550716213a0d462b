#!/usr/bin/env bash
# test_docs.sh BUILD_DIR - the runner of the documents' commands sees what it is to see.
# SPDX-License-Identifier: MIT
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
tally_file=${JV_TALLY:-}
unset JV_TALLY # the runs below are not tests of the project
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
mkdir "$work/build" # no build is needed: the commands are of the shell

# try NAME good|bad: the document on stdin must hold, or be refused.
try() {
    local verdict=good
    cat >"$work/doc.md"
    tests/docs/run_commands.sh "$work/build" "$work/doc.md" >"$work/log" 2>&1 || verdict=bad
    if [ "$verdict" = "$2" ]; then
        pass "documents: $1"
    else
        fail "documents: $1"
        sed 's/^/        /' "$work/log"
    fi
}

try "equal output" good <<'END'
```console
$ printf 'a\nb\n'
a
b
$ echo \
    c
c
```
END
try "other output" bad <<'END'
```console
$ printf 'a\nb\n'
a
c
$ echo d
d
```
END
if grep -q '1 passed, 1 failed' "$work/log"; then
    pass "documents: goes on behind a failure"
else
    fail "documents: goes on behind a failure"
fi
try "a missing line" bad <<'END'
```console
$ echo a
a
b
```
END
try "a line too many" bad <<'END'
```console
$ printf 'a\nb\n'
a
```
END
try "dots for any lines" good <<'END'
```console
$ printf 'a\nb\nc\nd\n'
a
...
d
$ printf 'a\nb\n'
a
...
$ printf 'x\n'
...
x
...
```
END
try "dots do not hide what stands behind them" bad <<'END'
```console
$ printf 'a\nb\nc\n'
a
...
d
```
END
try "a code that is not stated" bad <<'END'
```console
$ false
```
END
try "a code that is stated" good <<'END'
```console exit=1
$ false
```
END
try "a stated code that does not come" bad <<'END'
```console exit=1
$ true
```
END
try "a code that is asked for" good <<'END'
```console
$ (exit 3)
$ echo $?
3
```
END
try "other fences are left alone" good <<'END'
```sh
$ false
```
END
printf 'from the log\n' >"$work/log.txt"
printf '```console\n$ false\nfrom the log\n```\n' >"$work/doc.md"
if tests/docs/run_commands.sh "$work/build" --ran false "$work/log.txt" "$work/doc.md" >"$work/log"; then
    pass "documents: output of a command that was run before"
else
    fail "documents: output of a command that was run before"
fi

JV_TALLY=$tally_file
tally docs
