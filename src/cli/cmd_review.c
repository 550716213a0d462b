/* cmd_review.c - jackvolt review: design rules, each with source and verdict.
 * SPDX-License-Identifier: MIT */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "jackvolt/memory.h"
#include "jackvolt/review.h"

#include <string.h>

static const cli_option options[] = {
    {"set", "PART.KEY=VALUE", "Change a value for this run, in every file; may be repeated.", true},
    {"strict", NULL, "An unknown verdict counts as a failed one for the exit code.", false},
};

/* Faults of a file that is passed over are told, and the others go on; faults of the only
 * file end the command. */
static void tell_faults(cli_job *job, const jv_review_batch *batch, bool pass_over) {
    for (size_t i = 0; i < batch->n; i++) {
        const jv_review_entry *e = &batch->entries[i];
        for (size_t k = 0; k < e->diags.count; k++) {
            const jv_diag *d = &e->diags.items[k];
            jv_severity severity = d->severity;
            if (pass_over && severity == JV_ERROR)
                severity = JV_WARNING;
            jv_diag_add(&job->faults, severity, d->code, &d->place, d->hint, "%s", d->message);
            if (d->source_line)
                jv_diag_source_line(&job->faults, d->source_line, strlen(d->source_line));
        }
        if (e->status == JV_ERR_MEMORY)
            cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for %s", e->path);
    }
}

static jv_status show(cli_job *job, const jv_review_batch *batch) {
    const char *format = job->common.format;
    if (!strcmp(format, "json"))
        return jv_review_batch_json(batch, &job->out);
    if (!strcmp(format, "sarif"))
        return jv_review_batch_sarif(batch, &job->out);
    if (!strcmp(format, "junit"))
        return jv_review_batch_junit(batch, &job->out);
    jv_review_batch_text(batch, &job->common.style, &job->out);
    return JV_OK;
}

static cli_exit judge(const cli_job *job, const jv_review_batch *batch, size_t *read) {
    bool strict = cli_has(&job->args, "strict");
    cli_exit code = CLI_HOLDS;
    *read = 0;
    for (size_t i = 0; i < batch->n; i++) {
        const jv_review *r = batch->entries[i].review;
        *read += r != NULL;
        if (!r || r->failed || (strict && r->unknown))
            code = CLI_FINDING;
    }
    return code;
}

static cli_exit run(cli_job *job) {
    size_t sets = 0, read = 0;
    while (cli_value_at(&job->args, "set", sets))
        sets++;
    const char **list = jv_alloc(sets + 1, sizeof *list);
    jv_review_batch batch = {0};
    jv_status status = list ? JV_OK : JV_ERR_MEMORY;
    cli_exit code = CLI_CANNOT;
    if (status == JV_OK) {
        for (size_t i = 0; i < sets; i++)
            list[i] = cli_value_at(&job->args, "set", i);
        jv_read_options how = {.sets = list, .n_sets = sets};
        status = jv_review_files(job->args.words, job->args.word_count, &how, job->common.threads,
                                 &batch);
    }
    if (status == JV_OK) {
        code = judge(job, &batch, &read);
        tell_faults(job, &batch, read > 0);
        if (!read)
            code = CLI_CANNOT;
        else
            status = show(job, &batch);
    }
    if (status != JV_OK)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for the review");
    jv_review_batch_free(&batch);
    jv_free(list);
    return status == JV_OK ? code : CLI_CANNOT;
}

const cli_command cli_cmd_review = {
    .name = "review",
    .summary = "Design rules, each with source, figure and verdict.",
    .usage = "FILE... [--strict] [--set PART.KEY=VALUE] [--format text|json|sarif|junit]",
    .about =
        "Asks every design rule of every part that it concerns: fuses over cables, shorts that "
        "heat "
        "their own wires, drop budgets, every watch in its worst case, sensors, relays, pins, "
        "returns. A rule that fails says by how much; one that rests on a figure from memory is "
        "unknown and names the document to look in. Rules can be waived in the file, with reason, "
        "name and date; they stay in sight.\n"
        "Several files are judged at once and summed up worst first; a file that cannot be read "
        "is told and passed over. Exit code: 0 no rule fails, 1 a rule fails or a file was passed "
        "over, 2 nothing could be read.",
    .examples = "  jackvolt review circuits/thin-feed.json\n"
                "  jackvolt review circuits/*.json --quiet\n"
                "  jackvolt review circuits/thin-feed.json --format sarif -o review.sarif\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .formats = "sarif|junit",
    .word = "FILE",
    .least_words = 1,
    .most_words = 4096,
    .run = run,
};
