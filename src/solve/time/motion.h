/* motion.h - a net in time: states of its bodies, and steps. SPDX-License-Identifier: MIT */
#ifndef SOLVE_TIME_MOTION_H
#define SOLVE_TIME_MOTION_H

#include "circuit/body.h"
#include "solve/point.h"
#include "solve/system.h"
#include "solve/time/flat.h"
#include "solve/time/rodas.h"

/* The network unknowns y (system.h) and the states x of the bodies obey
 *
 *     M y' = f(y, x)     x' = g(x, i)
 *
 * M holds the inductance of each body's port in its row and zeros elsewhere: a differential-
 * algebraic system of index 1. It is stepped by a stiffly accurate Rosenbrock method of order 4(3)
 * with six stages and one matrix a step, and a dense output of order 3 (docs/theory.md). The
 * states are eliminated body by body, so that the matrix keeps the pattern of the steady problem.
 * Charge and energy through every element are integrated as states of the same method. */

/* Room for the states of a body, to go by eight; and the core of a motor, which is met most. */
enum { JV_BODY_ROOM = 8, JV_BODY_CORE = 4 };

typedef struct jv_body {
    const jv_body_kind *kind;
    uint32_t part;
    uint32_t element; /* its port */
    int32_t row;      /* unknown of its current; -1 = a port without one (then no states) */
    uint32_t x;       /* first of its states */
    uint32_t event;   /* first of its events among all */
    void *work;
    uint32_t core; /* states that are coupled in this step */
    double henry;
    double arc_j; /* magnetic energy lost when its port opened */
    /* Of the step. With side = rate + fixed of a stage and i the change of its current, the change
     * of all states is k = sum over the core matrix[c] side[c] + own side + by_amp i: for the core
     * matrix is (I/(c h) - dg/dx)^-1 by columns, what only adds up follows from it. */
    double matrix[JV_BODY_STATES][JV_BODY_ROOM];
    double own[JV_BODY_ROOM];
    double by_amp[JV_BODY_ROOM];
    double volts_by[JV_BODY_ROOM]; /* its volts by side, through the core */
    double volts_by_amp;
    double rate[JV_BODY_ROOM];  /* of the stage */
    double moved[JV_BODY_ROOM]; /* k without its current */
} jv_body;

/* Where an element's volts and amps stand among y, next to each other. */
typedef struct jv_wire {
    int32_t a, b, j; /* nodes, unknown of its current (-1 = none) */
    int32_t c;       /* third node; -1 */
    bool straight;   /* SERIES: v = r i + e, or open */
} jv_wire;

typedef struct jv_motion {
    jv_system *system;
    jv_net *net;
    jv_body *bodies;
    size_t n_bodies;
    int32_t *body_of; /* of each part; -1 */
    size_t n_events;
    double t, h; /* now; the next step to try */
    double tolerance;
    /* one after the other: y, x, charge and energy of each element */
    size_t n_y, n_x, n_e, n;
    double *now;  /* values at t */
    double *last; /* at the start of the step that was made last */
    double *k[JV_STAGES], *c3, *c4;
    double *g[JV_STAGES]; /* amps, then watts of each element */
    jv_wire *wires;
    jv_flat flat; /* factors of the step's matrix, where the net is small */
    jv_rodas_weights weights;
    jv_lane_width width;
    double t_last, h_last; /* that step: from, and its full length before a cut */
    double *stage, *rhs, *fixed;
    double *scale;     /* of each state */
    double *strict;    /* of each state: its tolerance */
    int8_t *modes;     /* kept while pieces are looked at */
    bool *served;      /* constant power: above its least volts since the last settling */
    double error_last; /* of the step before: the controller looks at both; 0 = after a jump */
    bool settled;      /* the last jv_motion_settle found volts that fit */
    bool other_laws;   /* than straight lines and sinks */
    /* Of the last look at loads of constant power (jv_motion_power): what they ask, W, the share of
     * it that can be had, and one that gets too little. */
    double power_w, power_share;
    uint32_t power_part;
    size_t steps, rejected, evaluations, factors;
    jv_arena arena;
} jv_motion;

/* Bodies of all parts start; the net has been built for the case at the beginning. assumed gets
 * what was taken for granted. JV_ERR_MEMORY, JV_ERR_UNSOLVED (the pattern is singular). */
jv_status jv_motion_new(jv_net *net, double tolerance, jv_remarks *assumed, jv_motion **out);
void jv_motion_free(jv_motion **motion);

/* After a change of case or of a body: load the net anew for the case (when load is set), tell the
 * bodies, and find volts and currents that fit the states, currents of inductances kept. The
 * outcome is that of the network. */
jv_status jv_motion_settle(jv_motion *m, bool load, jv_point *point);

/* Newton from system->x to volts and currents that fit the states, held[] (one a body) being the
 * currents of inductances. *found false: there are none, *bad the unknown that cannot be told. */
jv_status jv_motion_fit(jv_motion *m, const double *held, bool *found, int *bad);
/* How much of what the loads of constant power ask reaches them, up to `most` of it: power_w,
 * power_share, power_part; the volts at that share into fixed (those of now stay). Loads that would
 * get less than their least volts with none of them drawing are left out; power_w 0 = no load asks.
 */
jv_status jv_motion_power(jv_motion *m, double most);

/* Factors the matrix of the system, and solves with those factors: b becomes the solution. */
jv_status jv_motion_factor(jv_motion *m);
jv_status jv_motion_solve(jv_motion *m, double *b);
/* One stage of the step m->h from now: its k and g. JV_ERR_UNSOLVED: a smaller step may serve. */
jv_status jv_motion_stage(jv_motion *m, int stage);
/* One step, not past `until`; sets t and now. JV_ERR_UNSOLVED when no step is small enough. */
jv_status jv_motion_step(jv_motion *m, double until);
/* Values at a fraction of the last step, 0 .. 1, into out[n]. */
void jv_motion_at(const jv_motion *m, double share, double *out);
/* The same without charges and energies, and of one value. */
void jv_motion_look(const jv_motion *m, double share, double *out);
static inline double jv_motion_value(const jv_motion *m, size_t i, double share) {
    double rest = 1.0 - share;
    return rest * m->last[i] + share * (m->now[i] + rest * (m->c3[i] + share * m->c4[i]));
}
/* Cut the last step at a fraction of it: t and now go back to there. */
void jv_motion_cut(jv_motion *m, double share);

/* Answers with the drop of a body's law at x and i; sets drop_i and the rates of its states. */
double jv_body_rates(const jv_body *b, const double *x, double i, double *drop_i, double *rate);
/* Port current and volts of a body at values y. */
double jv_body_amps(const jv_motion *m, const jv_body *b, const double *values);
double jv_body_volts(const jv_motion *m, const jv_body *b, const double *values);
/* Current of an element at values (its law's, with the states the net holds). */
double jv_motion_amps(const jv_motion *m, size_t element, const double *values);
/* All event functions of the bodies at values; g holds n_events. */
void jv_motion_events(const jv_motion *m, const double *values, double *g);
/* True while every law stays on the piece on which the step was made. */
bool jv_motion_pieces_hold(jv_motion *m, const double *values);
/* Places in the values. */
static inline size_t jv_motion_x(const jv_motion *m, const jv_body *b) {
    return m->n_y + b->x;
}
static inline size_t jv_motion_charge(const jv_motion *m, size_t e) {
    return m->n_y + m->n_x + e;
}
static inline size_t jv_motion_energy(const jv_motion *m, size_t e) {
    return m->n_y + m->n_x + m->n_e + e;
}

#endif
