#!/usr/bin/env bash
# test_install.sh BUILD_DIR - what `make install` puts down can be built against, and goes again.
# SPDX-License-Identifier: MIT
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
mode=$(basename "${1:-build/release}")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
unset MAKEFLAGS MAKELEVEL MFLAGS || true
prefix=$work/usr

cat >"$work/user.c" <<'END'
#include "jackvolt/status.h"
#include "jackvolt/version.h"

#include <stdio.h>

int main(void)
{
    return printf("%s %s\n", JV_VERSION, jv_status_text(JV_OK)) > 0 ? 0 : 1;
}
END
PKG_CONFIG_PATH=$prefix/lib/pkgconfig
export PKG_CONFIG_PATH

build_and_run() {
    # shellcheck disable=SC2046 # pkg-config prints a list of options
    gcc -o "$work/user" "$work/user.c" $(pkg-config --cflags jackvolt) "$@" &&
        LD_LIBRARY_PATH=$prefix/lib "$work/user" >"$work/out"
}

if ! make MODE="$mode" PREFIX="$prefix" install >"$work/log" 2>&1; then
    fail "install: $(tail -n 5 "$work/log")"
else
    pass "install"
    version=$(pkg-config --modversion jackvolt)
    if build_and_run $(pkg-config --libs jackvolt) && [ "$(cat "$work/out")" = "$version ok" ]; then
        pass "install: a program with the shared library"
    else
        fail "install: a program with the shared library"
    fi
    if build_and_run "$prefix/lib/libjackvolt.a" $(pkg-config --static --libs jackvolt | sed 's/-ljackvolt//') &&
        [ "$(cat "$work/out")" = "$version ok" ]; then
        pass "install: a program with the static library"
    else
        fail "install: a program with the static library"
    fi
    make MODE="$mode" PREFIX="$prefix" uninstall >"$work/log" 2>&1 || true
    left=$(find "$prefix" -name '*jackvolt*')
    if [ -z "$left" ]; then pass "uninstall"; else fail "uninstall leaves $left"; fi
fi
tally install
