/* cmd_completion.c - jackvolt completion: what a shell needs to complete our words.
 * SPDX-License-Identifier: MIT */
#include "cli/cli.h"
#include "jackvolt/layout.h"
#include "jackvolt/tables.h"

#include <string.h>

/* The script is written from the tables of options that the commands themselves are read by, so it
 * knows what they know. */

static void add_option(const cli_option *option, jv_text *out) {
    jv_text_addf(out, " %s%s", option->name[1] ? "--" : "-", option->name);
}

static void add_options(const cli_command *command, jv_text *out) {
    jv_text_addf(out, "        options=\"");
    for (size_t i = 0; i < command->option_count; i++)
        add_option(&command->options[i], out);
    for (size_t i = 0; i < cli_common_option_count; i++)
        add_option(&cli_common_options[i], out);
    jv_text_add(out, "\"\n");
}

/* "a|b|c" as "a b c". */
static void add_choices(const char *choices, jv_text *out) {
    for (const char *c = choices; *c; c++)
        jv_text_add_char(out, *c == '|' ? ' ' : *c);
}

static void add_layouts(jv_text *out) {
    const jv_layout *list;
    size_t n = jv_layouts(&list);
    for (size_t i = 0; i < n; i++)
        jv_text_addf(out, "%s%s", i ? " " : "", list[i].name);
}

static bool names_file(const char *value) {
    return strstr(value, "FILE") || strstr(value, ".json") || strstr(value, ".html");
}

static bool is_layout(const cli_option *option) {
    return strcmp(option->name, "layout") == 0 || strcmp(option->name, "like") == 0;
}

/* What may stand behind an option; files are what is offered when nothing is said. */
static void add_values(const cli_command *command, const cli_option *option, jv_text *out) {
    if (!option->value || names_file(option->value))
        return;
    jv_text_addf(out, "        %s%s) ", option->name[1] ? "--" : "-", option->name);
    jv_text_add(out, "words=\"");
    if (is_layout(option))
        add_layouts(out);
    else if (strchr(option->value, '|'))
        add_choices(option->value, out);
    if (strcmp(option->name, "format") == 0 && command->formats) {
        jv_text_add_char(out, ' ');
        add_choices(command->formats, out);
    }
    jv_text_add(out, "\" only=1 ;;\n");
}

/* Words of a command that are no options: "sag|sensor" of "FILE sag|sensor", names of tables. */
static void add_words(const cli_command *command, jv_text *out) {
    const char *bar = command->word ? strchr(command->word, '|') : NULL;
    jv_text_add(out, "        words=\"");
    if (bar) {
        const char *from = bar;
        while (from > command->word && from[-1] != ' ')
            from--;
        add_choices(from, out);
    }
    for (size_t i = 0; strcmp(command->name, "table") == 0 && i < jv_table_count(); i++)
        jv_text_addf(out, "%s%s", i ? " " : "", jv_table_at(i)->name);
    jv_text_add(out, "\"\n");
}

static void add_command(const cli_command *command, jv_text *out) {
    jv_text_addf(out, "    %s)\n", command->name);
    add_options(command, out);
    add_words(command, out);
    jv_text_add(out, "        case $before in\n");
    for (size_t i = 0; i < command->option_count; i++)
        add_values(command, &command->options[i], out);
    for (size_t i = 0; i < cli_common_option_count; i++)
        add_values(command, &cli_common_options[i], out);
    jv_text_add(out, "        esac ;;\n");
}

static const char head[] =
    "# bash completion of jackvolt, written by: jackvolt completion\n"
    "# SPDX-License-Identifier: MIT\n"
    "_jackvolt() {\n"
    "    local word=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD-1]}\n"
    "    local options= words= only= commands=\"";
static const char middle[] =
    "\"\n"
    "    COMPREPLY=()\n"
    "    if [ \"$COMP_CWORD\" -eq 1 ]; then\n"
    "        COMPREPLY=($(compgen -W \"$commands help --help --version\" -- "
    "\"$word\"))\n"
    "        return\n"
    "    fi\n"
    "    case ${COMP_WORDS[1]} in\n"
    "    help) words=$commands only=1 ;;\n";
static const char tail[] =
    "    esac\n"
    "    if [ -n \"$only\" ]; then\n"
    "        COMPREPLY=($(compgen -W \"$words\" -- \"$word\"))\n"
    "    elif [[ $word == -* ]]; then\n"
    "        COMPREPLY=($(compgen -W \"$options\" -- \"$word\"))\n"
    "    else\n"
    "        COMPREPLY=($(compgen -W \"$words\" -- \"$word\") $(compgen -f -- \"$word\"))\n"
    "    fi\n"
    "}\n"
    "complete -o filenames -F _jackvolt jackvolt\n";

static cli_exit run(cli_job *job) {
    jv_text *out = &job->out;
    jv_text_add(out, head);
    for (size_t i = 0; cli_commands[i]; i++)
        jv_text_addf(out, "%s%s", i ? " " : "", cli_commands[i]->name);
    jv_text_add(out, middle);
    for (size_t i = 0; cli_commands[i]; i++)
        add_command(cli_commands[i], out);
    jv_text_add(out, tail);
    return CLI_HOLDS;
}

const cli_command cli_cmd_completion = {
    .name = "completion",
    .summary = "The script by which bash completes commands and options.",
    .usage = "[-o FILE]",
    .about =
        "Writes what bash needs to complete the words of this program. make install puts it in "
        "its place; by hand: source it in ~/.bashrc.",
    .examples = "  jackvolt completion -o ~/.local/share/bash-completion/completions/jackvolt\n",
    .most_words = 0,
    .run = run,
};
