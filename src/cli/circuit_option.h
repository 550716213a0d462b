/* circuit_option.h - what all commands that read a circuit file share. SPDX-License-Identifier: MIT
 */
#ifndef JACKVOLT_CLI_CIRCUIT_OPTION_H
#define JACKVOLT_CLI_CIRCUIT_OPTION_H

#include "cli/cli.h"
#include "jackvolt/circuit.h"
#include "jackvolt/layout.h"

/* Rows for a command's table of options. */
#define CLI_CIRCUIT_OPTIONS                                                             \
    {"set", "PART.KEY=VALUE", "Change a value for this run; may be repeated.", true}, { \
        "fault", "PART: WHAT",                                                          \
            "Put a fault in, for example \"ground stud: 35 mohm added\"; may "          \
            "be repeated.",                                                             \
            true                                                                        \
    }

typedef struct cli_circuit {
    jv_circuit *circuit;
    jv_faults *faults; /* NULL when none was given */
} cli_circuit;

/* Read the file with --set and --fault of the job. False: reasons recorded in the job, and
 * nothing to close. */
bool cli_circuit_open(cli_job *job, const char *path, cli_circuit *out);
/* The same with n changes of a saved run before those of --set. */
bool cli_circuit_open_with(cli_job *job, const char *path, const char *const *sets, size_t n,
                           cli_circuit *out);
void cli_circuit_close(cli_circuit *given);
/* True when name is NULL or a case of the circuit; else a fault with the nearest name. */
bool cli_circuit_case(cli_job *job, const cli_circuit *given, const char *name);
/* The layout of that name; NULL: a fault with the nearest name. */
const jv_layout *cli_layout_find(cli_job *job, const char *name);

#endif
