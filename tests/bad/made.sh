#!/usr/bin/env bash
# made.sh BUILD_DIR - inputs to refuse that are too large or too odd to be kept as files.
# SPDX-License-Identifier: MIT
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
build=${1:-build/release}
export LC_ALL=C.UTF-8
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
chmod 755 "$work"
cp "$build/jackvolt" "$work/jackvolt" # where another user may run it

# refused NAME WORDS COMMAND..: exit code 2, nothing on stdout, WORDS on stderr.
refused() {
    local name=$1 words=$2 code=0
    shift 2
    timeout 60 "$@" >"$work/stdout" 2>"$work/stderr" </dev/null || code=$?
    if [ "$code" -ne 2 ]; then
        fail "bad: $name: exit code $code, not 2"
    elif [ -s "$work/stdout" ]; then
        fail "bad: $name: wrote to stdout"
    elif ! grep -qF "$words" "$work/stderr"; then
        fail "bad: $name: no \"$words\" in"
        head -5 "$work/stderr" | indent
    else
        pass "bad: $name"
    fi
}
check=("$work/jackvolt" check)

{ printf '{"circuit": "x", "parts": '; printf '[%.0s' $(seq 1000); printf ']%.0s' $(seq 1000); echo '}'; } \
    >"$work/deep.json"
refused "1,000 levels" "deep.json:1:90: error E103" "${check[@]}" "$work/deep.json"

# ladder PARTS BYTES: a chain of cables with comments, whose last cable ends at a terminal of its own.
ladder() {
    awk -v n="$1" -v bytes="$2" 'BEGIN {
        while (length(pad) < bytes) pad = pad "x"
        print "{\"circuit\": \"ladder\", \"parts\": {"
        print "\"battery\": {\"is\": \"battery\", \"plus\": \"t0\", \"minus\": \"m\", \"chemistry\": \"agm\", \"capacity\": \"100 Ah\", \"charge\": \"80 %\"},"
        print "\"lamp\": {\"is\": \"load\", \"plus\": \"t1\", \"minus\": \"m\", \"current\": \"2 A\"},"
        for (i = 0; i < n; i++)
            printf "\"cable %d\": {\"is\": \"cable\", \"a\": \"t%d\", \"b\": \"t%d\", \"size\": \"6 AWG\", \"length\": \"1 ft\", \"comment\": \"%s\"}%s\n", \
                i, i, i + 1, pad, i + 1 < n ? "," : ""
        print "}}"
    }'
}
ladder 50000 900 >"$work/large.json" # 50 MB
size=$(wc -c <"$work/large.json")
if [ "$size" -lt 50000000 ]; then fail "bad: the large file has only $size bytes"; fi
refused "50 MB with one fault at its end" 'large.json:50003:52: error E307: terminal "t50000" is touched by part' \
    "${check[@]}" "$work/large.json"
ladder 70000 950 >"$work/larger.json" # more than the 64 MiB that are read
refused "74 MB" "error E504" "${check[@]}" "$work/larger.json"
refused "74 MB through a pipe" "error E504" sh -c "cat '$work/larger.json' | '$work/jackvolt' check -"
rm "$work/larger.json"
# 50,000 wrong lengths and the lone terminal: 50 are told, the others counted, without a look at
# the whole for each.
sed 's/"1 ft"/"1 A"/' "$work/large.json" >"$work/wrong.json"
refused "50,000 faults" "and 49951 more" "${check[@]}" "$work/wrong.json"
rm "$work/wrong.json" "$work/large.json"

refused "a directory" "error E503" "${check[@]}" "$work"
refused "no such file" "error E501" "${check[@]}" "$work/none.json"
echo '{}' >"$work/secret.json"
chmod 000 "$work/secret.json"
if [ "$(id -u)" -eq 0 ]; then # root may read everything
    nobody=(setpriv --reuid=65534 --regid=65534 --clear-groups)
else
    nobody=()
fi
refused "no permission" "error E502" "${nobody[@]}" "${check[@]}" "$work/secret.json"
tally bad
