/* errors.c - writes docs/errors.md from the list of fault codes.
 * SPDX-License-Identifier: MIT */
#include <stdio.h>
#include <stdlib.h>

typedef struct row {
    int number;
    const char *title;
    const char *advice;
} row;

static row rows[] = {
#define JV_CODE(name, number, title, advice) {number, title, advice},
#include "jackvolt/codes.def"
#undef JV_CODE
};
static const size_t row_count = sizeof rows / sizeof rows[0];

/* The hundreds digit is the area; 700 and up are warnings (diag.h). */
static const char *const areas[] = {
    [1] = "Syntax and bytes", [2] = "Quantities",    [3] = "Circuit",  [4] = "Command line",
    [5] = "Files and system", [6] = "Harness files", [7] = "Warnings",
};
enum { FIRST_WARNING = 700, AREA_SIZE = 100 };

static int by_number(const void *a, const void *b) {
    return ((const row *)a)->number - ((const row *)b)->number;
}

static char letter(int number) {
    return number >= FIRST_WARNING ? 'W' : 'E';
}

int main(void) {
    qsort(rows, row_count, sizeof rows[0], by_number);
    puts("# Errors and warnings\n");
    puts(
        "Written by `make docs` from `include/jackvolt/codes.def`; change it there. Numbers never\n"
        "change their meaning. Every message names the file, the line and the place in the file,\n"
        "says what was read and, where it can, what would be right.");
    for (int area = 1; area < (int)(sizeof areas / sizeof areas[0]); area++) {
        int printed = 0;
        for (size_t i = 0; i < row_count; i++) {
            const row *r = &rows[i];
            if (r->number / AREA_SIZE != area) {
                continue;
            }
            if (printed++ == 0) {
                printf("\n## %s\n\n| code | what | what to do |\n|---|---|---|\n", areas[area]);
            }
            printf("| %c%d | %s | %s |\n", letter(r->number), r->number, r->title, r->advice);
        }
    }
    return 0;
}
