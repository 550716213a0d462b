/* cmd_walk.c - jackvolt walk: guided checks, one step a screen. SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700 /* POSIX 2008 with realpath */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "cli/read_file.h"
#include "jackvolt/evidence.h"
#include "jackvolt/layout.h"
#include "jackvolt/memory.h"
#include "jackvolt/read.h"
#include "jackvolt/walk.h"

#include <stdio.h>
#include <string.h>
#include <unistd.h>

static const cli_option options[] = {
    {"answers", "FILE", "Take the answers from a file, a line each, or from a saved walk.", false},
    {"resume", NULL, "Go on with the walk that was saved.", false},
    {"anew", NULL, "Begin anew, though a walk is saved.", false},
    {"save", "FILE", "Where to save; NAME.sag-walk.json beside you when left out.", false},
    {"like", "LAYOUT", "Begin from this layout and a few questions instead of a circuit file.",
     false},
    {"fit", "OUT.json", "At the end write the circuit as found and mended.", false},
    {"meter", "TEXT", "The meter: \"volts 0.5 % + 3 x 10 mV; leads 0.2 ohm; no clamp\".", false},
    {"owner", NULL, "Leave out what has somebody under the vehicle.", false},
    {"set", "PART.KEY=VALUE", "Change a value for this run; may be repeated.", true},
};

enum { MOST_SETS = 64 };

typedef struct walk_run {
    cli_job *job;
    jv_walk_kind kind;
    const char *path;            /* of the circuit, or the name of the layout */
    const jv_layout *layout;     /* NULL = a circuit file */
    const char *sets[MOST_SETS]; /* as given, or as saved */
    size_t n_sets;
    jv_arena arena;
    jv_walk_saved file; /* answers given or saved */
    size_t next;        /* of them */
    bool resumed;       /* the answers are those of a walk that was saved: said and saved before */
    bool scripted;      /* answers come from a file alone */
    bool terminal;
    jv_text save; /* where to; empty = nowhere */
    jv_circuit *circuit;
    jv_walk *walk;
    jv_meter meter;
    bool quit;
} walk_run;

/* --- talking --- */

static bool again(const walk_run *r) {
    return r->resumed && r->next < r->file.n_answers;
}

static bool say(walk_run *r, jv_text *text) {
    bool shown = !r->job->common.json && !r->job->common.style.quiet && !again(r);
    bool sound = !shown || cli_output_write(r->job, NULL, text);
    jv_text_clear(text);
    return sound;
}

/* A line from the person; false at its end. */
static bool read_line(jv_text *line) {
    int c;
    while ((c = getchar()) != EOF && c != '\n')
        jv_text_add_char(line, (char)c);
    return c != EOF || line->length > 0;
}

/* The next answer, from the file or from the person, shown behind a mark. */
static bool next_answer(walk_run *r, jv_text *line) {
    jv_text shown = {0};
    jv_text_clear(line);
    jv_text_add(&shown, "> ");
    if (r->next < r->file.n_answers) {
        jv_text_add(line, r->file.answers[r->next++]);
        jv_text_addf(&shown, "%s\n", jv_text_str(line));
        return say(r, &shown);
    }
    if (r->scripted) {
        jv_text_clear(&shown);
        return false;
    }
    if (!say(r, &shown) || !read_line(line))
        return false;
    if (!r->terminal) { /* a pipe does not echo */
        jv_text_addf(&shown, "%s\n", jv_text_str(line));
        return say(r, &shown);
    }
    return true;
}

/* --- saving --- */

/* As given, else as the walk that goes on was begun with. */
static const char *meter_words(const walk_run *r) {
    const char *words = cli_value(&r->job->args, "meter");
    return words ? words : r->file.meter;
}

static bool save(walk_run *r) {
    jv_text text = {0};
    if (!r->save.length || again(r))
        return true;
    jv_walk_save(r->walk, r->sets, r->n_sets, meter_words(r), &text);
    bool sound = cli_output_write(r->job, jv_text_str(&r->save), &text);
    jv_text_clear(&text);
    return sound;
}

/* The file's name without folders and ".json", and the kind of walk. */
static void name_save(walk_run *r) {
    const char *given = cli_value(&r->job->args, "save");
    if (given) {
        jv_text_add(&r->save, given);
        return;
    }
    if (r->scripted)
        return;
    const char *slash = strrchr(r->path, '/'), *base = slash ? slash + 1 : r->path;
    size_t n = strlen(base), tail = strlen(".json");
    if (n > tail && strcmp(base + n - tail, ".json") == 0)
        n -= tail;
    jv_text_add_n(&r->save, base, n);
    jv_text_add(&r->save, r->kind == JV_WALK_SENSOR ? ".sensor-walk.json" : ".sag-walk.json");
}

static bool load(walk_run *r, const char *path, const jv_text *text) {
    jv_status status =
        jv_walk_load(jv_text_str(text), text->length, path, &r->job->faults, &r->file);
    if (status == JV_ERR_MEMORY)
        cli_fault(r->job, JV_CODE_NO_MEMORY, NULL, "not enough memory for %s", path);
    if (status != JV_OK)
        return false;
    if (r->file.circuit && r->file.kind != r->kind) {
        cli_fault(r->job, JV_CODE_WALK_SAVED, NULL, "%s is a %s walk", path,
                  r->file.kind == JV_WALK_SENSOR ? "sensor" : "sag");
        return false;
    }
    for (size_t k = 0; k < r->file.n_sets && r->n_sets < MOST_SETS; k++)
        r->sets[r->n_sets++] = r->file.sets[k];
    return true;
}

/* Answers of a file; a saved walk that is there. */
static bool take_answers(walk_run *r) {
    const char *answers = cli_value(&r->job->args, "answers");
    bool resume = cli_has(&r->job->args, "resume"), there = false;
    jv_text text = {0};
    bool sound = true;
    if (answers) {
        sound = cli_read_file(r->job, answers, &text) && load(r, answers, &text);
    } else if (r->save.length) {
        const char *path = jv_text_str(&r->save);
        sound = cli_read_file_if(r->job, path, &text, &there);
        if (sound && resume && !there)
            cli_fault(r->job, JV_CODE_FILE_MISSING, NULL, "no walk is saved in %s", path);
        else if (sound && there && !resume && !cli_has(&r->job->args, "anew"))
            cli_fault(r->job, JV_CODE_WALK_SAVED, "--resume goes on with it, --anew begins anew",
                      "a walk is saved in %s", path);
        r->resumed = resume && there;
        sound = sound && resume == there ? !there || load(r, path, &text)
                                         : sound && !resume && cli_has(&r->job->args, "anew");
    }
    jv_text_clear(&text);
    return sound;
}

/* --- the circuit --- */

static bool read_circuit(walk_run *r) {
    const jv_read_options how = {r->sets, r->n_sets};
    jv_circuit_free(&r->circuit);
    const jv_layout *layout = r->layout;
    jv_status status = layout ? jv_circuit_read_text(layout->text, layout->length, layout->name,
                                                     &how, &r->job->faults, &r->circuit)
                              : jv_circuit_read_file(r->path, &how, &r->job->faults, &r->circuit);
    if (status == JV_ERR_MEMORY)
        cli_fault(r->job, JV_CODE_NO_MEMORY, NULL, "not enough memory for %s", r->path);
    if (status != JV_OK)
        return false;
    if (r->file.circuit && strcmp(r->file.circuit, jv_circuit_name(r->circuit)) != 0) {
        cli_fault(r->job, JV_CODE_WALK_SAVED, NULL,
                  "the walk that was saved is of \"%s\", not of \"%s\"", r->file.circuit,
                  jv_circuit_name(r->circuit));
        return false;
    }
    return true;
}

/* Questions about a layout; their answers become changes of this run. */
static bool ask_like(walk_run *r) {
    jv_text question = {0}, answer = {0}, sets = {0}, problem = {0};
    bool sound = true;
    if (r->file.circuit) /* they stand in the saved walk */
        return true;
    for (size_t i = 0; sound && jv_like_ask(r->circuit, i, &question);) {
        jv_text screen = {0};
        jv_wrap(&screen, jv_text_str(&question), 0, r->job->common.style.width);
        jv_text_clear(&question);
        sound = say(r, &screen) && next_answer(r, &answer);
        if (!sound)
            break;
        if (jv_like_take(r->circuit, i, jv_text_str(&answer), &sets, &problem) == JV_OK)
            i++;
        else
            jv_text_addf(&screen, "That cannot be: %s.\n", jv_text_str(&problem));
        jv_text_clear(&problem);
        sound = say(r, &screen);
    }
    for (const char *line = jv_text_str(&sets); sound && *line && r->n_sets < MOST_SETS;) {
        size_t n = strcspn(line, "\n");
        r->sets[r->n_sets] = jv_arena_copy(&r->arena, line, n);
        sound = r->sets[r->n_sets++] != NULL;
        line += n + (line[n] == '\n');
    }
    jv_text_clear(&question);
    jv_text_clear(&answer);
    jv_text_clear(&sets);
    jv_text_clear(&problem);
    return sound && read_circuit(r);
}

/* --- the walk --- */

typedef enum word {
    WORD_NONE,
    WORD_BACK,
    WORD_WHY,
    WORD_HOW,
    WORD_SAVE,
    WORD_QUIT,
    WORD_HELP
} word;

static word word_of(const char *text) {
    static const struct {
        const char *text;
        word is;
    } words[] = {{"back", WORD_BACK}, {"undo", WORD_BACK}, {"why", WORD_WHY},
                 {"how", WORD_HOW},   {"save", WORD_SAVE}, {"quit", WORD_QUIT},
                 {"q", WORD_QUIT},    {"help", WORD_HELP}, {"?", WORD_HELP}};
    for (size_t k = 0; k < sizeof words / sizeof words[0]; k++)
        if (strcmp(words[k].text, text) == 0)
            return words[k].is;
    return WORD_NONE;
}

static void trim(jv_text *line) {
    while (line->length && strchr(" \t\r", line->data[line->length - 1]))
        line->data[--line->length] = '\0';
    size_t from = line->data ? strspn(line->data, " \t") : 0;
    if (from) {
        memmove(line->data, line->data + from, line->length - from + 1);
        line->length -= from;
    }
}

static bool show_step(walk_run *r) {
    jv_text screen = {0};
    jv_step_text(jv_walk_step(r->walk), &r->job->common.style, &screen);
    return say(r, &screen);
}

static bool go_back(walk_run *r) {
    jv_text screen = {0};
    jv_status status = jv_walk_back(r->walk);
    if (status == JV_ERR_RANGE)
        jv_text_add(&screen, "This is the first step.\n");
    else if (status != JV_OK)
        cli_fault(r->job, JV_CODE_NO_MEMORY, NULL, "not enough memory to go back");
    else
        jv_text_add(&screen, "One step back.\n");
    return say(r, &screen) && (status == JV_OK || status == JV_ERR_RANGE) && save(r) &&
           show_step(r);
}

static bool explain(walk_run *r, word w) {
    const jv_step *s = jv_walk_step(r->walk);
    jv_text screen = {0};
    if (w == WORD_HELP)
        jv_wrap(
            &screen,
            "Write a reading (12.43, 12.43 V, 35 mV, OL, no beep), the number of a choice, or "
            "done. "
            "skip or cannot reach leaves a reading out; back undoes the last answer; why and how "
            "explain this step; save keeps the walk (it is kept after every answer too); quit "
            "leaves it, --resume goes on.",
            0, r->job->common.style.width);
    else
        jv_wrap(&screen, w == WORD_WHY ? s->why : s->how, 0, r->job->common.style.width);
    return say(r, &screen);
}

static bool saved_where(walk_run *r) {
    jv_text screen = {0};
    if (!save(r))
        return false;
    if (r->save.length)
        jv_text_addf(&screen, "Saved in %s.\n", jv_text_str(&r->save));
    else
        jv_text_add(&screen, "Nothing is saved here: give --save FILE.\n");
    return say(r, &screen);
}

/* An answer that is not one of the words. */
static bool answer(walk_run *r, const char *text) {
    jv_text problem = {0}, screen = {0};
    jv_status status = jv_walk_answer(r->walk, text, &problem);
    bool sound = true;
    if (status == JV_ERR_INPUT) {
        jv_text_add(&screen, "Not taken: ");
        jv_wrap(&screen, jv_text_str(&problem), 0, r->job->common.style.width);
        sound = say(r, &screen);
    } else if (status != JV_OK) {
        cli_fault(r->job, JV_CODE_NO_MEMORY, NULL, "the walk cannot go on: %s",
                  jv_status_text(status));
        sound = false;
    } else {
        jv_meaning_text(r->walk, &r->job->common.style, &screen);
        sound = save(r) && say(r, &screen) && show_step(r);
    }
    jv_text_clear(&problem);
    return sound;
}

static bool take(walk_run *r, jv_text *line) {
    trim(line);
    word w = word_of(jv_text_str(line));
    switch (w) {
    case WORD_BACK:
        return go_back(r);
    case WORD_WHY:
    case WORD_HOW:
    case WORD_HELP:
        return explain(r, w);
    case WORD_SAVE:
        return saved_where(r);
    case WORD_QUIT:
        r->quit = true;
        return saved_where(r);
    case WORD_NONE:
        break;
    }
    return answer(r, jv_text_str(line));
}

static bool talk(walk_run *r) {
    jv_text line = {0}, screen = {0};
    jv_wrap(&screen, jv_care_preface(), 0, r->job->common.style.width);
    jv_text_add(&screen, "\n");
    bool sound = say(r, &screen) && show_step(r);
    while (sound && !r->quit && jv_walk_ended(r->walk) == JV_WALK_GOES_ON && next_answer(r, &line))
        sound = take(r, &line);
    jv_text_clear(&line);
    return sound && !r->job->faults.errors;
}

static bool begin(walk_run *r) {
    jv_walk_options how = {.kind = r->kind};
    const char *words = meter_words(r);
    r->meter = jv_meter_plain();
    how.find.meter = &r->meter;
    how.find.owner = cli_has(&r->job->args, "owner") || r->file.owner;
    if (words && jv_meter_take(words, &r->meter, &how.find.no_clamp, &how.find.no_ohms,
                               &r->job->faults) != JV_OK)
        return false;
    jv_status status = jv_walk_new(r->circuit, &how, &r->walk);
    if (status == JV_ERR_UNKNOWN)
        cli_fault(r->job, JV_CODE_WALK_UNSUITED, NULL,
                  r->kind == JV_WALK_SENSOR ? "\"%s\" has no sensor_supply: no sensor walk"
                                            : "\"%s\" has no jack or pump: no sag walk",
                  jv_circuit_name(r->circuit));
    else if (status == JV_ERR_UNSOLVED)
        cli_fault(r->job, JV_CODE_WALK_UNSUITED, "jackvolt drop says what is wrong with it",
                  "the sound circuit finds no steady state at rest");
    else if (status != JV_OK)
        cli_fault(r->job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this walk");
    return status == JV_OK;
}

static bool write_fit(walk_run *r) {
    const char *path = cli_value(&r->job->args, "fit");
    jv_text file = {0}, made = {0};
    if (!path)
        return true;
    bool sound = r->layout || cli_read_file(r->job, r->path, &file);
    if (r->layout)
        jv_text_add_n(&file, r->layout->text, r->layout->length);
    if (sound && jv_fit_write(jv_walk_finder(r->walk), r->circuit, jv_text_str(&file), file.length,
                              jv_walk_ended(r->walk) != JV_WALK_PROVED, &made) != JV_OK) {
        cli_fault(r->job, JV_CODE_NO_MEMORY, NULL, "not enough memory for the fitted circuit");
        sound = false;
    }
    sound = sound && cli_output_write(r->job, path, &made);
    jv_text_clear(&file);
    jv_text_clear(&made);
    return sound;
}

static cli_exit finish(walk_run *r) {
    jv_status status = JV_OK;
    if (!write_fit(r))
        return CLI_CANNOT;
    if (r->job->common.json)
        status = jv_walk_json(r->walk, &r->job->out);
    else
        jv_walk_text(r->walk, &r->job->common.style, &r->job->out);
    if (status != JV_OK) {
        cli_fault(r->job, JV_CODE_NO_MEMORY, NULL, "not enough memory for the record");
        return CLI_CANNOT;
    }
    return jv_walk_ended(r->walk) == JV_WALK_PROVED ? CLI_HOLDS : CLI_FINDING;
}

/* --- the command line --- */

static bool kind_of(cli_job *job, const char *text, jv_walk_kind *kind) {
    *kind = strcmp(text, "sensor") == 0 ? JV_WALK_SENSOR : JV_WALK_SAG;
    if (*kind == JV_WALK_SENSOR || strcmp(text, "sag") == 0)
        return true;
    cli_fault(job, JV_CODE_OPTION_CHOICE, "write sag or sensor", "there is no walk '%s'", text);
    return false;
}

/* FILE and KIND, or KIND alone with --like. */
static bool take_words(walk_run *r) {
    const cli_args *args = &r->job->args;
    const char *like = cli_value(args, "like");
    if (like && args->word_count == 2) {
        cli_fault(r->job, JV_CODE_OPTION_CONFLICT, NULL, "give a circuit file or --like, not both");
        return false;
    }
    if (!like && args->word_count < 2) {
        cli_fault(r->job, JV_CODE_ARGUMENT_MISSING, "jackvolt walk FILE sag, or sensor",
                  "FILE or the kind of walk is missing");
        return false;
    }
    r->path = like ? like : args->words[0];
    if (like && !strchr(like, '/') && !strstr(like, ".json") &&
        !(r->layout = cli_layout_find(r->job, like)))
        return false;
    return kind_of(r->job, args->words[args->word_count - 1], &r->kind);
}

static bool prepare(walk_run *r) {
    const char *set;
    if (!take_words(r))
        return false;
    for (size_t k = 0; (set = cli_value_at(&r->job->args, "set", k)) && r->n_sets < MOST_SETS; k++)
        r->sets[r->n_sets++] = set;
    r->scripted = cli_has(&r->job->args, "answers");
    r->terminal = isatty(STDIN_FILENO);
    name_save(r);
    return take_answers(r) && read_circuit(r) && (!cli_has(&r->job->args, "like") || ask_like(r)) &&
           begin(r);
}

static cli_exit run(cli_job *job) {
    walk_run r;
    cli_exit code = CLI_CANNOT;
    memset(&r, 0, sizeof r);
    r.job = job;
    setvbuf(stdin, NULL, _IOLBF, 0);
    if (prepare(&r) && talk(&r))
        code = finish(&r);
    jv_walk_free(&r.walk);
    jv_circuit_free(&r.circuit);
    jv_walk_saved_clear(&r.file);
    jv_arena_clear(&r.arena);
    jv_text_clear(&r.save);
    return code;
}

const cli_command cli_cmd_walk = {
    .name = "walk",
    .summary = "Guided checks at the vehicle, one step at a time.",
    .usage = "FILE sag|sensor [--resume] [--answers FILE]",
    .about =
        "Leads from a complaint to a repair that is proved: what is connected, what it does, then "
        "the reading that tells most for its minutes, with its cautions first, where the probes go "
        "and what they should show. sag: volts that sag, jacks that stop or crawl. sensor: a "
        "sensor "
        "supply that is shorted, open or sags. Answer with a reading (12.43, 35 mV, OL), a number, "
        "done, skip or cannot reach; back, why, how, save and quit work at every step. The walk is "
        "saved after every answer. The exit code is 0 when the repair is proved, 1 when a fault is "
        "open.",
    .examples = "  jackvolt walk circuits/small-trailer.json sag\n"
                "  jackvolt walk circuits/sensor-harness.json sensor --resume\n"
                "  jackvolt walk sag --like small-trailer\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE sag|sensor",
    .least_words = 1,
    .most_words = 2,
    .run = run,
};
