/* saved_walk.h - a walk that was saved, walked again. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CLI_SAVED_WALK_H
#define JACKVOLT_CLI_SAVED_WALK_H

#include "cli/cli.h"
#include "jackvolt/meter.h"
#include "jackvolt/walk.h"

/* Owned by who opened it; does not move (the walk borrows the meter). */
typedef struct cli_saved_walk {
    const char *path;
    jv_walk_saved file;
    jv_meter meter;
    jv_walk *walk; /* NULL = none was asked for */
} cli_saved_walk;

/* Read the file of --walk, if given. False: faults are recorded. */
bool cli_saved_walk_load(cli_job *job, cli_saved_walk *out);
/* Take its answers over the circuit, which was read with its changes. */
bool cli_saved_walk_replay(cli_job *job, const jv_circuit *c, cli_saved_walk *w);
void cli_saved_walk_close(cli_saved_walk *w);

#endif
