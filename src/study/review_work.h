/* review_work.h - what the rules of a review share. SPDX-License-Identifier: MIT */
#ifndef STUDY_REVIEW_WORK_H
#define STUDY_REVIEW_WORK_H

#include "jackvolt/conductor.h"
#include "jackvolt/review.h"
#include "study/bench.h"
#include "study/guards.h"
#include "study/way.h"

/* One case, solved twice: with nominal values, and hot: loads and ambient at their high ends. */
typedef struct jv_case_view {
    const jv_case *loading;
    jv_bench *bench; /* stands at the nominal point */
    jv_point point;
    bool answer;
    const double *hot_a; /* of each element; NULL without an answer */
    const double *hot_c; /* its conductor; NAN = no conductor */
    double hot_air_c;
} jv_case_view;

typedef struct jv_review_work {
    const jv_circuit *c;
    const jv_fault *faults; /* of the vehicle, in every operating point */
    size_t n_faults;
    jv_arena *arena;
    jv_guards guards;
    jv_case_view *cases; /* of each case of the circuit */
    jv_review_row *rows;
    size_t n, room;
    jv_review_device *devices; /* filled in by the rules */
    size_t n_devices;
    const jv_review_rule *rule; /* whose turn it is */
    jv_status status;
} jv_review_work;

/* What a rule found of one part. */
typedef struct jv_finding {
    const char *part;
    const jv_case *loading; /* NULL = none */
    uint32_t line;
    double figure, limit;
    const char *unit;
    bool least; /* the figure must be at least the limit */
    bool holds;
    jv_confidence confidence; /* of what decides; WEAK makes the row unknown */
    const char *look_in;      /* where the missing figure stands */
} jv_finding;

/* Adds a row of the rule in turn. basis and reason live as long as the review
 * (jv_review_say). */
void jv_review_add(jv_review_work *w, const jv_finding *f, const char *basis, const char *reason);
/* A text in the arena; "" (and the status set) when memory is short. printf-like. */
const char *jv_review_say(jv_review_work *w, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* A finding about a part, with its name and line. */
jv_finding jv_review_about(const jv_review_work *w, uint32_t part);

/* A bench of one case with the faults of the vehicle, and n more. */
jv_status jv_review_bench(jv_review_work *w, const jv_case *loading, const jv_fault *more, size_t n,
                          jv_bench **out);

/* One row of the list of rules. */
typedef struct jv_review_entry_rule {
    jv_review_rule rule;
    void (*judge)(jv_review_work *w);
} jv_review_entry_rule;
extern const jv_review_entry_rule jv_review_rules[];
extern const size_t jv_review_rules_count;

/* review_devices.c */
/* Every device with its curve and its wires; after jv_guards_find. */
jv_status jv_review_devices_begin(jv_review_work *w);
/* The curves that the wires stand; after the rules. */
jv_status jv_review_devices_draw(jv_review_work *w);
jv_review_device *jv_review_device_of(const jv_review_work *w, uint32_t part);
jv_review_wire *jv_review_wire_of(const jv_review_work *w, const jv_cable_watched *k);

/* review_fuses.c */
/* A cable whose short cannot pass what it carries needs no fuse: the source limits itself. */
bool jv_cable_limited(const jv_cable_watched *k, const jv_guarded *g);
void jv_judge_fuse_fits_cable(jv_review_work *w);
void jv_judge_cable_outlives_fuse(jv_review_work *w);
void jv_judge_short_opens_fuse(jv_review_work *w);
void jv_judge_unfused_length(jv_review_work *w);
void jv_judge_fuse_near_source(jv_review_work *w);
/* review_loads.c */
/* May a device carry the current as long as the case lasts? For sizing too. */
bool jv_fuse_lasts(const jv_circuit *c, uint32_t part, const jv_case *loading, double current_a,
                   double air_c);
void jv_judge_fuse_lasting(jv_review_work *w);
void jv_judge_fuse_stall(jv_review_work *w);
void jv_judge_fuse_inrush(jv_review_work *w);
void jv_judge_breaker_type(jv_review_work *w);
void jv_judge_breaking(jv_review_work *w);
void jv_judge_conductor_temperature(jv_review_work *w);
void jv_judge_connector_rating(jv_review_work *w);
/* review_volts.c */
void jv_judge_operating_point(jv_review_work *w);
void jv_judge_drop_motors(jv_review_work *w);
void jv_judge_drop_loads(jv_review_work *w);
void jv_judge_watch(jv_review_work *w);
void jv_judge_sensor_supply(jv_review_work *w);
void jv_judge_relay_pull_in(jv_review_work *w);
/* review_build.c */
/* Copper that a conductor's ohms amount to. */
double jv_copper_mm2(const jv_conductor *c);
/* Least copper of a cable that returns current by a frame; 0 where it touches none. */
double jv_frame_bond_least_mm2(const jv_circuit *c, const jv_cable_watched *cable);
void jv_judge_return_size(jv_review_work *w);
void jv_judge_metal(jv_review_work *w);
void jv_judge_frame_bond(jv_review_work *w);

#endif
