#!/usr/bin/env bash
# run.sh BUILD_DIR - checks of the project itself and of its gates. SPDX-License-Identifier: MIT
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
build=${1:-build/release}
verdict=0

if "$build/docs/errors" | diff -u docs/errors.md - >/dev/null; then
    pass "docs/errors.md is of today's codes.def"
else
    fail "docs/errors.md is not of today's codes.def: run make docs"
fi
if "$build/docs/schema" schema | diff -u docs/circuit.schema.json - >/dev/null; then
    pass "docs/circuit.schema.json is of today's tables"
else
    fail "docs/circuit.schema.json is not of today's tables: run make docs"
fi
if "$build/docs/schema" docs/format.md | diff -u docs/format.md - >/dev/null; then
    pass "docs/format.md is of today's tables"
else
    fail "docs/format.md is not of today's tables: run make docs"
fi
tally project || verdict=1
tests/infra/test_schema.sh "$build" || verdict=1
tests/infra/test_layers.sh || verdict=1
tests/infra/test_runners.sh || verdict=1
tests/infra/test_docs.sh || verdict=1
tests/infra/test_completion.sh "$build" || verdict=1
# A sanitizer or coverage build is not made to be installed.
if [ "$(basename "$build")" = release ]; then
    tests/infra/test_install.sh "$build" || verdict=1
fi
exit $verdict
