#!/bin/sh
# layouts.sh FILE.json.. - the C source that carries the example circuits. SPDX-License-Identifier: MIT
#
# Bytes and not string literals: C compilers need not take literals above 4095 characters.
set -eu
echo '/* Written by src/read/layouts.sh from circuits/. SPDX-License-Identifier: MIT */'
echo '#include "read/layouts.h"'
n=0
for file in "$@"; do
    echo "static const char text_$n[] = {"
    od -An -v -td1 "$file" | sed 's/  */,/g; s/^,//; s/$/,/'
    echo '0};'
    n=$((n + 1))
done
echo 'const jv_layout jv_layouts_built[] = {'
n=0
for file in "$@"; do
    echo "    {\"$(basename "$file" .json)\", text_$n, sizeof text_$n - 1},"
    n=$((n + 1))
done
echo '};'
echo 'const size_t jv_layouts_built_count = sizeof jv_layouts_built / sizeof jv_layouts_built[0];'
