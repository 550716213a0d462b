/* cmd_size.c - jackvolt size: the least copper that holds. SPDX-License-Identifier: MIT */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "cli/size_option.h"

static const cli_option options[] = {
    CLI_SIZE_OPTIONS,
    {"odds", "SHARE",
     "Every watch holds in this share of draws, \"99 %\", instead of in its worst case.", false},
    CLI_CIRCUIT_OPTIONS,
};

/* 0 when it is not given. */
static bool read_odds(cli_job *job, double *odds) {
    static const double least = 0.5, most = 0.999, rounding = 1e-9;
    jv_value v;
    *odds = 0;
    if (!cli_has(&job->args, "odds"))
        return true;
    if (!cli_quantity(job, "odds", JV_DIM_RATIO, "%", &v))
        return false;
    *odds = v.nominal;
    bool sound =
        v.spread == JV_EXACT && v.nominal >= least - rounding && v.nominal <= most + rounding;
    if (!sound)
        cli_fault(job, JV_CODE_QUANTITY_RANGE, "write for example --odds \"99 %\"",
                  "--odds must be one share from 50 %% to 99.9 %%");
    return sound;
}

static cli_exit size(cli_job *job, const jv_circuit *c, const jv_size_options *how) {
    jv_sizing *sizing = NULL;
    jv_status status = jv_size_find(c, how, &job->faults, &sizing);
    cli_exit code = CLI_CANNOT;
    if (status == JV_OK) {
        code = sizing->possible && !sizing->review_failed ? CLI_HOLDS : CLI_FINDING;
        if (job->common.json)
            status = jv_size_json(sizing, &job->out);
        else
            jv_size_text(sizing, &job->common.style, &job->out);
    }
    if (status == JV_ERR_MEMORY)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this circuit");
    jv_sizing_free(&sizing);
    return status == JV_OK ? code : CLI_CANNOT;
}

static cli_exit run(cli_job *job) {
    cli_circuit given;
    cli_size_given asked;
    bool opened = cli_circuit_open(job, job->args.words[0], &given);
    jv_status status = cli_size_take(job, &asked);
    bool sound = read_odds(job, &asked.how.odds);
    cli_exit code = CLI_CANNOT;
    if (opened && status == JV_OK && sound)
        code = size(job, given.circuit, &asked.how);
    else if (opened && status != JV_ERR_MEMORY) /* all that is wrong in one go */
        jv_size_check_names(given.circuit, &asked.how, &job->faults);
    cli_size_free(&asked);
    if (opened)
        cli_circuit_close(&given);
    return code;
}

const cli_command cli_cmd_size = {
    .name = "size",
    .summary = "The least copper that holds, with fuses and cut list.",
    .usage = "FILE [--resize PART,..] [--prices FILE] [--basis awg|sae|mm2] [--odds SHARE]",
    .about =
        "Chooses the sizes of several cables at once, and fuses for them: every watch holds in its "
        "worst case (or at chosen odds), no motor stalls, no conductor is hotter than its "
        "insulation stands, each is "
        "guarded by its fuse, a short at each far end opens it, a return is as large as its feed. "
        "Says "
        "whether the choice is proved the least, what one size down or up would do, and the "
        "reading that will prove the repair; or what is impossible, and why.\n"
        "Exit code: 0 sized and the review of it has no failure, 1 impossible or something still "
        "fails, 2 cannot do it.",
    .examples = "  jackvolt size circuits/thin-feed.json\n"
                "  jackvolt size circuits/thin-feed.json --resize feed,return --no-budget\n"
                "  jackvolt size circuits/thin-feed.json --odds \"99 %\"\n"
                "  jackvolt size circuits/thin-feed.json --prices prices.csv --format json\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
