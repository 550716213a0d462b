/* protection.h - does a fuse or breaker guard a cable? SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_PROTECTION_H
#define JACKVOLT_PROTECTION_H

#include "jackvolt/fuse.h"
#include "jackvolt/heat.h"
#include "jackvolt/status.h"
#include "jackvolt/tables.h"

#include <stdbool.h>
#include <stddef.h>

/* One judgement that sizing, review and runs in time share. A cable has two limits:
 * what its insulation stands for good (`lasting_c`), and what it stands for a few
 * seconds (`short_c`, IEC 60364-5-54: valid up to JV_SHORT_TIME_S). A device has a
 * latest opening time at each current; below its least must-open point it may never open. */

#define JV_SHORT_TIME_S 5.0 /* longest time of the adiabatic limits, IEC 60364-5-54 */

typedef struct jv_cable_limits {
    double lasting_c; /* highest lasting conductor temperature */
    double solid_c;   /* the same as far as it was read in a text: `lasting_c`, or the lowest
                         rating of any vehicle cable where that is from memory or assumed */
    double short_c;   /* 160 degC thermoplastic, 250 degC cross-linked (200 degC rubber) */
    bool assumed;     /* insulation not given: the lowest of vehicle cable was taken */
    jv_confidence confidence; /* of lasting_c */
    const jv_source *source;  /* of lasting_c */
} jv_cable_limits;

/* Limits of an insulation by name; NULL or unknown: GPT, assumed. wet: as for dry but for boat
 * cable, which has a wet row (75 degC). */
void jv_cable_limits_of(const char *insulation, bool wet, jv_cable_limits *out);

/* A cable that a device shall guard. */
typedef struct jv_guarded {
    jv_heat_body body;
    double metal_j_per_m_k; /* within JV_SHORT_TIME_S all heat stays in the metal */
    double start_c;         /* conductor when the overload begins */
    double printed_a;       /* lasting amps of a printed table for this size; infinity = none */
    jv_cable_limits limits;
} jv_guarded;

/* Set up. Of the three insulation walls (known from memory only) the one that carries least is
 * taken. printed_a: 33 CFR 183.425 Table 5 (boats, a yardstick) for gauges, a maker's table of
 * thin-wall vehicle cable for mm2; less in air above the tables' 30 degC (H9), for the smaller
 * copper of an SAE size, in a bundle; copper only. start_c is set to the air's. */
void jv_guarded_make(const jv_size *size, jv_metal metal, const jv_conductor *conductor,
                     const jv_surroundings *where, const jv_cable_limits *limits, jv_guarded *out);

/* (P1) Time that the cable stands a constant current, s, from start_c: until it reaches short_c
 * within JV_SHORT_TIME_S; otherwise until it passes solid_c, but not before
 * JV_SHORT_TIME_S. Infinity when it settles at or below solid_c. Falls with the current. */
double jv_damage_s(const jv_guarded *cable, double current_a);
/* Largest lasting current, A: the least of the heat balance at solid_c and printed_a. */
double jv_carries_a(const jv_guarded *cable);

/* (P2) Latest opening at a current: s, infinity where it may never open, NAN never. Between
 * printed points the log-log line (jv_fuse_opens); with `stepped` the last printed point
 * at or below the current, which is all that a sheet promises. Sheets hold at 20 .. 25 degC;
 * colder is taken as the same. */
double jv_opens_by_s(const jv_time_curve *curve, double rating_a, double current_a, bool stepped);
/* (P3) Earliest opening: s, 0 where no lower limit is known. share: what the ambient leaves of the
 * rating (jv_table_fuse_ambient); a warm fuse opens sooner. */
double jv_opens_from_s(const jv_time_curve *curve, double rating_a, double share, double current_a);
/* Current below which it may never open, A; infinity when the curve has no must-open point. */
double jv_must_open_a(const jv_time_curve *curve, double rating_a);

/* A fuse or breaker in its air, as sizing, review and runs in time all see it. */
typedef struct jv_device {
    jv_time_curve curve;
    double rating_a;
    double share;             /* what the air leaves of the rating; 1 = all */
    jv_confidence confidence; /* worse of curve and share */
} jv_device;
typedef struct jv_opening {
    double from_s; /* (P3); 0 = no lower limit known; infinity = holds */
    double by_s;   /* (P2); infinity = may never open */
    bool extended; /* from_s lies beyond the printed points: the I^2 t of the last one (adiabatic),
                      which no sheet promises */
} jv_opening;
/* At one current that lasts. */
jv_opening jv_device_at(const jv_device *d, double current_a);
/* Current up to which nothing is to open, A: the point before the least must-open point (the rating
 * where there is none before it), less what the air takes. Infinity: no must-open point. */
double jv_device_hold_a(const jv_device *d);
/* (P6) At a changing current the shares dt/t(I) add up; at 1 it is open. The share that a second
 * brings, 1/s: late = of the latest time, else of the earliest. 0 where that end is not known, and
 * up to jv_device_hold_a. */
double jv_device_rate(const jv_device *d, double current_a, bool late);

typedef enum jv_guard_verdict {
    JV_GUARD_HOLDS,  /* the device opens before the cable passes its limits, at every current */
    JV_GUARD_WARM,   /* somewhere the cable passes its lasting limit, never its short-time limit */
    JV_GUARD_FAILS,  /* somewhere it passes its short-time limit, or finds no steady state */
    JV_GUARD_UNKNOWN /* the device has no must-open point that is known */
} jv_guard_verdict;
typedef struct jv_guard {
    jv_guard_verdict verdict;
    jv_confidence confidence; /* worse of the points of the curve and the limits of the cable */
    double current_a;         /* where the judgement is closest, or fails */
    double opens_s;           /* latest opening there; infinity = may never open */
    double damage_s;          /* what the cable stands there */
    double temp_c;            /* conductor when it opens at the latest, or settles */
    double never_below_a;     /* below this it may never open */
    bool stepped;             /* HOLDS even when the curve promises no more than its points */
} jv_guard;
/* The judgement at one current through the cable that lasts until the device opens (infinity:
 * for ever); temp_c may be NULL. Never UNKNOWN. */
jv_guard_verdict jv_guard_at(const jv_guarded *cable, double current_a, double opens_s,
                             double *temp_c);
/* (P4) Scan the currents up to most_a (the largest that can flow). JV_ERR_RANGE: rating or
 * most_a not above 0. */
jv_status jv_guard_check(const jv_time_curve *curve, double rating_a, const jv_guarded *cable,
                         double most_a, jv_guard *out);

/* (P5) A short that heats its own wires: their ohms grow, the current falls, and may fall
 * below what opens the device. */
typedef struct jv_short_wire {
    jv_guarded cable;
    double temp_c;    /* starts at cable.start_c; moved */
    double current_a; /* moved */
} jv_short_wire;
/* Fills current_a of each wire and *device_a for the temperatures that the wires have. False:
 * there is no answer. */
typedef bool (*jv_short_currents)(void *ctx, jv_short_wire *wires, size_t n, double *device_a);

typedef struct jv_short_outcome {
    double first_a;  /* through the device at the start */
    double last_a;   /* when it opens, or at the end */
    bool opens;      /* known to open */
    double opens_s;  /* by then */
    bool over_short; /* a wire passes short_c before that */
    bool over_solid; /* a wire is above solid_c after JV_SHORT_TIME_S, before that */
    size_t hottest;  /* wire nearest to its limit */
    double hottest_c;
    double end_s; /* when the search ended: opened, burnt through its limit, or steady */
} jv_short_outcome;
/* Follow it. A falling current: what flows at t has been passed since the start, so the device is
 * open by t when t >= jv_opens_by_s of that current. Each step is taken with the current of
 * its start for the heat and of its end for the device: both on the safe side. curve NULL: no
 * device. JV_ERR_UNSOLVED when `currents` has no answer. */
jv_status jv_short_follow(jv_short_wire *wires, size_t n, const jv_time_curve *curve,
                          double rating_a, jv_short_currents currents, void *ctx,
                          jv_short_outcome *out);

#endif
