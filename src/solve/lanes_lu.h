/* lanes_lu.h - elimination of eight systems of one pattern. SPDX-License-Identifier: MIT */
#ifndef SOLVE_LANES_LU_H
#define SOLVE_LANES_LU_H

#include "base/lane.h"
#include "jackvolt/status.h"

#include <stddef.h>
#include <stdint.h>

/* Rows and columns are in the order of the pivots. Row i holds its entries below the diagonal,
 * the diagonal, then those above it, at start[i] .. start[i + 1] - 1, columns ascending. */
typedef struct jv_lanes_lu {
    int n;
    int *row, *col; /* pivot k is equation row[k], unknown col[k] */
    int *at_row;    /* equation -> k */
    int *at_col;    /* unknown -> k */
    int32_t *start, *diagonal, *column;
    int32_t *target; /* of each elimination step, in the order they are done */
    size_t n_steps;
    jv_lane *value;   /* of each entry */
    jv_lane *inverse; /* of each pivot */
    double *usual;    /* size of each pivot at the start */
} jv_lanes_lu;

/* From a matrix in compressed columns with its numbers at the start. JV_ERR_UNSOLVED: singular. */
jv_status jv_lanes_lu_make(int n, int *ap, int *ai, double *ax, jv_lanes_lu *f);
void jv_lanes_lu_clear(jv_lanes_lu *f);
/* Place of the entry of an equation and an unknown; it must be in the pattern. */
int32_t jv_lanes_lu_place(const jv_lanes_lu *f, int equation, int unknown);

/* Factors f->value and solves for b, both in the order of the pivots: x[k] of pivot k stands in
 * b[k] afterwards. Bits of the lanes whose pivots are sound. A body: its caller has the copies. */
JV_LANE_BODY unsigned jv_lanes_lu_eliminate(jv_lanes_lu *f, jv_lane *b) {
    /* A pivot below this share of what it was at the start has lost too many digits. */
    const double withered = 1e-7;
    const int32_t *start = f->start, *diagonal = f->diagonal, *column = f->column;
    const int32_t *target = f->target;
    jv_lane *value = f->value, *inverse = f->inverse;
    jv_lane shrunk = {0}; /* sum of the squares of usual pivot over pivot */
    for (int i = 0; i < f->n; i++) {
        jv_lane y = b[i];
        for (int32_t e = start[i]; e < diagonal[i]; e++) {
            int k = column[e];
            jv_lane l = value[e] * inverse[k];
            y -= l * b[k];
            for (int32_t u = diagonal[k] + 1; u < start[k + 1]; u++)
                value[*target++] -= l * value[u];
        }
        b[i] = y;
        jv_lane one_over = 1.0 / value[diagonal[i]], by = one_over * f->usual[i];
        inverse[i] = one_over;
        shrunk += by * by;
    }
    for (int i = f->n - 1; i >= 0; i--) {
        jv_lane x = b[i];
        for (int32_t u = diagonal[i] + 1; u < start[i + 1]; u++)
            /* NOLINTNEXTLINE(clang-analyzer-core.NullDereference): made with the rest */
            x -= value[u] * b[column[u]];
        b[i] = x * inverse[i];
    }
    unsigned sound = 0;
    for (unsigned k = 0; k < 8; k++)
        sound |= (unsigned)(shrunk[k] < 1.0 / (withered * withered)) << k;
    return sound;
}

#endif
