# tally.sh - counting for the test runners; sourced, not run. SPDX-License-Identifier: MIT
#
# A runner calls `pass NAME` and `fail NAME` and ends with `tally NAME_OF_SUITE`. With
# JV_TALLY set to a file, the counts are added to it as well, for one total of all
# suites; `total` prints it.

passed=0
failed=0

pass() {
    passed=$((passed + 1))
    if [ -n "${V:-}" ]; then echo "  ok    $1"; fi
}

fail() {
    failed=$((failed + 1))
    echo "  FAIL  $1"
}

# Show the first lines of stdin below a failure. All of it is read, so that no writer is cut off.
indent() {
    sed -n '1,80s/^/        /p'
}

# Print the line of this suite and answer with its verdict.
tally() {
    printf '  %-10s %5d passed, %d failed\n' "$1" "$passed" "$failed"
    if [ -n "${JV_TALLY:-}" ]; then echo "$passed $failed" >>"$JV_TALLY"; fi
    [ "$failed" -eq 0 ]
}

# Print "N passed, N failed" over the file of counts; false when a test failed or none ran.
total() {
    awk '{ p += $1; f += $2 }
         END { printf "%d passed, %d failed\n", p, f; exit !(f == 0 && p > 0) }' "$JV_TALLY"
}
