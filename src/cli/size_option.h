/* size_option.h - what is asked of a choice of sizes. SPDX-License-Identifier: MIT */
#ifndef CLI_SIZE_OPTION_H
#define CLI_SIZE_OPTION_H

#include "cli/cli.h"
#include "jackvolt/prices.h"
#include "jackvolt/size.h"

/* In the option list of every command that chooses sizes. */
#define CLI_SIZE_OPTIONS                                                                        \
    {"resize", "PART,..", "Only these cables; every cable with a size when left out.", true},   \
        {"prices", "FILE", "Least cost by this price list, instead of least metal.", false},    \
        {"basis", "awg|sae|mm2", "Choose from these sizes; those of each cable when left out.", \
         false},                                                                                \
        {"keep-fuses", NULL, "Leave the ratings of the file's fuses as they are.", false}, {    \
        "no-budget", NULL,                                                                      \
            "Leave out the 10 % drop budget: watches, heat and fuses alone decide.", false      \
    }

typedef struct cli_size_given {
    jv_size_options how; /* points into the rest */
    const char **names;
    char *room;
    jv_price *prices;
} cli_size_given;

/* What the options say. JV_ERR_INPUT, JV_ERR_MEMORY: a fault is recorded. *out is to be freed in
 * every case. */
jv_status cli_size_take(cli_job *job, cli_size_given *out);
void cli_size_free(cli_size_given *given);
/* Is one of them given? Its name; NULL = none. */
const char *cli_size_asked(const cli_job *job);

#endif
