/* cli.h - what every command of the program is made of. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CLI_CLI_H
#define JACKVOLT_CLI_CLI_H

#include "jackvolt/diag.h"
#include "jackvolt/quantity.h"
#include "jackvolt/render.h"
#include "jackvolt/text.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* To add a command: write src/cli/cmd_NAME.c with one `const cli_command`, declare
 * it at the end of this header, and add one row to the table in main.c. The frame
 * reads the command line, prints help, reports all faults at once and writes the
 * result; `run` only fills job->out and answers with an exit code. */

/* Exit codes of the program. */
typedef enum cli_exit {
    CLI_HOLDS = 0,   /* all holds */
    CLI_FINDING = 1, /* a finding: a trip, a failed rule, nothing fits */
    CLI_CANNOT = 2   /* cannot do it: usage, bad file, no memory; nothing on stdout */
} cli_exit;

typedef struct cli_option {
    const char *name;  /* without the dashes: "amps"; one letter means a short option */
    const char *value; /* what stands behind it in the help ("A"); NULL = a bare flag */
    const char *about; /* one sentence for the help */
    bool repeats;      /* may be given more than once */
} cli_option;

typedef struct cli_given {
    const cli_option *option;
    const char *value; /* NULL for a flag */
} cli_given;

/* What stood on the command line behind the command's name. */
typedef struct cli_args {
    cli_given *given;
    size_t given_count;
    const char **words; /* arguments that are no options */
    size_t word_count;
} cli_args;

typedef struct cli_common {
    bool json;
    const char *format; /* the word of --format: "text", "json", or one of the command's own */
    jv_style style;     /* units, colour, ASCII, quiet, width */
    const char *output; /* NULL or "-" = standard output */
    uint64_t seed;
    unsigned threads; /* 0 = as many as the machine has */
} cli_common;

typedef struct cli_job {
    const struct cli_command *command;
    cli_args args;
    cli_common common;
    jv_diags faults;  /* an error here makes the exit code CLI_CANNOT */
    jv_text out;      /* the result; written to stdout or to -o FILE */
    jv_text aside;    /* what a person should know of it; to standard error, before faults */
    const char *name; /* "jackvolt cable", for messages */
} cli_job;

typedef struct cli_command {
    const char *name;
    const char *summary;       /* one line for the list of commands */
    const char *usage;         /* the words behind "jackvolt NAME" */
    const char *about;         /* plain paragraphs for --help, wrapped by the frame */
    const char *examples;      /* lines shown as they are; NULL = none */
    const cli_option *options; /* own options; the common ones are added by the frame */
    size_t option_count;
    const char *formats; /* words that --format takes besides text and json: "sarif|junit" */
    const char *word;    /* what a plain argument is called ("FILE"); NULL = takes none */
    size_t least_words;
    size_t most_words;
    cli_exit (*run)(cli_job *job);
} cli_command;

/* options.c: read argv[first..] into job->args and job->common. All faults go to
 * job->faults. Returns true when --help was asked for. */
bool cli_options_read(cli_job *job, int argc, char **argv, int first);
void cli_args_clear(cli_args *args);
/* The value of an option, the n-th one of a repeating option; NULL when it was not given,
 * is a flag, or was given without its value (a fault was recorded then). */
const char *cli_value(const cli_args *args, const char *name);
const char *cli_value_at(const cli_args *args, const char *name, size_t n);
bool cli_has(const cli_args *args, const char *name); /* flags and options */
/* Read an option as a quantity. True when it was given and could be read; a fault is
 * recorded otherwise (none when it was not given). bare_unit: the unit that a bare
 * number stands for, NULL = a bare number is a fault. */
bool cli_quantity(cli_job *job, const char *name, jv_dim dim, const char *bare_unit, jv_value *out);
/* True when the text is a number and nothing else. */
bool cli_is_bare(const char *text);
/* Record a fault of the command line. hint may be NULL. */
void cli_fault(cli_job *job, jv_code code, const char *hint, const char *message, ...)
    __attribute__((format(printf, 4, 5)));
/* The nearest of `count` names, NULL when none is near enough to be a slip. */
const char *cli_nearest(const char *word, const char *const *names, size_t count);

/* help.c */
void cli_help_command(const cli_command *command, jv_text *out);
void cli_help_start(const cli_command *const *commands, jv_text *out); /* NULL ends the list */
extern const cli_option cli_common_options[];
extern const size_t cli_common_option_count;

/* output.c: write text to `path` (NULL or "-": standard output). A file appears whole
 * or not at all. False with a fault recorded when it could not be written. */
bool cli_output_write(cli_job *job, const char *path, const jv_text *text);
/* Records a fault for each output (-o, --csv, --fit) that is a file which this run reads: it would
 * be lost. Before anything is written. */
void cli_output_guard(cli_job *job);
/* Print all recorded faults to standard error. */
void cli_faults_print(cli_job *job);

/* main.c: all of them, in the order of the help; NULL ends the list. */
extern const cli_command *const cli_commands[];
extern const cli_command cli_cmd_cable;
extern const cli_command cli_cmd_check;
extern const cli_command cli_cmd_completion;
extern const cli_command cli_cmd_drop;
extern const cli_command cli_cmd_import;
extern const cli_command cli_cmd_review;
extern const cli_command cli_cmd_scatter;
extern const cli_command cli_cmd_sequence;
extern const cli_command cli_cmd_report;
extern const cli_command cli_cmd_size;
extern const cli_command cli_cmd_find;
extern const cli_command cli_cmd_new;
extern const cli_command cli_cmd_table;
extern const cli_command cli_cmd_walk;

#endif
