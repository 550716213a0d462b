/* draws.c - the circuit as a response to draws. SPDX-License-Identifier: MIT */
#include "study/draws.h"

#include <math.h>

typedef struct jv_draw_worker {
    const jv_draws *draws;
    jv_trial trial;
} jv_draw_worker;

static jv_status hire(void *ctx, void **worker) {
    const jv_draws *d = ctx;
    jv_draw_worker *w = jv_zalloc(1, sizeof *w);
    if (!w)
        return JV_ERR_MEMORY;
    w->draws = d;
    jv_status status = jv_trial_make(d->spreads, d->faults, d->n_faults, d->nominal, &w->trial);
    if (status != JV_OK) {
        jv_free(w);
        return status;
    }
    *worker = w;
    return JV_OK;
}

static void dismiss(void *ctx, void *worker) {
    (void)ctx;
    jv_draw_worker *w = worker;
    jv_trial_clear(&w->trial);
    jv_free(w);
}

static void block(void *worker) {
    jv_draw_worker *w = worker;
    jv_trial_anew(&w->trial);
}

/* One draw of the eight, by the equations of the whole circuit. */
static jv_status one(jv_draw_worker *w, unsigned k, double (*values)[JV_SIDE],
                     double (*seen)[JV_SIDE], double (*limit)[JV_SIDE], bool *solved) {
    const jv_draws *d = w->draws;
    jv_trial *t = &w->trial;
    jv_status status;
    jv_point point;
    for (size_t q = 0; q < d->spreads->n; q++)
        jv_trial_put(t, q, values[q][k]);
    *solved = jv_trial_solve(t, &point, &status);
    for (size_t i = 0; i < d->n_watches; i++) {
        seen[i][k] = *solved ? jv_trial_seen(t, d->watches[i], point.v) : NAN;
        limit[i][k] = t->limit[d->watches[i]];
    }
    return status;
}

static jv_status respond(void *worker, unsigned of, double (*values)[JV_SIDE],
                         double (*seen)[JV_SIDE], double (*limit)[JV_SIDE], unsigned *solved,
                         unsigned *scalar) {
    jv_draw_worker *w = worker;
    jv_status status = JV_OK;
    *solved = *scalar = 0;
    for (unsigned k = 0; k < JV_SIDE && status == JV_OK; k++) {
        bool found;
        if (!(of >> k & 1u))
            continue;
        status = one(w, k, values, seen, limit, &found);
        *solved |= (unsigned)found << k;
        (*scalar)++;
    }
    return status;
}

jv_response jv_draws_response(jv_draws *d) {
    jv_response r = {.ctx = d,
                     .quantities = d->spreads->list,
                     .n_quantities = d->spreads->n,
                     .n_watches = d->n_watches,
                     .hire = hire,
                     .dismiss = dismiss,
                     .block = block,
                     .respond = respond};
    return r;
}
