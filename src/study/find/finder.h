/* finder.h - the parts of the fault finder. SPDX-License-Identifier: MIT */
#ifndef STUDY_FIND_FINDER_H
#define STUDY_FIND_FINDER_H

#include "jackvolt/find.h"
#include "solve/point.h"
#include "study/find/band.h"

/* How the pieces fit. A *setup* is one way in which the circuit is powered and plugged: its sound
 * net is solved and factored once. A *state* is a suspect at one severity (or a pair at two). A
 * fault is a set of *gates*, rank-one changes of the setup's equations, so that the state's
 * operating point follows from the factors of the sound net (docs/theory.md, Woodbury). A *look*
 * is a weighed sum of unknowns: what a check or a symptom sees. *Unknowns* are the quantities that
 * vary in a sound circuit, the meter's gain and the width of a severity cell, all as standard
 * normals z; each state keeps its own mean and spread of z, corrected by every reading. */

enum {
    JV_LOOK_TERMS = 24, /* of one look */
    JV_GATE_TERMS = 3,  /* of one side of a gate */
    JV_MAX_GATES = 32,  /* of one state in one setup */
    JV_CELLS = 8,       /* severities of a single */
    JV_PAIR_CELLS = 5,  /* of each of a pair */
    JV_SHORT_CELLS = 6, /* places along a lead */
    JV_SHORT_OHMS = 3,  /* ohms of the short at each */
    JV_OWN = 4          /* own readings of a suspect */
};

/* F += u s, and R s = v x + c; fixed: s = c. */
typedef struct jv_gate {
    int32_t iu[JV_GATE_TERMS], iv[JV_GATE_TERMS];
    double u[JV_GATE_TERMS], v[JV_GATE_TERMS];
    uint8_t nu, nv;
    bool fixed;
    int32_t element; /* whose law it changes; -1 = it adds a branch */
    double c, r;
    double leak_a; /* a leak of so many amps down to its knee; 0 = none */
} jv_gate;

typedef struct jv_look {
    int32_t index[JV_LOOK_TERMS];
    double weight[JV_LOOK_TERMS];
    uint8_t n;
    uint8_t kind;  /* jv_look_kind */
    int16_t motor; /* SPEED, STILL: number of the motor among those of the setup */
    bool metered;  /* read with a meter: its gain counts */
    double offset; /* subtracted: the limit of a symptom */
    double full;   /* OHMS: greatest ohms that the meter shows */
} jv_look;

typedef enum jv_look_kind {
    JV_LOOK_VOLTS,
    JV_LOOK_AMPS,
    JV_LOOK_OHMS,  /* ln(1 + R/half ohm), held at the meter's full scale */
    JV_LOOK_SPEED, /* back EMF of one motor less 0.8 of the mean of the others */
    JV_LOOK_ALL,   /* mean back EMF less 0.8 of that of the sound circuit */
    JV_LOOK_STILL  /* back EMF of one motor, less what just moves it */
} jv_look_kind;

/* Share of the volts dF that one unknown moves: F_row += c0 + c1 x[i1] + c2 x[i2], while the
 * element is on the piece of its law that it is on in the sound net. */
typedef struct jv_term {
    uint32_t unknown;
    int32_t element;
    int32_t row, i1, i2;
    double c0, c1, c2;
} jv_term;

typedef struct jv_find_setup {
    jv_setup kind;
    size_t loading;     /* case; JV_FIND_NONE */
    jv_case made;       /* the case with what is off */
    uint32_t *off;      /* all that is off in `made` */
    size_t *off_public; /* what the person switches off or unplugs */
    size_t n_off_public;
    int32_t inject_p, inject_q; /* ohms: the probes; -1 */
    jv_net *net;
    jv_system *system;
    jv_net *spare; /* for states that no low rank reaches; made when first asked for */
    jv_system *spare_system;
    bool usable; /* the sound net has an operating point */
    int n;
    double *x;           /* of the sound net */
    double *ax;          /* its Jacobian */
    double **col, **row; /* A^-1 e_i and A^-T e_i, made when first asked for */
    double *frozen;      /* of each element: ohms by which its warmth raised it */
    jv_element *sound;   /* elements of the sound net */
    int8_t *mode;        /* their pieces */
    int32_t *island;     /* root of each node */
    uint32_t *motor;     /* elements of the motors that run */
    size_t n_motors;
    double *sound_emf;
    jv_term *terms;
    size_t n_terms, cap_terms;
    jv_look *looks;
    size_t n_looks, cap_looks;
} jv_find_setup;

/* A look of a state, kept: before any evidence, and as the evidence so far leaves it. Later
 * evidence is taken up when it is asked for again. */
typedef struct jv_kept {
    double first, mean, var;
    size_t epoch;   /* of the evidence; another one: begin anew */
    size_t applied; /* gains of the state taken up */
    float slope[];  /* by each unknown */
} jv_kept;

/* One state in one setup. */
typedef struct jv_record {
    uint8_t how; /* jv_record_how */
    uint8_t n_gates, n_flips;
    jv_gate *gates;
    int32_t *flips; /* elements that are on another piece, or open */
    double *minv;   /* inverse of (R + V Z), gates x gates */
    double *x;
    double *emf;   /* of each running motor */
    double *swing; /* where relays or sensors move to and fro: x is the middle, this half the way */
    double *mean;  /* WHOLE: of each look */
    float *slope;  /* WHOLE: of each look by each unknown */
    size_t n_looks;
    jv_kept **kept; /* of each look; NULL until asked for */
    size_t n_kept;
} jv_record;

typedef enum jv_record_how {
    JV_RECORD_RANK,   /* by gates */
    JV_RECORD_WHOLE,  /* solved as a whole */
    JV_RECORD_NOTHING /* no operating point: supplies collapse */
} jv_record_how;

typedef enum jv_unknown_kind {
    JV_UNKNOWN_SLOT,   /* a value of the file */
    JV_UNKNOWN_OHMS,   /* ohms of one element that the file states exactly */
    JV_UNKNOWN_VOLTS,  /* volts of a source, likewise */
    JV_UNKNOWN_LOAD,   /* what one load draws */
    JV_UNKNOWN_LOADS,  /* all motors together */
    JV_UNKNOWN_GAIN_V, /* from here on with a spread of their own, whatever the options say */
    JV_UNKNOWN_GAIN_A,
    JV_UNKNOWN_CELL, /* width of a severity cell */
    JV_UNKNOWN_SWING /* where between the two ends a circuit that moves to and fro is met */
} jv_unknown_kind;

typedef struct jv_unknown {
    jv_unknown_kind kind;
    uint32_t part;
    uint32_t slot;
    int32_t element; /* which of the part's own; -1 = all that the slot moves */
    double sd;       /* of the slot's value; else relative, VOLTS in V */
} jv_unknown;

typedef struct jv_find_suspect {
    jv_suspect view;
    jv_fault fault[2];  /* severity not filled in */
    size_t single[2];   /* a pair's two singles */
    size_t first, n;    /* its states */
    size_t cells;       /* of each of its faults */
    size_t group;       /* suspects mended at the same part: need not be told apart */
    size_t own[JV_OWN]; /* checks that read it by itself, and what they rest on; JV_FIND_NONE */
} jv_find_suspect;

typedef struct jv_find_state {
    size_t suspect;
    jv_fault fault[2];
    uint8_t n_faults;
    uint8_t cell[2];
    double log_prior, log_weight;
    bool alive;
    jv_record **record; /* by setup */
    double *mu;         /* mean of z; NULL = 0 */
    float *gain;        /* n_gain vectors: the spread of z is I - sum of g g' */
    double *push;       /* of each: the mean of z moved by push g */
    size_t n_gain;
} jv_find_state;

typedef struct jv_find_check {
    jv_check view;
    size_t setup;
    size_t look;
    double sound; /* what the sound circuit reads; NAN until asked for */
    bool taken, skipped;
} jv_find_check;

typedef enum jv_entry_kind {
    JV_ENTRY_SYMPTOM,
    JV_ENTRY_READING,
    JV_ENTRY_SKIP,
    JV_ENTRY_REPAIR
} jv_entry_kind;

typedef struct jv_entry {
    jv_entry_kind kind;
    jv_symptom symptom;
    size_t check;
    double value;
    bool over;
    jv_band band;   /* that the value stands for */
    bool proof;     /* taken after a repair */
    bool dropped;   /* read again with another result, or only to confirm: does not count */
    bool confirmed; /* read again with the same result */
    size_t suspect; /* REPAIR */
    double misfit;  /* least square of the standardised error over the suspects that count */
    double plain;   /* the same of the sound circuit */
} jv_entry;

/* The check that brings a name nearest, kept until the odds change. */
typedef struct jv_chosen {
    bool known;
    size_t of_checks; /* how many there were to choose from */
    size_t check;     /* JV_FIND_NONE: none tells anything */
    double bits, minutes;
    double saves; /* minutes on the way to a name, less its own; below 0 it costs more */
    size_t leading[4];
    size_t n_leading;
} jv_chosen;

/* What the slopes of all looks of one state in one setup share. */
typedef struct jv_shared {
    size_t state, setup; /* whose it is; JV_FIND_NONE */
    double *term;        /* of each term of the setup, at the state's point */
    double *gate;        /* gates x unknowns of the system: v A^-1 */
    double *adjoint;
    size_t cap_terms, cap_n;
} jv_shared;

struct jv_finder {
    const jv_circuit *c;
    jv_find_options options;
    jv_meter meter;
    jv_arena arena;
    double *mean_x; /* mean value of each slot */
    jv_unknown *unknowns;
    size_t n_unknowns, cap_unknowns;
    size_t n_groups;
    size_t gain_v, gain_a, cell[2], swing;
    jv_find_setup *setups;
    size_t n_setups, cap_setups;
    size_t rest;
    jv_find_suspect *suspects;
    size_t n_suspects, cap_suspects;
    jv_find_state *states; /* the last is the sound circuit */
    size_t n_states;
    size_t sound;
    jv_find_check *checks;
    size_t n_checks, cap_checks;
    jv_entry *entries;
    size_t n_entries, cap_entries;
    double none_log; /* log weight of "none of these" */
    jv_odds *odds;
    double *part_odds;
    jv_reason *reasons;
    double *scratch, *scratch2; /* one number an unknown */
    jv_shared shared;
    struct jv_field *field; /* of the last choice: its room is used again */
    jv_chosen chosen;
    size_t epoch;      /* how often the evidence was begun anew */
    size_t kept_bytes; /* of all looks kept */
    bool *open_place;  /* places opened: kinds, isolation, then one a part */
    size_t repaired;   /* suspect mended; JV_FIND_NONE */
    size_t proof;      /* check of the proof reading */
    jv_band band;      /* of the readings that come next */
    size_t n_full;     /* whole solves done, for the bench */
    size_t n_rank;
    jv_place_kind *place; /* of each terminal */
    size_t *place_part;
};

/* --- finder.c --- */
/* Back to so many entries and checks: what was added behind them is forgotten. */
jv_status jv_finder_rewind(jv_finder *f, size_t entries, size_t checks);
/* --- suspects.c --- */
jv_status jv_suspects_make(jv_finder *f);
/* --- unknowns.c --- */
jv_status jv_unknowns_make(jv_finder *f);
/* --- setup.c --- */
/* A setup, found or made. *setup is set also when it is not usable. */
jv_status jv_setup_get(jv_finder *f, jv_setup kind, size_t loading, const size_t *off, size_t n_off,
                       int32_t p, int32_t q, size_t *setup);
void jv_setup_free(jv_find_setup *s);
const double *jv_setup_col(jv_find_setup *s, int32_t i);
const double *jv_setup_row(jv_find_setup *s, int32_t i);
/* Load one part of the setup's net with faults (n = 0: sound), warmth kept as it is. */
void jv_setup_load_part(jv_find_setup *s, const jv_fault *faults, size_t n, size_t part);
/* Add a look; its number comes back, JV_FIND_NONE when memory is short. */
size_t jv_setup_look(jv_find_setup *s, const jv_look *look);
jv_status jv_terms_make(jv_finder *f, jv_find_setup *s);
/* --- gates.c --- */
/* Half a volt: below it a leak fades to zero, as in the net (net.c). */
#define JV_LEAK_KNEE_V 0.5
/* The gates of one part whose elements are loaded otherwise than in the sound net, added behind
 * the *n that are there. opened: sinks that do not draw any more. False when a change is not of
 * that form. */
bool jv_gates_of_part(const jv_find_setup *s, size_t part, jv_gate *gates, size_t *n,
                      int32_t *opened, size_t *n_opened);
/* The branch that a short, a leak or a short inside adds; true with none for other ways.
 * faded: a leak is below its knee. */
bool jv_gate_of_branch(const jv_find_setup *s, const jv_fault *fault, bool faded, jv_gate *gates,
                       size_t *n);
/* The gate of an element that leaves the piece of its law on which the sound net has it. x: the
 * point at which a current limit that falls with the output is held; NULL = by its slope. */
bool jv_gate_of_flip(const jv_find_setup *s, size_t element, int8_t mode, const double *x,
                     jv_gate *gate);
/* --- record.c, whole.c --- */
/* The operating point of a state in a setup. */
jv_status jv_record_get(jv_finder *f, size_t state, size_t setup, jv_record **out);
void jv_record_free(jv_record **r);
/* By gates on the sound net's factors, into a record with room for x and emf; *found = false where
 * they do not reach. */
jv_status jv_record_rank(jv_finder *f, const jv_find_state *state, jv_find_setup *s, jv_record *r,
                         bool *found);
/* By solving the faulted net as a whole. */
jv_status jv_record_whole(jv_finder *f, const jv_find_state *state, jv_find_setup *s, jv_record *r);
/* Back EMF of each running motor, V, from the elements loaded now. */
void jv_record_emf(const jv_find_setup *s, const jv_net *net, const uint32_t *motor,
                   const double *x, double *emf);
/* Change of a term at x. */
static inline double jv_term_at(const jv_term *t, const double *x) {
    return t->c0 + (t->i1 >= 0 ? t->c1 * x[t->i1] : 0.0) + (t->i2 >= 0 ? t->c2 * x[t->i2] : 0.0);
}
/* --- expect.c --- */
/* Mean of a look of a state before any evidence, and its slopes by the unknowns (may be NULL). */
jv_status jv_expect_look(jv_finder *f, size_t state, size_t setup, size_t number, double *mean,
                         double *slope);
/* The same while what comes and goes is not there: the sound circuit with what the readings taught
 * of this state's healthy quantities. */
jv_status jv_expect_gone(jv_finder *f, size_t state, size_t setup, size_t look, double *mean,
                         double *var, double *ps);
/* Lets go of every look that is kept, once they take too much memory. */
void jv_expect_trim(jv_finder *f);
/* With the evidence so far. ps (may be NULL): spread of z times slope. */
jv_status jv_expect_now(jv_finder *f, size_t state, size_t setup, size_t look, double *mean,
                        double *var, double *ps);
/* Ohms of an OHMS look from its scale, and the other way. */
double jv_ohms_to_scale(double ohms, double full);
double jv_ohms_from_scale(double y, double full);
/* --- places.c --- */
jv_status jv_places_make(jv_finder *f);
/* Places, minutes and cautions of a check whose kind, setup and probes are filled in. */
void jv_check_effort(const jv_finder *f, jv_find_check *c);
/* Minutes now: the reading, and what must be opened, isolated or unplugged for it first. */
double jv_check_minutes(const jv_finder *f, size_t check);
/* The same, once another check has been taken. */
double jv_check_minutes_after(const jv_finder *f, size_t check, size_t first);
void jv_check_open_place(jv_finder *f, size_t check);
/* --- checks.c, checks_sensor.c --- */
jv_status jv_checks_make(jv_finder *f);
jv_status jv_checks_sensors(jv_finder *f);
/* The check that reads each suspect by itself. */
void jv_checks_own(jv_finder *f);
/* Adds a check unless it is there; look: NULL for JV_CHECK_LOOK. */
jv_status jv_check_add(jv_finder *f, const jv_check *view, size_t setup, const jv_look *look,
                       size_t *check);
/* Volts from one terminal to another in a setup; part: that it measures, or JV_FIND_NONE. */
jv_status jv_check_volts(jv_finder *f, size_t setup, int32_t plus, int32_t minus, size_t part,
                         size_t *check);
jv_status jv_check_amps(jv_finder *f, size_t setup, size_t element, size_t part, double sign,
                        size_t *check);
jv_status jv_check_ohms(jv_finder *f, const size_t *off, size_t n_off, int32_t p, int32_t q,
                        size_t part, size_t *check);
jv_status jv_check_looking(jv_finder *f, size_t part, size_t *check);
/* --- reading.c: the meter in the likelihood --- */
/* Variance of what the meter adds to a reading y of this check. */
double jv_reading_noise(const jv_finder *f, const jv_find_check *c, double y);
/* Variance of what the straight lines of a state leave, so far from the sound reading. */
double jv_reading_bend(jv_finder *f, const jv_find_check *c, double mean);
/* Density of a wild reading. */
double jv_reading_flat(const jv_finder *f, const jv_find_check *c);
double jv_reading_of_value(const jv_finder *f, const jv_find_check *c, double value, bool over);
double jv_reading_to_value(const jv_finder *f, const jv_find_check *c, double y);
/* Density of a reading under "none of these": the sound prediction, and far around it. */
double jv_reading_none(const jv_finder *f, const jv_find_check *c, double y, double mean,
                       double var);
/* Probability of a band under it. */
double jv_reading_none_band(const jv_finder *f, const jv_find_check *c, const jv_band *b,
                            double mean, double var);
/* --- hint.c: how much likelier what is told before the meter makes a state --- */
double jv_hint_weight(const jv_finder *f, const jv_find_state *s, jv_hint hint);
/* --- loose.c: faults that come and go --- */
bool jv_is_loose(const jv_find_state *s);
/* Share of the readings of this check in which such a fault is there. */
double jv_loose_share(const jv_finder *f, const jv_find_check *c);
/* --- twins.c --- */
/* Other suspects of at least these odds that no check here can tell from one, up to `most`. */
jv_status jv_twins(jv_finder *f, size_t suspect, double least, size_t *list, size_t most,
                   size_t *n);
/* --- odds.c --- */
jv_status jv_odds_apply(jv_finder *f, jv_entry *e);
jv_status jv_odds_replay(jv_finder *f);
jv_status jv_odds_sum(jv_finder *f);
void jv_odds_reset(jv_finder *f);
/* z += ps * shift; the spread of z loses (shrink ps)(shrink ps)'. False: memory is short. */
bool jv_odds_condition(jv_finder *f, jv_find_state *s, const double *ps, double shift,
                       double shrink);
/* --- band.c --- */
/* Weighs a reading of which only the band is known. */
jv_status jv_band_read(jv_finder *f, jv_entry *e);
/* --- odds.c again --- */
/* P(bad reading) of a look at a part under a state. */
double jv_look_bad(const jv_finder *f, const jv_find_state *s, size_t part);
/* --- next.c --- */
/* Has the part been read by itself, by this check or one like it? */
bool jv_own_is_read(const jv_finder *f, const jv_find_suspect *s, size_t own);
/* --- choose.c --- */
jv_status jv_choose(jv_finder *f, const jv_chosen **out);
void jv_choose_free(jv_finder *f);
/* --- names.c --- */
const char *jv_find_suspect_words(jv_finder *f, const jv_fault *fault, size_t n);
const char *jv_find_check_text(jv_finder *f, const jv_find_check *c);

#endif
