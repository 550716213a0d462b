/* cmd_scatter.c - jackvolt scatter: worst case and odds. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "jackvolt/scatter.h"

#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

static const cli_option options[] = {
    {"case", "NAME",
     "The case; the one nearest to a limit, of those in which a motor runs, when "
     "left out.",
     false},
    {"draws", "N", "How many draws; 100000 when left out.", false},
    {"slice", "I/N", "Do share I of N of the draws and write what --join needs of it.", false},
    {"join", NULL, "The files are slices of one study: put them together.", false},
    CLI_CIRCUIT_OPTIONS,
};

/* --- Ctrl-C --- */

static volatile sig_atomic_t stopped;

static void on_interrupt(int number) {
    (void)number;
    stopped = 1;
}

/* The first Ctrl-C asks for the answer so far; a second one ends the program. */
static void listen(struct sigaction *before) {
    struct sigaction action;
    memset(&action, 0, sizeof action);
    action.sa_handler = on_interrupt;
    action.sa_flags = (int)SA_RESETHAND;
    sigemptyset(&action.sa_mask);
    sigaction(SIGINT, &action, before);
}

/* --- progress --- */

typedef struct cli_progress {
    bool shown;   /* standard error is a terminal */
    bool written; /* a line stands there */
    double start, last;
} cli_progress;

static double now_s(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void add_left(jv_text *line, double seconds) {
    static const double minute_s = 60.0, hour_s = 3600.0;
    if (seconds < minute_s)
        jv_text_addf(line, "%.0f s left", seconds);
    else if (seconds < hour_s)
        jv_text_addf(line, "%.0f min left", seconds / minute_s);
    else
        jv_text_addf(line, "%.1f h left", seconds / hour_s);
}

static void show(cli_progress *p, uint64_t done, uint64_t of, double now) {
    enum { WIDTH = 30 };
    jv_text line = {0};
    double share = (double)done / (double)of;
    size_t filled = (size_t)(share * WIDTH);
    jv_text_add(&line, "\r[");
    jv_text_repeat(&line, "#", filled);
    jv_text_repeat(&line, ".", WIDTH - filled);
    jv_text_addf(&line, "] %3.0f %% of %llu draws, ", 100.0 * share, (unsigned long long)of);
    add_left(&line, (now - p->start) * (1.0 - share) / share);
    jv_text_add(&line, "   ");
    fputs(jv_text_str(&line), stderr);
    fflush(stderr);
    jv_text_clear(&line);
    p->written = true;
}

static bool go_on(void *ctx, uint64_t done, uint64_t of) {
    static const double every_s = 0.2, quiet_s = 0.5;
    cli_progress *p = ctx;
    double now = now_s();
    if (p->shown && now - p->start > quiet_s && now - p->last > every_s && done) {
        p->last = now;
        show(p, done, of, now);
    }
    return !stopped;
}

/* --- options --- */

/* A whole number at *at, moved past it; false when there is none or it is too large. */
static bool take_whole(const char **at, uint64_t most, uint64_t *n) {
    const char *start = *at;
    *n = 0;
    for (; **at >= '0' && **at <= '9'; (*at)++) {
        uint64_t digit = (uint64_t)(**at - '0');
        if (*n > (most - digit) / 10)
            return false;
        *n = *n * 10 + digit;
    }
    return *at != start;
}

static bool read_draws(cli_job *job, uint64_t *draws) {
    const char *text = cli_value(&job->args, "draws"), *at = text;
    if (!text)
        return true;
    if (take_whole(&at, JV_SCATTER_MOST, draws) && !*at && *draws)
        return true;
    cli_fault(job, JV_CODE_OPTION_CHOICE, "write a whole number from 1 to 68719476736",
              "--draws '%s' does not fit", text);
    return false;
}

static bool read_slice(cli_job *job, jv_scatter_options *how) {
    enum { MOST = 1000000 };
    const char *text = cli_value(&job->args, "slice"), *at = text;
    uint64_t slice, of;
    if (!text)
        return true;
    if (take_whole(&at, MOST, &slice) && *at++ == '/' && take_whole(&at, MOST, &of) && !*at &&
        slice && slice <= of) {
        how->slice = (unsigned)slice;
        how->of = (unsigned)of;
        return true;
    }
    cli_fault(job, JV_CODE_OPTION_CHOICE, "write 3/8 for the third of eight shares",
              "--slice '%s' does not fit", text);
    return false;
}

/* --- running --- */

static cli_exit put_out(cli_job *job, const jv_scatter *scatter, bool slice) {
    jv_status status = JV_OK;
    if (slice)
        status = jv_scatter_slice(scatter, &job->out);
    else if (job->common.json)
        status = jv_scatter_json(scatter, &job->out);
    else
        jv_scatter_text(scatter, &job->common.style, &job->out);
    if (status != JV_OK)
        job->faults.out_of_memory = true;
    if (slice) /* a share of the draws is no verdict */
        return CLI_HOLDS;
    return scatter->finding ? CLI_FINDING : CLI_HOLDS;
}

static cli_exit tell_status(cli_job *job, jv_status status) {
    if (status == JV_ERR_MEMORY)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this study");
    return CLI_CANNOT;
}

static cli_exit run_join(cli_job *job) {
    static const char *const others[] = {"case", "draws", "slice", "set", "fault"};
    bool sound = true;
    for (size_t k = 0; k < sizeof others / sizeof others[0]; k++)
        if (cli_has(&job->args, others[k])) {
            cli_fault(job, JV_CODE_OPTION_CONFLICT, "the slices were drawn with all of that",
                      "--join takes no --%s", others[k]);
            sound = false;
        }
    if (!sound)
        return CLI_CANNOT;
    jv_scatter *scatter = NULL;
    jv_status status =
        jv_scatter_join(job->args.words, job->args.word_count, &job->faults, &scatter);
    if (status != JV_OK)
        return tell_status(job, status);
    cli_exit code = put_out(job, scatter, false);
    jv_scatter_free(&scatter);
    return code;
}

static cli_exit run_study(cli_job *job, const cli_circuit *given, const jv_scatter_options *asked) {
    jv_scatter_options how = *asked;
    cli_progress progress = {0};
    progress.shown = isatty(STDERR_FILENO) && !job->common.style.quiet;
    progress.start = progress.last = now_s();
    how.go_on = go_on;
    how.ctx = &progress;
    struct sigaction before;
    listen(&before);
    jv_scatter *scatter = NULL;
    jv_status status = jv_scatter_run(given->circuit, &how, &scatter);
    sigaction(SIGINT, &before, NULL);
    if (progress.written)
        fputs("\r\033[K", stderr);
    if (status != JV_OK)
        return tell_status(job, status);
    cli_exit code = put_out(job, scatter, how.of != 0);
    jv_scatter_free(&scatter);
    return code;
}

static cli_exit run(cli_job *job) {
    if (cli_has(&job->args, "join"))
        return run_join(job);
    cli_circuit given;
    jv_scatter_options how = {0};
    how.seed = job->common.seed;
    how.threads = job->common.threads;
    how.case_name = cli_value(&job->args, "case");
    bool sound = read_draws(job, &how.draws);
    sound = read_slice(job, &how) && sound;
    if (job->args.word_count > 1) {
        cli_fault(job, JV_CODE_ARGUMENT_EXTRA,
                  "quote a value that holds a space; --join takes "
                  "several files",
                  "do not know what to do with '%s'", job->args.words[1]);
        sound = false;
    }
    if (!cli_circuit_open(job, job->args.words[0], &given))
        return CLI_CANNOT;
    how.faults = given.faults;
    cli_exit code = CLI_CANNOT;
    if (cli_circuit_case(job, &given, how.case_name) && sound)
        code = run_study(job, &given, &how);
    cli_circuit_close(&given);
    return code;
}

const cli_command cli_cmd_scatter = {
    .name = "scatter",
    .summary = "Worst case and odds of each trip over all spreads.",
    .usage = "FILE [--case NAME] [--draws N] [--slice I/N]\n       jackvolt scatter --join FILE...",
    .about = "Varies every quantity of the file that has a spread (\"65 % .. 95 %\", "
             "\"16 ft +/- 5 %\", \"0.5 mohm */ 2\"), also loads, charge and ambient of the case. "
             "Says for each watch the worst case, the odds of a trip with a 95 % interval, and "
             "which quantities they hang on. The same seed gives the same answer, to the bit, on "
             "any number of threads, and in slices on any number of machines. Ctrl-C gives the "
             "answer so far.",
    .examples = "  jackvolt scatter circuits/long-trailer.json\n"
                "  jackvolt scatter circuits/long-trailer.json --case \"rear pair lifting\" "
                "--draws 1000000\n"
                "  jackvolt scatter circuits/long-trailer.json --slice 3/8 -o part-3.json\n"
                "  jackvolt scatter --join part-*.json\n",
    .options = options,
    .option_count = sizeof options / sizeof options[0],
    .word = "FILE",
    .least_words = 1,
    .most_words = 4096,
    .run = run,
};
