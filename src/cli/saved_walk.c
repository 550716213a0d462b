/* saved_walk.c - a walk that was saved, walked again. SPDX-License-Identifier: MIT */
#include "cli/saved_walk.h"

#include "cli/read_file.h"
#include "jackvolt/evidence.h"

#include <string.h>

bool cli_saved_walk_load(cli_job *job, cli_saved_walk *out) {
    jv_text text = {0};
    memset(out, 0, sizeof *out);
    out->path = cli_value(&job->args, "walk");
    if (!out->path)
        return true;
    bool sound = cli_read_file(job, out->path, &text);
    jv_status status =
        sound ? jv_walk_load(jv_text_str(&text), text.length, out->path, &job->faults, &out->file)
              : JV_ERR_INPUT;
    if (status == JV_ERR_MEMORY)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for %s", out->path);
    if (status == JV_OK && !out->file.circuit) {
        cli_fault(job, JV_CODE_WALK_SAVED, "jackvolt walk saves it after every answer, or --save",
                  "%s is a list of answers, not a saved walk", out->path);
        cli_saved_walk_close(out);
        status = JV_ERR_INPUT;
    }
    jv_text_clear(&text);
    return status == JV_OK;
}

static bool begin(cli_job *job, const jv_circuit *c, cli_saved_walk *w) {
    jv_walk_options how = {.kind = w->file.kind};
    w->meter = jv_meter_plain();
    how.find.meter = &w->meter;
    how.find.owner = w->file.owner;
    if (w->file.meter && jv_meter_take(w->file.meter, &w->meter, &how.find.no_clamp,
                                       &how.find.no_ohms, &job->faults) != JV_OK)
        return false;
    jv_status status = jv_walk_new(c, &how, &w->walk);
    if (status == JV_ERR_MEMORY)
        cli_fault(job, JV_CODE_NO_MEMORY, NULL, "not enough memory for this walk");
    else if (status != JV_OK)
        cli_fault(job, JV_CODE_WALK_UNSUITED, NULL, "\"%s\" cannot be walked as %s says",
                  jv_circuit_name(c), w->path);
    return status == JV_OK;
}

bool cli_saved_walk_replay(cli_job *job, const jv_circuit *c, cli_saved_walk *w) {
    if (!w->path)
        return true;
    if (strcmp(w->file.circuit, jv_circuit_name(c)) != 0) {
        cli_fault(job, JV_CODE_WALK_SAVED, NULL,
                  "the walk that was saved is of \"%s\", not of \"%s\"", w->file.circuit,
                  jv_circuit_name(c));
        return false;
    }
    if (!begin(job, c, w))
        return false;
    for (size_t i = 0; i < w->file.n_answers; i++) {
        jv_text problem = {0};
        jv_status status = jv_walk_answer(w->walk, w->file.answers[i], &problem);
        if (status == JV_ERR_INPUT)
            cli_fault(job, JV_CODE_WALK_SAVED, NULL, "answer %zu of %s does not fit: %s", i + 1,
                      w->path, jv_text_str(&problem));
        else if (status != JV_OK)
            cli_fault(job, JV_CODE_NO_MEMORY, NULL, "the walk cannot go on: %s",
                      jv_status_text(status));
        jv_text_clear(&problem);
        if (status != JV_OK)
            return false;
    }
    return true;
}

void cli_saved_walk_close(cli_saved_walk *w) {
    jv_walk_free(&w->walk);
    jv_walk_saved_clear(&w->file);
}
