#!/usr/bin/env bash
# run_commands.sh BUILD_DIR [--ran COMMAND LOG].. [FILE..] - runs what the documents show.
# SPDX-License-Identifier: MIT
#
# Every command of a block fenced as ```console, in README.md, DEVELOPERS.md and docs/*.md
# (or the files named), is run in a scratch copy of the project, one copy a document, with jackvolt
# on PATH. A command is a line that begins with "$ "; a backslash at its end goes on
# in the next line. The lines below it are its output and must be equal to what comes out
# (stdout and stderr); a line "..." stands for any lines, none too. A command
# without output lines may print what it likes. The exit code must be 0, or N where the
# block is fenced as ```console exit=N; `$ echo $?` sees the exit code of the command before it, which then
# may be any. --ran takes the output of a command from a log instead of running it again.
set -eu -o pipefail
. "$(dirname "$0")/../support/tally.sh"
top=$(cd "$(dirname "$0")/../.." && pwd)
build=$(cd "${1:?build directory}" && pwd)
shift
declare -A ran=()
while [ "${1:-}" = --ran ]; do
    ran["$2"]=$(cd "$(dirname "$3")" && pwd)/$(basename "$3")
    shift 3
done
PATH=$build:$PATH
export PATH LC_ALL=C.UTF-8
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# A copy without history and with the release build only, so that make finds it up to date.
copy_project() {
    mkdir "$1"
    (cd "$top" && tar -cf - --exclude=./.git --exclude=./build .) | tar -xf - -C "$1"
    mkdir -p "$1/build"
    if [ -d "$top/build/release" ]; then cp -a "$top/build/release" "$1/build/"; fi
}

# Split a document: a line "number TAB exit TAB command" in $2/list for each command, its
# output lines in $2/N.want.
split_document() {
    mkdir "$2"
    : >"$2/list"
    awk -v dir="$2" '
        !inside && /^```console/ {
            inside = 1; code = 0; n_file = ""
            if (match($0, /exit=[0-9]+/)) code = substr($0, RSTART + 5, RLENGTH - 5)
            next
        }
        inside && /^```/ { inside = 0; next }
        !inside { next }
        going_on { command = command "\n" $0; going_on = /\\$/; if (!going_on) put(); next }
        /^\$ / { command = substr($0, 3); line = NR; going_on = /\\$/; if (!going_on) put(); next }
        n_file != "" { print > n_file }
        function put() {
            n++
            n_file = dir "/" n ".want"
            printf "%s\n", command > (dir "/" n ".cmd")
            printf "%d\t%d\t%d\n", n, code, line > (dir "/list")
        }' "$1"
}

# True when the lines of file $2 fit those of $1, where "..." fits any run of lines.
fits() {
    awk '
        NR == FNR { want[++w] = $0; next }
        { got[++g] = $0 }
        END { exit !match_from(1, 1) }
        function match_from(i, j,    k) {
            while (i <= w) {
                if (want[i] == "...") {
                    if (i == w) return 1
                    for (k = j; k <= g + 1; k++) if (match_from(i + 1, k)) return 1
                    return 0
                }
                if (j > g || want[i] != got[j]) return 0
                i++; j++
            }
            return j > g
        }' "$1" "$2"
}

# Run command $1 of the split document $2 in directory $3; its output to $2/N.got, its code to `code`.
run_command() {
    local command
    command=$(cat "$2/$1.cmd")
    if [ -n "${ran[$command]:-}" ]; then
        cp "${ran[$command]}" "$2/$1.got"
        code=0
        return
    fi
    local before=$code
    code=0
    (cd "$3" && timeout 300 bash -c "(exit $before); $command") >"$2/$1.got" 2>&1 </dev/null || code=$?
}

check_document() {
    local file=$1 parts=$work/parts copy=$work/copy n wanted line next_command
    rm -rf "$parts" "$copy"
    split_document "$file" "$parts"
    if [ ! -s "$parts/list" ]; then return; fi
    copy_project "$copy"
    code=0
    while IFS=$'\t' read -r n wanted line; do
        run_command "$n" "$parts" "$copy"
        next_command=$(cat "$parts/$((n + 1)).cmd" 2>/dev/null || true)
        if [ "$code" -ne "$wanted" ] && [ "$next_command" != 'echo $?' ]; then
            fail "$file:$line: exit code $code, not $wanted: $(cat "$parts/$n.cmd")"
            indent <"$parts/$n.got"
        elif [ -e "$parts/$n.want" ] && ! fits "$parts/$n.want" "$parts/$n.got"; then
            fail "$file:$line: prints something else: $(cat "$parts/$n.cmd")"
            diff -u --label shown --label printed "$parts/$n.want" "$parts/$n.got" >"$parts/diff" || true
            indent <"$parts/diff"
        else
            pass "$file:$line: $(cat "$parts/$n.cmd")"
        fi
    done <"$parts/list"
}

if [ $# -eq 0 ]; then
    cd "$top"
    set -- README.md DEVELOPERS.md docs/*.md
fi
for file in "$@"; do
    if [ -e "$file" ]; then check_document "$file"; fi
done
tally documents
