/* twins.c - suspects that no check here can tell apart. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include <math.h>
#include <string.h>

/* Two suspects are twins when one of them, at some severity, reads as the other does at every
 * check that is allowed, to this many standard deviations of meter and model. Looks are left out:
 * a look is no proof. */
static const double alike_sds = 2.0;
/* Half the way from a severity cell to the next, in steps of cells. */
static const double half_step = 0.5;

/* What every check reads under one state before any evidence, and the spread of the meter. */
static jv_status means_of(jv_finder *f, size_t state, double *mean) {
    jv_status status = JV_OK;
    for (size_t c = 0; c < f->n_checks && status == JV_OK; c++) {
        const jv_find_check *k = &f->checks[c];
        mean[c] = NAN;
        if (k->view.kind != JV_CHECK_LOOK && !(k->skipped && !k->taken))
            status = jv_expect_look(f, state, k->setup, k->look, &mean[c], NULL);
    }
    return status;
}

static double spread_of(jv_finder *f, size_t check, double y) {
    const jv_find_check *c = &f->checks[check];
    return sqrt(jv_reading_noise(f, c, y) + jv_reading_bend(f, c, y));
}

/* Largest standardised difference of two readings sets along a line b + u (slope), u in
 * -most .. most and best by least squares. */
static double apart(jv_finder *f, const double *a, const double *b, const double *slope,
                    double most) {
    double top = 0.0, bottom = 0.0, worst = 0.0;
    for (size_t c = 0; c < f->n_checks; c++) {
        if (isnan(a[c]))
            continue;
        double w = 1.0 / spread_of(f, c, a[c]);
        top += (a[c] - b[c]) * slope[c] * w * w;
        bottom += slope[c] * slope[c] * w * w;
    }
    double u = bottom > 0.0 ? fmin(fmax(top / bottom, -most), most) : 0.0;
    for (size_t c = 0; c < f->n_checks; c++)
        if (!isnan(a[c]))
            worst = fmax(worst, fabs(a[c] - b[c] - u * slope[c]) / spread_of(f, c, a[c]));
    return worst;
}

/* Steps along each severity of a suspect's states. */
static size_t steps_of(const jv_find_suspect *s, size_t step[2]) {
    size_t second = s->view.along ? JV_SHORT_OHMS : (s->view.n == 2 ? s->cells : 1);
    step[0] = second;
    step[1] = 1;
    return second > 1 ? 2 : 1;
}

/* Does the suspect, at some severity, read as `a` does? One neighbour each way is met half way. */
static jv_status reads_as(jv_finder *f, const double *a, const jv_find_suspect *s, double *b,
                          double *slope, bool *same) {
    size_t step[2], dims = steps_of(s, step);
    *same = false;
    for (size_t k = s->first; k < s->first + s->n && !*same; k++) {
        jv_status status = means_of(f, k, b);
        memset(slope, 0, f->n_checks * sizeof *slope);
        if (status != JV_OK)
            return status;
        *same = apart(f, a, b, slope, 0.0) <= alike_sds;
        for (size_t d = 0; d < dims && !*same && s->n > step[d]; d++) {
            bool last = k + step[d] >= s->first + s->n ||
                        f->states[k + step[d]].cell[d] != f->states[k].cell[d] + 1;
            status = means_of(f, last ? k - step[d] : k + step[d], slope);
            if (status != JV_OK)
                return status;
            for (size_t c = 0; c < f->n_checks; c++)
                slope[c] -= b[c];
            *same = apart(f, a, b, slope, half_step) <= alike_sds;
        }
    }
    return JV_OK;
}

jv_status jv_twins(jv_finder *f, size_t suspect, double least, size_t *list, size_t most,
                   size_t *n) {
    const jv_find_suspect *of = &f->suspects[suspect];
    double *room = jv_alloc(3 * f->n_checks + 1, sizeof *room);
    *n = 0;
    if (!room)
        return JV_ERR_MEMORY;
    double *a = room, *b = room + f->n_checks, *slope = b + f->n_checks;
    size_t best = of->first + of->n / 2;
    for (size_t k = of->first; k < of->first + of->n; k++)
        if (f->states[k].alive && f->states[k].log_weight > f->states[best].log_weight)
            best = k;
    /* One so slight that it reads as a sound circuit does is known by its symptoms alone. */
    jv_status status = means_of(f, best, a);
    if (status == JV_OK)
        status = means_of(f, f->sound, b);
    memset(slope, 0, f->n_checks * sizeof *slope);
    bool slight = status == JV_OK && apart(f, a, b, slope, 0.0) <= alike_sds;
    for (size_t k = 0; !slight && k + 1 < f->n_suspects && status == JV_OK && *n < most; k++) {
        bool same;
        if (f->suspects[k].group == of->group || f->suspects[k].view.n != of->view.n ||
            f->part_odds[f->c->n_parts + k] < least)
            continue;
        status = reads_as(f, a, &f->suspects[k], b, slope, &same);
        if (status == JV_OK && same)
            list[(*n)++] = k;
    }
    jv_free(room);
    return status;
}
