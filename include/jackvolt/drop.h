/* drop.h - where the volts go when the jacks load the circuit. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_DROP_H
#define JACKVOLT_DROP_H

#include "jackvolt/circuit.h"
#include "jackvolt/diag.h"
#include "jackvolt/status.h"

#include <stdbool.h>
#include <stddef.h>

/* The steady operating point of a circuit in its cases: volts at each terminal, amps
 * through and drop across each part, what each watch sees and how far it is from
 * tripping. Signs: currents and drops are positive from a to b and from plus to minus.
 * SI units. NAN = not known or not meaningful for that part. Results are plain data owned
 * by the jv_drop; texts live as long as it and its circuit do. */

typedef enum jv_side {
    JV_SIDE_NONE,    /* not on the way to the named load */
    JV_SIDE_SOURCE,  /* the source itself */
    JV_SIDE_PLUS,    /* between source plus and the load */
    JV_SIDE_BETWEEN, /* between two sources in series */
    JV_SIDE_RETURN   /* between the load and source minus */
} jv_side;

typedef struct jv_drop_part {
    double drop_v;         /* of the part; a small one is R I, never a difference of volts */
    double current_a;      /* of its element with the most current */
    double power_w;        /* taken in; negative = delivered */
    double share;          /* fraction of the volts lost between the source's open-circuit volts and
                              the named load; NAN when the part is not on that way */
    double resistance_ohm; /* of a conductor at its temperature; inside a source */
    double temperature_c;  /* conductor */
    double delivers_a;     /* sources: current out of plus */
    double open_circuit_v; /* sources */
    double speed_share;    /* motors: speed over the speed at rated volts and the same load */
    double load_a;         /* motors: current that the load asks */
    bool stalled;          /* motors */
    jv_side side;
} jv_drop_part;

typedef enum jv_verdict {
    JV_HOLDS,
    JV_TRIPS,
    JV_NOT_WATCHED,    /* does not count in this case */
    JV_VERDICT_UNKNOWN /* no operating point, or it hangs on assumed ohms alone */
} jv_verdict;

/* What would bring a watch from where it is to its limit, one change at a time. Positive:
 * so much more is left until it trips. Negative: so much must be taken away until it no
 * longer trips. NAN: not in the power of that change (see `none`). */
typedef struct jv_levers {
    double feed_ohm;   /* ohms on the plus side */
    double return_ohm; /* ohms on the return side */
    double charge;     /* fraction of charge of every battery */
    double load;       /* fraction by which the running motors' load current changes */
} jv_levers;

typedef struct jv_drop_watch {
    const char *name;
    double seen_v;
    double limit_v;
    double margin_v; /* seen - limit */
    bool assumed;
    const char *basis; /* of an assumed limit; else NULL */
    /* What it may see by ohms that nobody gave, at their least and greatest; seen_v itself
     * when nothing was assumed. Where the limit lies between, the verdict is UNKNOWN. */
    double doubt_low_v, doubt_high_v;
    jv_verdict verdict; /* NOT_WATCHED: it does not count in this case's state */
    jv_levers levers;
} jv_drop_watch;

/* One step on the way from the source's plus to the load and back to its minus. */
typedef struct jv_drop_step {
    size_t part;
    size_t from, to; /* terminals; jv_circuit_terminals() or more = inside a part */
    double drop_v;   /* >= 0 in the direction of the way; a source's own: lost inside it */
    double current_a;
    double level_v; /* volts against the load's minus side at the far end of the step */
    jv_side side;
} jv_drop_step;

typedef struct jv_drop_remark {
    size_t part; /* jv_circuit_parts() = the circuit as a whole */
    bool serious;
    const char *text;
} jv_drop_remark;

typedef struct jv_drop_case {
    const char *name;
    bool converged;       /* an operating point was found */
    const char *trouble;  /* why not, in words; NULL when converged */
    double residual_a;    /* largest sum of currents at a terminal */
    double power_error_w; /* sources less losses and loads */
    double deliverable;   /* share of the power asked by constant-power loads that can be had; 1 */
    bool running;         /* a motor runs in this case */
    const double *terminal_v;  /* of each terminal, against the reference */
    const jv_drop_part *parts; /* of each part */
    const jv_drop_watch *watches;
    size_t n_watches;
    size_t load;               /* the named load: running motor with the lowest volts, else the
                                  largest load; jv_circuit_parts() = none */
    const jv_drop_step *steps; /* source to load, then load to source */
    size_t n_steps;
    double source_v; /* open-circuit volts at the start of the way */
    double load_v;   /* volts at the named load */
    double lost_v;   /* source_v - load_v */
    const jv_drop_remark *remarks;
    size_t n_remarks;
    bool finding; /* a watch trips, something serious, or no operating point */
} jv_drop_case;

typedef struct jv_drop {
    const jv_circuit *circuit;
    const jv_drop_case *cases;
    size_t n_cases;
    bool finding; /* of any case */
} jv_drop;

/* options: zero means the default. */
typedef struct jv_drop_options {
    const char *only_case;   /* NULL = every case */
    const jv_faults *faults; /* NULL = none */
    bool no_levers;          /* leave out jv_levers (they take some twenty solves a watch) */
} jv_drop_options;

/* Solve. JV_ERR_UNKNOWN: no such case. JV_ERR_MEMORY. No operating point is no error: the
 * case says so. *out must be freed with jv_drop_free. The circuit must outlive it. */
jv_status jv_drop_run(const jv_circuit *c, const jv_drop_options *options, jv_drop **out);
void jv_drop_free(jv_drop **drop); /* takes NULL, leaves NULL */

#endif
