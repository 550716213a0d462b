/* sequence.h - a levelling sequence in time. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_SEQUENCE_H
#define JACKVOLT_SEQUENCE_H

#include "jackvolt/circuit.h"
#include "jackvolt/happening.h"
#include "jackvolt/status.h"

#include <signal.h>
#include <stdbool.h>
#include <stddef.h>

/* A sequence is cases in time: steps with which jacks run together, up or down, until a time,
 * a force, an extension, a current, the end of the stroke or what a watch does. The run gives
 * what happened at what second and why, what each watch saw, what each part went through, and
 * traces. SI units, time from the start of the sequence; NAN = not known or not meaningful.
 * Results are plain data owned by the jv_sequence. */

typedef struct jv_sequence_event {
    double t_s;
    jv_happening what;
    size_t part;  /* jv_circuit_parts() = none */
    size_t watch; /* jv_circuit_watches() = none */
    size_t step;  /* of the sequence, from 0 */
    bool serious; /* a finding */
    bool weak;    /* hangs on figures that alone decide nothing */
    const char *text;
} jv_sequence_event;

/* What brought a watch to its limit at its first trip. */
typedef struct jv_sequence_cause {
    size_t step;
    double open_v;   /* open-circuit volts of the source in that moment */
    double seen_v;   /* at the watch */
    double source_v; /* lost inside the source */
    double plus_v;   /* lost on the plus side */
    double return_v; /* lost on the return side */
    double current_a;
    size_t widest; /* part with the widest drop; jv_circuit_parts() = not known */
    double widest_v;
} jv_sequence_cause;

/* The least change that keeps a watch from tripping, found by running again. `amount` is
 * NAN where even the end of the search does not help (see `text`). */
typedef enum jv_cure_kind {
    JV_CURE_ONE_AT_A_TIME, /* amount: 1 = it helps */
    JV_CURE_STAGGER,       /* s between the starts */
    JV_CURE_LESS_OHMS,     /* ohm taken out of `part` */
    JV_CURE_CHARGE,        /* charge of every battery, fraction */
    JV_CURE_DWELL          /* s that the watch would have to wait */
} jv_cure_kind;
typedef struct jv_sequence_cure {
    jv_cure_kind kind;
    size_t watch;
    size_t part; /* LESS_OHMS */
    double amount;
    const char *text;
} jv_sequence_cure;

typedef struct jv_sequence_watch {
    const char *name;
    double limit_v;
    double held_for_s;
    bool assumed;
    bool at_rest;      /* counts at rest only */
    const char *basis; /* of an assumed limit; else NULL */
    double lowest_v;   /* while it counts; NAN when it never does */
    double at_s;
    double held_lowest_v;   /* highest limit that would be passed for the whole dwell */
    double shown_lowest_v;  /* lowest that a display of the given response would have shown */
    double under_s;         /* time under the limit while it counts */
    double longest_under_s; /* without a break */
    size_t trips;
    double first_trip_s; /* NAN = none */
    jv_sequence_cause cause;
} jv_sequence_watch;

typedef struct jv_sequence_part {
    double charge_as; /* through it, a to b, plus to minus */
    double energy_j;  /* taken in; negative = delivered */
    double peak_a;    /* greatest current of its element with the most */
    double peak_at_s;
    double lowest_v;  /* across it, of its first element */
    double hottest_c; /* cable, winding, NAN = not followed */
    double ends_c;
    double heat_j; /* of motors and conductors */
    /* motors */
    double runs_s;
    double travel_m; /* extension at the end less at the start */
    double extension_m;
    double limit_s; /* time limit of its controller; NAN = none */
    double pulses;  /* of the sensor that counts it */
    double lost_pulses;
    /* fuses and breakers: share of the way to opening, 1 = open; NAN = no times are known */
    double used_early, used_late;
    bool weak_times;            /* from memory: they alone decide nothing */
    double may_open_s, opens_s; /* NAN = not in this run */
    /* batteries */
    double charge_start, charge_end;
    bool open_at_end; /* opened in the run */
    size_t releases;  /* relay drop-outs while commanded */
} jv_sequence_part;

typedef struct jv_trace {
    const char *name; /* terminal pair or part */
    const char *unit; /* "V", "A", "m" */
    bool source;      /* of a source: volts, and amps that it delivers */
    const double *values;
} jv_trace;

typedef struct jv_sequence_balance {
    double charge_error; /* largest sum of charges at a terminal over the charge moved */
    double energy_error; /* (delivered - taken, stored and lost) over delivered */
    double delivered_j;
} jv_sequence_balance;

typedef struct jv_sequence_effort {
    size_t steps, rejected, factors, evaluations, located;
    double wall_s;
} jv_sequence_effort;

typedef enum jv_sequence_stop {
    JV_STOP_DONE,    /* every step done */
    JV_STOP_TRIPPED, /* something stopped all */
    JV_STOP_REFUSED,
    JV_STOP_LONGEST, /* longer than the sequence may be, or a step that can never end */
    JV_STOP_CLOCK,   /* options.wall_s */
    JV_STOP_ASKED,   /* options.asked */
    JV_STOP_UNSOLVED /* no operating point: the last event says where */
} jv_sequence_stop;

typedef struct jv_sequence {
    const jv_circuit *circuit;
    const char *name;
    bool generic; /* the file has no sequence: ours was run */
    jv_sequence_stop stop;
    const char *end; /* the same in words */
    double end_s;
    const jv_sequence_event *events;
    size_t n_events;
    const jv_sequence_watch *watches; /* one each of the circuit */
    size_t n_watches;
    const jv_sequence_part *parts; /* one each of the circuit */
    const char *const *steps;      /* names */
    const double *step_starts;     /* s; NAN = not reached */
    size_t n_steps;
    const jv_sequence_cure *cures;
    size_t n_cures;
    jv_sequence_stop
        search;          /* of cures: DONE; CLOCK or ASKED: it was cut short, some are missing */
    const double *times; /* n_samples; an event gives two samples of one time */
    size_t n_samples;
    const jv_trace *traces;
    size_t n_traces;
    const char *const *assumed; /* what the run took for granted */
    size_t n_assumed;
    jv_sequence_balance balance;
    jv_sequence_effort effort;
    bool finding;
} jv_sequence;

/* One row of traces as it is made; values: n_traces. False stops the run cleanly. */
typedef bool (*jv_sequence_sink)(void *context, const jv_sequence *heads, double t_s,
                                 const double *values);

/* Zero means the default. */
typedef struct jv_sequence_options {
    const char *name; /* NULL = the first of the file, else the generic one */
    const jv_faults *faults;
    double every_s;                     /* samples; 0 = 0.05 s */
    double tolerance;                   /* relative, of each step; 0 = 1e-6 */
    double response_s;                  /* of the display; 0 = that of jv_meter_plain */
    double wall_s;                      /* of the run and the search of cures; 0 = 60 s */
    double longest_s;                   /* 0 = what the sequence says, else 600 s */
    const volatile sig_atomic_t *asked; /* not 0: stop, keep what is there; may be NULL */
    jv_sequence_sink sink;              /* may be NULL */
    void *sink_context;
    bool no_cures;
} jv_sequence_options;

/* Run. options may be NULL. JV_ERR_UNKNOWN: no such sequence, or no motor to run.
 * JV_ERR_MEMORY. All else is a result. *out must be freed; the circuit must outlive it. */
jv_status jv_sequence_run(const jv_circuit *c, const jv_sequence_options *options,
                          jv_sequence **out);
/* Why the search of cures was cut short, a sentence; NULL: it was not. */
const char *jv_sequence_search_text(const jv_sequence *sequence);
void jv_sequence_free(jv_sequence **sequence); /* takes NULL, leaves NULL */

#endif
