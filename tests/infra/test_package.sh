#!/usr/bin/env bash
# test_package.sh BUILD_DIR - the Debian package, installed in a scratch root, works from there.
# SPDX-License-Identifier: MIT
set -eu -o pipefail
cd "$(dirname "$0")/../.."
. tests/support/tally.sh
mode=$(basename "${1:-build/release}")
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
unset MAKEFLAGS MAKELEVEL MFLAGS || true
root=$work/root
top=$PWD

# holds NAME COMMAND..: the command ends well.
holds() {
    local name=$1
    shift
    if "$@" >"$work/out" 2>&1; then
        pass "package: $name"
    else
        fail "package: $name"
        indent <"$work/out"
    fi
}

# A dpkg that knows of nothing but this root; what the package depends on is not in it.
in_root() {
    dpkg --root="$root" --log=/dev/null --force-not-root --force-script-chrootless --force-depends \
        --force-bad-path "$@"
}
mkdir -p "$root/var/lib/dpkg/info" "$root/var/lib/dpkg/updates" "$root/var/lib/dpkg/triggers"
: >"$root/var/lib/dpkg/status"
: >"$root/var/lib/dpkg/available"

if ! make MODE="$mode" deb >"$work/log" 2>&1; then
    fail "package: make deb"
    indent <"$work/log"
    tally package
    exit 1
fi
pass "package: make deb"
deb=$(tail -n 1 "$work/log")
version=$(dpkg-deb -f "$deb" Version)
holds "it depends on the libraries it uses" grep -q 'libcjson1.*libklu.*libxml2\|libklu.*libcjson1.*libxml2' \
    <(dpkg-deb -f "$deb" Depends | tr ',' '\n' | sort | tr '\n' ' ')
holds "it installs" in_root -i "$deb"
# dpkg runs triggers in the root, where there is nothing to run them; the files are what counts.
installed() {
    [ "$(in_root -s jackvolt | sed -n 's/^Version: //p')" = "$version" ] &&
        (cd "$root" && md5sum --quiet -c var/lib/dpkg/info/jackvolt.md5sums)
}
holds "its files are there and whole" installed

PATH=$root/usr/bin:/usr/bin:/bin
hash -r
program_works() (
    cd "$work" && mkdir -p elsewhere && cd elsewhere &&
        [ "$(command -v jackvolt)" = "$root/usr/bin/jackvolt" ] &&
        [ "$(jackvolt --version)" = "jackvolt ${version%-1}" ] &&
        jackvolt check "$root"/usr/share/jackvolt/circuits/*.json &&
        jackvolt new ours.json --layout small-trailer --keep --quiet && jackvolt drop ours.json --quiet
)
holds "the program works, far from its sources" program_works
all_circuits() { [ "$(ls "$root/usr/share/jackvolt/circuits")" = "$(cd "$top/circuits" && ls ./*.json | sed 's|./||')" ]; }
holds "all example circuits are in it" all_circuits
holds "the manual page is in it" grep -q 'Sh NAME' <(zcat "$root/usr/share/man/man1/jackvolt.1.gz")
completes() {
    # shellcheck disable=SC1091 # of the package
    (. "$root/usr/share/bash-completion/completions/jackvolt" &&
        COMP_WORDS=(jackvolt dr) COMP_CWORD=1 && _jackvolt && [ "${COMPREPLY[*]}" = drop ])
}
holds "the completion completes" completes

# A program of somebody else, by pkg-config alone.
cat >"$work/user.c" <<'END'
#include "jackvolt/circuit.h"
#include "jackvolt/layout.h"
#include "jackvolt/read.h"

#include <stdio.h>

int main(void)
{
    const jv_layout *layout = jv_layout_find("small-trailer");
    jv_diags diags = {0};
    jv_circuit *circuit = NULL;
    if (!layout || jv_circuit_read_text(layout->text, layout->length, NULL, NULL, &diags, &circuit) != JV_OK)
        return 1;
    printf("%zu parts\n", jv_circuit_parts(circuit));
    jv_circuit_free(&circuit);
    return 0;
}
END
libdir=$(cd "$root" && dirname "$(find usr -name libjackvolt.a)")
config() {
    PKG_CONFIG_PATH=$root/$libdir/pkgconfig pkg-config --define-variable=prefix="$root/usr" "$@" jackvolt
}
user() {
    # shellcheck disable=SC2046,SC2068 # lists of options
    gcc -o "$work/user" "$work/user.c" $(config --cflags) $@ && [ "$("$work/user")" = "25 parts" ]
}
shared() {
    export LD_LIBRARY_PATH=$root/$libdir
    user "$(config --libs)" && ldd "$work/user" >"$work/needs" && grep -q "libjackvolt.so.0 => $root" "$work/needs"
}
static() {
    user "$(config --static --libs | sed "s| -ljackvolt| -l:libjackvolt.a|")" && ldd "$work/user" >"$work/needs" && ! grep -q libjackvolt "$work/needs"
}
holds "a program with the shared library" shared
holds "a program with the static library" static

holds "it is removed" in_root -r jackvolt
gone() { [ -z "$(find "$root/usr" -type f -print -quit 2>/dev/null)" ]; }
holds "nothing of it stays" gone

holds "make dist" make dist
dist_is_whole() {
    tar -tzf "build/jackvolt-${version%-1}.tar.gz" | sed 's|^[^/]*/||' >"$work/list" &&
        ! grep -q '^build/' "$work/list" && for file in Makefile README.md LICENSE src/cli/main.c \
        include/jackvolt/version.h tests/run.sh circuits/small-trailer.json; do
            grep -qx "$file" "$work/list" || return 1
        done
}
holds "the tarball holds the sources and nothing that was built" dist_is_whole
tally package
