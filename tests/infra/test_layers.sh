#!/usr/bin/env bash
# test_layers.sh - layers.sh sees every kind of breach. SPDX-License-Identifier: MIT
set -eu -o pipefail
script=$(cd "$(dirname "$0")" && pwd)/layers.sh
. "$(dirname "$0")/../support/tally.sh"
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
cd "$work"

# A small tree without a breach.
fresh_tree() {
    rm -rf include src build
    mkdir -p include/jackvolt src/base src/physics src/circuit/parts src/read src/solve src/render src/cli src/misc
    echo '#include <stddef.h>' >include/jackvolt/low.h
    echo '#include "jackvolt/low.h"' >include/jackvolt/heat.h
    echo '#include "jackvolt/low.h"' >src/base/low.c
    echo '#include "jackvolt/heat.h"' >src/physics/heat.c
    echo '#include "jackvolt/low.h"' >src/circuit/net.h
    echo '#include "circuit/net.h"' >src/circuit/parts/cable.c
    echo '#include <suitesparse/klu.h>' >src/solve/sparse.c
    echo '#include "circuit/net.h"' >src/solve/newton.c
    echo '#include <libxml/tree.h>' >src/read/harness.c
    printf '#include <cjson/cJSON.h>\n#include <libxml/tree.h>\n' >src/render/out.c
    printf '#include "cli/cli.h"\n#include "jackvolt/heat.h"\n' >src/cli/main.c
    : >src/cli/cli.h
}

# refuses NAME FILE INCLUDE WORDS: with that line added to the file, the script must
# answer 1 and say the words.
refuses() {
    fresh_tree
    echo "#include $3" >>"$2"
    if "$script" >log 2>&1; then
        fail "layers: $1: not seen"
    elif grep -qF -- "$4" log; then
        pass "layers: $1"
    else
        fail "layers: $1: says something else"
        sed 's/^/        /' log
    fi
}

fresh_tree
if "$script" >log 2>&1; then pass "layers: a good tree"; else fail "layers: a good tree: $(cat log)"; fi
refuses "internal header of a layer above" src/physics/heat.c '"circuit/net.h"' 'circuit, which is above it'
refuses "public header of a layer above" src/base/low.c '"jackvolt/heat.h"' 'physics, which is above it'
refuses "public header that includes one above" include/jackvolt/low.h '"jackvolt/heat.h"' 'above it'
refuses "public header that includes an internal one" include/jackvolt/heat.h '"circuit/net.h"' 'a public header includes'
refuses "program that includes an internal header" src/cli/main.c '"circuit/net.h"' 'the program includes'
refuses "header without its layer" src/circuit/parts/cable.c '"net.h"' '"circuit/net.h"'
refuses "unknown layer" src/base/low.c '"misc/x.h"' 'names no layer'
refuses "public header that is not there" src/base/low.c '"jackvolt/none.h"' 'no public header'
refuses "public header in angle brackets" src/base/low.c '<jackvolt/low.h>' 'with quotes'
refuses "KLU in a second file" src/solve/newton.c '<suitesparse/klu.h>' 'is wrapped in'
refuses "KLU outside solve" src/circuit/net.h '<suitesparse/klu.h>' 'one file of src/solve'
refuses "cJSON outside render" src/read/harness.c '<cjson/cJSON.h>' 'src/render'
refuses "libxml2 outside read and render" src/solve/newton.c '<libxml/tree.h>' 'src/read and src/render'
refuses "a test library" src/physics/heat.c '<gsl/gsl_math.h>' 'for tests only'
refuses "a directory that is no layer" src/misc/x.c '"jackvolt/low.h"' 'is no layer'

# A call upwards that no include shows.
fresh_tree
echo 'int jv_up(void); int jv_low(void); int jv_low(void) { return jv_up(); }' >src/base/low.c
echo 'int jv_up(void); int jv_up(void) { return 1; }' >src/solve/newton.c
for name in base/low solve/newton; do
    mkdir -p "build/src/${name%/*}"
    "${CC:-cc}" -c -o "build/src/$name.o" "src/$name.c"
done
if "$script" build >log 2>&1; then
    fail "layers: a call to a layer above: not seen"
elif grep -qF 'src/base/low.c calls jv_up of src/solve/newton.c' log; then
    pass "layers: a call to a layer above"
else
    fail "layers: a call to a layer above: $(cat log)"
fi
tally layers
