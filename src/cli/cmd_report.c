/* cmd_report.c - jackvolt report: a page with pictures. SPDX-License-Identifier: MIT */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "jackvolt/drop.h"
#include "jackvolt/report.h"

static const cli_option options[] = {
    {"case", "NAME", "The case that is drawn; the one nearest to a limit when left out.", false},
    {"sheet", NULL, "One page for who measures: drawing, what to read, boxes to write in.", false},
    {"owner", NULL, "One page in plain words, for who owns the vehicle.", false},
    CLI_CIRCUIT_OPTIONS,
};

enum { MOST_FAULTS = 64 }; /* that the page lists by their words */

static jv_status solve(const cli_circuit *given, jv_drop **drop, jv_drop **healthy) {
    jv_drop_options how = {NULL, given->faults, false};
    jv_status status = jv_drop_run(given->circuit, &how, drop);
    if (status == JV_OK && given->faults) {
        how.faults = NULL;
        how.no_levers = true;
        status = jv_drop_run(given->circuit, &how, healthy);
    }
    return status;
}

static cli_exit write_page(cli_job *job, const cli_circuit *given) {
    const char *faults[MOST_FAULTS];
    jv_drop *drop = NULL, *healthy = NULL;
    jv_report report = {.circuit = given->circuit, .faults = faults};
    report.drawn_case = cli_value(&job->args, "case");
    if (cli_has(&job->args, "sheet"))
        report.kind = JV_REPORT_SHEET;
    if (cli_has(&job->args, "owner"))
        report.kind = JV_REPORT_OWNER;
    while (report.n_faults < MOST_FAULTS &&
           (faults[report.n_faults] = cli_value_at(&job->args, "fault", report.n_faults)))
        report.n_faults++;
    jv_status status = solve(given, &drop, &healthy);
    report.drop = drop;
    report.healthy = healthy;
    if (status == JV_OK)
        status = jv_report_page(&report, &job->common.style, &job->out);
    cli_exit code = status == JV_OK && drop->finding ? CLI_FINDING : CLI_HOLDS;
    if (status != JV_OK) {
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this page");
        code = CLI_CANNOT;
    }
    jv_drop_free(&drop);
    jv_drop_free(&healthy);
    return code;
}

static cli_exit run(cli_job *job) {
    if (cli_has(&job->args, "sheet") && cli_has(&job->args, "owner")) {
        cli_fault(job, JV_CODE_OPTION_CONFLICT, "write two pages, one after the other",
                  "--sheet and --owner ask for two different pages");
        return CLI_CANNOT;
    }
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
    .usage = "FILE -o PAGE.html [--case NAME] [--sheet | --owner]",
    .about = "Writes one page that needs nothing else: the circuit drawn, the staircase of volts, "
             "what each watch sees, what is assumed. With --fault the page shows the circuit with "
             "the fault in it beside the healthy one. Opens in any browser, prints on A4 and "
             "Letter.",
    .examples =
        "  jackvolt report circuits/long-trailer.json -o trailer.html\n"
        "  jackvolt report circuits/long-trailer.json --sheet -o sheet.html\n"
        "  jackvolt report circuits/long-trailer.json --fault \"ground stud: 35 mohm added\" -o "
        "page.html\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
