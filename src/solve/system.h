/* system.h - the equations of a net as a sparse system. SPDX-License-Identifier: MIT */
#ifndef SOLVE_SYSTEM_H
#define SOLVE_SYSTEM_H

#include "circuit/net.h"
#include "solve/lu.h"

#include <stdint.h>

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
    int32_t *slot;     /* where each element's numbers stand in ax */
    uint32_t *slot_at; /* of each element: its first in slot */
    int32_t *diagonal; /* of each node */
    uint8_t *anchored; /* of each node */
    uint32_t *pieces;  /* the elements whose law has pieces, rising */
    size_t n_pieces;
    int8_t *mode;  /* of each element: which piece of its law holds */
    double *i_now; /* of each element: its current */
    double *r_now; /* of each SERIES element: its ohms at this current */
    bool turning;  /* an element changed its piece in this step */
    /* Loads the numbers again when a state has changed; NULL = jv_net_load of all parts. */
    void (*reload)(void *ctx);
    void *reload_ctx;
    double power_share; /* POWER laws ask for this share of their power */
    jv_lu *lu;
} jv_system;

/* Pieces of the laws. */
enum {
    JV_MODE_LINEAR = 0, /* SINK v/r, SOURCE and REGULATOR hold their volts */
    JV_MODE_LIMIT = 1,  /* at the upper current limit */
    JV_MODE_BACK = -1,  /* SINK at its lower limit; SOURCE, REGULATOR deliver nothing */
    JV_MODE_STARVED = 2 /* REGULATOR: follows its input */
};

jv_status jv_system_new(jv_net *net, jv_system **out);
void jv_system_free(jv_system **system);
/* Find the islands of the present open/closed pattern and anchor them. */
jv_status jv_system_anchor(jv_system *s);
/* Bring the modes in line with x; at most `most` elements change, lowest index first.
 * Returns how many changed. */
size_t jv_system_modes(jv_system *s, size_t most);
/* Residual, its scale and the Jacobian at x. Returns the largest |f| / scale. */
double jv_system_evaluate(jv_system *s);
/* One element's part of that, added to f, scale and ax as they stand. */
void jv_system_stamp(jv_system *s, size_t k);
/* Name of what an unknown belongs to, for messages: a terminal or a part. */
const char *jv_system_unknown_name(const jv_system *s, int unknown);
size_t jv_system_memory(const jv_system *s);

#endif
