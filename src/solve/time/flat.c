/* flat.c - elimination of a small net, in the order that KLU chose. SPDX-License-Identifier: MIT */
#include "solve/time/flat.h"

#include "jackvolt/memory.h"

#include <math.h>
#include <stdbool.h>
#include <string.h>

/* A pivot below this share of what it was when the order was chosen has lost too many digits. An
 * inductance over a step's time takes three of them between the shortest and the longest. */
static const double withered = 1e-5;

void jv_flat_clear(jv_flat *f) {
    void *const blocks[] = {f->place, f->value, f->inverse, f->usual, f->work};
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
    jv_lanes_lu_clear(&f->order);
    memset(f, 0, sizeof *f);
}

/* False: a pivot has withered. */
static bool eliminate(jv_flat *f, int nonzeros, const double *ax) {
    const jv_lanes_lu *o = &f->order;
    const int32_t *start = o->start, *diagonal = o->diagonal, *column = o->column;
    const int32_t *target = o->target;
    double *value = f->value, *inverse = f->inverse;
    bool sound = true;
    memset(value, 0, (size_t)start[o->n] * sizeof *value);
    for (int k = 0; k < nonzeros; k++)
        value[f->place[k]] = ax[k];
    for (int i = 0; i < o->n; i++) {
        for (int32_t e = start[i]; e < diagonal[i]; e++) {
            int k = column[e];
            double l = value[e] * inverse[k];
            value[e] = l;
            for (int32_t u = diagonal[k] + 1; u < start[k + 1]; u++)
                value[*target++] -= l * value[u];
        }
        double pivot = value[diagonal[i]];
        if (!(fabs(pivot) > withered * f->usual[i]) || !isfinite(pivot))
            sound = false;
        inverse[i] = 1.0 / pivot;
    }
    return sound;
}

static jv_status make(jv_flat *f, int n, int *ap, int *ai, double *ax) {
    size_t made = f->made;
    jv_flat_clear(f);
    f->made = made + 1;
    jv_status status = jv_lanes_lu_make(n, ap, ai, ax, &f->order);
    if (status != JV_OK)
        return status;
    size_t room = (size_t)n + 1;
    f->place = jv_alloc((size_t)ap[n] + 1, sizeof *f->place);
    f->value = jv_alloc((size_t)f->order.start[n] + 1, sizeof *f->value);
    f->inverse = jv_alloc(room, sizeof *f->inverse);
    f->usual = jv_alloc(room, sizeof *f->usual);
    f->work = jv_alloc(room, sizeof *f->work);
    if (!f->place || !f->value || !f->inverse || !f->usual || !f->work) {
        jv_flat_clear(f);
        return JV_ERR_MEMORY;
    }
    for (int c = 0; c < n; c++)
        for (int k = ap[c]; k < ap[c + 1]; k++)
            f->place[k] = jv_lanes_lu_place(&f->order, ai[k], c);
    memcpy(f->usual, f->order.usual, (size_t)n * sizeof *f->usual);
    return JV_OK;
}

jv_status jv_flat_factor(jv_flat *f, int n, int *ap, int *ai, double *ax) {
    if (f->order.n == n && eliminate(f, ap[n], ax))
        return JV_OK;
    jv_status status = make(f, n, ap, ai, ax);
    if (status == JV_OK && !eliminate(f, ap[n], ax))
        status = JV_ERR_UNSOLVED;
    return status;
}

void jv_flat_solve(jv_flat *f, double *b) {
    const jv_lanes_lu *o = &f->order;
    const int32_t *start = o->start, *diagonal = o->diagonal, *column = o->column;
    const double *value = f->value;
    double *y = f->work;
    for (int i = 0; i < o->n; i++) {
        double sum = b[o->row[i]];
        for (int32_t e = start[i]; e < diagonal[i]; e++)
            sum -= value[e] * y[column[e]];
        y[i] = sum;
    }
    for (int i = o->n - 1; i >= 0; i--) {
        double sum = y[i];
        for (int32_t u = diagonal[i] + 1; u < start[i + 1]; u++)
            sum -= value[u] * y[column[u]];
        y[i] = sum * f->inverse[i];
        b[o->col[i]] = y[i];
    }
}
