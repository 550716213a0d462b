/* options.c - reading the command line, all faults at once. SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700 /* POSIX 2008 with realpath */
#include "cli/cli.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* A slip of the fingers is at most this many edits away from the word meant. */
#define NEAR_LIMIT 3
/* More threads than any machine that would run this has. */
#define THREADS_MOST 1024u

void cli_fault(cli_job *job, jv_code code, const char *hint, const char *message, ...) {
    jv_text t = {0};
    va_list args;
    va_start(args, message);
    jv_text_vaddf(&t, message, args);
    va_end(args);
    const jv_place place = {.file = job->name};
    jv_diag_add(&job->faults, JV_ERROR, code, &place, hint, "%s", jv_text_str(&t));
    if (t.failed)
        job->faults.out_of_memory = true;
    jv_text_clear(&t);
}

const char *cli_nearest(const char *word, const char *const *names, size_t count) {
    const char *best = NULL;
    size_t least = NEAR_LIMIT + 1;
    for (size_t i = 0; i < count; i++) {
        size_t distance = jv_text_distance(word, names[i], NEAR_LIMIT);
        /* A word that shares nothing with the name is no slip. */
        if (distance < least && distance < strlen(names[i])) {
            least = distance;
            best = names[i];
        }
    }
    return best;
}

static const cli_option *find_option(const cli_command *command, const char *name, size_t length) {
    const cli_option *lists[] = {command->options, cli_common_options};
    const size_t counts[] = {command->option_count, cli_common_option_count};
    for (size_t l = 0; l < 2; l++)
        for (size_t i = 0; i < counts[l]; i++)
            if (strlen(lists[l][i].name) == length && !strncmp(lists[l][i].name, name, length))
                return &lists[l][i];
    return NULL;
}

static const char *dashes(const cli_option *option) {
    return option->name[1] ? "--" : "-";
}

/* Report an option that is not known. Answers with the known one that was probably
 * meant, so that its value is not taken for a stray word and it does not count as
 * missing; NULL when none is near. */
static const cli_option *unknown_option(cli_job *job, const char *arg, const char *name,
                                        size_t length) {
    const cli_command *command = job->command;
    size_t count = command->option_count + cli_common_option_count;
    const char **names = jv_alloc(count, sizeof *names);
    jv_text word = {0}, hint = {0};
    jv_text_add_n(&word, name, length);
    const char *near = NULL;
    if (names) {
        for (size_t i = 0; i < count; i++)
            names[i] = i < command->option_count
                           ? command->options[i].name
                           : cli_common_options[i - command->option_count].name;
        near = cli_nearest(jv_text_str(&word), names, count);
    }
    if (near)
        jv_text_addf(&hint, "did you mean %s%s?", near[1] ? "--" : "-", near);
    else
        jv_text_addf(&hint, "%s --help lists the options", job->name);
    cli_fault(job, JV_CODE_OPTION_UNKNOWN, jv_text_str(&hint), "unknown option '%s'", arg);
    jv_text_clear(&word);
    jv_text_clear(&hint);
    jv_free(names);
    return near ? find_option(command, near, strlen(near)) : NULL;
}

static void keep_option(cli_job *job, const cli_option *option, const char *value) {
    if (!option->repeats && cli_has(&job->args, option->name)) {
        cli_fault(job, JV_CODE_OPTION_TWICE, NULL, "%s%s is given twice", dashes(option),
                  option->name);
        return;
    }
    job->args.given[job->args.given_count++] = (cli_given){option, value};
}

/* Read the option at argv[i]; returns how many arguments it took. */
static int read_option(cli_job *job, int argc, char **argv, int i) {
    const char *arg = argv[i];
    const char *name = arg + (arg[1] == '-' ? 2 : 1);
    const char *equals = strchr(name, '=');
    size_t length = equals ? (size_t)(equals - name) : strlen(name);
    const cli_option *option = find_option(job->command, name, length);
    /* One dash goes with a one-letter name, two dashes with a longer one. */
    if (option && (arg[1] == '-') != (option->name[1] != '\0'))
        option = NULL;
    if (!option)
        option = unknown_option(job, arg, name, length);
    if (!option)
        return 1;
    if (!option->value) {
        if (equals)
            cli_fault(job, JV_CODE_OPTION_VALUE, NULL, "%s%s takes no value, got '%s'",
                      dashes(option), option->name, equals + 1);
        else
            keep_option(job, option, NULL);
        return 1;
    }
    if (equals) {
        keep_option(job, option, equals + 1);
        return 1;
    }
    if (i + 1 >= argc || !strncmp(argv[i + 1], "--", 2)) {
        cli_fault(job, JV_CODE_OPTION_VALUE, option->about, "%s%s needs a value: %s%s %s",
                  dashes(option), option->name, dashes(option), option->name, option->value);
        keep_option(job, option, NULL); /* it was given: it is not missing as well */
        return 1;
    }
    keep_option(job, option, argv[i + 1]);
    return 2;
}

static void check_words(cli_job *job) {
    const cli_command *command = job->command;
    const cli_args *args = &job->args;
    for (size_t i = command->most_words; i < args->word_count; i++)
        cli_fault(job, JV_CODE_ARGUMENT_EXTRA, "quote a value that holds a space",
                  "do not know what to do with '%s'", args->words[i]);
    if (args->word_count < command->least_words)
        cli_fault(job, JV_CODE_ARGUMENT_MISSING, NULL, "%s is missing", command->word);
}

/* The one of two words that stands behind an option; `first` when it is not given. */
static bool second_of(cli_job *job, const char *name, const char *first, const char *second) {
    const char *value = cli_value(&job->args, name);
    if (!value || !strcmp(value, first))
        return false;
    if (!strcmp(value, second))
        return true;
    jv_text hint = {0};
    jv_text_addf(&hint, "write %s or %s", first, second);
    cli_fault(job, JV_CODE_OPTION_CHOICE, jv_text_str(&hint), "--%s '%s' is not known", name,
              value);
    jv_text_clear(&hint);
    return false;
}

/* A whole number of at most `most` behind an option; `otherwise` when not given. */
static uint64_t whole(cli_job *job, const char *name, uint64_t most, uint64_t otherwise) {
    const char *value = cli_value(&job->args, name);
    if (!value)
        return otherwise;
    uint64_t n = 0;
    const char *c = value;
    for (; *c >= '0' && *c <= '9'; c++) {
        uint64_t digit = (uint64_t)(*c - '0');
        if (n > (most - digit) / 10)
            break;
        n = n * 10 + digit;
    }
    if (c != value && !*c)
        return n;
    jv_text hint = {0};
    jv_text_addf(&hint, "write a whole number from 0 to %llu", (unsigned long long)most);
    cli_fault(job, JV_CODE_OPTION_CHOICE, jv_text_str(&hint), "--%s '%s' does not fit", name,
              value);
    jv_text_clear(&hint);
    return otherwise;
}

/* Colour: only where a person looks at it, and not where it is unwanted (no-color.org). */
static bool wants_colour(const cli_common *common) {
    const char *no_colour = getenv("NO_COLOR");
    const char *term = getenv("TERM");
    return !common->output && !common->json && !(no_colour && *no_colour) && term &&
           strcmp(term, "dumb") != 0 && isatty(STDOUT_FILENO);
}

/* Is the word one of "a|b|c"? */
static bool is_among(const char *word, const char *choices) {
    size_t n = strlen(word);
    while (choices && n) {
        if (!strncmp(choices, word, n) && (choices[n] == '|' || !choices[n]))
            return true;
        choices = strchr(choices, '|');
        choices = choices ? choices + 1 : NULL;
    }
    return false;
}

/* "write text, json, sarif or junit" */
static void tell_formats(cli_job *job, const char *word) {
    jv_text hint = {0};
    jv_text_add(&hint, "write text, json");
    for (const char *c = job->command->formats; *c;) {
        size_t n = strcspn(c, "|");
        jv_text_addf(&hint, "%s%.*s", c[n] ? ", " : " or ", (int)n, c);
        c += n + (c[n] == '|');
    }
    cli_fault(job, JV_CODE_OPTION_CHOICE, jv_text_str(&hint), "--format '%s' is not known", word);
    jv_text_clear(&hint);
}

static void read_format(cli_job *job) {
    const char *word = cli_value(&job->args, "format");
    const char *own = job->command->formats;
    job->common.format = "text";
    if (word && own && !is_among(word, own) && !is_among(word, "text|json"))
        tell_formats(job, word);
    else if (word && is_among(word, own))
        job->common.format = word;
    else if (second_of(job, "format", "text", "json"))
        job->common.format = "json";
    job->common.json = !strcmp(job->common.format, "json");
}

static void read_common(cli_job *job) {
    cli_common *common = &job->common;
    read_format(job);
    common->style.units = second_of(job, "units", "us", "si") ? JV_UNITS_SI : JV_UNITS_US;
    common->style.ascii = cli_has(&job->args, "ascii");
    common->style.quiet = cli_has(&job->args, "quiet");
    common->style.width = JV_STYLE_WIDTH;
    common->output = cli_value(&job->args, "o");
    common->seed = whole(job, "seed", UINT64_MAX, 1);
    common->threads = (unsigned)whole(job, "threads", THREADS_MOST, 0);
    common->style.colour = wants_colour(common);
}

bool cli_options_read(cli_job *job, int argc, char **argv, int first) {
    size_t room = (size_t)argc;
    job->args.given = jv_alloc(room, sizeof *job->args.given);
    job->args.words = jv_alloc(room, sizeof *job->args.words);
    if (!job->args.given || !job->args.words) {
        job->faults.out_of_memory = true;
        return false;
    }
    bool options = true;
    for (int i = first; i < argc;) {
        if (options && !strcmp(argv[i], "--")) {
            options = false;
            i++;
        } else if (options && (!strcmp(argv[i], "--help") || !strcmp(argv[i], "-h"))) {
            return true;
        } else if (options && argv[i][0] == '-' && argv[i][1]) {
            i += read_option(job, argc, argv, i);
        } else {
            job->args.words[job->args.word_count++] = argv[i++];
        }
    }
    check_words(job);
    read_common(job);
    cli_output_guard(job);
    return false;
}

void cli_args_clear(cli_args *args) {
    jv_free(args->given);
    jv_free(args->words);
    *args = (cli_args){0};
}

const char *cli_value_at(const cli_args *args, const char *name, size_t n) {
    for (size_t i = 0; i < args->given_count; i++)
        if (!strcmp(args->given[i].option->name, name) && n-- == 0)
            return args->given[i].value;
    return NULL;
}

const char *cli_value(const cli_args *args, const char *name) {
    return cli_value_at(args, name, 0);
}

bool cli_has(const cli_args *args, const char *name) {
    for (size_t i = 0; i < args->given_count; i++)
        if (!strcmp(args->given[i].option->name, name))
            return true;
    return false;
}
