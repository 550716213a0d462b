/* element.h - the few branch laws from which every part is built. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_ELEMENT_H
#define CIRCUIT_ELEMENT_H

#include <stdbool.h>
#include <stdint.h>

/* An element joins nodes a and b (a regulator also node c). Its current i flows
 * from a through the element to b; v = V(a) - V(b).
 *
 *   SERIES     v - r i - e = 0, or i = 0 when open. r may be zero. With a heat
 *              body r is r(T(i)), the conductor's own temperature at its current.
 *   SINK       i = v / r, kept between -limit and +limit: a motor that turns
 *              (limit = what its load asks), a stalled one (no limit), a lamp, a
 *              steady electronic load. Off when open.
 *   POWER      i = limit / v (limit in W) down to v = e, below that i = limit v / e2.
 *   SOURCE     delivers j = -i between 0 and limit: v = e - r j in between;
 *              at j = limit v is lower, at j = 0 v is higher (and a leak of
 *              JV_BLOCKED_LEAK_S flows in, by which idle sources that nothing
 *              else holds show the volts of the highest). One with overload
 *              "hiccup" has limit = back, its mean current, once its kind has seen
 *              it overloaded.
 *   REGULATOR  a = input, b = minus, c = output. Delivers j into c between 0 and
 *              limit: V(c) - V(b) = max(0, min(e, V(a) - V(b) - drop)) - r j; once it is
 *              asked for more than limit the current folds back with the volts, to
 *              `back` at zero volts. Held up from outside it leaks like a SOURCE. Draws
 *              j + quiescent from a (quiescent: fading to zero below 1 V of input). */
typedef enum jv_law { JV_SERIES, JV_SINK, JV_POWER, JV_SOURCE, JV_REGULATOR } jv_law;

/* Current that a blocked source takes in by the volt above its own, S: some nanoamps, far
 * below what any real one takes (judgement). */
#define JV_BLOCKED_LEAK_S 1e-9

/* Laws that keep their own current as an unknown. */
static inline bool jv_law_has_current(jv_law law) {
    return law == JV_SERIES || law == JV_SOURCE || law == JV_REGULATOR;
}

struct jv_heat_body;
struct jv_heat_curve;

typedef struct jv_element {
    uint8_t law;   /* jv_law */
    uint8_t open;  /* no current flows: opened, cut, unplugged, off */
    uint8_t role;  /* which of its part's elements this is; the part kind's own numbers */
    uint8_t state; /* discrete state of the kind: relay held, cut-off acted, ... */
    uint32_t part; /* owner */
    int32_t a, b, c;
    uint8_t warms; /* has a heat body */
    double r;      /* ohm, at its present temperature when there is no heat body */
    double e;      /* V */
    /* Heating: NULL = r is fixed. r(T) = r (1 + r_slope (T - r_at_C)). */
    struct jv_heat_body *heat;         /* owned by the net; filled in by the kind */
    const struct jv_heat_curve *curve; /* its temperature by current, tabulated for one body,
                                          air and time; borrowed; NULL = worked out */
    /* The last search: found at heat_a (NAN = none since the numbers were loaded). */
    double heat_a, heat_c, heat_per_a; /* A, degC, K/A */
    double r_slope;                    /* 1/K */
    double r_at_c;                     /* degC at which r holds */
    double heat_s;                     /* how long the current has flowed, s; infinity = steady */
    double temperature_c;              /* last temperature found */
    double air_c;                      /* surroundings of the heat body, degC */
    /* Not for SERIES: */
    double limit;     /* A (POWER: W); infinity = none */
    double back;      /* A: SOURCE hiccup mean, REGULATOR short-circuit current */
    double drop;      /* V: REGULATOR dropout */
    double quiescent; /* A: REGULATOR own current */
} jv_element;

#endif
