/* cmd_find.c - jackvolt find: which fault, which reading next. SPDX-License-Identifier: MIT */
#define _XOPEN_SOURCE 700 /* POSIX 2008 with realpath */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "cli/evidence_option.h"
#include "cli/read_file.h"
#include "jackvolt/evidence.h"
#include "jackvolt/find.h"

static const cli_option options[] = {
    CLI_EVIDENCE_OPTIONS,
    {"why", "FAULT", "Tell the odds of this fault reading by reading.", false},
    {"all", NULL, "List every fault that is considered, not only the likely ones.", false},
    {"fit", "OUT.json", "Write the circuit as found: its quantities as the readings leave them.",
     false},
    {"case", "NAME", "Run only this case; all that lift when left out.", false},
    {"meter", "TEXT", "The meter: \"volts 0.5 % + 3 x 10 mV; leads 0.2 ohm; no clamp\".", false},
    {"owner", NULL, "Leave out what has somebody under the vehicle.", false},
    {"set", "PART.KEY=VALUE", "Change a value for this run; may be repeated.", true},
};

static bool write_fit(cli_job *job, jv_finder *f, const jv_circuit *c) {
    const char *path = cli_value(&job->args, "fit");
    jv_text file = {0}, made = {0};
    if (!path)
        return true;
    bool sound = cli_read_file(job, job->args.words[0], &file);
    if (sound && jv_fit_write(f, c, jv_text_str(&file), file.length, true, &made) != JV_OK) {
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for the fitted circuit");
        sound = false;
    }
    if (sound)
        sound = cli_output_write(job, path, &made);
    jv_text_clear(&file);
    jv_text_clear(&made);
    return sound;
}

static jv_status show(cli_job *job, jv_finder *f, const jv_circuit *c, cli_exit *code) {
    const char *why = cli_value(&job->args, "why");
    size_t suspect = why ? jv_suspect_take(f, why, &job->faults) : JV_FIND_NONE;
    if (why && suspect == JV_FIND_NONE)
        return JV_OK;
    if (!write_fit(job, f, c))
        return JV_OK;
    *code = CLI_FINDING;
    bool all = cli_has(&job->args, "all");
    return job->common.json ? jv_find_json(f, c, suspect, all, &job->out)
                            : jv_find_text(f, c, suspect, all, &job->common.style, &job->out);
}

static cli_exit with_circuit(cli_job *job, const cli_circuit *given) {
    jv_meter meter = jv_meter_plain();
    jv_find_options how = {.meter = &meter,
                           .owner = cli_has(&job->args, "owner"),
                           .only_case = cli_value(&job->args, "case")};
    const char *words = cli_value(&job->args, "meter");
    jv_finder *f = NULL;
    cli_exit code = CLI_CANNOT;
    if (words && jv_meter_take(words, &meter, &how.no_clamp, &how.no_ohms, &job->faults) != JV_OK)
        return CLI_CANNOT;
    if (!cli_circuit_case(job, given, how.only_case))
        return CLI_CANNOT;
    jv_status status = jv_finder_new(given->circuit, &how, &f);
    if (status == JV_OK && cli_evidence_take(job, f, given->circuit))
        status = show(job, f, given->circuit, &code);
    jv_finder_free(&f);
    if (status == JV_ERR_UNSOLVED)
        cli_fault(job, JV_CODE_WALK_UNSUITED, "jackvolt drop says what is wrong with it",
                  "the sound circuit finds no steady state at rest");
    else if (status != JV_OK)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this circuit");
    return status == JV_OK ? code : CLI_CANNOT;
}

static cli_exit run(cli_job *job) {
    cli_circuit given;
    if (!cli_circuit_open(job, job->args.words[0], &given))
        return CLI_CANNOT;
    cli_exit code = with_circuit(job, &given);
    cli_circuit_close(&given);
    return code;
}

const cli_command cli_cmd_find = {
    .name = "find",
    .summary = "Which fault is it, and which reading next.",
    .usage = "FILE [--symptom TEXT].. [--reading TEXT].. [--why FAULT] [--fit OUT.json]",
    .about =
        "Weighs the faults that the parts of the circuit can have against symptoms and readings, "
        "ranks them, says what speaks for and against each, and names the reading that tells most "
        "for its minutes, with what it should show. No part is named before its own reading. "
        "docs/format.md says how readings and symptoms are written. The exit code is 1: a fault is "
        "looked for.",
    .examples = "  jackvolt find circuits/small-trailer.json --symptom \"low-voltage stop trips in "
                "lifting\"\n"
                "  jackvolt find circuits/small-trailer.json \\\n"
                "      --reading \"volts post+ post- in lifting = 11.9 V\" \\\n"
                "      --reading \"volts ctl- post- in lifting = 1.8 V\"\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 1,
    .most_words = 1,
    .run = run,
};
