/* cmd_import.c - jackvolt import: a harness file becomes a circuit file. SPDX-License-Identifier:
 * MIT
 */
#define _POSIX_C_SOURCE 200809L
#include "cli/cli.h"
#include "jackvolt/harness.h"
#include "jackvolt/read.h"
#include "jackvolt/render.h"

#include <string.h>
#include <sys/stat.h>

static const cli_option options[] = {
    {"with", "SIDE.json",
     "What the harness file does not hold: battery, motors, currents, watches, cases.", false},
    {"list", NULL, "Show all that was read and all that was passed over; write no circuit.", false},
    {"unfinished", NULL, "Write the circuit though the side file leaves something open.", false},
    {"replace", NULL, "Write over the file of -o when it is there.", false},
};

typedef struct work {
    jv_harness *harness;
    jv_harness_side *side;
    jv_harness_plan *plan;
} work;

static cli_exit cannot(cli_job *job, jv_status status) {
    if (status == JV_ERR_MEMORY) {
        cli_fault(job, JV_CODE_NO_MEMORY, "Give a smaller harness, or close other programs.",
                  "not enough memory for this harness");
    }
    return CLI_CANNOT;
}

/* A circuit file that a person has worked on is not to be lost. */
static bool may_write(cli_job *job) {
    struct stat old;
    const char *path = job->common.output;
    if (path == NULL || strcmp(path, "-") == 0 || cli_has(&job->args, "list") ||
        cli_has(&job->args, "replace") || stat(path, &old) != 0 || !S_ISREG(old.st_mode)) {
        return true;
    }
    cli_fault(job, JV_CODE_OUTPUT_EXISTS, "Give another name, or --replace.", "%s is there already",
              path);
    return false;
}

/* What the side file leaves open, told by the reader of circuit files. */
static bool holds_together(cli_job *job, jv_status *status) {
    jv_diags own = {0};
    bool unfinished = cli_has(&job->args, "unfinished");
    jv_circuit *circuit = NULL;
    *status = jv_circuit_read_text(jv_text_str(&job->out), job->out.length, "the circuit made",
                                   NULL, unfinished ? &own : &job->faults, &circuit);
    jv_circuit_free(&circuit);
    jv_diags_clear(&own);
    return *status == JV_OK;
}

static cli_exit write_circuit(cli_job *job, work *w) {
    jv_status status = jv_harness_plan_make(w->harness, w->side, &job->faults, &w->plan);
    if (status == JV_OK) {
        status = jv_harness_circuit(w->plan, &job->out);
    }
    if (status != JV_OK) {
        return cannot(job, status);
    }
    jv_harness_remarks(w->plan, &job->common.style, &job->aside);
    if (w->side == NULL || !w->plan->has_source) {
        return CLI_FINDING;
    }
    bool whole = holds_together(job, &status);
    if (status == JV_ERR_MEMORY) {
        return cannot(job, status);
    }
    return whole ? CLI_HOLDS : cli_has(&job->args, "unfinished") ? CLI_FINDING : CLI_CANNOT;
}

static cli_exit list_harness(cli_job *job, const work *w) {
    if (!job->common.json) {
        jv_harness_list_text(w->harness, &job->common.style, &job->out);
        return CLI_HOLDS;
    }
    jv_status status = jv_harness_list_json(w->harness, &job->out);
    return status == JV_OK ? CLI_HOLDS : cannot(job, status);
}

static cli_exit run(cli_job *job) {
    work w = {0};
    const char *side = cli_value(&job->args, "with");
    if (!may_write(job)) {
        return CLI_CANNOT;
    }
    jv_status status = jv_harness_read_file(job->args.words[0], &job->faults, &w.harness);
    if (side != NULL && status != JV_ERR_MEMORY) { /* the faults of both files at once */
        jv_status also = jv_harness_side_read_file(side, &job->faults, &w.side);
        status = status == JV_OK ? also : status;
    }
    cli_exit code = status != JV_OK               ? cannot(job, status)
                    : cli_has(&job->args, "list") ? list_harness(job, &w)
                                                  : write_circuit(job, &w);
    jv_harness_plan_free(&w.plan);
    jv_harness_side_free(&w.side);
    jv_harness_free(&w.harness);
    return code;
}

const cli_command cli_cmd_import = {
    .name = "import",
    .summary = "A wiring harness in open-standard XML becomes a circuit file.",
    .usage = "HARNESS.xml [--with SIDE.json] [-o CIRCUIT.json] | HARNESS.xml --list",
    .about = "Reads KBL (VDA 4964, 2.3 to 2.5) and VEC (VDA 4968, 1.x and 2.x): wires with their "
             "size, length and colour, connectors and cavities, splices, fuses and boxes. A "
             "terminal of the circuit is named CONNECTOR.CAVITY. Battery, motors, currents, "
             "watches and cases are not in such a file: they come from a side file, or are listed "
             "as missing; nothing is made up. Once the side file brings parts, wires that lead to "
             "nothing are left out and counted. The exit code is 0 when 'jackvolt check' takes the "
             "circuit as it is, 1 when something is missing.",
    .examples = "  jackvolt import harness.kbl --list\n"
                "  jackvolt import harness.kbl --with side.json -o circuit.json\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "HARNESS.xml",
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
