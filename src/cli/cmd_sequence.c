/* cmd_sequence.c - jackvolt sequence: the levelling sequence in time. SPDX-License-Identifier: MIT
 */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "jackvolt/sequence.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

static const cli_option options[] = {
    {"csv", "FILE", "Write the traces there, a line for each sample, as the run goes on.", false},
    {"every", "TIME", "Time between samples; 50 ms when left out.", false},
    {"display", "TIME", "Response time of the display whose lowest reading is told; 0.3 s.", false},
    {"longest", "TIME", "Time at which the sequence is called endless.", false},
    {"limit", "TIME",
     "Wall clock time of all of it, the run and what it would take; 60 s. What is there by then is "
     "told.",
     false},
    {"no-cures", NULL, "Leave out what it would take (it runs the sequence again many times).",
     false},
    CLI_CIRCUIT_OPTIONS,
};

static volatile sig_atomic_t interrupted;

static void on_interrupt(int number) {
    (void)number;
    interrupted = 1;
}

/* A trace file is written line by line: each is whole, whatever happens to the program. */
typedef struct cli_csv {
    FILE *file;
    bool headed, failed;
} cli_csv;

static void csv_name(jv_text *line, const char *name, const char *unit) {
    jv_text_add(line, ",\"");
    for (const char *s = name; *s; s++) {
        if (*s == '"')
            jv_text_add_char(line, '"');
        jv_text_add_char(line, *s);
    }
    jv_text_addf(line, " (%s)\"", unit);
}

static bool csv_put(cli_csv *csv, jv_text *line) {
    jv_text_add(line, "\n");
    bool good = !line->failed &&
                fwrite(jv_text_str(line), 1, line->length, csv->file) == line->length &&
                fflush(csv->file) == 0;
    jv_text_clear(line);
    csv->failed = csv->failed || !good;
    return good;
}

static bool csv_row(void *context, const jv_sequence *heads, double t, const double *values) {
    cli_csv *csv = context;
    jv_text line = {0};
    char digits[32];
    if (!csv->headed) {
        csv->headed = true;
        jv_text_add(&line, "\"time (s)\"");
        for (size_t k = 0; k < heads->n_traces; k++)
            csv_name(&line, heads->traces[k].name, heads->traces[k].unit);
        if (!csv_put(csv, &line))
            return false;
    }
    jv_text_add(&line, jv_number_shortest(t, digits) ? digits : "");
    for (size_t k = 0; k < heads->n_traces; k++) {
        jv_text_add(&line, ",");
        if (jv_number_shortest(values[k], digits))
            jv_text_add(&line, digits);
    }
    return csv_put(csv, &line);
}

static bool csv_open(cli_job *job, const char *path, cli_csv *csv) {
    if (!path)
        return true;
    csv->file = fopen(path, "w");
    if (!csv->file)
        cli_fault(job, JV_CODE_OUTPUT_WRITE, NULL, "cannot write %s: %s", path, strerror(errno));
    return csv->file != NULL;
}

static void csv_close(cli_job *job, const char *path, cli_csv *csv) {
    if (!csv->file)
        return;
    csv->failed = fclose(csv->file) != 0 || csv->failed;
    if (csv->failed)
        cli_fault(job, JV_CODE_OUTPUT_WRITE, NULL, "%s could not be written to its end", path);
}

static double seconds(cli_job *job, const char *name) {
    jv_value v;
    if (!cli_quantity(job, name, JV_DIM_TIME, "s", &v))
        return 0.0;
    if (!(v.nominal > 0.0))
        cli_fault(job, JV_CODE_QUANTITY_RANGE, NULL, "--%s: must be above 0 s, got '%s'", name,
                  cli_value(&job->args, name));
    return v.nominal;
}

static void tell_status(cli_job *job, const cli_circuit *given, jv_status status,
                        const char *name) {
    if (status != JV_ERR_UNKNOWN) {
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this circuit");
        return;
    }
    if (!name) {
        cli_fault(job, JV_CODE_SEQUENCE_UNKNOWN, "Add a jack or a pump.",
                  "the circuit has nothing that can run");
        return;
    }
    jv_text known = {0};
    for (size_t k = 0; k < jv_circuit_sequences(given->circuit); k++)
        jv_text_addf(&known, "%s\"%s\"", k ? ", " : "It has ",
                     jv_circuit_sequence_name(given->circuit, k));
    jv_text_add(&known, known.length ? "." : "It has none: leave the name out for an assumed one.");
    cli_fault(job, JV_CODE_SEQUENCE_UNKNOWN, jv_text_str(&known), "there is no sequence \"%s\"",
              name);
    jv_text_clear(&known);
}

static cli_exit answer(cli_job *job, const cli_circuit *given, const jv_sequence_options *how) {
    jv_sequence *s = NULL;
    jv_status status = jv_sequence_run(given->circuit, how, &s);
    cli_exit code = CLI_CANNOT;
    if (status == JV_OK) {
        code = s->finding ? CLI_FINDING : CLI_HOLDS;
        if (job->common.json)
            status = jv_sequence_json(s, &job->out);
        else
            jv_sequence_text(s, &job->common.style, &job->out);
        if (s->stop == JV_STOP_CLOCK || s->stop == JV_STOP_UNSOLVED || s->stop == JV_STOP_ASKED)
            code = CLI_FINDING;
    }
    if (status != JV_OK) {
        tell_status(job, given, status, how->name);
        code = CLI_CANNOT;
    }
    jv_sequence_free(&s);
    return code;
}

static cli_exit run(cli_job *job) {
    cli_circuit given;
    cli_csv csv = {0};
    const char *path = cli_value(&job->args, "csv");
    jv_sequence_options how = {0};
    how.name = job->args.word_count > 1 ? job->args.words[1] : NULL;
    how.every_s = seconds(job, "every");
    how.response_s = seconds(job, "display");
    how.longest_s = seconds(job, "longest");
    how.wall_s = seconds(job, "limit");
    how.no_cures = cli_has(&job->args, "no-cures");
    if (job->faults.errors || !cli_circuit_open(job, job->args.words[0], &given))
        return CLI_CANNOT;
    cli_exit code = CLI_CANNOT;
    if (csv_open(job, path, &csv)) {
        how.faults = given.faults;
        how.asked = &interrupted;
        how.sink = csv.file ? csv_row : NULL;
        how.sink_context = &csv;
        void (*before)(int) = signal(SIGINT, on_interrupt);
        code = answer(job, &given, &how);
        if (before != SIG_ERR)
            signal(SIGINT, before);
        csv_close(job, path, &csv);
    }
    cli_circuit_close(&given);
    return code;
}

const cli_command cli_cmd_sequence = {
    .name = "sequence",
    .summary = "A levelling sequence in time: what trips at what second, and why.",
    .usage = "FILE [NAME] [--csv FILE]",
    .about =
        "Runs a sequence of the file, or one of our own where it has none: starts and loads of "
        "the motors, the battery, cables and fuses warming, relays, and what each watch does. "
        "Tells what happened in the order of time, what a trip came from, what a display would "
        "have shown, and the least change that keeps it from tripping. Ctrl-C ends the run; what "
        "was written of the traces stays whole.",
    .examples = "  jackvolt sequence circuits/four-jacks.json\n"
                "  jackvolt sequence circuits/four-jacks.json --set \"feed.size=1/0\"\n"
                "  jackvolt sequence circuits/four-jacks.json --csv traces.csv --every \"10 ms\"\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 1,
    .most_words = 2,
    .run = run,
};
