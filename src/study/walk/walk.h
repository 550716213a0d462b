/* walk.h - the parts of a walk. SPDX-License-Identifier: MIT */
#ifndef STUDY_WALK_WALK_H
#define STUDY_WALK_WALK_H

#include "circuit/circuit.h"
#include "circuit/part_kind.h"
#include "jackvolt/memory.h"
#include "jackvolt/walk.h"
#include "study/find/band.h"

/* How the pieces fit. The answers so far decide a *phase* and what it is about; step.c and its
 * neighbours turn that into the step that a person sees, putting first what the phase needs
 * (supports, isolation, proof of dead); answer.c reads an answer, go.c moves on. Texts live in the
 * walk's arena until the walk is freed. */

typedef enum jv_phase {
    JV_PHASE_CONNECTED,  /* what else feeds the circuit */
    JV_PHASE_DISCONNECT, /* take it off */
    JV_PHASE_COMPLAINT,
    JV_PHASE_WHICH, /* which jack, which case */
    JV_PHASE_WHEN,
    JV_PHASE_CHANGED,
    JV_PHASE_BY_HAND, /* must a jack be moved by hand first? */
    JV_PHASE_CRANK,
    JV_PHASE_SOUND,    /* what stops a jack with sound wiring */
    JV_PHASE_SOUND_DO, /* put that right and try */
    JV_PHASE_LOOKING,
    JV_PHASE_LOCATE_WAY, /* with what to locate */
    JV_PHASE_LOCATE_AMPS,
    JV_PHASE_LOCATE,
    JV_PHASE_CHOOSE, /* repairs that are not proved */
    JV_PHASE_REPAIR,
    JV_PHASE_SHORTS,
    JV_PHASE_RESTORE,
    JV_PHASE_PROOF,
    JV_PHASE_REPEAT,
    JV_PHASE_END
} jv_phase;

typedef enum jv_locate {
    JV_LOCATE_NONE,
    JV_LOCATE_OHMS,
    JV_LOCATE_DROP,
    JV_LOCATE_BRIDGE
} jv_locate;

enum {
    JV_WALK_LINES = 24,
    JV_WALK_CHOICES = 40,
    JV_WALK_WAY = 16,
    JV_WALK_CAUTIONS = 32,
    JV_WALK_REPAIRS = 5,
    JV_WALK_REOPENS = 3 /* repairs that did not cure until the walk hands over */
};

/* Evidence in a form that can be given to another finder. */
typedef struct jv_clue {
    enum { JV_CLUE_SYMPTOM, JV_CLUE_READING, JV_CLUE_SKIP } kind;
    jv_symptom symptom;
    jv_check check; /* off is copied into the arena */
    double value;
    bool over;
    jv_band band;
} jv_clue;

/* Finders that stay alive, with all that they have solved: of live readings, and with ohms. */
typedef struct jv_walk_kept {
    jv_finder *finder[2];
    size_t checks[2]; /* that each began with */
} jv_walk_kept;

struct jv_walk {
    const jv_circuit *c;
    jv_walk_options options;
    jv_meter meter;
    jv_arena arena;
    jv_finder *finder;
    jv_phase phase;
    jv_locate locate;
    jv_walk_end end;
    uint32_t told;       /* cautions that were shown in full */
    bool with_ohms;      /* the finder knows ohms; live readings are over */
    bool safe;           /* chocks and supports are in place */
    bool isolated, dead; /* every source off; proved */
    bool which_parts;    /* which_list holds parts, else cases */
    bool again;          /* the forced check replaces an odd reading */
    bool proved_name;    /* named by its own reading */
    bool out_of_memory;
    bool coarse;        /* answers stand for bands: what only exact ones tell is left out */
    jv_walk_kept *kept; /* NULL: a finder is freed when the next takes its place */
    /* opening */
    size_t complaint, which, sound;
    size_t n_which;
    size_t which_list[JV_WALK_CHOICES]; /* behind the choices */
    /* evidence */
    jv_clue *clues;
    size_t n_clues, cap_clues;
    size_t before_repair; /* clues that are older than the newest repair */
    /* what is due */
    jv_next next;
    size_t forced;  /* a check that comes before the finder's own; JV_FIND_NONE */
    size_t retaken; /* reading that was asked a second time; JV_FIND_NONE */
    size_t repairs[JV_WALK_REPAIRS];
    size_t n_repairs;
    size_t suspect; /* named or chosen; JV_FIND_NONE */
    double test_a;
    const char *located; /* sentence; NULL */
    const char *twins;   /* likewise: what no check can tell from the named suspect */
    double shorts_limit; /* ohm */
    size_t proof;
    jv_expected proof_reads;
    bool comes_and_goes; /* so it was told */
    size_t runs;         /* in which the complaint must stay away */
    size_t reopened;
    const char *result;
    const char *meaning;
    /* the step and what it points to */
    jv_step step;
    const char *lines[JV_WALK_LINES];
    const char *choices[JV_WALK_CHOICES];
    const jv_precaution *cautions[JV_WALK_CAUTIONS];
    jv_hop way[JV_WALK_WAY];
    jv_walk_entry *entries;
    size_t n_entries, cap_entries;
};

/* text.c: kept until the walk is freed; "" when memory is short (remembered). */
const char *jv_walk_say(jv_walk *w, const char *format, ...) __attribute__((format(printf, 2, 3)));
const char *jv_walk_keep(jv_walk *w, jv_text *t); /* clears t */
const char *jv_walk_part(const jv_walk *w, size_t part);
const char *jv_walk_terminal(const jv_walk *w, size_t terminal);
/* "left jack and right jack": the motors of a case. */
void jv_walk_motors(jv_text *out, const jv_walk *w, size_t loading);

/* step.c */
void jv_walk_make_step(jv_walk *w);
void jv_walk_line(jv_walk *w, const char *format, ...) __attribute__((format(printf, 2, 3)));
void jv_walk_choice(jv_walk *w, const char *text);
void jv_walk_care(jv_walk *w, uint32_t care);
/* Texts of a phase; each fills step, lines, choices, cautions. */
void jv_walk_step_opening(jv_walk *w);                         /* opening.c */
void jv_walk_step_check(jv_walk *w, size_t check, bool proof); /* measure.c */
void jv_walk_step_safe(jv_walk *w);                            /* safe.c */
void jv_walk_step_isolate(jv_walk *w);
void jv_walk_step_dead(jv_walk *w);
void jv_walk_step_crank(jv_walk *w);
void jv_walk_step_shorts(jv_walk *w);
void jv_walk_step_restore(jv_walk *w);
void jv_walk_step_repeat(jv_walk *w);
void jv_walk_step_locate(jv_walk *w); /* locate.c */
void jv_walk_step_repair(jv_walk *w); /* repair.c */
void jv_walk_step_choose(jv_walk *w);
/* What the phase needs first. */
typedef enum jv_need { JV_NEED_NOTHING, JV_NEED_SAFE, JV_NEED_ISOLATED, JV_NEED_DEAD } jv_need;
jv_need jv_walk_need(const jv_walk *w);
/* The check that is due in the phase LOOKING or PROOF. */
size_t jv_walk_due(const jv_walk *w);

/* answer.c: what was written. */
typedef struct jv_given {
    enum { JV_GIVEN_VALUE, JV_GIVEN_OVER, JV_GIVEN_CHOICE, JV_GIVEN_DONE, JV_GIVEN_SKIP } kind;
    double value; /* SI */
    size_t choice;
} jv_given;
jv_status jv_walk_read(const jv_walk *w, const char *text, jv_given *out, jv_text *problem);

/* go.c: moves on. JV_ERR_INPUT with a problem when it cannot stand. */
jv_status jv_walk_go(jv_walk *w, const jv_given *g, jv_text *problem);
jv_status jv_walk_look(jv_walk *w); /* ask the finder what is next */
void jv_walk_close(jv_walk *w, jv_walk_end end, const char *result);
/* opening.c */
jv_status jv_walk_go_opening(jv_walk *w, const jv_given *g);
/* locate.c */
bool jv_walk_can_locate(const jv_walk *w);
jv_status jv_walk_go_locate(jv_walk *w, const jv_given *g, jv_text *problem);
/* evidence.c: clues and finders. */
jv_status jv_walk_add_symptom(jv_walk *w, const jv_symptom *s);
jv_status jv_walk_add_reading(jv_walk *w, size_t check, double value, bool over);
jv_status jv_walk_skip(jv_walk *w, size_t check);
/* A new finder with the clues of now; with_ohms: live readings are left out. */
jv_status jv_walk_new_finder(jv_walk *w, bool with_ohms);
/* After a repair that did not cure: only what was read since, and the complaint. */
jv_status jv_walk_reopen(jv_walk *w, const char *why);
bool jv_walk_has_ohms_checks(const jv_walk *w);
/* way.c: the way from one terminal to another. */
size_t jv_walk_find_way(const jv_walk *w, size_t from, size_t to, jv_hop *way, size_t most);
/* fuses.c: the largest fuse that the cables behind it carry, A; NAN = not known. */
double jv_walk_fuse_limit(const jv_circuit *c, size_t fuse);
double jv_walk_rating(const jv_circuit *c, size_t fuse);

#endif
