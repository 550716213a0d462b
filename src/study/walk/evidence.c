/* evidence.c - clues, and the finders that weigh them. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"
#include "study/walk/walk.h"

#include <string.h>

static jv_clue *add_clue(jv_walk *w) {
    if (w->n_clues == w->cap_clues) {
        size_t wanted = w->cap_clues ? 2 * w->cap_clues : 16;
        jv_clue *moved = jv_resize(w->clues, wanted, sizeof *moved);
        if (!moved)
            return NULL;
        w->clues = moved;
        w->cap_clues = wanted;
    }
    jv_clue *clue = &w->clues[w->n_clues++];
    memset(clue, 0, sizeof *clue);
    return clue;
}

/* The check in words that another finder understands. */
static jv_status keep_check(jv_walk *w, size_t check, jv_check *out) {
    *out = *jv_finder_check(w->finder, check);
    size_t *off = jv_arena_alloc(&w->arena, out->n_off + 1, sizeof *off);
    if (!off)
        return JV_ERR_MEMORY;
    if (out->n_off)
        memcpy(off, out->off, out->n_off * sizeof *off);
    out->off = off;
    out->text = NULL;
    return JV_OK;
}

jv_status jv_walk_add_symptom(jv_walk *w, const jv_symptom *s) {
    jv_clue *clue = add_clue(w);
    if (!clue)
        return JV_ERR_MEMORY;
    clue->kind = JV_CLUE_SYMPTOM;
    clue->symptom = *s;
    return jv_finder_add_symptom(w->finder, s);
}

jv_status jv_walk_add_reading(jv_walk *w, size_t check, double value, bool over) {
    jv_status status = jv_finder_add_reading(w->finder, check, value, over);
    if (status != JV_OK)
        return status;
    jv_clue *clue = add_clue(w);
    if (!clue)
        return JV_ERR_MEMORY;
    clue->kind = JV_CLUE_READING;
    clue->value = value;
    clue->over = over;
    clue->band = jv_finder_band_now(w->finder);
    return keep_check(w, check, &clue->check);
}

jv_status jv_walk_skip(jv_walk *w, size_t check) {
    jv_clue *clue = add_clue(w);
    if (!clue)
        return JV_ERR_MEMORY;
    clue->kind = JV_CLUE_SKIP;
    jv_status status = keep_check(w, check, &clue->check);
    return status == JV_OK ? jv_finder_skip(w->finder, check) : status;
}

static jv_status give(jv_finder *f, const jv_clue *clue) {
    size_t check;
    bool turned;
    if (clue->kind == JV_CLUE_SYMPTOM)
        return jv_finder_add_symptom(f, &clue->symptom);
    jv_status status = jv_finder_find_check(f, &clue->check, &check, &turned);
    if (status == JV_OK && clue->kind == JV_CLUE_SKIP)
        return jv_finder_skip(f, check);
    if (status != JV_OK)
        return status;
    jv_band band = clue->band;
    if (turned)
        band = (jv_band){band.is, -clue->band.high, -clue->band.low};
    jv_finder_band(f, &band);
    status = jv_finder_add_reading(f, check, turned ? -clue->value : clue->value, clue->over);
    jv_finder_band(f, NULL);
    return status;
}

/* With the power off no live reading can be taken: they are over. */
static jv_status leave_live_out(jv_finder *f) {
    jv_status status = JV_OK;
    for (size_t k = 0; k < jv_finder_checks(f) && status == JV_OK; k++) {
        const jv_check *v = jv_finder_check(f, k);
        if (v->setup != JV_SETUP_ISOLATED && v->kind != JV_CHECK_LOOK)
            status = jv_finder_skip(f, k);
    }
    return status;
}

/* One that knows nothing yet. */
static jv_status clean_finder(jv_walk *w, bool with_ohms, jv_finder **out) {
    jv_find_options how = w->options.find;
    how.meter = &w->meter;
    how.no_ohms = !with_ohms;
    if (w->kept && w->kept->finder[with_ohms]) {
        *out = w->kept->finder[with_ohms];
        return jv_finder_rewind(*out, 0, w->kept->checks[with_ohms]);
    }
    jv_status status = jv_finder_new(w->c, &how, out);
    if (status == JV_OK && w->kept) {
        w->kept->finder[with_ohms] = *out;
        w->kept->checks[with_ohms] = jv_finder_checks(*out);
    }
    return status;
}

jv_status jv_walk_new_finder(jv_walk *w, bool with_ohms) {
    jv_finder *f = NULL;
    jv_status status = clean_finder(w, with_ohms, &f);
    for (size_t k = 0; k < w->n_clues && status == JV_OK; k++)
        status = give(f, &w->clues[k]);
    if (status == JV_OK && with_ohms)
        status = leave_live_out(f);
    if (w->kept) {
        if (status == JV_OK)
            w->finder = f;
    } else if (status == JV_OK) {
        jv_finder_free(&w->finder);
        w->finder = f;
    } else {
        jv_finder_free(&f);
    }
    if (status == JV_OK)
        w->with_ohms = with_ohms;
    return status;
}

bool jv_walk_has_ohms_checks(const jv_walk *w) {
    for (size_t k = 0; k < jv_finder_checks(w->finder); k++)
        if (jv_finder_check(w->finder, k)->kind == JV_CHECK_OHMS)
            return true;
    return false;
}

/* The circuit is another one now: of what was found before the repair, only the complaint and what
 * cannot be reached still hold; what was read after it stays. */
jv_status jv_walk_reopen(jv_walk *w, const char *why) {
    size_t kept = 0;
    for (size_t k = 0; k < w->n_clues; k++)
        if (w->clues[k].kind != JV_CLUE_READING || k >= w->before_repair)
            w->clues[kept++] = w->clues[k];
    w->n_clues = kept;
    w->reopened++;
    w->suspect = w->proof = w->forced = w->retaken = JV_FIND_NONE;
    w->located = NULL;
    w->proved_name = w->again = false;
    w->meaning = why;
    return jv_walk_new_finder(w, false);
}
