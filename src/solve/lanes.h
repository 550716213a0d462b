/* lanes.h - eight operating points side by side. SPDX-License-Identifier: MIT */
#ifndef SOLVE_LANES_H
#define SOLVE_LANES_H

#include "base/lane.h"
#include "circuit/circuit.h"
#include "circuit/element.h"
#include "jackvolt/status.h"

#include <stddef.h>

/* One topology with eight sets of numbers. Series elements that only follow each other are
 * one string; strings are eliminated into the nodal matrix, but what may have no ohms; sources and
 * regulators keep their current too. The order of elimination and the places of the factors are
 * found once; each step works on eight numbers, which the compiler turns into vector instructions.
 * No instruction rounds otherwise than its scalar brother, so that the answer is the same on every
 * processor.
 *
 * What a lane cannot do is handed back: a source or regulator that changes its piece, a load of
 * constant power near its floor, a current beyond a heat curve, a pivot that withers. Where the air
 * or the time of a conductor differ from lane to lane its temperature is a polynomial of the
 * current and of that; one that has none for all its draws does not fit lanes. */
enum { JV_LANES = 8 };
typedef struct jv_lanes jv_lanes;

/* Numbers of an element that may differ from lane to lane. */
typedef enum jv_field {
    JV_FIELD_R,
    JV_FIELD_E,
    JV_FIELD_LIMIT,
    JV_FIELD_BACK,
    JV_FIELD_DROP,
    JV_FIELD_QUIESCENT,
    JV_FIELD_AIR, /* of what heats: its surroundings, and how long its current has flowed */
    JV_FIELD_TIME,
    JV_FIELDS
} jv_field;
double *jv_field_of(jv_element *e, jv_field field);

/* An element whose heating the draws move, by its air or its time, and how far. */
typedef struct jv_lanes_by {
    uint32_t element;
    jv_field field;
    double least, most;
} jv_lanes_by;

/* The point about which the lanes lie: elements in their states, the pieces that hold and the
 * solution there, as a jv_system has them. Copied; heat curves must stay. */
typedef struct jv_lanes_start {
    const jv_element *elements;
    size_t n_elements, n_nodes;
    const uint8_t *anchored;   /* of each node */
    const int8_t *mode;        /* of each element */
    const double *v;           /* of each node */
    const double *i;           /* of each element */
    const uint8_t *moves;      /* of each element: bits of its numbers that differ */
    const uint8_t *needed;     /* of each node: its volts will be asked for */
    const jv_circuit *circuit; /* of the elements in `by` */
    const jv_lanes_by *by;
    size_t n_by;
    jv_lane_width width; /* of the registers */
} jv_lanes_start;

/* JV_ERR_UNSOLVED: this circuit does not fit lanes. JV_ERR_MEMORY. */
jv_status jv_lanes_new(const jv_lanes_start *start, jv_lanes **out);
void jv_lanes_free(jv_lanes **lanes);

/* Where the eight numbers of an element stand; at first all as at the start. Only those that
 * `moves` names may be written. */
double *jv_lanes_number(jv_lanes *l, size_t element, jv_field field);
/* Solve; bits of the lanes that have an answer. */
unsigned jv_lanes_solve(jv_lanes *l);
/* The answer: volts of a needed node, current of an element, in each lane. */
const double *jv_lanes_volts(const jv_lanes *l, size_t node);
void jv_lanes_current(const jv_lanes *l, size_t element, double out[JV_LANES]);
/* Steps taken so far: systems of eight solved. */
size_t jv_lanes_steps(const jv_lanes *l);

#endif
