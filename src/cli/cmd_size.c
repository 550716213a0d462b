/* cmd_size.c - jackvolt size: the least copper that holds. SPDX-License-Identifier: MIT */
#include "cli/circuit_option.h"
#include "cli/cli.h"
#include "jackvolt/memory.h"
#include "jackvolt/size.h"

#include <string.h>

static const cli_option options[] = {
    {"resize", "PART,..", "Only these cables; every cable with a size when left out.", true},
    {"prices", "FILE", "Least cost by this price list, instead of least metal.", false},
    {"basis", "awg|sae|mm2", "Choose from these sizes; those of each cable when left out.", false},
    {"odds", "SHARE",
     "Every watch holds in this share of draws, \"99 %\", instead of in its worst case.", false},
    {"keep-fuses", NULL, "Leave the ratings of the file's fuses as they are.", false},
    {"no-budget", NULL, "Leave out the 10 % drop budget: watches, heat and fuses alone decide.",
     false},
    CLI_CIRCUIT_OPTIONS,
};

/* The names of --resize, cut at commas, with the room of the texts they point into. */
typedef struct jv_names_given {
    const char **names;
    size_t n;
    char *room;
} cli_names;

static jv_status split_names(const cli_job *job, cli_names *out) {
    size_t length = 0, most = 0;
    const char *text;
    for (size_t i = 0; (text = cli_value_at(&job->args, "resize", i)) != NULL; i++) {
        length += strlen(text) + 1;
        for (const char *c = text; *c; c++)
            most += *c == ',';
        most++;
    }
    out->names = jv_zalloc(most + 1, sizeof *out->names);
    out->room = jv_zalloc(length + 1, 1);
    if (!out->names || !out->room)
        return JV_ERR_MEMORY;
    char *at = out->room;
    for (size_t i = 0; (text = cli_value_at(&job->args, "resize", i)) != NULL; i++) {
        while (*text) {
            size_t n = strcspn(text, ",");
            const char *start = text;
            text += n + (text[n] == ',');
            while (n && *start == ' ') {
                start++;
                n--;
            }
            if (!n)
                continue;
            memcpy(at, start, n);
            out->names[out->n++] = at;
            at += n + 1;
        }
    }
    return JV_OK;
}

static bool read_basis(cli_job *job, jv_size_options *how) {
    static const char *const words[] = {"awg", "sae", "mm2"};
    const char *word = cli_value(&job->args, "basis");
    for (size_t i = 0; word && i < sizeof words / sizeof words[0]; i++)
        if (!strcmp(word, words[i])) {
            how->other_basis = true;
            how->basis = (jv_size_system)i;
            return true;
        }
    if (word)
        cli_fault(job, JV_CODE_OPTION_CHOICE, "write awg, sae or mm2", "--basis '%s' is not known",
                  word);
    return !word;
}

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
    cli_names names = {0};
    jv_size_options how = {0};
    jv_price *prices = NULL;
    bool opened = cli_circuit_open(job, job->args.words[0], &given);
    const char *list = cli_value(&job->args, "prices");
    jv_status status = split_names(job, &names);
    bool sound = read_basis(job, &how);
    sound = read_odds(job, &how.odds) && sound;
    how.threads = job->common.threads;
    if (status == JV_OK && list)
        status = jv_prices_read_file(list, &job->faults, &prices, &how.n_prices);
    if (status == JV_ERR_MEMORY)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory");
    how.prices = prices;
    how.resize = names.n ? names.names : NULL;
    how.n_resize = names.n;
    how.keep_fuses = cli_has(&job->args, "keep-fuses");
    how.no_budget = cli_has(&job->args, "no-budget");
    cli_exit code = CLI_CANNOT;
    if (opened && status == JV_OK && sound)
        code = size(job, given.circuit, &how);
    else if (opened && status != JV_ERR_MEMORY) /* all that is wrong in one go */
        jv_size_check_names(given.circuit, &how, &job->faults);
    jv_free(prices);
    jv_free(names.names);
    jv_free(names.room);
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
