/* status.h - what a jackvolt function can answer. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_STATUS_H
#define JACKVOLT_STATUS_H

/* Every function that can fail returns one of these; results go through out
 * parameters, which are set only when JV_OK comes back. Details of a fault in
 * an input stand in a jv_diags list (diag.h), never in a status. */
typedef enum jv_status {
    JV_OK = 0,
    JV_ERR_MEMORY,   /* an allocation failed */
    JV_ERR_INPUT,    /* an input was refused; the reasons are in the jv_diags */
    JV_ERR_RANGE,    /* an argument is outside the range its header states */
    JV_ERR_UNKNOWN,  /* a name or figure is not known here */
    JV_ERR_UNSOLVED, /* the equations have no solution, or none was reached */
    JV_ERR_SYSTEM    /* a file or the operating system refused */
} jv_status;

/* A short English name of a status, for messages; never NULL. */
const char *jv_status_text(jv_status status);

#endif
