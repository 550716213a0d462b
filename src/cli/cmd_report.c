/* cmd_report.c - jackvolt report: a page with pictures. SPDX-License-Identifier: MIT */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "cli/evidence_option.h"
#include "cli/saved_walk.h"
#include "cli/size_option.h"
#include "jackvolt/card.h"
#include "jackvolt/drop.h"
#include "jackvolt/evidence.h"
#include "jackvolt/report.h"

#include <string.h>

static const cli_option options[] = {
    {"case", "NAME", "The case that is drawn; the one nearest to a limit when left out.", false},
    {"sheet", NULL, "One page for who measures: drawing, what to read, boxes to write in.", false},
    {"owner", NULL, "One page in plain words, for who owns the vehicle.", false},
    {"card", "WALK", "The guided walk to tap through on a phone: sag or sensor. Takes a while.",
     false},
    {"with", "STUDY",
     "Also sequence, review, odds, size, find, or all but find; may be repeated. The odds take "
     "seconds.",
     true},
    {"walk", "FILE", "A walk that was saved: its record; with --sheet the record for a customer.",
     false},
    CLI_EVIDENCE_OPTIONS,
    {"meter", "TEXT", "The meter of the readings: \"volts 0.5 % + 3 x 10 mV; leads 0.2 ohm\".",
     false},
    CLI_SIZE_OPTIONS,
    CLI_CIRCUIT_OPTIONS,
};

enum { MOST_FAULTS = 64 }; /* that the page lists by their words */

/* What a page is made of, run here and given back in studies_free. */
typedef struct cli_studies {
    jv_drop *drop, *healthy;
    jv_sequence *sequence;
    jv_review *review;
    jv_scatter *scatter;
    jv_sizing *sizing;
    jv_meter meter; /* of the finder, which borrows it */
    jv_finder *finder;
} cli_studies;

static void studies_free(cli_studies *s) {
    jv_drop_free(&s->drop);
    jv_drop_free(&s->healthy);
    jv_sequence_free(&s->sequence);
    jv_review_free(&s->review);
    jv_scatter_free(&s->scatter);
    jv_sizing_free(&s->sizing);
    jv_finder_free(&s->finder);
}

static bool is_asked(const cli_job *job, const char *study) {
    const char *value;
    for (size_t i = 0; (value = cli_value_at(&job->args, "with", i)) != NULL; i++)
        if (!strcmp(value, study) || (!strcmp(value, "all") && strcmp(study, "find") != 0))
            return true;
    return false;
}

static bool check_asked(cli_job *job) {
    static const char *const known[] = {"sequence", "review", "odds", "size", "find", "all"};
    bool sound = true;
    const char *value, *sizes = cli_size_asked(job);
    if (sizes && !is_asked(job, "size")) {
        cli_fault(job, JV_CODE_OPTION_CONFLICT, "write --with size, too",
                  "--%s is for sizes, and no sizes are asked for", sizes);
        sound = false;
    }
    for (size_t i = 0; (value = cli_value_at(&job->args, "with", i)) != NULL; i++) {
        bool found = false;
        for (size_t k = 0; k < sizeof known / sizeof known[0]; k++)
            found = found || !strcmp(value, known[k]);
        if (found)
            continue;
        cli_fault(job, JV_CODE_OPTION_CHOICE, "write sequence, review, odds, size, find or all",
                  "--with '%s' is not known", value);
        sound = false;
    }
    return sound;
}

static jv_status size(cli_job *job, const jv_circuit *c, cli_studies *s) {
    cli_size_given asked;
    jv_status status = cli_size_take(job, &asked);
    if (status == JV_OK)
        status = jv_size_find(c, &asked.how, &job->faults, &s->sizing);
    else if (status == JV_ERR_INPUT) /* all that is wrong in one go */
        jv_size_check_names(c, &asked.how, &job->faults);
    cli_size_free(&asked);
    return status;
}

/* The finder with its evidence. JV_ERR_INPUT: faults are recorded. */
static jv_status find(cli_job *job, const jv_circuit *c, cli_studies *s) {
    jv_find_options how = {.meter = &s->meter, .owner = cli_has(&job->args, "owner")};
    const char *words = cli_value(&job->args, "meter");
    s->meter = jv_meter_plain();
    if (words &&
        jv_meter_take(words, &s->meter, &how.no_clamp, &how.no_ohms, &job->faults) != JV_OK)
        return JV_ERR_INPUT;
    jv_status status = jv_finder_new(c, &how, &s->finder);
    if (status == JV_ERR_UNSOLVED) {
        cli_fault(job, JV_CODE_WALK_UNSUITED, "jackvolt drop says what is wrong with it",
                  "the sound circuit finds no steady state at rest");
        return JV_ERR_INPUT;
    }
    if (status == JV_OK && !cli_evidence_take(job, s->finder, c))
        status = JV_ERR_INPUT;
    return status;
}

static jv_status solve(cli_job *job, const cli_circuit *given, cli_studies *s) {
    jv_drop_options how = {NULL, given->faults, false};
    jv_status status = jv_drop_run(given->circuit, &how, &s->drop);
    if (status == JV_OK && given->faults) {
        how.faults = NULL;
        how.no_levers = true;
        status = jv_drop_run(given->circuit, &how, &s->healthy);
    }
    if (status == JV_OK && is_asked(job, "sequence")) {
        jv_sequence_options q = {.faults = given->faults};
        status = jv_sequence_run(given->circuit, &q, &s->sequence);
        if (status == JV_ERR_UNKNOWN)
            status = JV_OK; /* nothing that runs: no section */
    }
    if (status == JV_OK && is_asked(job, "review"))
        status = jv_review_run_with(given->circuit, given->faults, &s->review);
    if (status == JV_OK && is_asked(job, "odds")) {
        jv_scatter_options o = {.case_name = cli_value(&job->args, "case"),
                                .faults = given->faults,
                                .seed = job->common.seed,
                                .threads = job->common.threads};
        status = jv_scatter_run(given->circuit, &o, &s->scatter);
    }
    if (status == JV_OK && is_asked(job, "size"))
        status = size(job, given->circuit, s);
    if (status == JV_OK && (is_asked(job, "find") || cli_evidence_given(job)))
        status = find(job, given->circuit, s);
    return status;
}

/* Does a study on the page have a finding? */
static bool has_finding(const cli_studies *s, const jv_walk *walk) {
    return s->drop->finding || (s->sequence && s->sequence->finding) ||
           (s->review && s->review->failed) || (s->scatter && s->scatter->finding) ||
           (s->sizing && (!s->sizing->possible || s->sizing->review_failed)) || s->finder ||
           (walk && jv_walk_ended(walk) != JV_WALK_PROVED);
}

static void fill(const cli_job *job, const cli_studies *s, jv_report *report) {
    report->drawn_case = cli_value(&job->args, "case");
    if (cli_has(&job->args, "sheet"))
        report->kind = JV_REPORT_SHEET;
    if (cli_has(&job->args, "owner"))
        report->kind = JV_REPORT_OWNER;
    report->drop = s->drop;
    report->healthy = s->healthy;
    report->sequence = s->sequence;
    report->review = s->review;
    report->scatter = s->scatter;
    report->sizing = s->sizing;
    report->finder = s->finder;
}

static cli_exit write_page(cli_job *job, const cli_circuit *given, const cli_saved_walk *walk) {
    const char *faults[MOST_FAULTS];
    cli_studies s = {0};
    const char *meter = cli_value(&job->args, "meter");
    jv_report report = {.circuit = given->circuit,
                        .faults = faults,
                        .walk = walk->walk,
                        .meter = meter ? meter : walk->file.meter};
    while (report.n_faults < MOST_FAULTS &&
           (faults[report.n_faults] = cli_value_at(&job->args, "fault", report.n_faults)))
        report.n_faults++;
    jv_status status = solve(job, given, &s);
    fill(job, &s, &report);
    if (status == JV_OK)
        status = jv_report_page(&report, &job->common.style, &job->out);
    cli_exit code = CLI_HOLDS;
    if (status == JV_OK && has_finding(&s, walk->walk))
        code = CLI_FINDING;
    if (status != JV_OK) {
        if (status != JV_ERR_INPUT)
            cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this page");
        code = CLI_CANNOT;
    }
    studies_free(&s);
    return code;
}

/* The kind of walk asked for; false with a fault when the options do not go together. */
static bool check_card(cli_job *job, jv_walk_kind *kind) {
    static const char *const others[] = {"sheet", "owner",   "with",     "case",    "fault",
                                         "walk",  "reading", "readings", "symptom", "meter"};
    const char *word = cli_value(&job->args, "card");
    if (strcmp(word, "sag") != 0 && strcmp(word, "sensor") != 0) {
        cli_fault(job, JV_CODE_OPTION_CHOICE, "write sag or sensor", "--card '%s' is not known",
                  word);
        return false;
    }
    *kind = strcmp(word, "sensor") == 0 ? JV_WALK_SENSOR : JV_WALK_SAG;
    for (size_t k = 0; k < sizeof others / sizeof others[0]; k++)
        if (cli_has(&job->args, others[k])) {
            cli_fault(job, JV_CODE_OPTION_CONFLICT, "a card looks for faults in the sound circuit",
                      "--%s does not go with --card", others[k]);
            return false;
        }
    return true;
}

static cli_exit write_card(cli_job *job, const cli_circuit *given, jv_walk_kind kind) {
    jv_card_options how = {.walk = {.kind = kind}};
    jv_card *card = NULL;
    jv_status status = jv_card_make(given->circuit, &how, &card);
    if (status == JV_OK)
        status = jv_card_page(card, &job->out);
    jv_card_free(&card);
    if (status == JV_ERR_UNKNOWN)
        cli_fault(job, JV_CODE_WALK_UNSUITED, NULL,
                  kind == JV_WALK_SENSOR ? "\"%s\" has no sensor_supply: no sensor card"
                                         : "\"%s\" has no jack or pump: no sag card",
                  jv_circuit_name(given->circuit));
    else if (status == JV_ERR_UNSOLVED)
        cli_fault(job, JV_CODE_WALK_UNSUITED, "jackvolt drop says what is wrong with it",
                  "the sound circuit finds no steady state at rest");
    else if (status != JV_OK)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this card");
    return status == JV_OK ? CLI_HOLDS : CLI_CANNOT;
}

static cli_exit run(cli_job *job) {
    jv_walk_kind kind = JV_WALK_SAG;
    bool card = cli_has(&job->args, "card");
    if (card && !check_card(job, &kind))
        return CLI_CANNOT;
    if (cli_has(&job->args, "sheet") && cli_has(&job->args, "owner")) {
        cli_fault(job, JV_CODE_OPTION_CONFLICT, "write two pages, one after the other",
                  "--sheet and --owner ask for two different pages");
        return CLI_CANNOT;
    }
    if (!check_asked(job))
        return CLI_CANNOT;
    cli_circuit given;
    cli_saved_walk walk;
    if (!cli_saved_walk_load(job, &walk))
        return CLI_CANNOT;
    if (!cli_circuit_open_with(job, job->args.words[0], walk.file.sets, walk.file.n_sets, &given)) {
        cli_saved_walk_close(&walk);
        return CLI_CANNOT;
    }
    cli_exit code = CLI_CANNOT;
    if (card)
        code = write_card(job, &given, kind);
    else if (cli_circuit_case(job, &given, cli_value(&job->args, "case")) &&
             cli_saved_walk_replay(job, given.circuit, &walk))
        code = write_page(job, &given, &walk);
    cli_saved_walk_close(&walk);
    cli_circuit_close(&given);
    return code;
}

const cli_command cli_cmd_report = {
    .name = "report",
    .summary = "One page with pictures: circuit, volts, verdicts, cautions.",
    .usage =
        "FILE -o PAGE.html [--case NAME] [--sheet | --owner | --card sag|sensor] [--with STUDY] "
        "[--walk FILE] [--resize PART,..]",
    .about =
        "Writes one page that needs nothing else: the circuit drawn, the staircase of volts, "
        "what each watch sees, what is assumed. With --fault the page shows the circuit with "
        "the fault in it beside the healthy one. With --walk the sheet becomes the record that a "
        "customer gets. Opens in any browser, prints on A4 and "
        "Letter.",
    .examples =
        "  jackvolt report circuits/long-trailer.json -o trailer.html\n"
        "  jackvolt report circuits/long-trailer.json --sheet -o sheet.html\n"
        "  jackvolt report circuits/long-trailer.json --with sequence --with review -o all.html\n"
        "  jackvolt report circuits/thin-feed.json --with size --resize feed,return -o sizes.html\n"
        "  jackvolt report circuits/small-trailer.json --walk small-trailer.sag-walk.json --sheet "
        "-o record.html\n"
        "  jackvolt report circuits/long-trailer.json --fault \"ground stud: 35 mohm added\" -o "
        "page.html\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
