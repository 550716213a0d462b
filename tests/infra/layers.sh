#!/usr/bin/env bash
# layers.sh [BUILD_DIR] - the layers hold: everything points down only.
# SPDX-License-Identifier: MIT
#
# Run in the top directory. Prints each breach and answers 1 when there is one.
#   1. An internal header is included as "layer/name.h", from its own layer or one above.
#   2. A public header belongs to the lowest layer that has a source file of its name,
#      and is included only from there up (the same among public headers).
#   3. The program and the public headers see public headers only.
#   4. cJSON is included in src/render, libxml2 in src/read and src/render, KLU in one
#      file of src/solve.
#   5. With BUILD_DIR: no object of a layer calls into a layer above (nm). This sees
#      what rule 2 cannot, a header named unlike its source.
set -eu -o pipefail
layers=(base tables physics circuit read solve study render cli)
build=${1:-}
breaches=0

breach() {
    echo "$1"
    breaches=$((breaches + 1))
}

# Set `rank` to the place of a layer, 0 at the bottom; -1 when there is no such layer.
rank_of() {
    local i
    rank=-1
    for i in "${!layers[@]}"; do
        if [ "${layers[$i]}" = "$1" ]; then rank=$i; fi
    done
}

# Set `rank` to that of a public header: the lowest layer with a source of its name, -1 when none.
rank_of_public() {
    local stem layer files
    stem=$(basename "$1" .h)
    for layer in "${layers[@]}"; do
        files=(src/"$layer"/"$stem".c src/"$layer"/*/"$stem".c)
        if [ -e "${files[0]}" ] || [ -e "${files[1]}" ]; then
            rank_of "$layer"
            return
        fi
    done
    rank=-1
}

# check_internal WHERE FILE LAYER(or jackvolt) RANK INCLUDED: rules 1 to 3 for one "..." include.
check_internal() {
    local where=$1 file=$2 from=$3 own=$4 included=$5 target=${5%%/*}
    if [ "$target" = "$included" ]; then
        breach "$where: \"$included\" is to be written with its layer, \"$from/$included\""
        return
    fi
    if [ "$target" = jackvolt ]; then
        if [ ! -e "include/$included" ]; then breach "$where: no public header $included"; fi
        rank_of_public "$included"
    else
        rank_of "$target"
        if [ "$rank" -lt 0 ]; then breach "$where: \"$included\" names no layer"; fi
        if [ "$from" = jackvolt ]; then
            breach "$where: a public header includes the internal \"$included\""
        elif [ "$from" = cli ] && [ "$target" != cli ]; then
            breach "$where: the program includes the internal \"$included\""
        fi
    fi
    if [ "$own" -ge 0 ] && [ "$rank" -gt "$own" ]; then
        breach "$where: ${layers[$own]} includes \"$included\" of ${layers[$rank]}, which is above it"
    fi
}

# check_library WHERE FILE LAYER INCLUDED: rule 4 for one include of another library.
check_library() {
    local where=$1 file=$2 from=$3 included=$4
    case $included in
    *cJSON*)
        [ "$from" = render ] || breach "$where: cJSON belongs in src/render" ;;
    libxml/* | libxml2/*)
        [ "$from" = render ] || [ "$from" = read ] ||
            breach "$where: libxml2 belongs in src/read and src/render" ;;
    *klu* | suitesparse/* | amd.h | btf.h | colamd.h | cholmod* | umfpack*)
        if [ "$from" != solve ]; then
            breach "$where: KLU belongs in one file of src/solve"
        elif [ -n "$klu_file" ] && [ "$klu_file" != "$file" ]; then
            breach "$where: KLU is wrapped in $klu_file already"
        fi
        klu_file=$file ;;
    gsl/* | *lapack* | cblas* | cmocka*)
        breach "$where: <$included> is for tests only" ;;
    esac
}

klu_file=
while IFS= read -r line; do
    file=${line%%:*}
    rest=${line#*:}
    where=$file:${rest%%:*}
    [[ ${rest#*:} =~ ([\<\"])([^\>\"]*) ]]
    quote=${BASH_REMATCH[1]}
    included=${BASH_REMATCH[2]}
    if [ "${file#include/}" != "$file" ]; then
        from=jackvolt
        rank_of_public "$file"
    else
        from=${file#src/}
        from=${from%%/*}
        rank_of "$from"
        if [ "$rank" -lt 0 ]; then breach "$file: src/$from is no layer"; fi
    fi
    own=$rank
    if [ "$quote" = '"' ]; then
        check_internal "$where" "$file" "$from" "$own" "$included"
    else
        if [ "${included#jackvolt/}" != "$included" ]; then
            breach "$where: <$included> is to be written with quotes"
        fi
        check_library "$where" "$file" "$from" "$included"
    fi
done < <(grep -rnE '^[[:space:]]*#[[:space:]]*include[[:space:]]*[<"]' --include='*.[ch]' include src || true)

# Rule 5: symbols wanted against symbols given, layer by layer.
if [ -n "$build" ]; then
    objects=$(find src -name '*.c' | sed "s|\(.*\)c\$|$build/\1o|" | while IFS= read -r object; do
        if [ -e "$object" ]; then echo "$object"; fi
    done)
    calls=$(xargs -r nm -A -g <<<"$objects" |
        awk -v order="${layers[*]}" -v root="$build/src/" '
        BEGIN { n = split(order, name, " "); for (i = 1; i <= n; i++) place[name[i]] = i }
        {
            object = substr($1, length(root) + 1); sub(/:.*/, "", object)
            layer = object; sub(/\/.*/, "", layer); symbol = $NF
            if ($0 ~ / U [^ ]*$/) { wants[symbol] = wants[symbol] " " object } else { gives[symbol] = layer; giver[symbol] = object }
        }
        END {
            for (symbol in wants) if (symbol in gives) {
                m = split(wants[symbol], users, " ")
                for (i = 1; i <= m; i++) {
                    layer = users[i]; sub(/\/.*/, "", layer)
                    if (place[layer] < place[gives[symbol]])
                        printf "src/%s calls %s of src/%s, which is above it\n", users[i], symbol, giver[symbol]
                }
            }
        }' | sed 's/\.o\b/.c/g' | sort)
    if [ -n "$calls" ]; then
        while IFS= read -r call; do breach "$call"; done <<<"$calls"
    fi
fi

if [ "$breaches" -gt 0 ]; then
    echo "layers: $breaches breaches"
    exit 1
fi
echo "layers: all includes and calls point down"
