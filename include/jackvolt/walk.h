/* walk.h - guided checks, one step at a time. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_WALK_H
#define JACKVOLT_WALK_H

#include "jackvolt/care.h"
#include "jackvolt/circuit.h"
#include "jackvolt/find.h"
#include "jackvolt/status.h"
#include "jackvolt/text.h"

#include <stdbool.h>
#include <stddef.h>

/* A walk leads a person from a complaint to a repair that is proved, over the fault finder. It is
 * a function of the circuit, its options and the answers so far: the same answers lead to the same
 * step, so that a walk is saved as its answers, undone by dropping the last, and replayed.
 *
 * Order that it keeps, whatever is answered:
 *   - what else is connected is settled before any reading;
 *   - chocks and supports before a jack runs, is cranked by hand, or anybody reaches under;
 *   - readings on the live circuit first; ohms only with every source off and proved dead;
 *   - a part is named after its own reading, or offered as unproved;
 *   - power comes back only after a repair and a check for shorts that passed;
 *   - the repair is proved by a reading and by repeating what failed, or the walk opens again.
 * Texts and arrays of a step are the walk's own, valid until its next call. */
typedef struct jv_walk jv_walk;

typedef enum jv_walk_kind { JV_WALK_SAG, JV_WALK_SENSOR } jv_walk_kind;

typedef struct jv_walk_options {
    jv_walk_kind kind;
    jv_find_options find; /* meter, no_clamp, no_ohms, owner, ... */
} jv_walk_options;

/* What a step has a person do. */
typedef enum jv_act {
    JV_ACT_ANSWER,     /* answer from where they stand */
    JV_ACT_DISCONNECT, /* take off what else feeds the circuit */
    JV_ACT_SAFE,       /* chocks, brake, supports */
    JV_ACT_CRANK,      /* move a jack by hand, made safe first */
    JV_ACT_VOLTS,
    JV_ACT_AMPS,
    JV_ACT_LOOK,
    JV_ACT_ISOLATE,    /* every source off */
    JV_ACT_PROVE_DEAD, /* volts must be nothing */
    JV_ACT_OHMS,
    JV_ACT_LOCATE, /* where on a lead */
    JV_ACT_REPAIR,
    JV_ACT_SHORTS,  /* ohms of the feed before power */
    JV_ACT_RESTORE, /* power back */
    JV_ACT_PROOF,   /* the reading that proves the repair */
    JV_ACT_REPEAT,  /* repeat what failed */
    JV_ACT_END
} jv_act;

typedef enum jv_wants {
    JV_WANTS_CHOICE, /* a number from 1, or the first letters of a choice */
    JV_WANTS_DONE,   /* "done" */
    JV_WANTS_VOLTS,
    JV_WANTS_AMPS,
    JV_WANTS_OHMS,
    JV_WANTS_MILLIVOLTS,
    JV_WANTS_RATIO, /* a plain number */
    JV_WANTS_NOTHING
} jv_wants;

/* One piece of the way between the two probes: from a terminal through a part to the next. */
typedef struct jv_hop {
    const char *from, *part, *to;
} jv_hop;

typedef struct jv_lead_reads {
    size_t suspect;
    const char *words;
    double probability;
    jv_expected reads;
} jv_lead_reads;

typedef struct jv_step {
    size_t number; /* from 1 */
    jv_act act;
    jv_wants wants;
    const char *title;
    const jv_precaution *const *cautions; /* to be shown before the lines, worst first */
    size_t n_cautions;
    uint32_t care;            /* their bits */
    uint32_t told;            /* those of them that an earlier step has shown in full */
    const char *const *lines; /* what to do, in order */
    size_t n_lines;
    const char *const *choices;
    size_t n_choices;
    const char *why, *how; /* answers to these two words */
    /* a measurement */
    size_t check; /* of jv_walk_finder; JV_FIND_NONE */
    jv_setup setup;
    const char *red, *black; /* names of terminals; NULL = no probes */
    const jv_hop *way;
    size_t n_way;
    bool has_healthy;
    jv_expected healthy;
    jv_lead_reads leading[4];
    size_t n_leading;
    /* a repair and its end */
    size_t suspect; /* JV_FIND_NONE */
    double fuse_a;  /* fuse that it has a person fit, never above what the cables behind it carry;
                       NAN = none */
    double minutes; /* for it; 0 = not counted */
    double to_go;   /* to a working vehicle; 0 = not known */
} jv_step;

/* JV_ERR_UNSOLVED: the sound circuit has no operating point at rest. JV_ERR_UNKNOWN: a sensor walk
 * of a circuit without a sensor supply, a sag walk of one without a motor. JV_ERR_MEMORY. The
 * circuit must outlive it. */
jv_status jv_walk_new(const jv_circuit *c, const jv_walk_options *options, jv_walk **out);
void jv_walk_free(jv_walk **walk); /* takes NULL, leaves NULL */

/* The step that is due; act JV_ACT_END when there is none. */
const jv_step *jv_walk_step(const jv_walk *w);
/* Take an answer: a reading ("12.43", "12.43 V", "OL", "no beep"), a choice, "done", "skip",
 * "cannot reach". JV_ERR_INPUT: it cannot be; `problem` says why, and the step stays. */
jv_status jv_walk_answer(jv_walk *w, const char *text, jv_text *problem);
/* What the newest answer meant; "" when there is nothing to say. */
const char *jv_walk_meaning(const jv_walk *w);
/* Undo the newest answer. JV_ERR_RANGE: there is none. */
jv_status jv_walk_back(jv_walk *w);

/* The record: each answer with its step's title and meaning, in order. */
typedef struct jv_walk_entry {
    const char *title;
    const char *asked;  /* "red on \"ctl+\", black on \"ctl-\"" or "" */
    const char *answer; /* as given: what jv_walk_answer took */
    const char *words;  /* the same, a choice in its words */
    const char *meaning;
    jv_act act;
} jv_walk_entry;
size_t jv_walk_answers(const jv_walk *w);
const jv_walk_entry *jv_walk_entry_at(const jv_walk *w, size_t i); /* NULL from the count on */

typedef enum jv_walk_end {
    JV_WALK_GOES_ON,
    JV_WALK_PROVED,   /* repaired and proved */
    JV_WALK_HANDED_ON /* open: handed over with the next action */
} jv_walk_end;
jv_walk_end jv_walk_ended(const jv_walk *w);
/* The next action at a hand-over, or what was found and mended; "" while it goes on. */
const char *jv_walk_result(const jv_walk *w);
/* The suspect named or mended; NULL = none. */
const jv_suspect *jv_walk_named(const jv_walk *w);
/* The engine with the evidence so far: for odds, and for the circuit as found. */
jv_finder *jv_walk_finder(const jv_walk *w);
/* Power is off and proved dead. */
bool jv_walk_is_dead(const jv_walk *w);
jv_walk_kind jv_walk_kind_of(const jv_walk *w);
const jv_circuit *jv_walk_circuit(const jv_walk *w);

/* A reading as a meter shows it: "12.34 V", "35 mV", "OL", "0.4 ohm"; and the range of one: "2 mV
 * to 40 mV". */
void jv_reading_print(jv_text *out, jv_check_kind kind, double value);
void jv_band_print(jv_text *out, jv_check_kind kind, const jv_expected *x);

/* --- saved walks: a small JSON file of answers --- */

/* What makes the walk come back: kind, name of the circuit, changes ("PART.KEY=VALUE"), meter and
 * answers. */
typedef struct jv_walk_saved {
    jv_arena arena;
    jv_walk_kind kind;
    const char *circuit;
    const char **sets;
    size_t n_sets;
    const char *meter; /* in words (evidence.h); NULL = the plain one */
    bool owner;        /* as in jv_find_options */
    const char **answers;
    size_t n_answers;
} jv_walk_saved;
/* Append the file. meter: the words of the options' meter; NULL = the plain one. */
void jv_walk_save(const jv_walk *w, const char *const *sets, size_t n_sets, const char *meter,
                  jv_text *out);
/* Read one; also plain lines of answers (circuit NULL then; empty lines and those that begin with #
 * are passed over). JV_ERR_INPUT: reasons in diags. Free with jv_walk_saved_clear. */
jv_status jv_walk_load(const char *text, size_t length, const char *name, jv_diags *diags,
                       jv_walk_saved *out);
void jv_walk_saved_clear(jv_walk_saved *saved);

/* --- an owner without a circuit file: a few questions about a layout --- */

/* The i-th question about a layout, with what it has now; false from their number on. An empty
 * answer keeps it. */
bool jv_like_ask(const jv_circuit *c, size_t i, jv_text *question);
/* The changes that an answer makes, a line each. JV_ERR_INPUT: `problem` says why. */
jv_status jv_like_take(const jv_circuit *c, size_t i, const char *answer, jv_text *sets,
                       jv_text *problem);

#endif
