#!/usr/bin/env bash
# test_completion.sh BUILD_DIR - completion and manual page know each command and option.
# SPDX-License-Identifier: MIT
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
program=${1:-build/release}/jackvolt
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$program" completion >"$work/completion"
# shellcheck disable=SC1091 # written just now
. "$work/completion"

# offers WORD..: what is completed behind these words.
offers() {
    COMP_WORDS=(jackvolt "$@")
    COMP_CWORD=$#
    COMPREPLY=()
    _jackvolt || true
    printf '%s\n' "${COMPREPLY[@]-}" | sort
}

# expect NAME WORDS..: "words" (sorted, a space between) come from the command line that follows --.
expect() {
    local name=$1 wanted=$2 got
    shift 2
    got=$(offers "$@" | tr '\n' ' ')
    if [ "${got% }" = "$wanted" ]; then pass "completion: $name"; else fail "completion: $name: $got"; fi
}

# The commands that --help lists, and the options that each one's --help lists.
commands=$("$program" --help | sed -n '/^Commands/,/^$/s/^  \([a-z][a-z]*\) .*/\1/p')
options_of() {
    "$program" "$1" --help | sed -nE 's/^  (--[a-z-]+|-o)( .*)?$/\1/p' | sort -u
}
# In mdoc a dash in front is the one of Fl: "Fl -one-way".
man=$(sed -E 's/\\-/-/g' docs/man/jackvolt.1)
page=$(sed -nE '/^\.It Cm COMMAND/,$p; /^\.Sh COMMANDS/,$p' <<<"$man")
common=$(sed -n '/^\.Sh OPTIONS OF EVERY COMMAND/,/^\.Sh ENVIRONMENT/p' <<<"$man")

in_page() {
    grep -qE -- "Fl -?${2#-}( |\$)" <<<"$1"
}

for command in $commands; do
    missing=
    offered=$(offers "$command" -)
    # The part of the manual page that speaks of this command.
    part=$(awk -v command="$command" '
        /^\.It Cm / && depth == 1 { on = $3 == command }
        /^\.Bl/ { depth++ } /^\.El/ { depth-- } /^\.Sh/ { depth = 0; on = 0 }
        on' <<<"$page")
    for option in $(options_of "$command"); do
        grep -qxF -- "$option" <<<"$offered" || missing="$missing $option(completion)"
        in_page "$part" "$option" || in_page "$common" "$option" || missing="$missing $option(page)"
    done
    [ -n "$part" ] || missing="$missing $command(page)"
    grep -qxF -- "$command" <<<"$(offers '')" || missing="$missing $command(completion)"
    if [ -z "$missing" ]; then
        pass "completion: $command and its options, there and in the manual page"
    else
        fail "completion: $command lacks$missing"
    fi
done

expect "a command by its beginning" "scatter" sc
expect "an option by its beginning" "--readings" find x.json --readings
expect "words of an option" "json text" drop x.json --format ''
expect "words of an option that only one command has" "junit" review x.json --format ju
expect "layouts" "long-trailer" new x.json --layout lo
expect "kinds of walk" "sag" walk x.json sa
expect "tables" "awg" table aw
expect "files" "circuits/long-trailer.json" drop circuits/lon
expect "nothing where a value is free" "" drop x.json --case ''
tally completion
