/* solver.h - what the solver may ask of its process. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_SOLVER_H
#define JACKVOLT_SOLVER_H

/* Lets the sparse solver (KLU of SuiteSparse) lay its large blocks on huge pages, as this library
 * lays its own: a circuit of 100,000 parts is solved a tenth faster. It sets the memory functions
 * of SuiteSparse for the whole process, so it is not done unasked: call it once, before anything
 * is solved, in a program that has set none itself. The program jackvolt does. */
void jv_solver_large_blocks(void);

#endif
