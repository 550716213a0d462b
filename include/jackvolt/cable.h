/* cable.h - one circuit without a file: which cable, which fuse. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CABLE_H
#define JACKVOLT_CABLE_H

#include "jackvolt/conductor.h"
#include "jackvolt/status.h"
#include "jackvolt/tables.h"

#include <stdbool.h>
#include <stddef.h>

/* A source, a cable out, a load, a cable back. The loop is all the conductor, out and
 * back; one way is half of it, because the return is the same cable. A size is chosen
 * when it keeps the drop, stays below what its insulation stands and can be protected
 * by a fuse that is not above what it carries. Verdicts rest on solid rows only: where
 * a row from memory would decide, the verdict is "unknown".
 *
 * How it is worked out, per size:
 *   T        steady conductor temperature at the current (heat.h H1), or after for_s with all
 *            heat that stays kept in the metal (H3)
 *   R        r20 x loop x (1 + a (T - 20))              (conductor.h C5)
 *   drop     R x I;  left = supply - drop
 *   carries  current at which the conductor settles at its insulation's limit (H1), or what
 *            a printed table gives the size, whichever is less: 33 CFR 183.425 Table 5 (a boat
 *            rule, here a yardstick) for gauges, a maker's thin-wall table for mm2
 *   fuse     the least rating sold that is at least I / lasting share (fuse.h F3) and
 *            at most `carries`
 * The thickness of the insulation is known from memory only, so heat is worked out for
 * the thin, general and thick wall: "fits" must hold for all, "too hot" for all. */

typedef enum jv_cable_limit {
    JV_CABLE_LIMIT_DEFAULT, /* 3 % of the supply: ABYC E-11 and ISO 10133, boats: a yardstick */
    JV_CABLE_LIMIT_SHARE,   /* limit_value: 0..1 of the supply */
    JV_CABLE_LIMIT_DROP,    /* limit_value: volts lost */
    JV_CABLE_LIMIT_KEEP     /* limit_value: volts left at the load */
} jv_cable_limit;

/* The question, SI. A zeroed struct with current_a and loop_m set is a question with
 * every default. Each default that was taken shows in the answer. */
typedef struct jv_cable_question {
    double current_a; /* > 0 */
    double loop_m;    /* > 0 */
    double supply_v;  /* at the source under that load; 0 = not known: 12 V */
    jv_cable_limit limit;
    double limit_value;
    jv_size_system basis;
    const char *insulation; /* NULL = not known: GPT, the lowest rating of vehicle cable */
    bool has_air;
    double air_c; /* without has_air: 30 degC, the ambient of the ampacity tables */
    double for_s; /* how long the current lasts from cold; 0 = for good */
    jv_metal metal;
} jv_cable_question;

typedef enum jv_cable_verdict {
    JV_CABLE_FITS,
    JV_CABLE_TOO_MUCH_DROP,
    JV_CABLE_TOO_HOT,
    JV_CABLE_NO_FUSE,
    JV_CABLE_UNKNOWN
} jv_cable_verdict;

/* NAN stands for "not known" or "none". */
typedef struct jv_cable_row {
    jv_size size;
    double area_mm2;       /* metal */
    double resistance_ohm; /* of the loop at temp_c; NAN without a steady temperature */
    double drop_v;
    double drop_share; /* of the supply */
    double left_v;
    double temp_c;    /* NAN: no steady temperature below melting */
    double carries_a; /* for good, in the worst case over the three walls */
    double fuse_a;    /* NAN: none fits */
    jv_fuse_style fuse_style;
    double mass_kg; /* metal of the loop */
    jv_cable_verdict verdict;
    jv_confidence confidence; /* of the row that gives the size its resistance */
    const char *why;          /* one plain clause behind the verdict; static text */
} jv_cable_row;

enum { JV_CABLE_ROWS = 24 };
typedef struct jv_cable_answer {
    jv_cable_question question; /* with the defaults filled in */
    bool supply_assumed, insulation_assumed, air_assumed;
    double one_way_m;
    double limit_drop_v;       /* most that may be lost */
    jv_rule limit_rule;        /* set when the default limit was taken */
    jv_figure insulation_c;    /* highest lasting conductor temperature */
    double insulation_solid_c; /* the limit verdicts use: lower when the figure is from memory */
    jv_figure fuse_share;      /* lasting current over rating, for the style of the chosen fuse */
    jv_cable_row rows[JV_CABLE_ROWS]; /* thinnest first */
    size_t count;
    size_t chosen; /* index into rows; == count when none fits */
} jv_cable_answer;

/* Ranges that a question must keep. */
#define JV_CABLE_MOST_A 2000.0
#define JV_CABLE_MOST_M 1000.0
#define JV_CABLE_MOST_V 60.0

/* Answer a question. JV_ERR_RANGE: a value outside its range, a limit that leaves no
 * drop at all, or air at or above what the insulation stands. JV_ERR_UNKNOWN: no
 * insulation of that name. No memory is taken. */
jv_status jv_cable_find(const jv_cable_question *question, jv_cable_answer *out);

/* "fits", "too much drop", "too hot", "no fuse fits", "unknown". */
const char *jv_cable_verdict_word(jv_cable_verdict verdict);

#endif
