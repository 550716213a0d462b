#!/bin/sh
# deps.sh - what check-browser needs. SPDX-License-Identifier: MIT
#
# Debian's Chromium and its driver; node and npm unless they are there; two checkers from npm,
# by name and version, into $1.
set -eu
packages='chromium chromium-driver poppler-utils fonts-dejavu-core libxml2-utils'
if ! command -v node >/dev/null || ! command -v npm >/dev/null; then
    packages="$packages nodejs npm"
fi
PACKAGES=$packages "$(dirname "$0")/../infra/deps.sh"
# html-validate 9 runs on the node 18 of Debian 12, later ones do not.
wanted='axe-core@4.14.1 html-validate@9.7.1'
mkdir -p "$1"
if [ "$(cat "$1/wanted" 2>/dev/null)" != "$wanted" ]; then
    # shellcheck disable=SC2086 # a list of names
    npm install --no-save --no-audit --no-fund --loglevel=error --prefix "$1" $wanted
    echo "$wanted" >"$1/wanted"
fi
echo "browser checkers: $wanted"
