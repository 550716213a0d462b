/* evidence_option.h - readings and symptoms of the command line. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CLI_EVIDENCE_OPTION_H
#define JACKVOLT_CLI_EVIDENCE_OPTION_H

#include "cli/cli.h"
#include "jackvolt/find.h"

/* Rows for a command's table of options. */
#define CLI_EVIDENCE_OPTIONS                                                                      \
    {"reading", "TEXT", "A reading: \"volts ctl+ ctl- in lifting = 9.6 V\"; may be repeated.",    \
     true},                                                                                       \
        {"symptom", "TEXT", "A symptom: \"low-voltage stop trips in lifting\"; may be repeated.", \
         true},                                                                                   \
    {                                                                                             \
        "readings", "FILE", "Lines of readings and symptoms.", false                              \
    }

/* Was any of them given? */
bool cli_evidence_given(const cli_job *job);
/* Give them to a finder of the circuit. False: faults are recorded in the job. */
bool cli_evidence_take(cli_job *job, jv_finder *f, const jv_circuit *c);

#endif
