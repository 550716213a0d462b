/* adjoint.h - how a figure of the operating point moves. SPDX-License-Identifier: MIT */
#ifndef SOLVE_ADJOINT_H
#define SOLVE_ADJOINT_H

#include "solve/system.h"

/* At an operating point F(x, p) = 0 a figure g(x) moves with a number p of the elements as
 *     dg/dp = - lambda . dF/dp,   where   J^T lambda = dg/dx,   J = dF/dx:
 * one transposed solve for a figure, whatever the number of p. */

/* Solve for lambda[n] at the point where the system is; gradient[n] = dg/dx. JV_ERR_UNSOLVED,
 * JV_ERR_MEMORY. */
jv_status jv_adjoint_solve(jv_system *s, const double *gradient, double *lambda);

/* lambda . (rows of F that come from elements first .. end - 1), with the numbers that they
 * hold now, at the same x: the difference of two of these is lambda . dF. Leaves f and ax of
 * the system spoiled, as jv_system_evaluate starts anew. */
double jv_adjoint_residual(jv_system *s, const double *lambda, size_t first, size_t end);

#endif
