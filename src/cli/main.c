/* main.c - the program jackvolt: picks the command and runs it. SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700 /* POSIX 2008 with realpath */
#include "cli/cli.h"
#include "jackvolt/solver.h"
#include "jackvolt/version.h"

#include <signal.h>
#include <string.h>

/* One row adds a command; the order is that of the help. NULL ends the table. */
const cli_command *const cli_commands[] = {
    &cli_cmd_drop,  &cli_cmd_sequence, &cli_cmd_scatter, &cli_cmd_size,       &cli_cmd_review,
    &cli_cmd_find,  &cli_cmd_walk,     &cli_cmd_report,  &cli_cmd_new,        &cli_cmd_import,
    &cli_cmd_check, &cli_cmd_cable,    &cli_cmd_table,   &cli_cmd_completion, NULL,
};
enum { COMMAND_ROOM = sizeof cli_commands / sizeof cli_commands[0] };

static const cli_command *find_command(const char *name) {
    for (size_t i = 0; cli_commands[i]; i++)
        if (!strcmp(cli_commands[i]->name, name))
            return cli_commands[i];
    return NULL;
}

/* Write job->out, report what went wrong, give everything back. */
static int finish(cli_job *job, cli_exit code, const char *path) {
    bool broken = job->faults.errors || job->faults.out_of_memory;
    if (!broken && code != CLI_CANNOT && !cli_output_write(job, path, &job->out))
        broken = true;
    if (broken || job->faults.count || job->aside.length)
        cli_faults_print(job);
    jv_diags_clear(&job->faults);
    cli_args_clear(&job->args);
    jv_text_clear(&job->out);
    jv_text_clear(&job->aside);
    return broken ? CLI_CANNOT : (int)code;
}

static int unknown_command(cli_job *job, const char *word) {
    const char *names[COMMAND_ROOM];
    size_t count = 0;
    for (; cli_commands[count]; count++)
        names[count] = cli_commands[count]->name;
    const char *near = cli_nearest(word, names, count);
    jv_text hint = {0};
    if (near)
        jv_text_addf(&hint, "did you mean jackvolt %s?", near);
    else
        jv_text_add(&hint, "jackvolt --help lists the commands");
    cli_fault(job, word[0] == '-' ? JV_CODE_OPTION_UNKNOWN : JV_CODE_COMMAND_UNKNOWN,
              jv_text_str(&hint), "unknown %s '%s'", word[0] == '-' ? "option" : "command", word);
    jv_text_clear(&hint);
    return finish(job, CLI_CANNOT, NULL);
}

static int run_command(cli_job *job, int argc, char **argv, int first) {
    jv_text name = {0};
    jv_text_addf(&name, "jackvolt %s", job->command->name);
    job->name = jv_text_str(&name);
    cli_exit code = CLI_HOLDS;
    const char *path = NULL;
    if (cli_options_read(job, argc, argv, first)) {
        cli_help_command(job->command, &job->out);
    } else if (cli_has(&job->args, "version")) {
        jv_text_addf(&job->out, "jackvolt %s\n", JV_VERSION);
    } else if (!job->faults.out_of_memory && job->args.word_count >= job->command->least_words) {
        /* With other faults a command runs all the same, to add its own to them. */
        path = job->common.output;
        code = job->command->run(job);
    }
    int result = finish(job, code, path);
    jv_text_clear(&name);
    return result;
}

int main(int argc, char **argv) {
    /* A closed pipe shall be an error that is reported, not a silent death. */
    signal(SIGPIPE, SIG_IGN);
    jv_solver_large_blocks();
    cli_job job = {.name = "jackvolt"};
    const char *word = argc > 1 ? argv[1] : "--help";
    if (!strcmp(word, "--version")) {
        jv_text_addf(&job.out, "jackvolt %s\n", JV_VERSION);
        return finish(&job, CLI_HOLDS, NULL);
    }
    bool help = !strcmp(word, "help") && argc > 2;
    job.command = find_command(help ? argv[2] : word);
    if (job.command && help) {
        cli_help_command(job.command, &job.out);
        return finish(&job, CLI_HOLDS, NULL);
    }
    if (job.command)
        return run_command(&job, argc, argv, 2);
    if (!strcmp(word, "--help") || !strcmp(word, "-h") || (!strcmp(word, "help") && argc == 2)) {
        cli_help_start(cli_commands, &job.out);
        return finish(&job, CLI_HOLDS, NULL);
    }
    return unknown_command(&job, help ? argv[2] : word);
}
