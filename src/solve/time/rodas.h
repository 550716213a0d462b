/* rodas.h - coefficients of the time method and its long sums. SPDX-License-Identifier: MIT */
#ifndef SOLVE_TIME_RODAS_H
#define SOLVE_TIME_RODAS_H

#include "base/lane.h"

#include <stddef.h>

/* RODASP of G. Steinebach (1995), of the family of E. Hairer and G. Wanner, Solving Ordinary
 * Differential Equations II, 2nd ed. (1996), section VI.4: order 4(3), stiffly accurate, L-stable,
 * and made to lose little order on stiff problems; in transformed form: (M/(c h) - J) k_i =
 * f(u + sum a_ij k_j) + M sum (c_ij/h) k_j,  u1 = u + sum a_6j k_j + k_6, error k_6, c = 1/4. The
 * dense output is of order 3: u + s (u1 - u) + s (1 - s) (c3 + s c4).
 *
 * The sums over the stages go eight numbers at a time: all vectors have room for JV_RODAS_ROOM
 * numbers more than n, which may be read and written. */
enum { JV_STAGES = 6, JV_RODAS_ROOM = 8 };

extern const double jv_rodas_gamma;

/* out = now + sum a k, fixed = sum c k / h of a stage, 0 to 5. The last stage counts on the out
 * of the one before. */
void jv_rodas_stage(jv_lane_width width, int stage, size_t n, const double *now,
                    double *const k[JV_STAGES], double h, double *out, double *fixed);
/* out, the values of the last stage, become those at the end of the step. */
void jv_rodas_end(jv_lane_width width, size_t n, double *const k[JV_STAGES], double *out);
void jv_rodas_dense(jv_lane_width width, size_t n, double *const k[JV_STAGES], double *c3,
                    double *c4);

/* A pure sum q' = w(u) needs no k of its own: with g_i = w(u_i) + dw/du k_i of each stage, k of q
 * would be h L g with L = c (1 - c C)^-1, C the c_ij. weight[0] gives (q1 - q)/h, [1] c3/h,
 * [2] c4/h. */
typedef struct jv_rodas_weights {
    double weight[3][JV_STAGES];
} jv_rodas_weights;
void jv_rodas_weigh(jv_rodas_weights *w);
void jv_rodas_sums(jv_lane_width width, const jv_rodas_weights *w, size_t n, const double *now,
                   double *const g[JV_STAGES], double h, double *out, double *c3, double *c4);

#endif
