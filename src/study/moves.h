/* moves.h - how drawn values reach the elements, worked out once. SPDX-License-Identifier: MIT */
#ifndef STUDY_MOVES_H
#define STUDY_MOVES_H

#include "solve/lanes.h"
#include "study/random.h"
#include "study/spread.h"

/* Loading a part looks up tables by name; a million draws cannot afford that. So each part that
 * a quantity reaches is looked at once:
 *   AFFINE  its numbers are sums of multiples of the values (ohms of a contact, of a length);
 *   TABLE   cubic pieces of one value (charge of a battery), and in each a sum of multiples of the
 *           others; in a piece that does not fit to 1e-7 (at a kink) the part is loaded;
 *   LOAD    all else: the part is loaded for each draw.
 * Checked against loading the part, at random points. */
typedef enum jv_move_kind { JV_MOVE_AFFINE, JV_MOVE_TABLE, JV_MOVE_LOAD } jv_move_kind;

/* One number of one element. AFFINE: constant + sum of per[k] values[with[k]]. TABLE: four
 * coefficients a piece, of the place within it, 0 to 1; then as many for the multiple of each of
 * the others' distance from its middle. */
typedef struct jv_move {
    uint32_t element;
    jv_field field;
    double constant;
    size_t n_terms;
    uint32_t *with;
    double *per;
    double (*pieces)[4];
} jv_move;

typedef struct jv_move_part {
    uint32_t part;
    jv_move_kind kind;
    jv_move *moves;
    size_t n_moves;
    uint32_t quantity; /* TABLE: of the pieces; and the others */
    uint32_t *others;
    double *middles;
    size_t n_others;
    double least, per_piece;
    size_t n_pieces;
    uint8_t *unfit; /* of each piece */
    bool heats;     /* its air or its time moves how it heats: its body must be loaded anew where no
                       lane follows it */
} jv_move_part;

typedef struct jv_moves {
    jv_arena arena;
    jv_move_part *parts;
    size_t n;
    bool shape; /* a quantity opens or closes an element, or moves how a conductor heats by more
                   than its air or its time: lanes cannot take that */
} jv_moves;

/* Work out from a trial at its nominal point; leaves nominal values in it. JV_ERR_MEMORY. */
jv_status jv_moves_find(jv_trial *t, jv_moves *out);
void jv_moves_clear(jv_moves *m);

/* Where the draws of a value end: normal kinds are cut at three deviations. */
void jv_reach_of(const jv_value *v, double *least, double *most);

/* Numbers of TABLE and AFFINE parts at JV_SIDE draws. out[k]: the number in draw k. *unfit: bits
 * of the draws for which the part must be loaded. */
void jv_move_pieces(const jv_move_part *p, double (*values)[JV_SIDE], int piece[JV_SIDE],
                    double place[JV_SIDE], unsigned *unfit);
void jv_move_values(const jv_move_part *p, const jv_move *m, double (*values)[JV_SIDE],
                    const int piece[JV_SIDE], const double place[JV_SIDE], double out[JV_SIDE]);

#endif
