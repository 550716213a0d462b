/* system.h - the equations of a net as a sparse system. SPDX-License-Identifier: MIT */
#ifndef SOLVE_SYSTEM_H
#define SOLVE_SYSTEM_H

#include "circuit/net.h"
#include "solve/lu.h"

#include <stdint.h>

/* What a law reads of an element in every Newton step, taken together: an element is four times
 * as long, and a large circuit does not fit the cache. */
typedef struct jv_lean {
    int32_t a, b;
    uint8_t law, open, warm; /* warm: a jv_warmth */
    uint32_t heat;           /* where in `heats` it stands; only of elements that may warm */
    union {
        double r;         /* ohm */
        double siemens;   /* SINK */
        double r_at_zero; /* warm: ohm at 0 degC */
    };
    union {
        double e;       /* V */
        double limit;   /* SINK: upper limit, A */
        double r_per_k; /* warm: ohm/K */
    };
    union {
        double back;   /* SINK: lower limit, A */
        double heat_c; /* warm: temperature found by the last search, degC */
    };
} jv_lean;

/* The rest of one that warms: the last search. */
typedef struct jv_lean_heat {
    double current_a; /* at which it was; NAN = none */
    double per_a;     /* change of the temperature there, K/A */
    const struct jv_heat_body *body;
} jv_lean_heat;

/* A SERIES element that warms: by its current for ever; by the element itself (for a time, by a
 * curve). */
typedef enum jv_warmth { JV_COLD, JV_WARM_STEADY, JV_WARM_BY_ELEMENT } jv_warmth;

/* Unknowns: the volts of every node, then the current of every element whose law keeps
 * one (SERIES, SOURCE, REGULATOR). Rows: Kirchhoff's current law at each node, then each of
 * those laws. The pattern depends on the topology alone: opening and closing changes only
 * numbers. One node of each island is anchored to 0 V by a conductance of 1 S to nowhere:
 * no current can return through it, so it carries none (docs/theory.md). */
typedef struct jv_system {
    jv_net *net;
    int n;             /* unknowns */
    int *ap, *ai;      /* pattern, compressed columns */
    double *ax;        /* Jacobian */
    double *x, *f;     /* unknowns, residual */
    double *scale;     /* |A| |x| + |b| of each row: what the residual is measured by */
    double *dx;        /* Newton step */
    int32_t *current;  /* of each element: its current unknown, -1 = none */
    int32_t *slot;     /* where each element's numbers stand in ax: see JV_AT_A */
    uint32_t *slot_at; /* of each element: its first in slot */
    int32_t *diagonal; /* of each node */
    int32_t *sums;     /* entries between nodes that elements add to */
    size_t n_sums;
    uint8_t *anchored; /* of each node */
    int32_t *anchors;  /* the nodes that are */
    size_t n_anchors;
    uint32_t *pieces; /* the elements whose law has pieces, rising */
    size_t n_pieces;
    int8_t *mode;        /* of each element: which piece of its law holds */
    jv_lean *lean;       /* of each element, as taken last */
    jv_lean_heat *heats; /* of those that warm, in their order */
    bool standing;       /* ax holds what stands still while nothing is taken anew */
    double *i_now;       /* of each element: its current */
    double *r_now;       /* of each SERIES element: its ohms at this current */
    uint32_t *settling;  /* the parts whose kind has states to settle, rising */
    size_t n_settling;
    bool turning; /* an element changed its piece in this step */
    bool as_warm; /* in this evaluation cables are as warm as they were in the last */
    bool opened;  /* an element was taken open that was closed before, or the other way */
    /* Loads the numbers again when a state has changed; NULL = jv_net_load_part of it. */
    void (*reload)(void *ctx);
    void *reload_ctx;
    double enough;      /* residual over scale that will do; 0 = rounding */
    double power_share; /* POWER laws ask for this share of their power */
    jv_lu *lu;
    void *by_element, *by_unknown; /* the two blocks that all but settling lies in */
} jv_system;

/* Slots of an element whose current j is an unknown: the entries of its own row j in the columns of
 * a, b, j and (REGULATOR) c. SINK and POWER have (a,a) (a,b) (b,a) (b,b); a REGULATOR has those
 * too, after its first four. */
enum { JV_AT_A, JV_AT_B, JV_AT_OWN, JV_AT_C, JV_AT_NODAL };

/* How many slots an element of this law has. */
static inline size_t jv_law_slots(jv_law law) {
    if (law == JV_REGULATOR)
        return JV_AT_NODAL + 4;
    return jv_law_has_current(law) ? JV_AT_OWN + 1 : 4;
}

/* Pieces of the laws. */
enum {
    JV_MODE_LINEAR = 0, /* SINK v/r, SOURCE and REGULATOR hold their volts */
    JV_MODE_LIMIT = 1,  /* at the upper current limit */
    JV_MODE_BACK = -1,  /* SINK at its lower limit; SOURCE, REGULATOR deliver nothing */
    JV_MODE_STARVED = 2 /* REGULATOR: follows its input */
};

/* Largest volts of a node and amps of a current unknown at x. */
typedef struct jv_largest {
    double v, a;
} jv_largest;

jv_status jv_system_new(jv_net *net, jv_system **out);
void jv_system_free(jv_system **system);
/* Find the islands of the present open/closed pattern and anchor them. */
jv_status jv_system_anchor(jv_system *s);
/* The same of the pattern as it was taken. */
jv_status jv_system_anchor_taken(jv_system *s);
/* Bring the modes in line with x; at most `most` elements change, lowest index first.
 * Returns how many changed. */
size_t jv_system_modes(jv_system *s, size_t most);
/* Residual, its scale, the Jacobian, i_now and r_now at x. Returns the largest |f| / scale. */
double jv_system_evaluate(jv_system *s);
/* The same in two: take elements first .. end - 1 as they are now, then evaluate what was taken
 * any number of times, i_now and r_now of SERIES left to jv_system_currents. */
void jv_system_take(jv_system *s, size_t first, size_t end);
double jv_system_evaluate_taken(jv_system *s);
/* The same, each element first put on the piece of its law that x (jv_system_largest of it) asks
 * for; at most `most` change, lowest index first. `changed`: how many did. */
double jv_system_turn_and_evaluate(jv_system *s, size_t most, jv_largest largest, size_t *changed);
void jv_system_currents(jv_system *s);
jv_largest jv_system_largest(const jv_system *s);
/* One element's part of jv_system_evaluate, added to f, scale and ax as they stand. */
void jv_system_stamp(jv_system *s, size_t k);
/* Name of what an unknown belongs to, for messages: a terminal or a part. */
const char *jv_system_unknown_name(const jv_system *s, int unknown);
size_t jv_system_memory(const jv_system *s);

#endif
