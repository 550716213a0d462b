/* spread.h - the quantities that vary, and a net to try them in. SPDX-License-Identifier: MIT */
#ifndef STUDY_SPREAD_H
#define STUDY_SPREAD_H

#include "jackvolt/scatter.h"
#include "solve/curve.h"
#include "solve/point.h"

/* Where a drawn value goes. */
typedef enum jv_target_kind {
    JV_TARGET_SLOT,    /* index: slot of the circuit */
    JV_TARGET_RUN,     /* index: run of the case */
    JV_TARGET_CHARGE,  /* of the case */
    JV_TARGET_AMBIENT, /* of the case or the file */
    JV_TARGET_TIME,    /* how long the case has run */
    JV_TARGET_LIMIT    /* index: watch */
} jv_target_kind;

typedef struct jv_target {
    jv_target_kind kind;
    uint32_t index;
} jv_target;

/* One draw, which may go to several targets (a shared spread). */
typedef struct jv_vary {
    jv_scatter_quantity shown; /* name, unit, value */
    uint64_t address;          /* of its random numbers: a hash of the name */
    jv_target *targets;
    size_t n_targets;
    const uint32_t *parts; /* whose elements may change with it, without repeats */
    size_t n_parts;
} jv_vary;

typedef struct jv_spreads {
    const jv_circuit *circuit;
    const jv_case *loading;
    jv_arena arena;
    jv_vary *list;
    size_t n;
} jv_spreads;

/* All that varies in a case, in the order of the file. JV_ERR_MEMORY. */
jv_status jv_spreads_find(const jv_circuit *c, const jv_case *loading, jv_spreads *out);
void jv_spreads_clear(jv_spreads *s);

/* A net and its equations with values of one's own. The case is copied, so that its loads,
 * charge and time can be moved too. */
typedef struct jv_trial {
    const jv_spreads *spreads;
    jv_case loading; /* scene.loading points here */
    jv_net *net;
    jv_system *system;
    double *x;         /* value of each slot */
    double *limit;     /* of each watch */
    jv_element *fresh; /* elements as built, with nominal values: states not yet settled */
    double *start_x;   /* unknowns and modes of the nominal operating point */
    int8_t *start_mode;
    jv_point nominal;      /* its figures; the pointers in it are not to be used */
    double *nominal_seen;  /* of each watch; NAN without an operating point */
    jv_heat_curve *curves; /* of the elements that warm; NULL when they are another trial's */
} jv_trial;

/* Builds it and solves it with nominal values. Elements whose heat body, air and time no
 * quantity moves get a heat curve: those of `like` where it is given (it must outlive this
 * one), else their own. faults must outlive it. JV_ERR_MEMORY. */
jv_status jv_trial_make(const jv_spreads *spreads, const jv_fault *faults, size_t n_faults,
                        const jv_trial *like, jv_trial *out);
void jv_trial_clear(jv_trial *t);
/* Puts a value where quantity q belongs; nothing is loaded yet. */
void jv_trial_put(jv_trial *t, size_t q, double value);
/* Loads the parts again that the value of quantity q may change. */
void jv_trial_load(jv_trial *t, size_t q);
/* Elements back to the states as built (relays released), unknowns to the nominal point. */
void jv_trial_rewind(jv_trial *t);
/* Factors anew at the nominal point, so that nothing is left of what was solved before. */
void jv_trial_anew(jv_trial *t);
/* Loads all parts and solves from the rewound state. True when there is an operating point:
 * jv_trial_seen may be asked then. *status: JV_ERR_MEMORY or JV_OK. */
bool jv_trial_solve(jv_trial *t, jv_point *point, jv_status *status);
/* Volts of a watch less its limit (margin), and the volts alone. */
double jv_trial_seen(const jv_trial *t, size_t watch, const double *v);

#endif
