/* mark.c - a walk taken back to an earlier step. SPDX-License-Identifier: MIT */
#include "study/card/card.h"

#include <string.h>

jv_status jv_mark_take(const jv_card_work *x, jv_mark *m) {
    const jv_walk *w = x->w;
    m->was = *w;
    m->entries = w->finder->n_entries;
    m->checks = w->finder->n_checks;
    m->clues = jv_alloc(w->n_clues + 1, sizeof *m->clues);
    if (!m->clues)
        return JV_ERR_MEMORY;
    if (w->n_clues)
        memcpy(m->clues, w->clues, w->n_clues * sizeof *m->clues);
    return JV_OK;
}

/* Lists may have moved and grown since: what they hold goes back, not where they are. Texts stay
 * where they are until the walk is freed. */
jv_status jv_mark_back(jv_card_work *x, jv_mark *m) {
    jv_walk *w = x->w;
    jv_walk now = *w;
    *w = m->was;
    w->arena = now.arena;
    w->clues = now.clues;
    w->cap_clues = now.cap_clues;
    w->entries = now.entries;
    w->cap_entries = now.cap_entries;
    w->out_of_memory = now.out_of_memory;
    if (w->n_clues)
        memcpy(w->clues, m->clues, w->n_clues * sizeof *w->clues);
    jv_free(m->clues);
    m->clues = NULL;
    jv_finder *f = w->finder;
    if (f->n_entries == m->entries && f->n_checks == m->checks)
        return JV_OK;
    return jv_finder_rewind(f, m->entries, m->checks);
}

jv_status jv_card_answer_walk(jv_card_work *x, const char *text) {
    jv_text problem = {0};
    jv_status status = jv_walk_answer(x->w, text, &problem);
    jv_text_clear(&problem);
    x->walked++;
    return status == JV_ERR_INPUT ? JV_ERR_UNSOLVED : status;
}
