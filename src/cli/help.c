/* help.c - help pages of the program. SPDX-License-Identifier: MIT */
#include "cli/cli.h"

#include <string.h>

/* Column at which the second column of a help list starts. */
#define HELP_COLUMN 22

const cli_option cli_common_options[] = {
    {"format", "text|json", "Text for people, or JSON for scripts (SI units). Default: text.",
     false},
    {"units", "us|si", "Units of the text. Default: us.", false},
    {"o", "FILE", "Write the result to FILE; it appears whole or not at all.", false},
    {"seed", "N", "Seed of the random draws, where a command draws. Default: 1.", false},
    {"threads", "N", "Threads to use; 0 is one for each processor. Default: 0.", false},
    {"quiet", NULL, "Only the verdict, no tables and notes.", false},
    {"ascii", NULL, "No characters beyond ASCII in the text.", false},
    {"help", NULL, "This page.", false},
    {"version", NULL, "The version of the program.", false},
};
const size_t cli_common_option_count = sizeof cli_common_options / sizeof cli_common_options[0];

static void list_row(jv_text *out, const char *left, const char *right) {
    jv_text_add(out, left);
    if (jv_text_columns(left) + 2 > HELP_COLUMN)
        jv_text_add_char(out, '\n');
    jv_wrap(out, right, HELP_COLUMN, JV_STYLE_WIDTH);
}

static void option_rows(jv_text *out, const cli_option *options, size_t count) {
    for (size_t i = 0; i < count; i++) {
        jv_text left = {0};
        jv_text_addf(&left, "  %s%s", options[i].name[1] ? "--" : "-", options[i].name);
        if (options[i].value)
            jv_text_addf(&left, " %s", options[i].value);
        list_row(out, jv_text_str(&left), options[i].about);
        jv_text_clear(&left);
    }
}

void cli_help_command(const cli_command *command, jv_text *out) {
    jv_text_addf(out, "jackvolt %s - %s\n\n", command->name, command->summary);
    jv_text usage = {0};
    jv_text_addf(&usage, "Usage: jackvolt %s %s", command->name, command->usage);
    jv_wrap(out, jv_text_str(&usage), 0, JV_STYLE_WIDTH);
    jv_text_clear(&usage);
    jv_text_add_char(out, '\n');
    jv_wrap(out, command->about, 0, JV_STYLE_WIDTH);
    if (command->option_count) {
        jv_text_add(out, "\nOptions\n");
        option_rows(out, command->options, command->option_count);
    }
    jv_text_add(out, "\nOptions of every command\n");
    option_rows(out, cli_common_options, cli_common_option_count);
    if (command->examples)
        jv_text_addf(out, "\nExamples\n%s", command->examples);
    jv_text_add(out, "\nExit code: 0 all holds, 1 a finding, 2 cannot do it.\n");
}

void cli_help_start(const cli_command *const *commands, jv_text *out) {
    jv_wrap(out,
            "jackvolt finds out why a vehicle's powered levelling jacks sag, stop or lose their "
            "sensors, and what to change.",
            0, JV_STYLE_WIDTH);
    jv_text_add(out, "\nTry first\n");
    jv_text_add(out, "  jackvolt drop circuits/small-trailer.json\n");
    jv_wrap(out, "Where the volts go when two jacks lift: one of the examples.", 6, JV_STYLE_WIDTH);
    jv_text_add(out, "  jackvolt cable --amps 30 --one-way \"24 ft\"\n");
    jv_wrap(out, "Which cable to fit for 30 A over 24 ft, and which fuse.", 6, JV_STYLE_WIDTH);
    jv_text_add(out, "  jackvolt new ours.json\n");
    jv_wrap(out, "A circuit file of your own vehicle, from a few questions.", 6, JV_STYLE_WIDTH);
    jv_text_add(out, "  jackvolt table\n");
    jv_wrap(out, "The reference tables, each row with its source.", 6, JV_STYLE_WIDTH);
    jv_text_add(out, "\nCommands\n");
    for (size_t i = 0; commands[i]; i++) {
        jv_text left = {0};
        jv_text_addf(&left, "  %s", commands[i]->name);
        list_row(out, jv_text_str(&left), commands[i]->summary);
        jv_text_clear(&left);
    }
    jv_text_add_char(out, '\n');
    jv_wrap(out,
            "jackvolt COMMAND --help tells more. Results are estimates: local codes, the vehicle "
            "maker's instructions and licensed practice come first.",
            0, JV_STYLE_WIDTH);
}
