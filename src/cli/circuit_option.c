/* circuit_option.c - what all commands that read a circuit file share. SPDX-License-Identifier: MIT
 */
#include "cli/circuit_option.h"

#include "jackvolt/memory.h"
#include "jackvolt/read.h"

static size_t count_sets(const cli_args *args) {
    size_t n = 0;
    while (cli_value_at(args, "set", n))
        n++;
    return n;
}

static bool read_circuit(cli_job *job, const char *path, const char *const *saved, size_t n_saved,
                         cli_circuit *out) {
    jv_read_options how = {NULL, n_saved + count_sets(&job->args)};
    const char **sets = jv_alloc(how.n_sets + 1, sizeof *sets);
    jv_status status = sets ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK) {
        for (size_t i = 0; i < how.n_sets; i++)
            sets[i] = i < n_saved ? saved[i] : cli_value_at(&job->args, "set", i - n_saved);
        how.sets = sets;
        status = jv_circuit_read_file(path, &how, &job->faults, &out->circuit);
    }
    jv_free(sets);
    if (status == JV_ERR_MEMORY)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for %s", path);
    return status == JV_OK;
}

static bool read_faults(cli_job *job, cli_circuit *out) {
    bool sound = true;
    const char *text;
    for (size_t i = 0; (text = cli_value_at(&job->args, "fault", i)) != NULL; i++) {
        if (!out->faults)
            out->faults = jv_faults_new();
        jv_status status = out->faults
                               ? jv_faults_add(out->faults, out->circuit, text, &job->faults)
                               : JV_ERR_MEMORY;
        if (status == JV_ERR_MEMORY)
            cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for the faults");
        if (status != JV_OK)
            sound = false;
    }
    return sound;
}

bool cli_circuit_open(cli_job *job, const char *path, cli_circuit *out) {
    return cli_circuit_open_with(job, path, NULL, 0, out);
}

bool cli_circuit_open_with(cli_job *job, const char *path, const char *const *sets, size_t n,
                           cli_circuit *out) {
    out->circuit = NULL;
    out->faults = NULL;
    if (read_circuit(job, path, sets, n, out) && read_faults(job, out))
        return true;
    cli_circuit_close(out);
    return false;
}

void cli_circuit_close(cli_circuit *given) {
    jv_faults_free(&given->faults);
    jv_circuit_free(&given->circuit);
}

bool cli_circuit_case(cli_job *job, const cli_circuit *given, const char *name) {
    enum { OFFERED = 64 };
    size_t n = jv_circuit_cases(given->circuit);
    if (!name || jv_circuit_find_case(given->circuit, name) < n)
        return true;
    const char *names[OFFERED];
    size_t offered = n < OFFERED ? n : OFFERED;
    jv_text hint = {0};
    for (size_t i = 0; i < offered; i++)
        names[i] = jv_circuit_case_name(given->circuit, i);
    const char *near = cli_nearest(name, names, offered);
    if (near) {
        jv_text_addf(&hint, "Did you mean \"%s\"?", near);
    } else {
        jv_text_add(&hint, "The file has: ");
        for (size_t i = 0; i < offered; i++)
            jv_text_addf(&hint, "%s\"%s\"", i ? ", " : "", names[i]);
    }
    cli_fault(job, JV_CODE_CASE_UNKNOWN, jv_text_str(&hint), "there is no case \"%s\"", name);
    jv_text_clear(&hint);
    return false;
}

const jv_layout *cli_layout_find(cli_job *job, const char *name) {
    enum { OFFERED = 64 };
    const jv_layout *list, *found = jv_layout_find(name);
    size_t n = jv_layouts(&list);
    const char *names[OFFERED];
    jv_text hint = {0};
    if (found)
        return found;
    for (size_t i = 0; i < n && i < OFFERED; i++) {
        names[i] = list[i].name;
        jv_text_addf(&hint, "%s%s", i ? ", " : "write one of ", list[i].name);
    }
    const char *near = cli_nearest(name, names, n < OFFERED ? n : OFFERED);
    if (near) {
        jv_text_clear(&hint);
        jv_text_addf(&hint, "did you mean %s?", near);
    }
    cli_fault(job, JV_CODE_OPTION_CHOICE, jv_text_str(&hint), "there is no layout '%s'", name);
    jv_text_clear(&hint);
    return NULL;
}
