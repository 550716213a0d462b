/* size_model.h - a sizing as choices, costs and linear constraints. SPDX-License-Identifier: MIT */
#ifndef STUDY_SIZE_MODEL_H
#define STUDY_SIZE_MODEL_H

#include "jackvolt/size.h"
#include "study/bench.h"
#include "study/guards.h"

/* One size that a run may take. */
typedef struct jv_choice {
    jv_size size;
    const char *text; /* "4 AWG" */
    double cost;      /* what is made least: kg of metal, or money */
    double mass_kg;
    double copper_mm2; /* that its ohms amount to */
    double carries_a;
    double temp_c;         /* hottest over the cases; INFINITY = none lasts */
    const char *why_not;   /* NULL = may be taken */
    const char *why_brief; /* the same in two or three words */
} jv_choice;

typedef struct jv_choices {
    uint32_t part;
    jv_slot *slot; /* SIZE, in the copy of the circuit */
    const jv_cable_watched *watched;
    jv_choice *list; /* thinnest first */
    size_t n;
    size_t back; /* run that returns what this one feeds, never thinner; n_runs = none */
    size_t was;  /* index of the file's size; n = not among them */
} jv_choices;

typedef enum jv_limit_kind { JV_LIMIT_WATCH, JV_LIMIT_STALL, JV_LIMIT_DROP } jv_limit_kind;

/* A scene is one case at one corner of its spreads; each of its limits is a measure that must
 * not be below zero. With all runs at their largest it is `ref`; a run at choice s adds
 * delta[limit][first[run] + s] <= 0, exactly, as long as no current changes. */
typedef struct jv_limit {
    jv_limit_kind kind;
    const jv_watch *watch; /* WATCH */
    uint32_t element;      /* STALL, DROP: the motor */
    uint32_t source;       /* DROP: part */
    double ref;
    double *delta;
} jv_limit;
typedef struct jv_size_scene {
    size_t loading;
    int8_t *ends; /* of each knob of the case's bench */
    jv_limit *limits;
    size_t n;
} jv_size_scene;

typedef struct jv_fuse_choice {
    uint32_t part;
    double was_a, rating_a;
    jv_fuse_style style, was_style;
    bool changed, restyled;
    double most_a;
    const char *why; /* what its rating was too low for; NULL = it was not */
    const char *note;
} jv_fuse_choice;

/* A watch in a case at chosen odds: what it sees less its limit in each of the draws, all runs at
 * their largest, and what a size changes of that (theory Z4); the same draws for all. */
typedef struct jv_odds_row {
    size_t loading, watch;
    double *ref;    /* of each draw */
    double **delta; /* of each column: of each draw; NULL = nothing */
    double *left;   /* while searching: of each depth and draw, the most that can still come */
} jv_odds_row;
typedef struct jv_odds_found {
    double holds, low95, high95; /* by the draws of the check */
} jv_odds_found;
typedef struct jv_size_odds {
    double share;    /* asked for */
    size_t draws;    /* of the search */
    size_t may_fail; /* of them */
    jv_odds_row *rows;
    size_t n;
    double *at;           /* while searching: of each depth, row and draw */
    jv_odds_found *found; /* of each row, of the last choice that was checked */
    uint64_t checked;     /* draws of that */
} jv_size_odds;

typedef struct jv_size_model {
    const jv_circuit *given;
    jv_circuit copy; /* its slots are its own; all else is shared */
    jv_arena *arena;
    const jv_size_options *options;
    jv_guards guards; /* of the copy, all runs at their largest */
    jv_choices *runs;
    size_t n_runs;
    size_t *first; /* of each run: its first column in delta; first[n_runs] = all of them */
    jv_fuse_choice *fuses;
    size_t n_fuses;
    jv_bench **benches; /* of each case */
    jv_size_scene *scenes;
    size_t n_scenes, room;
    jv_size_odds *odds; /* NULL = worst case */
    bool linear;        /* no current hangs on a size: deltas add up */
    double slack_v;     /* by how much they may be off: currents of sensors move a little */
} jv_size_model;

/* Copy, runs and their sizes. Statuses of jv_size_find. */
jv_status jv_size_model_make(const jv_circuit *c, const jv_size_options *options, jv_arena *arena,
                             jv_diags *diags, jv_size_model *m);
void jv_size_model_clear(jv_size_model *m);
/* After the guards were found: tie them to the runs. */
void jv_size_model_tie(jv_size_model *m);
/* A text that lives as long as the result. printf-like. */
const char *jv_size_model_say(jv_size_model *m, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* Fuses by the largest running currents, then what each size may not for heat or for its
 * fuse. All runs must stand at their largest. */
jv_status jv_size_model_protect(jv_size_model *m);
/* Refuse what burns before its fuse must open, whatever the other runs are: where a short is
 * as weak as they can make it. All other runs must stand at their largest. */
jv_status jv_size_refuse_burning(jv_size_model *m, size_t run);

/* What a short at a cable does, with what stands in the copy. */
typedef enum jv_size_short {
    JV_SHORT_HOLDS,  /* false too where no device guards the cable, or its sheet may not decide */
    JV_SHORT_FADES,  /* it burns a wire on its way, or never opens the fuse: less ohms help */
    JV_SHORT_BURNS,  /* it is so strong that the cable is past its limit before the fuse must open:
                        a thicker cable helps, or more ohms elsewhere */
    JV_SHORT_UNKNOWN /* it has no operating point */
} jv_size_short;
/* heated as in jv_guards_follow. */
jv_status jv_size_short_of(jv_size_model *m, const jv_cable_watched *cable, uint8_t *heated,
                           jv_size_short *out);
/* The same in words, with the figures; NULL = it holds, or is not known. */
jv_status jv_size_short_words(jv_size_model *m, const jv_cable_watched *cable, const char **out);
/* Put run r at choice s in the copy (it counts from the next load). */
void jv_size_put(jv_size_model *m, size_t run, size_t choice);
/* Add the scene of a case with these ends (NULL: nominal, with the drop budget), its limits
 * and deltas. `linear` is cleared when a current hangs on a size. */
jv_status jv_size_add_scene(jv_size_model *m, size_t loading, const int8_t *ends);
/* The least limit of all scenes by solving, with what stands in the copy; *scene and *limit tell
 * which. -INFINITY: no operating point. */
jv_status jv_size_solve(jv_size_model *m, double *least, size_t *scene, size_t *limit);

/* One measure by solving. */
jv_status jv_size_measure(jv_size_model *m, size_t scene, size_t limit, double *now);

/* ---- at chosen odds ---- */

/* The draws of all cases and sizes. All runs must stand at their largest. */
jv_status jv_size_odds_make(jv_size_model *m);
/* Runs will be chosen in this order; what it needs comes from the arena of the search. */
jv_status jv_size_odds_order(jv_size_model *m, const size_t *order, jv_arena *a);
/* The run at this depth takes a choice: may enough draws of every row still hold? */
bool jv_size_odds_step(const jv_size_model *m, size_t depth, size_t run, size_t choice);
/* The share of the draws in which a row holds at a pick (NULL: all at their largest), and by how
 * much the odds miss its limit, V. */
jv_status jv_size_odds_miss(const jv_size_model *m, const size_t *pick, size_t row, double *holds,
                            double *short_v);

/* ---- the search ---- */

/* Sizes that fail together, because a short then burns a wire or never opens its fuse: as
 * does every choice no thicker in each of the runs named (choice SIZE_MAX = whatever). Of a short
 * that is too strong, every choice no thicker in its own cable and no thinner in the others. */
typedef struct jv_size_cut {
    size_t *choice; /* of each run */
    size_t cable;   /* index into guards.cables: whose short fails */
    bool only;      /* this one choice, shown by solving not to hold */
    bool burns;     /* JV_SHORT_BURNS */
    size_t own;     /* of such: the run that is the cable; n_runs = it keeps its size */
} jv_size_cut;
/* A cheaper choice that a cut kept out: to be tried, so that the proof does not lean on the
 * cut's "no thicker". */
enum { JV_SIZE_DOUBTS = 4096 };
typedef struct jv_size_doubt {
    size_t cut;
    double cost;
    size_t *pick;
} jv_size_doubt;
typedef struct jv_size_found {
    bool any;
    bool complete;         /* the search ended by itself */
    jv_size_doubt *doubts; /* room for JV_SIZE_DOUBTS; NULL = not wanted */
    size_t n_doubts;       /* more than fit are counted too */
    double cost;
    size_t *pick; /* of each run */
    size_t nodes;
} jv_size_found;
/* Branch and bound over the linear limits. pick must hold n_runs. */
jv_status jv_size_search(jv_size_model *m, const jv_size_cut *cuts, size_t n_cuts,
                         jv_size_found *out);
/* The same when `linear` is false: every node is solved; `complete` and exact when all
 * choices were few enough to be tried, else by "thicker is never worse". */
jv_status jv_size_search_solving(jv_size_model *m, const jv_size_cut *cuts, size_t n_cuts,
                                 jv_size_found *out, bool *exact);
/* Every choice that costs less than `below`, one and all; `complete` is false when they are too
 * many. */
jv_status jv_size_search_below(jv_size_model *m, const jv_size_cut *cuts, size_t n_cuts,
                               double below, jv_size_found *out);
/* The cut that keeps the pick out; n_cuts = none. */
size_t jv_size_cut_of(const jv_size_model *m, const jv_size_cut *cuts, size_t n_cuts,
                      const size_t *pick);
void jv_size_doubt_add(const jv_size_model *m, size_t cut, double cost, const size_t *pick,
                       jv_size_found *found);

#endif
