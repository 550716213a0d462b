/* cmd_drop.c - jackvolt drop: where the volts go. SPDX-License-Identifier: MIT */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "jackvolt/drop.h"

static const cli_option options[] = {
    {"case", "NAME", "Only this case of the file; all of them when left out.", false},
    CLI_CIRCUIT_OPTIONS,
};

static cli_exit run(cli_job *job) {
    cli_circuit given;
    if (!cli_circuit_open(job, job->args.words[0], &given))
        return CLI_CANNOT;
    jv_drop_options how = {cli_value(&job->args, "case"), given.faults, false};
    jv_drop *drop = NULL;
    cli_exit code = CLI_CANNOT;
    jv_status status = JV_OK;
    if (cli_circuit_case(job, &given, how.only_case)) {
        status = jv_drop_run(given.circuit, &how, &drop);
        if (status == JV_OK) {
            code = drop->finding ? CLI_FINDING : CLI_HOLDS;
            if (job->common.json)
                status = jv_drop_json(drop, &job->out);
            else
                jv_drop_text(drop, &job->common.style, &job->out);
        }
        if (status != JV_OK) {
            cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this circuit");
            code = CLI_CANNOT;
        }
    }
    jv_drop_free(&drop);
    cli_circuit_close(&given);
    return code;
}

const cli_command cli_cmd_drop = {
    .name = "drop",
    .summary = "Where the volts go under jack load, and what trips.",
    .usage = "FILE [--case NAME]",
    .about = "Solves the circuit in each of its cases and says where the volts go on the plus side "
             "and on "
             "the return side, widest share first; what each watch sees, its margin, and how many "
             "milliohms, "
             "how much charge or jack load lie between here and its limit.",
    .examples =
        "  jackvolt drop circuits/long-trailer.json\n"
        "  jackvolt drop circuits/long-trailer.json --set \"feed.size=2 AWG\"\n"
        "  jackvolt drop circuits/long-trailer.json --fault \"ground stud: 35 mohm added\"\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
