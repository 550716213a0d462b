/* card.h - the parts of a card in the making. SPDX-License-Identifier: MIT */
#ifndef STUDY_CARD_CARD_H
#define STUDY_CARD_CARD_H

#include "jackvolt/card.h"
#include "study/find/finder.h"
#include "study/walk/walk.h"

/* How the pieces fit. tree.c asks one walk for the step that is due, makes a sketch of it, and goes
 * down each of its answers in turn; mark.c takes the walk back between them, so that its finders
 * keep what they have solved. bands.c parts the readings that a step may give; tail.c is the way
 * from a name to its end; nodes.c keeps the nodes, alike ones once. A node is made when all that it
 * leads to is there: numbers fall along every way, and are turned round at the end (card.c). */

enum { JV_CARD_ANSWERS = JV_WALK_CHOICES + 8, JV_CARD_BANDS = 8 };

/* --- nodes.c --- */

/* Checks, as bits: what is asked in a node and behind it. Two checks may share a bit. */
enum { JV_ASKED_WORDS = 8 };
typedef struct jv_asked {
    uint64_t bits[JV_ASKED_WORDS];
} jv_asked;

/* A node while it is put together. */
typedef struct jv_sketch {
    jv_card_node node;
    jv_asked asked; /* here; what is asked behind it is added */
    const char *lines[JV_WALK_LINES + 4];
    jv_hop way[JV_WALK_WAY];
    jv_card_answer answers[JV_CARD_ANSWERS];
} jv_sketch;

typedef struct jv_card_memo {
    const char *key;
    size_t node;
    double reach;
} jv_card_memo;

/* Nodes and texts, each once. Pointers stay valid. */
typedef struct jv_card_store {
    jv_arena arena;
    jv_card_node *nodes;
    size_t n_nodes, cap_nodes, cap_asked;
    jv_asked *asked;                       /* of each node */
    uint32_t *node_at, *text_at, *memo_at; /* hash tables of number + 1; 0 = free */
    size_t room_nodes, room_texts, room_memos;
    const char **texts;
    size_t n_texts, cap_texts;
    jv_card_memo *memos;
    size_t n_memos, cap_memos;
    bool failed; /* memory was short: stays */
} jv_card_store;

void jv_store_clear(jv_card_store *s);
/* The text as it is kept; equal texts have equal pointers. */
const char *jv_store_text(jv_card_store *s, const char *text);
const char *jv_store_textf(jv_card_store *s, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
const jv_check *jv_store_check(jv_card_store *s, const jv_check *check);
/* The number of a node like the sketch: an old one, or a new one behind all others. */
size_t jv_store_node(jv_card_store *s, const jv_sketch *d);
void jv_asked_add(jv_asked *a, size_t check, bool with_ohms);
bool jv_asked_meet(const jv_asked *a, const jv_asked *b);
/* A node that was made before in the same situation, and not much rarer than it is now, so that
 * as many ways were followed behind it; JV_FIND_NONE. */
size_t jv_store_find(const jv_card_store *s, const char *key, double reach);
void jv_store_note(jv_card_store *s, const char *key, size_t node, double reach);

/* --- the making --- */

typedef struct jv_card_work {
    const jv_circuit *c;
    jv_card_options options;
    jv_walk *w;
    jv_walk_kept kept;
    jv_finder *fresh[2]; /* no evidence, without and with ohms: what a sound circuit reads */
    jv_card_store store;
    size_t walked;
} jv_card_work;

jv_status jv_card_begin(jv_card_work *x, const jv_circuit *c, const jv_card_options *options);
void jv_card_finish(jv_card_work *x);

/* --- sketch.c: the step that is due as a sketch --- */
void jv_sketch_step(jv_card_work *x, jv_sketch *d);
void jv_sketch_line(jv_card_work *x, jv_sketch *d, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
jv_card_answer *jv_sketch_answer(jv_card_work *x, jv_sketch *d, const char *words, size_t to);
/* What a sound circuit reads, before any evidence, `sds` standard deviations wide; NAN unknown. */
jv_expected jv_sketch_sound(jv_card_work *x, const jv_check *check, double sds);
/* Ends that are not the walk's own; off: the power is off and has to stay so. */
size_t jv_end_beyond(jv_card_work *x, bool off);
size_t jv_end_again(jv_card_work *x, bool off);
size_t jv_end_stop(jv_card_work *x, const char *title, const char *line, bool off);

/* --- mark.c: a walk taken back --- */
typedef struct jv_mark {
    jv_walk was;
    jv_clue *clues;
    size_t entries, checks;
} jv_mark;
jv_status jv_mark_take(const jv_card_work *x, jv_mark *m);
jv_status jv_mark_back(jv_card_work *x, jv_mark *m); /* frees the mark */
/* Give an answer; JV_ERR_UNSOLVED when the walk does not take it. */
jv_status jv_card_answer_walk(jv_card_work *x, const char *text);

/* --- bands.c: readings parted --- */
typedef struct jv_reading_band {
    jv_band band;     /* on the scale on which it is weighed */
    double low, high; /* as a meter shows it */
    double value;     /* the middle of what is expected in it, as a meter shows it */
    bool over;        /* that is an overload */
    double mass;      /* probability */
    double reach;     /* the greatest probability that a fault gets here */
    double share;     /* the greatest share of a fault's readings that lie in it */
} jv_reading_band;
typedef struct jv_bands {
    jv_reading_band list[JV_CARD_BANDS];
    size_t n;
} jv_bands;
/* floor: faults that got here more rarely do not count for `share`. */
jv_status jv_bands_make(jv_finder *f, size_t check, double floor, jv_bands *out);
/* The greatest probability that some single fault has led to here. */
double jv_reach(const jv_finder *f);
void jv_band_words(jv_text *out, jv_check_kind kind, const jv_reading_band *b);

/* --- opening.c, tree.c, tail.c --- */
/* The whole, from making the vehicle safe on. */
jv_status jv_card_open(jv_card_work *x, size_t *node);
/* The node of the step that is due and of all behind it. */
jv_status jv_card_explore(jv_card_work *x, size_t *node);
/* From a suspect that is named (or tried) to its end. */
jv_status jv_card_tail(jv_card_work *x, size_t *node);
/* Steps that must come before a node (supports, isolation, proof of dead), in their order; returns
 * the first of them. */
size_t jv_before_nodes(jv_card_work *x, jv_sketch *list, size_t n, size_t next);
/* An answer that lets the step pass. */
const char *jv_passing(const jv_step *s);

#endif
