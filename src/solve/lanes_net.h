/* lanes_net.h - what lanes consist of. SPDX-License-Identifier: MIT */
#ifndef SOLVE_LANES_NET_H
#define SOLVE_LANES_NET_H

#include "solve/curve.h"
#include "solve/lanes.h"
#include "solve/lanes_lu.h"

#include <stdbool.h>

enum {
    JV_LANES_NODAL = 4,   /* entries of an eliminated part: aa, ab, ba, bb */
    JV_LANES_TERMS = 9,   /* of the polynomial of a temperature */
    JV_LANES_BY_TERMS = 6 /* .. and of each of these by what moves the heating */
};

/* A series element in its string. */
typedef struct jv_lane_member {
    uint32_t element;
    double sign; /* -1 when it lies the other way round */
    const jv_heat_curve *curve;
    double r_slope, r_at_c;
    /* Temperature by the size of the current, where it lies within half of middle: a polynomial
     * of (i - middle) / half that meets the curve. No terms: the curve itself is asked. */
    double middle, half, per_half; /* A, A, 1/A */
    double term[JV_LANES_TERMS];
    bool smooth;
    bool has_e; /* it has volts of its own, or may */
    /* Its air or its time differ: each term is a polynomial of (that - by_middle) per_by_half,
     * JV_LANES_BY_TERMS numbers of of_term; drawn: the terms in each lane. NULL = they do not. */
    jv_field by;
    double by_middle, per_by_half;
    double *of_term;
    jv_lane *drawn;
} jv_lane_member;

/* One part at work: a string of series elements with one current, or one other element. */
typedef struct jv_lane_part {
    uint32_t element;          /* of a string: its first */
    uint32_t first, n_members; /* of a string */
    uint8_t law;
    bool keeps;   /* its current is an unknown; a string of one */
    bool follows; /* a regulator whose input is too low: its output follows it */
    bool dead;    /* a regulator without input: it holds 0 V */
    bool rough;   /* a string with a member that has no polynomial */
    bool moves;   /* stamped at each step; else it stands in the base */
    int32_t node_a, node_b, node_c;
    int32_t a, b; /* places of its nodes in the order of the columns */
    int32_t row_a, row_b;
    int32_t j, row_j;            /* the current it keeps */
    int32_t own[JV_LANES_NODAL]; /* entries of a regulator's own current */
    int32_t at[JV_LANES_NODAL];  /* entries: nodal; at[3] of a kept current: (j, j) */
} jv_lane_part;

struct jv_lanes {
    size_t n_elements;
    size_t n_nodes;               /* that have an equation */
    int32_t *number_of;           /* of each node of the start; -1 inside a string */
    jv_lane (*number)[JV_FIELDS]; /* of each element */
    jv_lane_part *parts;          /* the moving ones first */
    size_t n_parts, n_moving;
    jv_lane_member *members;
    size_t n_members;
    uint32_t *part_of; /* of each element; UINT32_MAX = open */
    double *sign_of;   /* of each element, in its string */
    jv_lane *base;     /* entries that never change */
    jv_lane *base_b;
    jv_lane *b;                         /* right side, then the unknowns */
    int8_t (*mode)[JV_LANES];           /* of each part */
    jv_lane *amps, *ohms, *slope, *emf; /* of each part: linearised about this current */
    double *start_i;                    /* of each part */
    int8_t *start_mode;
    double *start_v; /* of each part across it, V */
    jv_lanes_lu lu;
    size_t steps;
    jv_lane_width width;
    jv_status status; /* while it is made */
};

/* As in laws.c: slope of a law that is flat; current of a regulator fades below; least ohms. */
static const double jv_lanes_slope_floor = 1e-9, jv_lanes_knee_v = 1.0, jv_lanes_ohm_floor = 1e-9;

/* lanes.c: into l->base and l->base_b; all parts linearised about the start. */
void jv_lanes_stamp_base(jv_lanes *l, size_t part);
void jv_lanes_rewind(jv_lanes *l);
/* lanes_fit.c: the polynomial of a member about a current; `smooth` says whether there is one. */
void jv_lanes_fit(jv_lane_member *m, double amps);
/* The same with its air or time moved. JV_ERR_UNSOLVED: there is none. JV_ERR_MEMORY. */
jv_status jv_lanes_fit_by(const jv_lanes_start *s, const jv_lanes_by *by, double amps,
                          jv_lane_member *m);
/* Its temperature at a current and at what moves it, degC. */
double jv_lanes_warm_at(const jv_lane_member *m, double amps, double by);

#endif
