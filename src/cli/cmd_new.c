/* cmd_new.c - jackvolt new: a circuit file from a few questions. SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700 /* POSIX 2008 with realpath */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "jackvolt/draft.h"
#include "jackvolt/memory.h"

#include <ctype.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

static const cli_option options[] = {
    {"layout", "NAME", "The layout to begin from; then nothing is asked.", false},
    {"layouts", NULL, "List the layouts.", false},
    {"ask", NULL, "Ask what the options do not say, with --layout too.", false},
    {"keep", NULL, "What is not said stays as in the layout; it is taken as not known without.",
     false},
    {"replace", NULL, "Write over a file that is there.", false},
    {"jacks", "N", "How many jacks, 1 to 8.", false},
    {"name", "TEXT", "What the circuit is called.", false},
    {"ambient", "TEMP", "Temperature where the vehicle stands.", false},
    {"chemistry", "WORD", "Of the batteries: flooded, agm, gel or lfp.", false},
    {"capacity", "Q", "Of each battery, by its label: \"100 Ah\".", false},
    {"charge", "P", "Of the batteries: \"80 %\", or rested volts: \"12.5 V\".", false},
    {"age", "TIME", "Of the batteries: \"3 years\".", false},
    {"fuse", "A", "Rating of the first fuse or breaker.", false},
    {"length", "L", "Of the longest cables, each one way.", false},
    {"size", "SIZE", "Of the longest cables.", false},
    {"metal", "METAL", "Of the longest cables, where the layout tells of it.", false},
    {"jack-fuse", "A", "Rating of the breakers at the jacks.", false},
    {"jack-length", "L", "Of the cables to the jacks, each one way.", false},
    {"jack-size", "SIZE", "Of the cables to the jacks.", false},
    {"jack-metal", "METAL", "Of the cables to the jacks, where the layout tells of it.", false},
    {"force", "F", "Rated force of the jacks.", false},
    {"pressure", "P", "Rated pressure of the pump.", false},
    {"current", "A", "Current at the rated load, of each jack or of the pump.", false},
    {"free-current", "A", "Current running free.", false},
    {"stall-current", "A", "Current held fast, from the papers of the motor.", false},
    {"stop", "V", "Below which the controller stops while jacks run.", false},
    {"rest", "V", "Below which it does not start.", false},
    {"set", "PART.KEY=VALUE", "Any other value; may be repeated.", true},
};
/* Options that answer questions: all from here to the one before --set. */
static const char first_answer[] = "name", behind_answers[] = "set";

typedef struct new_run {
    cli_job *job;
    const char *path;
    const jv_layout *layout;
    size_t jacks;
    bool asks;
    bool terminal;
    jv_draft *draft;
} new_run;

static const char how_to_answer[] =
    "Enter alone when you do not know: it becomes a spread, or what is usual, and the file says "
    "so. "
    "same takes what the layout has; back goes back; quit leaves, and nothing is written.";

/* --- talking --- */

static bool say(const new_run *r, jv_text *text) {
    bool sound = cli_output_write(r->job, NULL, text);
    jv_text_clear(text);
    return sound;
}

static bool say_wrapped(const new_run *r, const char *words) {
    jv_text text = {0};
    jv_wrap(&text, words, 0, r->job->common.style.width);
    return say(r, &text);
}

/* The person's next line, without space around it; false at the end of the input. */
static bool read_answer(const new_run *r, jv_text *line) {
    jv_text shown = {0};
    int c;
    jv_text_clear(line);
    jv_text_add(&shown, "> ");
    if (!say(r, &shown))
        return false;
    while ((c = getchar()) != EOF && c != '\n')
        if (line->length || (c != ' ' && c != '\t'))
            jv_text_add_char(line, (char)c);
    while (line->length && strchr(" \t\r", line->data[line->length - 1]))
        line->data[--line->length] = '\0';
    if (c == EOF && !line->length)
        return false;
    if (!r->terminal) { /* a pipe does not echo */
        jv_text_addf(&shown, "%s\n", jv_text_str(line));
        return say(r, &shown);
    }
    return true;
}

static bool stopped(const new_run *r) {
    cli_fault(r->job, JV_CODE_ARGUMENT_MISSING,
              "--layout and the other options answer without questions",
              "the questions were left; nothing is written");
    return false;
}

/* --- layout and jacks --- */

static void list_layouts(jv_text *out) {
    const jv_layout *list;
    size_t n = jv_layouts(&list);
    for (size_t i = 0; i < n; i++) {
        jv_text title = {0};
        jv_layout_title(&list[i], &title);
        jv_text_addf(out, "  %2zu) %-16s %s\n", i + 1, list[i].name, jv_text_str(&title));
        out->failed |= title.failed;
        jv_text_clear(&title);
    }
}

/* A whole number, 0 when the text is none. */
static size_t whole_number(const char *text) {
    size_t n = 0;
    for (const char *c = text; *c; c++) {
        if (*c < '0' || *c > '9' || n > 1000)
            return 0;
        n = 10 * n + (size_t)(*c - '0');
    }
    return n;
}

static bool ask_layout(new_run *r) {
    const jv_layout *list;
    size_t n = jv_layouts(&list);
    jv_text screen = {0}, line = {0};
    jv_text_add(&screen, "Which layout is most like yours? Write its number or name.\n");
    list_layouts(&screen);
    bool sound = say(r, &screen);
    while (sound && !r->layout) {
        if (!read_answer(r, &line) || strcmp(jv_text_str(&line), "quit") == 0) {
            sound = stopped(r);
            break;
        }
        size_t k = whole_number(jv_text_str(&line));
        r->layout = k >= 1 && k <= n ? &list[k - 1] : jv_layout_find(jv_text_str(&line));
        if (!r->layout)
            sound =
                say_wrapped(r, "There is no such layout: write a number or a name of the list.");
    }
    jv_text_clear(&line);
    return sound;
}

/* Begin the draft; a number of jacks that cannot be is told. */
static bool begin(new_run *r, jv_refusal *refusal) {
    jv_status status =
        jv_draft_new(r->layout, r->jacks, r->job->common.style.units, refusal, &r->draft);
    if (status != JV_OK && status != JV_ERR_INPUT)
        cli_fault(r->job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this layout");
    return status == JV_OK;
}

static bool ask_jacks(new_run *r) {
    size_t has = jv_layout_jacks(r->layout);
    jv_text screen = {0}, line = {0};
    bool sound = true;
    while (sound && has && !r->draft) {
        jv_refusal refusal = {0};
        jv_text_addf(&screen, "How many jacks are there? This layout has %zu.\n", has);
        sound = say(r, &screen);
        if (sound && (!read_answer(r, &line) || strcmp(jv_text_str(&line), "quit") == 0))
            sound = stopped(r);
        const char *text = jv_text_str(&line);
        r->jacks = !*text || strcmp(text, "same") == 0 ? has : whole_number(text);
        if (sound && r->jacks == 0)
            sound = say_wrapped(r, "Not taken: write a whole number from 1 to 8.");
        else if (sound && !begin(r, &refusal)) {
            jv_text_addf(&screen, "Not taken: %s; %s.\n", refusal.message, refusal.hint);
            sound = !r->job->faults.errors && say(r, &screen);
        }
    }
    jv_text_clear(&line);
    return sound;
}

static void tell(const new_run *r, const char *option, const jv_refusal *refusal) {
    cli_fault(r->job, refusal->code, refusal->hint[0] ? refusal->hint : NULL, "--%s: %s", option,
              refusal->message);
}

static bool make_draft(new_run *r) {
    const char *layout = cli_value(&r->job->args, "layout");
    const char *jacks = cli_value(&r->job->args, "jacks");
    jv_refusal refusal = {0};
    if (layout && !(r->layout = cli_layout_find(r->job, layout)))
        return false;
    if (jacks && !(r->jacks = whole_number(jacks))) {
        cli_fault(r->job, JV_CODE_OPTION_CHOICE, "write a whole number from 1 to 8",
                  "--jacks '%s' does not fit", jacks);
        if (!r->layout)
            return false;
    }
    if (!r->layout && (!say_wrapped(r, how_to_answer) || !ask_layout(r)))
        return false;
    if (r->asks && !jacks && !ask_jacks(r))
        return false;
    if (r->draft || begin(r, &refusal))
        return true;
    if (refusal.code)
        tell(r, "jacks", &refusal);
    r->jacks = 0; /* to tell what else is wrong */
    return !r->job->faults.out_of_memory && begin(r, &refusal);
}

/* --- answers of the command line --- */

static bool is_answer(const cli_option *option) {
    bool inside = false;
    for (size_t i = 0; i < sizeof options / sizeof options[0]; i++) {
        inside = (inside || !strcmp(options[i].name, first_answer)) &&
                 strcmp(options[i].name, behind_answers) != 0;
        if (&options[i] == option)
            return inside;
    }
    return false;
}

/* All of them, so that all faults are told in one go. */
static bool take_options(new_run *r) {
    const cli_args *args = &r->job->args;
    const char *set;
    for (size_t k = 0; (set = cli_value_at(args, "set", k)); k++)
        if (jv_draft_set(r->draft, set, &r->job->faults) == JV_ERR_MEMORY)
            r->job->faults.out_of_memory = true;
    for (size_t i = 0; i < args->given_count; i++) {
        const cli_given *given = &args->given[i];
        jv_refusal refusal = {0};
        if (!given->value || !is_answer(given->option))
            continue;
        jv_status status = jv_draft_option(r->draft, given->option->name, given->value, &refusal);
        if (status == JV_ERR_INPUT || status == JV_ERR_UNKNOWN)
            tell(r, given->option->name, &refusal);
        else if (status != JV_OK)
            r->job->faults.out_of_memory = true;
    }
    return !r->job->faults.errors && !r->job->faults.out_of_memory;
}

/* --- questions --- */

static bool ask(const new_run *r, const jv_question *q, jv_text *line) {
    jv_text screen = {0};
    jv_text_addf(&screen, "%s", q->text);
    if (q->layout)
        jv_text_addf(&screen, " This layout has %s.", q->layout);
    jv_text_addf(&screen, " For example %s.", q->example);
    bool sound = say_wrapped(r, jv_text_str(&screen));
    jv_text_clear(&screen);
    return sound && (read_answer(r, line) || stopped(r));
}

static bool show(const new_run *r) {
    jv_text screen = {0};
    jv_draft_text(r->draft, &r->job->common.style, &screen);
    return r->job->common.style.quiet ? (jv_text_clear(&screen), true) : say(r, &screen);
}

/* The question before that was asked and not answered by an option; `from` when there is none. */
static size_t before(const size_t *asked, size_t n, size_t from) {
    return n ? asked[n - 1] : from;
}

static bool take(new_run *r, size_t i, const char *text) {
    jv_refusal refusal = {0};
    jv_text screen = {0};
    jv_status status = jv_draft_answer(r->draft, i, text, &refusal);
    if (status == JV_OK)
        return show(r);
    if (status != JV_ERR_INPUT) {
        r->job->faults.out_of_memory = true;
        return false;
    }
    jv_text_addf(&screen, "Not taken: %s", refusal.message);
    if (refusal.hint[0]) {
        refusal.hint[0] = (char)(toupper)((unsigned char)refusal.hint[0]);
        jv_text_addf(&screen, ". %s", refusal.hint);
    }
    bool sound = say_wrapped(r, jv_text_str(&screen));
    jv_text_clear(&screen);
    return sound;
}

static bool ask_all(new_run *r) {
    size_t n = jv_draft_questions(r->draft), n_asked = 0;
    size_t *asked = jv_alloc(n, sizeof *asked);
    jv_text line = {0};
    bool sound = asked != NULL && show(r);
    for (size_t i = 0; sound && i < n;) {
        if (jv_draft_question(r->draft, i)->known != JV_KNOWN_OPEN) {
            i++;
            continue;
        }
        sound = ask(r, jv_draft_question(r->draft, i), &line);
        const char *text = jv_text_str(&line);
        if (!sound)
            break;
        if (strcmp(text, "quit") == 0) {
            sound = stopped(r);
        } else if (strcmp(text, "back") == 0) {
            i = before(asked, n_asked, i);
            n_asked -= n_asked > 0;
            jv_draft_reopen(r->draft, i);
        } else if (strcmp(text, "?") == 0 || strcmp(text, "help") == 0) {
            sound = say_wrapped(r, how_to_answer);
        } else {
            sound = take(r, i, text);
            if (jv_draft_question(r->draft, i)->known != JV_KNOWN_OPEN)
                asked[n_asked++] = i;
        }
    }
    r->job->faults.out_of_memory |= !asked;
    jv_free(asked);
    jv_text_clear(&line);
    return sound;
}

/* --- the file --- */

static bool may_write(const new_run *r) {
    if (strcmp(r->path, "-") == 0 || cli_has(&r->job->args, "replace") ||
        access(r->path, F_OK) != 0)
        return true;
    cli_fault(r->job, JV_CODE_OUTPUT_WRITE, "--replace writes over it", "%s is there already",
              r->path);
    return false;
}

/* Ctrl-C waits until the file is whole. */
static bool write_file(const new_run *r) {
    sigset_t held, were;
    jv_text file = {0};
    if (jv_draft_write(r->draft, &file) != JV_OK) {
        r->job->faults.out_of_memory = true;
        jv_text_clear(&file);
        return false;
    }
    sigemptyset(&held);
    sigaddset(&held, SIGINT);
    sigaddset(&held, SIGTERM);
    sigprocmask(SIG_BLOCK, &held, &were);
    bool sound = may_write(r) && cli_output_write(r->job, r->path, &file);
    sigprocmask(SIG_SETMASK, &were, NULL);
    jv_text_clear(&file);
    return sound;
}

static cli_exit finish(new_run *r) {
    jv_text *out = &r->job->out;
    jv_draft_close(r->draft, cli_has(&r->job->args, "keep") ? JV_KNOWN_LAYOUT : JV_KNOWN_NOT);
    if (!write_file(r))
        return CLI_CANNOT;
    if (strcmp(r->path, "-") == 0)
        return CLI_HOLDS;
    if (r->job->common.json) {
        r->job->faults.out_of_memory |= jv_draft_json(r->draft, r->path, out) != JV_OK;
        return CLI_HOLDS;
    }
    if (!r->job->common.style.quiet && !r->asks)
        jv_draft_text(r->draft, &r->job->common.style, out);
    jv_text_addf(out, "Written: %s\n", r->path);
    if (!r->job->common.style.quiet)
        jv_text_addf(out, "Next: jackvolt drop %s\n", r->path);
    return CLI_HOLDS;
}

static bool prepare(new_run *r) {
    if (!r->job->args.word_count) {
        cli_fault(r->job, JV_CODE_ARGUMENT_MISSING, "jackvolt new FILE", "FILE is missing");
        return false;
    }
    r->path = r->job->args.words[0];
    r->terminal = isatty(STDIN_FILENO);
    r->asks = cli_has(&r->job->args, "ask") || !cli_has(&r->job->args, "layout");
    if (r->asks && (strcmp(r->path, "-") == 0 || r->job->common.json)) {
        cli_fault(r->job, JV_CODE_OPTION_CONFLICT, "give --layout, or a file and no --format json",
                  "questions and the result would go the same way");
        return false;
    }
    bool sound = may_write(r) && !r->job->faults.errors;
    /* Nobody shall answer questions for nothing; options are all looked at. */
    if (!sound && !cli_has(&r->job->args, "layout"))
        return false;
    r->asks = r->asks && sound;
    return make_draft(r) && take_options(r) && sound;
}

static cli_exit run(cli_job *job) {
    new_run r = {.job = job};
    cli_exit code = CLI_CANNOT;
    if (cli_has(&job->args, "layouts")) {
        list_layouts(&job->out);
        return CLI_HOLDS;
    }
    if (prepare(&r) && (!r.asks || ask_all(&r)))
        code = finish(&r);
    jv_draft_free(&r.draft);
    return code;
}

const cli_command cli_cmd_new = {
    .name = "new",
    .summary = "A circuit file of your own, from a few questions or options.",
    .usage = "FILE [--layout NAME [options]]",
    .about =
        "Begins from the layout that is most like your vehicle, asks what yours has, and shows "
        "the circuit as it grows. What you do not know becomes a spread, an assumption or the "
        "layout's own, and the file says which. An answer that cannot be is asked again with "
        "the reason. With --layout nothing is asked: what the options do not say counts as "
        "not known. The file appears whole or not at all, and never in the place of another "
        "without --replace.",
    .examples =
        "  jackvolt new ours.json\n"
        "  jackvolt new --layouts\n"
        "  jackvolt new ours.json --layout small-trailer --length \"18 ft\" --size \"4 AWG\" \\\n"
        "      --chemistry agm --capacity \"90 Ah\" --set \"left cable.length=5 ft\"\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 0,
    .most_words = 1,
    .run = run,
};
