/* play.h - a sequence while it runs. SPDX-License-Identifier: MIT */
#ifndef STUDY_SEQUENCE_PLAY_H
#define STUDY_SEQUENCE_PLAY_H

#include "jackvolt/protection.h"
#include "jackvolt/sequence.h"
#include "jackvolt/tables.h"
#include "solve/time/motion.h"

#include <stdint.h>

/* A change for a run that asks what it would take. */
typedef struct jv_tweak {
    int32_t less_part; /* -1 = none */
    double less_ohm;
    int32_t watch; /* the run ends when this watch trips; -1 = a run of its own */
    bool disarm;   /* it does not act: its longest time under the limit is wanted */
} jv_tweak;

/* --- what watches the run from outside of the bodies --- */
typedef enum jv_monitor_kind {
    JV_MONITOR_WATCH,
    JV_MONITOR_RESET, /* controller: volts */
    JV_MONITOR_OVER,  /* controller: current of one output */
    JV_MONITOR_HALL   /* sensor: volts */
} jv_monitor_kind;

typedef struct jv_monitor {
    uint8_t kind;
    bool counts;  /* now: in its state, its blank time over */
    bool past;    /* beyond its limit */
    bool tripped; /* and has acted since it went beyond */
    bool told_below;
    uint32_t index;   /* watch or part */
    uint32_t element; /* OVER: the feed of the output; HALL: its own current */
    int32_t plus, minus;
    double shift_v; /* taken off the volts */
    double limit, reset;
    double hold_s, blank_s;
    double since, due, blank_until;
} jv_monitor;

/* A motor of the circuit. */
typedef struct jv_runner {
    uint32_t part;
    uint32_t element;
    int32_t body;
    int32_t hall; /* monitor of the sensor that counts it; -1 */
    double pulses_per_turn;
    bool on;
    double started, runs_s, limit_due, limit_s;
    double pulse_timeout, pulse_due;
    double start_extension, pulses, lost, turns_at; /* turns at the last look */
} jv_runner;

typedef struct jv_fuse_follow {
    uint32_t part, element;
    jv_device device;
    bool weak, is_breaker, automatic, modified;
    double hold;        /* A: up to it nothing adds up */
    double early, late; /* used shares */
    bool told, open;
    double reset_s, due;
    double may_open_s, opens_s;
} jv_fuse_follow;

typedef struct jv_watch_track {
    double lowest, at, under, longest, run_under, shown;
    double shown_lowest;
    size_t trips;
    double first;
    jv_sequence_cause cause;
    double *held_t, *held_v; /* samples while it counts */
    size_t n_held, cap_held;
} jv_watch_track;

typedef struct jv_queue { /* starts that are still to come in this step */
    jv_run run;
    double at;
} jv_queue;

enum { JV_PLAY_POINTS = 5 }; /* of a step that are looked at for events */

typedef struct jv_play {
    const jv_circuit *c;
    const jv_plan *plan;
    const jv_sequence_options *options;
    const jv_tweak *tweak;
    jv_arena *arena; /* of the results */
    jv_net *net;
    jv_motion *motion;
    jv_case now; /* what is commanded in this moment */
    jv_fault *faults;
    size_t n_faults;
    double tolerance, every, longest, response;
    size_t step;
    double step_from, step_until;
    jv_queue *queue;
    size_t n_queue;
    jv_monitor *monitors;
    size_t n_monitors;
    jv_runner *runners;
    size_t n_runners;
    jv_fuse_follow *fuses;
    size_t n_fuses;
    jv_watch_track *tracks;
    double restart_due;
    uint32_t restart_part;
    bool waiting;  /* a check at rest holds the first step back */
    bool stopping; /* something stopped all: a little rest is shown, then it ends */
    double end_at;
    jv_sequence_stop stop;
    const char *why;
    /* event functions: bodies, monitors, pieces */
    size_t n_g;
    double *g[JV_PLAY_POINTS], *values[JV_PLAY_POINTS];
    bool reload, resettle, step_over, unsolved;
    bool told_short; /* that a constant power does not reach its load: once a run */
    /* results as they grow */
    jv_sequence_event *events;
    size_t n_events, cap_events;
    double *step_starts;
    double *times, *rows;
    size_t n_samples, cap_samples, n_traces;
    struct jv_column *columns; /* what each trace is of; n_traces */
    jv_trace *traces;
    size_t next_sample; /* of the even ones */
    jv_sequence heads;  /* for the sink */
    bool sink_stopped;
    bool cut_short;       /* by the clock or by Ctrl-C, among the samples of a step */
    double *charge_start; /* of each part */
    double *peak, *peak_at, *lowest_v, *hottest;
    uint8_t *part_open;
    size_t *releases;
    size_t located;
    jv_status status;
    double wall_start; /* 0 = now */
} jv_play;

/* All but circuit, plan, options, tweak, arena and wall_start zero. */
jv_status jv_play_run(jv_play *p);
void jv_play_free(jv_play *p);
double jv_wall_now(void);
jv_status jv_play_make(jv_play *p); /* setup.c: net, bodies, monitors, room */

/* The story. text is printf-like. */
void jv_tell(jv_play *p, jv_happening what, uint32_t part, int32_t watch, bool serious, bool weak,
             const char *format, ...) __attribute__((format(printf, 7, 8)));
void jv_play_stop_motor(jv_play *p, uint32_t part);
void jv_play_stop_all(jv_play *p, const char *why);
const char *jv_play_part_name(const jv_play *p, uint32_t part);

/* locate.c: the first event of the last step, 2 in *share = none. */
size_t jv_locate_first(jv_play *p, double *share);

/* monitors.c */
jv_status jv_monitors_make(jv_play *p);
void jv_monitors_command(jv_play *p, double t); /* after motors started or stopped */
/* A check before the start sees too few volts, and has not yet said so for its dwell. */
bool jv_monitors_hold_back(const jv_play *p);
double jv_monitors_due(const jv_play *p);
void jv_monitors_events(const jv_play *p, const double *values, double *g);
void jv_monitors_act(jv_play *p, size_t event);
void jv_monitors_timers(jv_play *p);
/* Those beyond their limit without having crossed it in a step. */
void jv_monitors_look(jv_play *p);
double jv_monitor_value(const jv_play *p, const jv_monitor *m, const double *values);

/* The wall clock is over, or it was asked to stop. */
bool jv_play_is_over(const jv_play *p);

/* fuses.c */
jv_status jv_fuses_make(jv_play *p);
void jv_fuses_air(jv_play *p); /* the air has changed: what it leaves of their ratings */
double jv_fuses_due(const jv_play *p);
/* The share of the last step, no more than `share`, at which a fuse may open or is open; *event:
 * 2 x fuse, + 1 for the latest. 2 = none. */
double jv_fuses_crossing(const jv_play *p, double share, size_t *event);
void jv_fuses_advance(jv_play *p, double share); /* the last step up to share has passed */
void jv_fuses_act(jv_play *p, size_t event);
void jv_fuses_timers(jv_play *p);

/* track.c */
jv_status jv_tracks_make(jv_play *p);
void jv_tracks_rest(jv_play *p); /* displays show the volts of now */
void jv_tracks_advance(jv_play *p, double share);
void jv_track_row(jv_play *p, double t, const double *values);
void jv_tracks_end(jv_play *p);
void jv_tracks_free(jv_play *p);
jv_status jv_tracks_finish(jv_play *p, jv_sequence *out);

/* cause.c */
void jv_cause_find(jv_play *p, const jv_monitor *m, jv_sequence_cause *out);

/* generic.c: our own sequence where the file has none. JV_ERR_UNKNOWN: nothing to run. */
jv_status jv_plan_generic(const jv_circuit *c, jv_arena *arena, jv_plan *out);

/* cures.c: fills out->cures and out->search; the wall clock goes on from wall_start. */
jv_status jv_cures_find(const jv_circuit *c, const jv_plan *plan,
                        const jv_sequence_options *options, double wall_start, jv_arena *arena,
                        jv_sequence *out);

#endif
