/* cmd_check.c - jackvolt check: do circuit files hold together? SPDX-License-Identifier: MIT */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "jackvolt/memory.h"
#include "jackvolt/render.h"

static const cli_option options[] = {CLI_CIRCUIT_OPTIONS};

/* Every file is read, so that the faults of all are told in one go. */
static cli_exit read_all(cli_job *job, jv_circuit **circuits) {
    cli_exit code = CLI_HOLDS;
    for (size_t i = 0; i < job->args.word_count; i++) {
        cli_circuit given;
        if (!cli_circuit_open(job, job->args.words[i], &given)) {
            code = CLI_CANNOT;
            continue;
        }
        circuits[i] = given.circuit;
        given.circuit = NULL;
        cli_circuit_close(&given);
        if (!job->common.json)
            jv_check_text(job->args.words[i], circuits[i], &job->common.style, &job->out);
    }
    return code;
}

static cli_exit run(cli_job *job) {
    size_t n = job->args.word_count;
    jv_circuit **circuits = jv_zalloc(n, sizeof *circuits);
    if (!circuits) {
        job->faults.out_of_memory = true;
        return CLI_CANNOT;
    }
    cli_exit code = read_all(job, circuits);
    if (code == CLI_HOLDS && job->common.json &&
        jv_check_json(job->args.words, circuits, n, &job->out) != JV_OK)
        job->faults.out_of_memory = true;
    for (size_t i = 0; i < n; i++)
        jv_circuit_free(&circuits[i]);
    jv_free(circuits);
    return code;
}

const cli_command cli_cmd_check = {
    .name = "check",
    .summary = "Whether a circuit file holds together; all its faults at once.",
    .usage = "FILE... [--set PART.KEY=VALUE] [--fault \"PART: WHAT\"]",
    .about =
        "Reads circuit files and checks them, nothing more: keys and units, terminals that only "
        "one part touches, islands without a path to the reference, watches and cases that "
        "name what is not there. All faults are told in one go, each with its line and what "
        "would be right. - reads standard input.",
    .examples = "  jackvolt check circuits/long-trailer.json\n"
                "  jackvolt check circuits/*.json --format json\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 1,
    .most_words = 4096,
    .run = run,
};
