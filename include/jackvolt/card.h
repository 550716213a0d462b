/* card.h - a walk computed ahead, to be tapped through. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CARD_H
#define JACKVOLT_CARD_H

#include "jackvolt/circuit.h"
#include "jackvolt/memory.h"
#include "jackvolt/status.h"
#include "jackvolt/walk.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A card is every way that a walk may go, as steps with answers that lead on to other steps. The
 * walk itself (walk.h) is asked at each of them; where it wants a reading, the readings that there
 * may be are parted into bands wherever they would tell faults apart, and the walk goes on with
 * what a reading in that band teaches. Steps that read alike and go on alike are one. What hardly
 * happens ends with "beyond this card". A card keeps every rule of care that a walk keeps.
 * Differences from a walk: a band teaches less than a reading; a place along a lead is not
 * computed; after a repair that did not cure it ends. */

typedef enum jv_card_end {
    JV_CARD_GOES_ON,
    JV_CARD_PROVED,    /* repaired and proved */
    JV_CARD_HANDED_ON, /* open: what to tell a technician */
    JV_CARD_BEYOND     /* not on the card: the walk on a computer goes on */
} jv_card_end;

typedef struct jv_card_answer {
    const char *words;
    const char *note; /* what it means; "" */
    double low, high; /* a reading of low or more and less than high, V, A, ohm (ohm: high may be
                         infinite and then takes overload too); NAN where it is no reading */
    bool sound;       /* as a sound circuit reads */
    size_t to;        /* node, always behind its own */
} jv_card_answer;

typedef struct jv_card_node {
    jv_act act;
    jv_wants wants;
    jv_card_end end;
    const jv_check *check; /* of a reading; NULL = none, or told in words only */
    const char *title;
    uint32_t care; /* cautions, jv_care bits: before the lines */
    uint32_t told; /* those that every way to here has shown in full */
    const char *const *lines;
    size_t n_lines;
    const char *red, *black; /* probes; NULL = none */
    const jv_hop *way;       /* from red to black */
    size_t n_way;
    const char *reads; /* what a sound or mended circuit reads; "" */
    const char *how;   /* more on how to do it; "" */
    const char *named; /* the suspect that is named here; "" */
    bool proved_name;  /* by its own reading */
    const jv_card_answer *answers;
    size_t n_answers; /* 0: an end */
} jv_card_node;

typedef struct jv_card {
    jv_arena arena;
    jv_walk_kind kind;
    const jv_circuit *circuit;
    const jv_card_node *nodes; /* the first is where it begins */
    size_t n_nodes;
    size_t walked; /* steps at which the walk was asked, before alike ones were joined */
} jv_card;

typedef struct jv_card_options {
    jv_walk_options walk;
    double least; /* a band of readings is followed when this share of some fault's readings
                     lies in it; 0 = 0.2. Smaller: a larger card. */
} jv_card_options;

/* As jv_walk_new; JV_ERR_MEMORY. The circuit must outlive the card. */
jv_status jv_card_make(const jv_circuit *c, const jv_card_options *options, jv_card **out);
void jv_card_free(jv_card **card); /* takes NULL, leaves NULL */

#endif
