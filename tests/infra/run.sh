#!/usr/bin/env bash
# run.sh BUILD_DIR - checks of the project itself. SPDX-License-Identifier: MIT
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
build=${1:-build/release}

if "$build/docs/errors" | diff -u docs/errors.md - >/dev/null; then
    pass "docs/errors.md is of today's codes.def"
else
    fail "docs/errors.md is not of today's codes.def: run make docs"
fi
tally project
