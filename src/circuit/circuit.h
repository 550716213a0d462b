/* circuit.h - the circuit in memory. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_CIRCUIT_H
#define CIRCUIT_CIRCUIT_H

#include "jackvolt/circuit.h"
#include "jackvolt/diag.h"
#include "jackvolt/memory.h"
#include "jackvolt/quantity.h"

#include <stdint.h>

/* One owner: the circuit owns an arena for names and arrays; objects refer to each
 * other by index. Immutable once finished. */

typedef struct jv_part_kind jv_part_kind;

typedef enum jv_origin {
    JV_GIVEN,   /* stands in the file */
    JV_SET,     /* changed for this run */
    JV_FALLBACK /* assumed: the key's fallback */
} jv_origin;

/* One key of one part that has a value. Entries of a map or curve are a slot each.
 * A draw addresses values by slot index. */
typedef struct jv_slot {
    jv_value value;   /* QUANTITY, POINTS; CURVE: nominal = percent, low, high = seconds */
    const char *text; /* as written; for map entries the NAME */
    int32_t index;    /* WORD, FLAG: number; TERMINAL, PART: index; PINS, OUTPUTS: first terminal;
                          SIZE: jv_size_system, with the gauge in second and mm2 in value (-1:
                          only the text is known) */
    int32_t second;   /* PINS, OUTPUTS: second terminal, -1 = none */
    uint32_t line;
    uint16_t column;
    uint8_t key;       /* index into the kind's keys */
    uint8_t origin;    /* jv_origin */
    const char *basis; /* where an assumed value comes from; NULL = the key's own basis */
} jv_slot;

typedef struct jv_part {
    const jv_part_kind *kind;
    const char *name;
    const char *with; /* tag of a shared spread; NULL = independent */
    uint32_t first_slot, n_slots;
    uint32_t line;
    uint16_t column;
    int16_t driver_output; /* motors: number of the output that feeds it; -1 = none */
    int32_t driver;        /* motors: the controller; -1 = joined directly */
    bool faulted;          /* the reader has reported a fault of it: say no more */
} jv_part;

typedef enum jv_watch_state { JV_ALWAYS, JV_RESTING, JV_RUNNING } jv_watch_state;
typedef enum jv_watch_action {
    JV_WARN,
    JV_REFUSE_START,
    JV_STOP_JACK,
    JV_STOP_ALL
} jv_watch_action;

typedef struct jv_watch {
    const char *name;
    int32_t plus, minus;  /* terminals; when `part` >= 0 the volts that controller senses */
    int32_t part;         /* controller; -1 = two terminals */
    jv_value below;       /* limit, V */
    bool assumed;         /* the limit is not from the file */
    const char *basis;    /* where an assumed limit comes from */
    jv_value held_for;    /* s */
    jv_value reset_above; /* V; NaN nominal = the limit itself */
    jv_value ignored_for; /* s after a start */
    jv_watch_state state;
    jv_watch_action action;
    uint32_t line;
    uint16_t column;
} jv_watch;

typedef enum jv_load_kind {
    JV_LOAD_AMPS,     /* value: A by a clamp */
    JV_LOAD_FORCE,    /* value: N */
    JV_LOAD_PRESSURE, /* value: Pa */
    JV_LOAD_SHARE,    /* value: fraction of the rated load */
    JV_LOAD_FREE,
    JV_LOAD_RATED,
    JV_LOAD_STALLED,
    JV_LOAD_TRAVEL /* by its extension; in a steady answer all of it */
} jv_load_kind;

typedef struct jv_run {
    uint32_t part;
    int8_t direction; /* +1 lifts, -1 lowers */
    uint8_t kind;     /* jv_load_kind */
    jv_value value;
} jv_run;

/* With a time it runs that long once, or again and again with pauses. */
typedef struct jv_case {
    const char *name;
    const char *comment;
    jv_run *runs;
    size_t n_runs;
    uint32_t *off; /* parts opened, unplugged or switched off */
    size_t n_off;
    uint32_t *on; /* parts switched on that are off (open) otherwise */
    size_t n_on;
    bool has_ambient;
    jv_value ambient; /* degC */
    bool has_time;
    jv_value run_for; /* s; cables heat for this long; absent = steady */
    double pause_s;   /* between two runs of run_for; 0 = it runs once */
    double repeats;   /* such runs; infinity = for ever. Counts with a pause */
    bool has_charge;
    jv_value charge; /* of every battery, fraction */
    uint32_t line;
} jv_case;

/* A step of a sequence: a case, and when it is over. A motor that reaches one of its goals is
 * let go; the step ends when all are, when its time is up, or at its event. */
typedef struct jv_plan_step {
    jv_case loading;                        /* its name, runs, on, off and comment */
    double for_s;                           /* NAN = not by time */
    double stagger_s;                       /* between the starts of its motors */
    double extension_m, force_n, current_a; /* goals of each motor; NAN = none */
    bool stroke_end;
    int32_t until_watch; /* -1 = none */
} jv_plan_step;

typedef struct jv_plan {
    const char *name;
    const char *comment;
    jv_plan_step *steps;
    size_t n_steps;
    double longest_s; /* NAN = not given */
    bool has_ambient, has_charge;
    jv_value ambient, charge;
    uint32_t line;
} jv_plan;

typedef struct jv_fault {
    uint32_t part;
    uint8_t way;     /* jv_way */
    uint8_t failure; /* row of the kind's failures */
    double value;    /* in the way's unit */
    double position; /* SHORT: fraction of the length from a */
    int32_t to;      /* SHORT: terminal; -1 none */
    const char *pin; /* connector pin or controller output; NULL = all */
} jv_fault;

/* A rule of the review that the maker of the file sets aside: "RULE" or "RULE at PART". */
typedef struct jv_waiver {
    const char *key;
    const char *reason, *name, *date;
    uint32_t line;
} jv_waiver;

struct jv_circuit {
    jv_arena arena;
    const char *file;
    const char *name;
    const char *comment;
    const char *revision; /* of the file, as its maker says; NULL = none */
    char sha256[65];      /* of the file's bytes; "" = not read from one */
    size_t n_changes;     /* values changed for this run */
    jv_waiver *waivers;   /* in the arena */
    size_t n_waivers;
    jv_value ambient; /* degC */
    bool ambient_assumed;
    int32_t reference; /* terminal at 0 V */
    bool reference_given;
    const char **terminals;
    size_t n_terminals;
    jv_part *parts;
    size_t n_parts;
    jv_slot *slots;
    uint8_t *slot_keys;  /* key of each slot: what a search looks through */
    int32_t *slot_index; /* index of each slot, by jv_circuit_finish for what does not change
                            after it (terminals): a slot is twenty times as long. May be NULL */
    size_t n_slots;
    jv_watch *watches;
    size_t n_watches;
    jv_case *cases;
    size_t n_cases;
    jv_plan *plans; /* sequences */
    size_t n_plans;
    /* growth and look-up, private to circuit.c */
    size_t cap_terminals, cap_parts, cap_slots, cap_slot_keys, cap_watches, cap_cases, cap_plans;
    uint32_t *terminal_table, *part_table;
    size_t terminal_buckets, part_buckets;
    bool out_of_memory;
    bool incomplete; /* the reader could not tell all parts and terminals: a lone one is no fault */
};

/* --- building, in this order; texts are copied --- */
jv_circuit *jv_circuit_new(void);
/* Index of a terminal, made when new; -1 when memory is short. */
int32_t jv_circuit_terminal(jv_circuit *c, const char *name);
/* Index of an existing terminal or part; -1 when there is none. */
int32_t jv_circuit_find_terminal(const jv_circuit *c, const char *name);
int32_t jv_circuit_find_part(const jv_circuit *c, const char *name);
/* A new part; its slots must follow before the next part. NULL when memory is short.
 * The caller has made sure that the name is new. */
jv_part *jv_circuit_add_part(jv_circuit *c, const jv_part_kind *kind, const char *name);
/* A new slot of the newest part, zeroed; NULL when memory is short. */
jv_slot *jv_circuit_add_slot(jv_circuit *c, unsigned key);
jv_watch *jv_circuit_add_watch(jv_circuit *c, const char *name);
jv_case *jv_circuit_add_case(jv_circuit *c, const char *name);
/* How often its run comes: 1 without a pause, infinity = for ever; and how long all of them are
 * together, s (a case with a time). */
double jv_case_times(const jv_case *k);
double jv_case_on_s(const jv_case *k);
jv_plan *jv_circuit_add_plan(jv_circuit *c, const char *name);
/* A step with nothing in it yet. */
jv_plan_step jv_plan_step_new(const char *name);
/* Puts in the fallbacks of the newest part; call after its last given slot. */
void jv_circuit_close_part(jv_circuit *c);
/* For a kind's `assume`: gives the newest part a value that a table or another key
 * decides, unless the key has one. basis is printf-like and copied. */
void jv_circuit_assume(jv_circuit *c, unsigned key, const jv_value *value, const char *basis, ...)
    __attribute__((format(printf, 4, 5)));
/* Consistency of the whole: PART keys resolved, terminals that one part touches alone,
 * islands, the kinds' own rules, controllers and the motors they feed, the reference,
 * an assumed watch where the file has none, a rest case where it has none. */
void jv_circuit_finish(jv_circuit *c, jv_diags *d);

jv_place jv_circuit_place(const jv_circuit *c, uint32_t line, uint16_t column, const char *pointer);

#endif
