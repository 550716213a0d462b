#!/usr/bin/env bash
# test_schema.sh BUILD_DIR - docs/circuit.schema.json against a validator of others.
# SPDX-License-Identifier: MIT
#
# It takes every circuit file that the program takes, and refuses those of tests/bad whose
# fault shows in the keys and the kinds of values.
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
python=
for candidate in /usr/bin/python3 python3; do
    if "$candidate" -c 'import jsonschema' 2>/dev/null; then python=$candidate; break; fi
done
if [ -z "$python" ]; then
    fail "schema: python3-jsonschema is missing: run make deps"
    tally schema
    exit 1
fi

work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
# Lines "good TAB file" or "bad TAB file" in, "pass TAB file TAB what" or "fail ..." out.
cat >"$work/validate.py" <<'END'
import json, sys
from jsonschema import Draft202012Validator
schema = json.load(open("docs/circuit.schema.json"))
Draft202012Validator.check_schema(schema)
validator = Draft202012Validator(schema)
for wanted, name in (line.rstrip("\n").split("\t") for line in sys.stdin):
    good = next(validator.iter_errors(json.load(open(name))), None) is None
    print("pass" if good == (wanted == "good") else "fail", name, "taken" if good else "refused", sep="\t")
END

{
    for file in circuits/*.json tests/fuzz/seeds/circuit/example; do
        if [ -e "$file" ]; then printf 'good\t%s\n' "$file"; fi
    done
    for name in bare-number bare-size unknown-key unknown-key-near-none unknown-key-of-the-file \
        unknown-key-of-a-watch unknown-key-of-a-case key-with-a-point group-that-is-no-object \
        unknown-kind-of-part part-without-a-kind part-that-is-no-object unknown-word \
        missing-terminal empty-terminal no-parts no-circuit-name file-that-is-a-list nan \
        watch-with-three-terminals watch-at-nothing watch-with-an-unknown-word \
        case-with-an-unknown-load case-with-a-bare-load connector-with-one-terminal-a-pin \
        curve-that-is-none flag-in-quotes comment-that-is-a-number; do
        printf 'bad\ttests/bad/%s.json\n' "$name"
    done
} | "$python" "$work/validate.py" >"$work/verdicts" || fail "schema: the validator gave up"
while IFS=$'\t' read -r verdict name what; do
    "$verdict" "schema: $name is $what"
done <"$work/verdicts"
tally schema
