/* random.h - counter-based random numbers, side by side. SPDX-License-Identifier: MIT */
#ifndef STUDY_RANDOM_H
#define STUDY_RANDOM_H

#include "base/lane.h"
#include "jackvolt/quantity.h"

#include <stddef.h>
#include <stdint.h>

/* Draws are made JV_SIDE at a time. Additions, multiplications, divisions and shifts alone decide
 * the bits of a result, and in the tails of normals log and sqrt of the C library. */
#define JV_SIDE 8

/* Philox 4x32 with ten rounds: J. K. Salmon, M. A. Moraes, R. O. Dror, D. E. Shaw, "Parallel
 * random numbers: as easy as 1, 2, 3", Proc. SC11 (2011). out = bijection of counter under
 * key. */
void jv_philox(const uint32_t counter[4], const uint32_t key[2], uint32_t out[4]);

/* Uniform numbers u[k] in (0, 1), odd multiples of 2^-53, of draws first .. first + JV_SIDE - 1
 * (first: a multiple of JV_SIDE) of the quantity with this address under this seed. The counter
 * is made of 64 bits of draws / 2 and 64 of the address: draws 8 n + k and 8 n + 4 + k (k = 0 ..
 * 3) take the first and the last two words of counter 4 n + k, 52 bits of them. */
void jv_uniforms(uint64_t seed, uint64_t first, uint64_t address, double u[JV_SIDE]);

/* Standard normal deviates of probabilities u in (0, 1): M. J. Wichura, "Algorithm AS 241: the
 * percentage points of the normal distribution", Applied Statistics 37 (1988) 477-484, PPND16,
 * about 1 part in 1e16. */
void jv_normals(const double u[JV_SIDE], double z[JV_SIDE]);

/* e^x for |x| <= 700, to about one unit in the last place. */
void jv_exponentials(const double x[JV_SIDE], double out[JV_SIDE]);

/* Values of a quantity at probabilities u: what jv_value_at gives at their normal deviates, to
 * rounding. */
void jv_values_at(const jv_value *v, const double u[JV_SIDE], double out[JV_SIDE]);

/* A quantity to be drawn, made ready by jv_drawn_make. */
typedef struct jv_drawn {
    uint64_t address;
    jv_value value;
    double scale; /* of logarithmic kinds: the logarithm that a draw multiplies */
} jv_drawn;
jv_drawn jv_drawn_make(uint64_t address, const jv_value *value);

/* Both at once for n quantities, in registers of this width: their uniforms and their values at
 * them. */
void jv_draw_all(jv_lane_width width, uint64_t seed, uint64_t first, const jv_drawn *list, size_t n,
                 double (*u)[JV_SIDE], double (*out)[JV_SIDE]);

#endif
