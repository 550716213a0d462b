/* part_kind.h - what a kind of part declares about itself. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PART_KIND_H
#define CIRCUIT_PART_KIND_H

#include "circuit/circuit.h"
#include "circuit/element.h"
#include "jackvolt/diag.h"
#include "jackvolt/quantity.h"

/* A new kind of part is one file in src/circuit/parts/ that fills a jv_part_kind,
 * and one row in src/circuit/kinds.c. The reader, the schema, `--set`, spreads,
 * faults, the solver and the reports all work from what is declared here. */

typedef enum jv_key_type {
    JV_KEY_QUANTITY, /* a quantity of `dim` with spread */
    JV_KEY_WORD,     /* one of `choices`, separated by '|' */
    JV_KEY_FLAG,     /* true or false */
    JV_KEY_TEXT,     /* free text */
    JV_KEY_SIZE,     /* a conductor size */
    JV_KEY_TERMINAL, /* the name of a terminal */
    JV_KEY_PART,     /* the name of another part */
    JV_KEY_POINTS,   /* {TERMINAL: quantity} */
    JV_KEY_PINS,     /* {NAME: [terminal, terminal]} */
    JV_KEY_OUTPUTS,  /* {NAME: terminal or [terminal, terminal]} */
    JV_KEY_CURVE     /* [[percent, least s, greatest s], ...] */
} jv_key_type;

typedef enum jv_key_flags {
    JV_NEEDED = 1,      /* the part cannot do without it */
    JV_ZERO_OK = 2,     /* a quantity may be zero (else it must be above zero) */
    JV_NEGATIVE_OK = 4, /* a quantity may be negative */
    JV_NO_SPREAD = 8,   /* a spread makes no sense here */
    JV_LONE_OK = 16     /* a terminal that no other part has to touch */
} jv_key_flags;

typedef struct jv_key {
    const char *name; /* dotted for nested objects: "motor.resistance" */
    jv_key_type type;
    jv_dim dim;           /* QUANTITY, POINTS */
    unsigned flags;       /* jv_key_flags */
    double least, most;   /* allowed range of a quantity, SI; both 0 = only the sign rules */
    const char *choices;  /* WORD: "flooded|agm|gel|lfp" */
    const char *fallback; /* value taken when absent, written as a person would; NULL = none */
    const char *basis;    /* where the fallback comes from; NULL without a fallback */
    const char *help;     /* one line, for the schema and docs/format.md */
} jv_key;

/* Numbers under which a kind's code finds its keys: it lists its keys in the order
 * of an enum of its own. */

/* Everything a kind may look at while it fills in the numbers of its elements. */
typedef struct jv_scene {
    const jv_circuit *circuit;
    const jv_case *loading; /* NULL = at rest */
    const double *x;        /* value of each slot of the circuit (a draw or the nominal) */
    const jv_fault *faults; /* faults put in */
    size_t n_faults;
    double ambient_c;
    const uint8_t *plugged_off; /* per part, from the case: 1 = opened, unplugged or switched off,
                                  2 = switched on, 0 = as the file says */
    /* Where to find these without a search, -1 = none; all NULL in a scene that no net
     * made. By part: its run, the first run of a motor that it drives, its first fault; by
     * run and by fault: the next of the same part. */
    const int32_t *run_of, *first_driven, *first_fault, *next_driven, *next_fault;
} jv_scene;

/* Plain sentences about a part at an operating point ("carries more than its rating"). */
typedef struct jv_remarks jv_remarks;
/* serious: true = a finding (exit code 1), false = worth knowing. printf-like. */
void jv_remark(jv_remarks *r, bool serious, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Volts as a remark shows them, to 0.01 V: rounding leaves no "-0.00". */
static inline double jv_shown_v(double v) {
    return v > -0.005 && v < 0.005 ? 0.0 : v;
}

/* degC as degF: remarks say both, since they do not know the units of the page. */
static inline double jv_shown_f(double c) {
    return 1.8 * c + 32.0;
}

typedef struct jv_wiring jv_wiring; /* collects elements while a net is built (net.h) */

/* A way to fail. The words after "PART: " in --fault are matched against `words`,
 * where <R> stands for a resistance, <I> a current, <V> volts, <P> a percentage,
 * <S> a size, <W> one of the kind's metals, <N> a pin or output, <T> a terminal. */
typedef enum jv_way {
    JV_WAY_ADDED,  /* value: ohms in series */
    JV_WAY_OPEN,   /* no current */
    JV_WAY_SHORT,  /* position along the conductor, to a terminal, value: ohms of the short */
    JV_WAY_LEAK,   /* value: amps drawn at the part's terminals */
    JV_WAY_CHARGE, /* battery: value = charge left, fraction */
    JV_WAY_WEAK,   /* battery: value = factor on its resistance; supply: off */
    JV_WAY_CELL,   /* battery: one cell dead */
    JV_WAY_DRAG,   /* jack, pump: value = factor on its load current */
    JV_WAY_STUCK,  /* jack: bound, stalls; relay: held closed */
    JV_WAY_DEAD,   /* supply, regulator, relay that does not pull in */
    JV_WAY_INSIDE, /* shorted inside: value = ohms across the part */
    JV_WAY_HOT,    /* value: ohms more in series once it has warmed in a run */
    JV_WAY_LOOSE,  /* value: ohms in series, part of the time: a steady answer has them */
    JV_WAY_THIN,   /* value: share of the section in the file */
    JV_WAY_METAL   /* value: jv_metal, another one than in the file */
} jv_way;

typedef struct jv_failure {
    jv_way way;
    const char *words;  /* what --fault takes and what people read */
    double weight;      /* prior weight among the ways of all parts of this circuit */
    double low, high;   /* spread of severity (log-uniform), in the way's unit; 0,0 = none */
    const char *repair; /* what mends it */
    double minutes;     /* typical minutes for the repair */
    const char *basis;  /* source of weight, spread and minutes */
} jv_failure;

struct jv_part_kind {
    const char *name;    /* the word after "is" */
    const char *summary; /* one line */
    const jv_key *keys;
    size_t n_keys;
    const jv_failure *failures;
    size_t n_failures;
    uint32_t mended_apart; /* bit k: failure k is mended otherwise than the others of the part */
    bool is_series;        /* a two-terminal conductor: the current path is followed through it */
    bool is_motor;         /* can be run by a case */
    bool is_source;        /* can deliver */
    bool own_faults;       /* its load puts in ADDED and OPEN itself: a part of several pieces */
    /* Values that hang on other keys or on a table: jv_circuit_assume. Called once, after
     * the fallbacks and before check. May be NULL. */
    void (*assume)(jv_circuit *c, const jv_part *p);
    /* Rules between keys ("give length or resistance"); adds diagnostics. May be NULL. */
    void (*check)(const jv_circuit *c, const jv_part *p, jv_diags *d);
    /* Emits the part's elements and inner nodes; the pattern never changes later. */
    void (*connect)(jv_wiring *w, const jv_circuit *c, const jv_part *p);
    /* Fills in the numbers of its n elements (in the order they were emitted) from the
     * values of the scene. Called again for each draw, so it allocates nothing. */
    void (*load)(const jv_scene *s, const jv_part *p, jv_element *e, size_t n);
    /* After a solution: brings the discrete states of the elements in line with the
     * volts (node volts v) and currents (i, one an element). True when one changed.
     * May be NULL. */
    bool (*settle)(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, const double *v,
                   const double *i);
    /* What a person should know of this part at a solution (v, i as in settle; r: ohms of
     * its SERIES elements). May be NULL. */
    void (*remark)(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out);
    /* What it does in time (body.h); NULL = nothing. */
    const struct jv_body_kind *body;
};

/* --- what kinds use to read their own keys --- */

/* The slot of a key, or NULL when it is absent and has no fallback. */
const jv_slot *jv_part_slot(const jv_circuit *c, const jv_part *p, unsigned key);
/* Value of a quantity key in this scene; `otherwise` when absent. */
double jv_scene_value(const jv_scene *s, const jv_part *p, unsigned key, double otherwise);
bool jv_part_has(const jv_circuit *c, const jv_part *p, unsigned key);
/* Index of the word among the choices; `otherwise` when absent. */
int jv_part_word(const jv_circuit *c, const jv_part *p, unsigned key, int otherwise);
bool jv_part_flag(const jv_circuit *c, const jv_part *p, unsigned key, bool otherwise);
/* Terminal index of a TERMINAL key; -1 when absent. */
int32_t jv_part_terminal(const jv_circuit *c, const jv_part *p, unsigned key);
/* First of the slots of a map or curve key, and how many (contiguous). */
const jv_slot *jv_part_entries(const jv_circuit *c, const jv_part *p, unsigned key, size_t *n);
/* The run of this part in the scene's case; NULL when it does not run. */
const jv_run *jv_scene_run(const jv_scene *s, const jv_part *p);
/* Temperature around a part that says nothing of its own. */
double jv_scene_air_c(const jv_scene *s, const jv_part *p, unsigned key);
/* The faults of one part, one after the other: start with *at = 0; NULL = no more. */
const jv_fault *jv_scene_fault(const jv_scene *s, const jv_part *p, size_t *at);
/* True when the case opened, unplugged or switched off the part. */
bool jv_scene_is_off(const jv_scene *s, const jv_part *p);
/* Generic work of series parts: adds the ohms of ADDED faults to e->r and opens it on
 * OPEN faults and by the case. pin: name of the pin meant, or NULL. */
void jv_series_faults(const jv_scene *s, const jv_part *p, jv_element *e, const char *pin);

/* Add a diagnostic about one key of a part (place taken from its slot). */
void jv_part_fault(jv_diags *d, const jv_circuit *c, const jv_part *p, int key, jv_code code,
                   const char *hint, const char *message, ...)
    __attribute__((format(printf, 7, 8)));

/* The same about one slot: of a map or list the entry is named and its place shown. */
void jv_slot_fault(jv_diags *d, const jv_circuit *c, const jv_part *p, const jv_slot *s,
                   jv_code code, const char *hint, const char *message, ...)
    __attribute__((format(printf, 7, 8)));

/* --- emitting elements --- */

/* A node for a terminal of the file is its index. A new inner node: */
int32_t jv_wiring_node(jv_wiring *w);
/* Add an element; c is -1 but for a regulator. Returns its index (the part's own
 * elements are contiguous), or -1 when memory is short. */
int32_t jv_wiring_add(jv_wiring *w, const jv_part *p, jv_law law, uint8_t role, int32_t a,
                      int32_t b, int32_t c);

/* Give an element a heat body, which load fills in through e->heat. */
void jv_wiring_warms(jv_wiring *w, int32_t element);

/* --- the table --- */
extern const jv_part_kind *const jv_kinds[];
extern const size_t jv_kinds_count;
const jv_part_kind *jv_kind_find(const char *name);

#endif
