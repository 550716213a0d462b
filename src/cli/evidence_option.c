/* evidence_option.c - readings and symptoms of the command line. SPDX-License-Identifier: MIT */
#include "cli/evidence_option.h"

#include "cli/read_file.h"
#include "jackvolt/evidence.h"

bool cli_evidence_given(const cli_job *job) {
    return cli_has(&job->args, "reading") || cli_has(&job->args, "symptom") ||
           cli_has(&job->args, "readings");
}

bool cli_evidence_take(cli_job *job, jv_finder *f, const jv_circuit *c) {
    const char *text;
    bool sound = true;
    const jv_place reading = {.file = "--reading"}, symptom = {.file = "--symptom"};
    for (size_t k = 0; (text = cli_value_at(&job->args, "symptom", k)) != NULL; k++)
        sound &= jv_symptom_take(f, c, text, &symptom, &job->faults) == JV_OK;
    for (size_t k = 0; (text = cli_value_at(&job->args, "reading", k)) != NULL; k++)
        sound &= jv_reading_take(f, c, text, &reading, &job->faults) == JV_OK;
    const char *path = cli_value(&job->args, "readings");
    jv_text file = {0};
    if (path && cli_read_file(job, path, &file))
        sound &=
            jv_evidence_take(f, c, jv_text_str(&file), file.length, path, &job->faults) == JV_OK;
    else if (path)
        sound = false;
    jv_text_clear(&file);
    return sound;
}
