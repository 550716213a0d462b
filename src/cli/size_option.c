/* size_option.c - which cables to size, from which sizes, by what. SPDX-License-Identifier: MIT */
#include "cli/size_option.h"
#include "jackvolt/memory.h"

#include <string.h>

/* The names of --resize, cut at commas. */
static jv_status split_names(const cli_job *job, cli_size_given *out) {
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
            out->names[out->how.n_resize++] = at;
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

jv_status cli_size_take(cli_job *job, cli_size_given *out) {
    memset(out, 0, sizeof *out);
    const char *list = cli_value(&job->args, "prices");
    jv_status status = split_names(job, out);
    bool sound = read_basis(job, &out->how);
    out->how.threads = job->common.threads;
    if (status == JV_OK && list)
        status = jv_prices_read_file(list, &job->faults, &out->prices, &out->how.n_prices);
    if (status == JV_ERR_MEMORY)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory");
    out->how.prices = out->prices;
    out->how.resize = out->how.n_resize ? out->names : NULL;
    out->how.keep_fuses = cli_has(&job->args, "keep-fuses");
    out->how.no_budget = cli_has(&job->args, "no-budget");
    return status == JV_OK && !sound ? JV_ERR_INPUT : status;
}

void cli_size_free(cli_size_given *given) {
    jv_free(given->prices);
    jv_free(given->names);
    jv_free(given->room);
    memset(given, 0, sizeof *given);
}

const char *cli_size_asked(const cli_job *job) {
    static const char *const names[] = {"resize", "prices", "basis", "keep-fuses", "no-budget"};
    for (size_t k = 0; k < sizeof names / sizeof names[0]; k++)
        if (cli_has(&job->args, names[k]))
            return names[k];
    return NULL;
}
