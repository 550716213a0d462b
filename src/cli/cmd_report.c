/* cmd_report.c - jackvolt report: a page with pictures. SPDX-License-Identifier: MIT */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "jackvolt/drop.h"
#include "jackvolt/report.h"

#include <string.h>

static const cli_option options[] = {
    {"case", "NAME", "The case that is drawn; the one nearest to a limit when left out.", false},
    {"sheet", NULL, "One page for who measures: drawing, what to read, boxes to write in.", false},
    {"owner", NULL, "One page in plain words, for who owns the vehicle.", false},
    {"with", "STUDY",
     "Also sequence, review, odds, or all of them; may be repeated. The odds take seconds.", true},
    CLI_CIRCUIT_OPTIONS,
};

enum { MOST_FAULTS = 64 }; /* that the page lists by their words */

/* What a page is made of, run here and given back in studies_free. */
typedef struct cli_studies {
    jv_drop *drop, *healthy;
    jv_sequence *sequence;
    jv_review *review;
    jv_scatter *scatter;
} cli_studies;

static void studies_free(cli_studies *s) {
    jv_drop_free(&s->drop);
    jv_drop_free(&s->healthy);
    jv_sequence_free(&s->sequence);
    jv_review_free(&s->review);
    jv_scatter_free(&s->scatter);
}

static bool is_asked(const cli_job *job, const char *study) {
    const char *value;
    for (size_t i = 0; (value = cli_value_at(&job->args, "with", i)) != NULL; i++)
        if (!strcmp(value, study) || !strcmp(value, "all"))
            return true;
    return false;
}

static bool check_asked(cli_job *job) {
    static const char *const known[] = {"sequence", "review", "odds", "all"};
    bool sound = true;
    const char *value;
    for (size_t i = 0; (value = cli_value_at(&job->args, "with", i)) != NULL; i++) {
        bool found = false;
        for (size_t k = 0; k < sizeof known / sizeof known[0]; k++)
            found = found || !strcmp(value, known[k]);
        if (found)
            continue;
        cli_fault(job, JV_CODE_OPTION_CHOICE, "write sequence, review, odds or all",
                  "--with '%s' is not known", value);
        sound = false;
    }
    return sound;
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
        status = jv_review_run(given->circuit, &s->review);
    if (status == JV_OK && is_asked(job, "odds")) {
        jv_scatter_options o = {.case_name = cli_value(&job->args, "case"),
                                .faults = given->faults,
                                .seed = job->common.seed,
                                .threads = job->common.threads};
        status = jv_scatter_run(given->circuit, &o, &s->scatter);
    }
    return status;
}

static cli_exit write_page(cli_job *job, const cli_circuit *given) {
    const char *faults[MOST_FAULTS];
    cli_studies s = {0};
    jv_report report = {.circuit = given->circuit, .faults = faults};
    report.drawn_case = cli_value(&job->args, "case");
    if (cli_has(&job->args, "sheet"))
        report.kind = JV_REPORT_SHEET;
    if (cli_has(&job->args, "owner"))
        report.kind = JV_REPORT_OWNER;
    while (report.n_faults < MOST_FAULTS &&
           (faults[report.n_faults] = cli_value_at(&job->args, "fault", report.n_faults)))
        report.n_faults++;
    jv_status status = solve(job, given, &s);
    report.drop = s.drop;
    report.healthy = s.healthy;
    report.sequence = s.sequence;
    report.review = s.review;
    report.scatter = s.scatter;
    if (status == JV_OK)
        status = jv_report_page(&report, &job->common.style, &job->out);
    cli_exit code = CLI_HOLDS;
    if (status == JV_OK && (s.drop->finding || (s.sequence && s.sequence->finding) ||
                            (s.review && s.review->failed) || (s.scatter && s.scatter->finding)))
        code = CLI_FINDING;
    if (status != JV_OK) {
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this page");
        code = CLI_CANNOT;
    }
    studies_free(&s);
    return code;
}

static cli_exit run(cli_job *job) {
    if (cli_has(&job->args, "sheet") && cli_has(&job->args, "owner")) {
        cli_fault(job, JV_CODE_OPTION_CONFLICT, "write two pages, one after the other",
                  "--sheet and --owner ask for two different pages");
        return CLI_CANNOT;
    }
    if (!check_asked(job))
        return CLI_CANNOT;
    cli_circuit given;
    if (!cli_circuit_open(job, job->args.words[0], &given))
        return CLI_CANNOT;
    cli_exit code = CLI_CANNOT;
    if (cli_circuit_case(job, &given, cli_value(&job->args, "case")))
        code = write_page(job, &given);
    cli_circuit_close(&given);
    return code;
}

const cli_command cli_cmd_report = {
    .name = "report",
    .summary = "One page with pictures: circuit, volts, verdicts, cautions.",
    .usage = "FILE -o PAGE.html [--case NAME] [--sheet | --owner] [--with STUDY]",
    .about = "Writes one page that needs nothing else: the circuit drawn, the staircase of volts, "
             "what each watch sees, what is assumed. With --fault the page shows the circuit with "
             "the fault in it beside the healthy one. Opens in any browser, prints on A4 and "
             "Letter.",
    .examples =
        "  jackvolt report circuits/long-trailer.json -o trailer.html\n"
        "  jackvolt report circuits/long-trailer.json --sheet -o sheet.html\n"
        "  jackvolt report circuits/long-trailer.json --with sequence --with review -o all.html\n"
        "  jackvolt report circuits/long-trailer.json --fault \"ground stud: 35 mohm added\" -o "
        "page.html\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
