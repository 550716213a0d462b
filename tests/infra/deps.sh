#!/bin/sh
# deps.sh - installs $PACKAGES with apt; elsewhere prints the names. SPDX-License-Identifier: MIT
set -eu
missing=
if command -v dpkg-query >/dev/null 2>&1; then
    for package in $PACKAGES; do
        dpkg-query -W -f '${Status}' "$package" 2>/dev/null | grep -q 'ok installed' ||
            missing="$missing $package"
    done
    if [ -z "$missing" ]; then
        echo "deps: all packages are there"
        exit 0
    fi
fi
as_root=
if [ "$(id -u)" -ne 0 ]; then as_root=sudo; fi
if ! command -v apt-get >/dev/null 2>&1 || { [ -n "$as_root" ] && ! command -v sudo >/dev/null 2>&1; }; then
    echo "deps: cannot install here. Packages needed (names of Debian 12):"
    echo "  ${missing:-$PACKAGES}"
    echo "The tools decide: this goes on where they are there under other names."
    command -v gcc >/dev/null && command -v pkg-config >/dev/null &&
        pkg-config --exists libcjson libxml-2.0 cmocka gsl lapacke
    exit
fi
echo "deps: installing$missing"
$as_root apt-get update -qq
# shellcheck disable=SC2086 # a list of names
$as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends $missing
