/* point.h - the operating point of a net. SPDX-License-Identifier: MIT */
#ifndef SOLVE_POINT_H
#define SOLVE_POINT_H

#include "solve/system.h"

typedef enum jv_outcome {
    JV_POINT_FOUND,
    JV_POINT_CANNOT_DELIVER, /* loads of constant power ask for more than reaches them */
    JV_POINT_CHATTERS,       /* relays, cut-offs find no state that lasts */
    JV_POINT_NOT_FOUND       /* no convergence: a defect, with the residual reached */
} jv_outcome;

typedef struct jv_point {
    jv_outcome outcome;
    double residual_a;    /* largest sum of currents at a node, A */
    double backward;      /* largest residual over |A||x| + |b| */
    double power_error_w; /* sources less losses and loads, W */
    double power_share;   /* CANNOT_DELIVER: share of the asked power that can be had */
    int iterations;       /* Newton steps in all */
    int rounds;           /* states of relays, cut-offs settled this many times */
    const char *where;    /* CHATTERS: the part; NOT_FOUND: what is singular. May be NULL */
    const double *v;      /* of each node, V against the reference; borrowed from the system */
    const double *i;      /* of each element, A from a to b; borrowed */
    const double *r;      /* of each SERIES element, ohm at its current; borrowed */
} jv_point;

/* Find the operating point from the states the elements are in (a net just built: relays
 * released, cut-offs closed). `warm`: start from the last x, else from zero. JV_ERR_MEMORY,
 * JV_ERR_UNSOLVED only when the equations are singular; all else is an outcome. */
jv_status jv_point_find(jv_system *s, bool warm, jv_point *out);
/* The same of a system just made, from zero: no element has changed since. */
jv_status jv_point_first(jv_system *s, jv_point *out);
/* Solve for a net whose numbers were loaded again, states held (no settling). */
jv_status jv_point_refine(jv_system *s, jv_point *out);

/* The same, for a look at what a change would do: v (to some microvolts, against no
 * reference: take differences) and the outcome. Elements as they were taken: jv_system_take those
 * that changed since. i of the system is half written: jv_state. */
jv_status jv_point_glance(jv_system *s, jv_point *out);

/* The answer of a system, to come back to after glances without solving again. */
typedef struct jv_state {
    double *x, *i_now;
    int8_t *mode;
    double power_share;
} jv_state;
/* *out is filled anew; JV_ERR_MEMORY. */
jv_status jv_state_keep(const jv_system *s, jv_state *out);
/* Nothing when nothing was kept. */
void jv_state_put_back(jv_system *s, const jv_state *state);
void jv_state_clear(jv_state *state);

#endif
