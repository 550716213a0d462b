/* lanes_lu.c - elimination of eight systems of one pattern. SPDX-License-Identifier: MIT */
#include "solve/lanes_lu.h"

#include "jackvolt/memory.h"
#include "solve/lu.h"

#include <math.h>
#include <string.h>

void jv_lanes_lu_clear(jv_lanes_lu *f) {
    void *const blocks[] = {f->row,    f->col,    f->at_row,  f->at_col, f->start, f->diagonal,
                            f->column, f->target, f->inverse, f->value,  f->usual};
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
    memset(f, 0, sizeof *f);
}

/* --- pattern --- */

/* The rows of the factors, one after the other, as lists in a growing array. */
typedef struct jv_fill {
    uint8_t *mark; /* of each column of the row at hand */
    int32_t *column;
    size_t n, room;
} jv_fill;

static bool push(jv_fill *fill, int32_t column) {
    if (fill->n == fill->room) {
        size_t wanted = 2 * fill->room + 64;
        int32_t *moved = jv_resize(fill->column, wanted, sizeof *moved);
        if (!moved)
            return false;
        fill->column = moved;
        fill->room = wanted;
    }
    fill->column[fill->n++] = column;
    return true;
}

/* Row i: its own entries, then what each row above it that it meets brings. */
static bool fill_row(jv_lanes_lu *f, jv_fill *fill, int i) {
    f->start[i] = (int32_t)fill->n;
    for (int k = 0; k < f->n; k++) {
        if (!fill->mark[k])
            continue;
        if (k == i)
            f->diagonal[i] = (int32_t)fill->n;
        if (!push(fill, k))
            return false;
        if (k < i)
            for (int32_t u = f->diagonal[k] + 1; u < f->start[k + 1]; u++)
                fill->mark[fill->column[u]] = 1;
    }
    f->start[i + 1] = (int32_t)fill->n;
    memset(fill->mark, 0, (size_t)f->n);
    return true;
}

static jv_status find_pattern(jv_lanes_lu *f, const int *ap, const int *ai) {
    size_t n = (size_t)f->n;
    jv_fill fill = {jv_zalloc(n + 1, 1), NULL, 0, 0};
    /* rows of the matrix, by counting */
    int32_t *first = jv_zalloc(n + 2, sizeof *first);
    int32_t *list = jv_alloc((size_t)ap[n] + 1, sizeof *list);
    jv_status status = fill.mark && first && list ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK) {
        for (int k = 0; k < ap[n]; k++)
            first[f->at_row[ai[k]] + 2]++;
        for (size_t k = 2; k < n + 2; k++)
            first[k] += first[k - 1];
        for (int c = 0; c < f->n; c++)
            for (int k = ap[c]; k < ap[c + 1]; k++)
                list[first[f->at_row[ai[k]] + 1]++] = f->at_col[c];
    }
    for (int i = 0; i < f->n && status == JV_OK; i++) {
        for (int32_t k = first[i]; k < first[i + 1]; k++)
            fill.mark[list[k]] = 1;
        fill.mark[i] = 1;
        if (!fill_row(f, &fill, i))
            status = JV_ERR_MEMORY;
    }
    f->column = fill.column;
    jv_free(fill.mark);
    jv_free(first);
    jv_free(list);
    return status;
}

static int32_t place_in_row(const jv_lanes_lu *f, int i, int32_t column) {
    int32_t low = f->start[i], high = f->start[i + 1] - 1;
    while (low < high) {
        int32_t middle = (low + high) / 2;
        if (f->column[middle] < column)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

int32_t jv_lanes_lu_place(const jv_lanes_lu *f, int equation, int unknown) {
    return place_in_row(f, f->at_row[equation], f->at_col[unknown]);
}

/* Where each step of the elimination lands. */
static jv_status list_steps(jv_lanes_lu *f) {
    for (int pass = 0; pass < 2; pass++) {
        size_t n = 0;
        for (int i = 0; i < f->n; i++)
            for (int32_t e = f->start[i]; e < f->diagonal[i]; e++) {
                int k = f->column[e];
                for (int32_t u = f->diagonal[k] + 1; u < f->start[k + 1]; u++, n++)
                    if (pass)
                        f->target[n] = place_in_row(f, i, f->column[u]);
            }
        if (pass)
            break;
        f->n_steps = n;
        f->target = jv_alloc(n + 1, sizeof *f->target);
        if (!f->target)
            return JV_ERR_MEMORY;
    }
    return JV_OK;
}

static jv_status find_order(jv_lanes_lu *f, int *ap, int *ai, double *ax) {
    jv_lu *lu = NULL;
    jv_status status = jv_lu_new(f->n, ap, ai, &lu);
    if (status == JV_OK)
        status = jv_lu_factor(lu, ax, true, NULL);
    if (status == JV_OK)
        status = jv_lu_pivots(lu, f->row, f->col);
    jv_lu_free(&lu);
    for (int k = 0; k < f->n && status == JV_OK; k++) {
        f->at_row[f->row[k]] = k;
        f->at_col[f->col[k]] = k;
    }
    return status;
}

/* The pivots at the start, by the same elimination. */
static jv_status find_usual(jv_lanes_lu *f, const int *ap, const int *ai, const double *ax) {
    size_t n = (size_t)f->n;
    jv_lane *b = jv_zalloc(n + 1, sizeof *b);
    if (!b)
        return JV_ERR_MEMORY;
    memset(f->value, 0, (size_t)f->start[f->n] * sizeof *f->value);
    for (int c = 0; c < f->n; c++)
        for (int k = ap[c]; k < ap[c + 1]; k++)
            f->value[jv_lanes_lu_place(f, ai[k], c)] += ax[k];
    for (size_t k = 0; k < n; k++)
        f->usual[k] = 0.0;
    jv_lanes_lu_eliminate(f, b);
    jv_status status = JV_OK;
    for (size_t k = 0; k < n; k++) {
        f->usual[k] = fabs(1.0 / f->inverse[k][0]);
        if (!isfinite(f->inverse[k][0]))
            status = JV_ERR_UNSOLVED;
    }
    jv_free(b);
    return status;
}

jv_status jv_lanes_lu_make(int n, int *ap, int *ai, double *ax, jv_lanes_lu *f) {
    memset(f, 0, sizeof *f);
    f->n = n;
    size_t room = (size_t)n + 2;
    f->row = jv_alloc(room, sizeof *f->row);
    f->col = jv_alloc(room, sizeof *f->col);
    f->at_row = jv_alloc(room, sizeof *f->at_row);
    f->at_col = jv_alloc(room, sizeof *f->at_col);
    f->start = jv_zalloc(room, sizeof *f->start);
    f->diagonal = jv_zalloc(room, sizeof *f->diagonal);
    f->inverse = jv_alloc(room, sizeof *f->inverse);
    f->usual = jv_alloc(room, sizeof *f->usual);
    jv_status status = JV_ERR_MEMORY;
    if (f->row && f->col && f->at_row && f->at_col && f->start && f->diagonal && f->inverse &&
        f->usual)
        status = find_order(f, ap, ai, ax);
    if (status == JV_OK)
        status = find_pattern(f, ap, ai);
    if (status == JV_OK)
        status = list_steps(f);
    if (status == JV_OK) {
        f->value = jv_alloc((size_t)f->start[n] + 1, sizeof *f->value);
        status = f->value ? find_usual(f, ap, ai, ax) : JV_ERR_MEMORY;
    }
    if (status != JV_OK)
        jv_lanes_lu_clear(f);
    return status;
}
