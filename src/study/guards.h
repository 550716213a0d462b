/* guards.h - which fuse guards which cable, and what a short does. SPDX-License-Identifier: MIT */
#ifndef STUDY_GUARDS_H
#define STUDY_GUARDS_H

#include "circuit/circuit.h"
#include "jackvolt/memory.h"
#include "jackvolt/protection.h"

/* A dead short is put at the end of a cable that is away from the source, to the nearest
 * terminal of the other side that carries the same current (feed to its return), in the case in
 * which the cable carries most. A device guards the cable when the short's current through
 * the cable stops as the device opens. Only parts that are drawn count: the over-current stop of
 * a controller is no guard, since nothing shows that it opens on a short. */
typedef struct jv_cable_watched {
    uint32_t part;     /* the cable or lead */
    size_t loading;    /* case looked at; n_cases = it carries nothing in any case */
    double running_a;  /* through it there, nominal, >= 0 */
    double running_c;  /* its conductor there, degC */
    bool known;        /* a short could be placed */
    int32_t from, to;  /* terminals of the short */
    double weak_a;     /* through the cable at first: old battery, bad joints */
    double strong_a;   /* the same with everything at its best */
    uint32_t guard;    /* part of the device with the least rating; UINT32_MAX = none */
    double back_a;     /* through it when the short is at its other end: a second source */
    bool back_guarded; /* and a device stops that */
    uint32_t mate;     /* cable of the other side with the same current, UINT32_MAX = none */
    bool on_return;    /* it lies between load and source minus */
    bool unsolved;     /* a short of it has no operating point: what it passes is not known */
    double near_a; /* what a short at its end at the source draws at the most, so that none along
                      it draws more; NAN = not asked for (jv_guards_find_all), not known */
} jv_cable_watched;

typedef struct jv_guards {
    jv_cable_watched *cables;
    size_t n;
    double hot_c; /* highest ambient of file and cases */
} jv_guards;

/* Of every cable and lead that is given by size and length. Memory comes from the arena. */
jv_status jv_guards_find(const jv_circuit *c, jv_arena *arena, jv_guards *out);
/* Of every cable and lead, also those given by their ohms and those that carry nothing in any
 * case: what stands behind a device, whether or not it is known what it carries. */
jv_status jv_guards_find_all(const jv_circuit *c, jv_arena *arena, jv_guards *out);
const jv_cable_watched *jv_guards_of(const jv_guards *g, uint32_t part); /* NULL = not there */

/* The cable as something to be guarded, in air of hot_c where it says nothing of its own.
 * JV_ERR_UNKNOWN: it is given by its ohms. */
jv_status jv_guarded_of_part(const jv_circuit *c, const jv_part *p, double hot_c, jv_guarded *out);

/* The short at the far end of a cable, followed in time with everything at its weakest, all
 * cables on its way heated by it. *hot: the part of the hottest wire. heated (may be NULL): of
 * each part, set to 1 for the wires on the way. JV_ERR_UNSOLVED. */
jv_status jv_guards_follow(const jv_circuit *c, const jv_guards *g, const jv_cable_watched *cable,
                           jv_short_outcome *out, uint32_t *hot, uint8_t *heated);

/* With what stands in the circuit now: the strongest current of that short through the cable, A,
 * and of the short at its other end (as strong_a and back_a of jv_cable_watched). heated as
 * above. NAN where no operating point is found. JV_ERR_MEMORY. */
jv_status jv_guards_strongest(const jv_circuit *c, const jv_guards *g,
                              const jv_cable_watched *cable, double *strong_a, double *back_a,
                              uint8_t *heated);

/* Does this spread make more current flow at its low end? For shorts and inrush. */
struct jv_bench;
void jv_bench_turn_strong(struct jv_bench *b, int strong); /* +1 strongest, -1 weakest, 0 nominal */

/* High end of a quantity of a part by the name of its key; NAN when absent. */
const jv_slot *jv_part_named(const jv_circuit *c, const jv_part *p, const char *key);

#endif
