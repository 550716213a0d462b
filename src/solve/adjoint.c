/* adjoint.c - how a figure of the operating point moves. SPDX-License-Identifier: MIT */
#include "solve/adjoint.h"

#include <string.h>

jv_status jv_adjoint_solve(jv_system *s, const double *gradient, double *lambda) {
    jv_system_evaluate(s);
    jv_status status = jv_lu_factor(s->lu, s->ax, false, NULL);
    if (status != JV_OK)
        return status;
    memcpy(lambda, gradient, (size_t)s->n * sizeof *lambda);
    return jv_lu_solve_transposed(s->lu, lambda);
}

/* Takes a row's share once: what two elements add to it stands there together. */
static double take(jv_system *s, const double *lambda, int32_t row) {
    if (row < 0)
        return 0.0;
    double share = lambda[row] * s->f[row];
    s->f[row] = 0.0;
    return share;
}

double jv_adjoint_residual(jv_system *s, const double *lambda, size_t first, size_t end) {
    const jv_element *e = s->net->elements;
    for (size_t k = first; k < end; k++) {
        s->f[e[k].a] = s->f[e[k].b] = 0.0;
        if (e[k].c >= 0)
            s->f[e[k].c] = 0.0;
        if (s->current[k] >= 0)
            s->f[s->current[k]] = 0.0;
    }
    for (size_t k = first; k < end; k++)
        jv_system_stamp(s, k);
    double sum = 0.0;
    for (size_t k = first; k < end; k++)
        sum += take(s, lambda, e[k].a) + take(s, lambda, e[k].b) + take(s, lambda, e[k].c) +
               take(s, lambda, s->current[k]);
    return sum;
}
