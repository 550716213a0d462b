/* tree.c - every way that a walk may go. SPDX-License-Identifier: MIT */
#include "study/card/card.h"

#include <math.h>
#include <string.h>

enum {
    MOST_READINGS = 12, /* on one way; then the card ends (judgement) */
    SKIPS_UNTIL = 2 /* a reading may be left out while fewer than these are taken, one on a way */
};

typedef struct jv_counts {
    size_t readings, skips;
} jv_counts;

static jv_counts count(const jv_walk *w) {
    jv_counts n = {0, 0};
    for (size_t k = 0; k < w->n_clues; k++) {
        /* One that tells nothing stands for every reading, and on no card. */
        bool any = isinf(w->clues[k].band.low) && isinf(w->clues[k].band.high);
        n.readings += w->clues[k].kind == JV_CLUE_READING && !any;
        n.skips += w->clues[k].kind == JV_CLUE_SKIP;
    }
    return n;
}

static bool is_off(const jv_walk *w) {
    return w->isolated && w->dead;
}

/* --- situations --- */

/* All that the walk goes on from; false: too much has been read for it to come again. */
static bool describe(const jv_walk *w, jv_text *key) {
    jv_counts n = count(w);
    bool named = w->phase == JV_PHASE_REPAIR || w->phase == JV_PHASE_LOCATE_WAY;
    if (w->phase == JV_PHASE_END || (!named && n.readings + n.skips > 0))
        return false;
    jv_text_addf(key, "%d %d %d %d ", (int)w->phase, w->safe, w->isolated, w->dead);
    if (named)
        jv_text_addf(key, "%zu %d ", w->suspect, w->proved_name);
    if (w->phase == JV_PHASE_WHICH || w->phase == JV_PHASE_WHEN)
        jv_text_addf(key, "%zu %zu ", w->complaint, w->which);
    if (w->phase == JV_PHASE_SOUND_DO)
        jv_text_addf(key, "%zu ", w->sound);
    for (size_t k = 0; k < w->n_clues; k++)
        if (w->clues[k].kind == JV_CLUE_SYMPTOM) {
            const jv_symptom *s = &w->clues[k].symptom;
            jv_text_addf(key, "/%d %zu %zu %d", (int)s->kind, s->subject, s->loading, s->absent);
        }
    return true;
}

static bool taken(const jv_walk *w) {
    size_t due = jv_walk_due(w);
    return w->again || w->finder->checks[due].taken;
}

/* What has been read, as far as the finder of now knows of it. */
static jv_asked already(const jv_walk *w) {
    jv_asked a;
    memset(&a, 0, sizeof a);
    for (size_t k = 0; k < w->finder->n_checks; k++)
        if (w->finder->checks[k].taken)
            jv_asked_add(&a, k, w->with_ohms);
    return a;
}

/* A reading is due: who may have done it, how likely, and what each would show. Situations that
 * agree in that, in a grid, go on alike. */
static bool outlook(const jv_walk *w, jv_text *key) {
    /* Share of the likeliest; grades of odds; reading from which the grid grows with it (V, A, on
     * a scale of ohms). */
    static const double counts = 0.05, likely[] = {0.1, 0.5}, fine = 0.05, overload = 99.0;
    jv_finder *f = w->finder;
    jv_counts n = count(w);
    if (w->phase != JV_PHASE_LOOKING || n.readings + n.skips == 0 || taken(w))
        return false;
    size_t due = jv_walk_due(w), listed;
    double most = jv_finder_odds(f, &listed)[0].probability;
    jv_check_kind kind = f->checks[due].view.kind;
    jv_text_addf(key, "look %d%d%d %zu %d", w->with_ohms, w->isolated, w->dead, due,
                 n.skips > 0 || n.readings >= SKIPS_UNTIL);
    for (size_t s = 0; s < f->n_suspects; s++) {
        double p = f->part_odds[f->c->n_parts + s];
        if (p < counts * most)
            continue;
        jv_text_addf(key, "/%zu %d", s, (p >= likely[0]) + (p >= likely[1]));
        jv_expected e = jv_finder_expect(f, due, s);
        if (kind != JV_CHECK_LOOK && s + 1 < f->n_suspects)
            jv_text_addf(key, " %.0f", isinf(e.value) ? overload : asinh(e.value / fine));
    }
    return true;
}

/* --- one answer --- */

/* Gives an answer, goes down behind it, and comes back. note: what it meant. */
static jv_status follow(jv_card_work *x, const char *text, const jv_band *band, size_t *node,
                        const char **note) {
    jv_mark m;
    jv_status status = jv_mark_take(x, &m);
    if (status != JV_OK)
        return status;
    jv_finder *f = x->w->finder;
    jv_finder_band(f, band);
    status = jv_card_answer_walk(x, text);
    jv_finder_band(f, NULL);
    if (status == JV_OK) {
        if (note)
            *note = jv_store_text(&x->store, jv_walk_meaning(x->w));
        status = jv_card_explore(x, node);
    }
    jv_status back = jv_mark_back(x, &m);
    return status == JV_OK ? back : status;
}

/* --- steps --- */

/* What must come first, then the step itself. */
static jv_status before(jv_card_work *x, size_t *node) {
    enum { MOST = 3 };
    jv_mark m;
    size_t n = 0, next = 0;
    jv_sketch *list = jv_alloc(MOST, sizeof *list);
    jv_status status = list ? jv_mark_take(x, &m) : JV_ERR_MEMORY;
    if (status != JV_OK) {
        jv_free(list);
        return status;
    }
    while (status == JV_OK && n < MOST && jv_walk_need(x->w) != JV_NEED_NOTHING) {
        jv_sketch_step(x, &list[n++]);
        status = jv_card_answer_walk(x, jv_passing(&x->w->step));
    }
    if (status == JV_OK)
        status = jv_card_explore(x, &next);
    jv_status back = jv_mark_back(x, &m);
    if (status == JV_OK)
        status = back;
    if (status == JV_OK)
        *node = jv_before_nodes(x, list, n, next);
    jv_free(list);
    return status;
}

static jv_status choices(jv_card_work *x, size_t *node) {
    jv_sketch d;
    jv_status status = JV_OK;
    size_t n = x->w->step.n_choices;
    jv_sketch_step(x, &d);
    for (size_t k = 0; k < n && status == JV_OK; k++) {
        size_t to = 0;
        const char *note = "", *words = jv_store_text(&x->store, x->w->step.choices[k]);
        jv_text number = {0};
        jv_text_addf(&number, "%zu", k + 1);
        status = follow(x, jv_text_str(&number), NULL, &to, &note);
        jv_text_clear(&number);
        if (status == JV_OK)
            jv_sketch_answer(x, &d, words, to)->note = jv_store_text(&x->store, note);
    }
    *node = jv_store_node(&x->store, &d);
    return status;
}

static jv_status ends(jv_card_work *x, size_t *node) {
    jv_sketch d;
    jv_sketch_step(x, &d);
    d.node.end = x->w->end == JV_WALK_PROVED ? JV_CARD_PROVED : JV_CARD_HANDED_ON;
    *node = jv_store_node(&x->store, &d);
    return JV_OK;
}

/* --- readings --- */

static jv_status follow_band(jv_card_work *x, jv_check_kind kind, const jv_reading_band *b,
                             size_t *to) {
    static const char *const units[] = {"V", "A", "ohm"};
    static const double most_v = 30.0;
    jv_text text = {0};
    double value = kind == JV_CHECK_VOLTS ? fmin(fmax(b->value, -most_v), most_v) : b->value;
    if (b->over)
        jv_text_add(&text, "OL");
    else
        jv_text_addf(&text, "%.6f %s", value, units[kind]);
    jv_status status = follow(x, jv_text_str(&text), &b->band, to, NULL);
    jv_text_clear(&text);
    return status;
}

static void add_band(jv_card_work *x, jv_sketch *d, const jv_check *v, const jv_reading_band *b,
                     size_t to) {
    static const double sds = 1.96;
    jv_text words = {0};
    jv_expected sound = jv_sketch_sound(x, v, sds);
    jv_band_words(&words, v->kind, b);
    jv_card_answer *a = jv_sketch_answer(x, d, jv_text_str(&words), to);
    a->low = b->low;
    a->high = b->high;
    a->sound = sound.value >= b->low && (sound.value < b->high || isinf(b->high));
    x->store.failed |= words.failed;
    jv_text_clear(&words);
}

/* Bands next to one another that lead on alike are one. */
static void join_alike(jv_bands *bands, size_t *to) {
    size_t n = 0;
    for (size_t k = 0; k < bands->n; k++) {
        if (n && to[n - 1] == to[k]) {
            bands->list[n - 1].high = bands->list[k].high;
            continue;
        }
        bands->list[n] = bands->list[k];
        to[n++] = to[k];
    }
    bands->n = n;
}

/* What a fault gets to more rarely than this is not followed: where somebody could not take a
 * reading, or has no complaint, more is left to the walk (judgement, for the size of the page). */
static double floor_of(const jv_card_work *x) {
    static const double share = 0.2, skipped = 4.0, no_complaint = 4.0;
    bool complaint = false;
    for (size_t k = 0; k < x->w->n_clues; k++)
        complaint =
            complaint || (x->w->clues[k].kind == JV_CLUE_SYMPTOM && !x->w->clues[k].symptom.absent);
    return share * x->options.least * (count(x->w).skips ? skipped : 1.0) *
           (complaint ? 1.0 : no_complaint);
}

/* *only: where every reading leads, when one does. */
static jv_status read_bands(jv_card_work *x, jv_sketch *d, const jv_check *v, size_t *only) {
    jv_bands bands;
    size_t to[JV_CARD_BANDS];
    bool off = is_off(x->w);
    jv_status status = jv_bands_make(x->w->finder, jv_walk_due(x->w), floor_of(x), &bands);
    for (size_t k = 0; k < bands.n && status == JV_OK; k++) {
        if (bands.list[k].share < x->options.least)
            to[k] = jv_end_beyond(x, off);
        else
            status = follow_band(x, v->kind, &bands.list[k], &to[k]);
    }
    if (status != JV_OK)
        return status;
    join_alike(&bands, to);
    if (bands.n == 1) {
        *only = to[0];
        return JV_OK;
    }
    for (size_t k = 0; k < bands.n; k++)
        add_band(x, d, v, &bands.list[k], to[k]);
    return JV_OK;
}

static jv_status read_look(jv_card_work *x, jv_sketch *d) {
    jv_status status = JV_OK;
    for (size_t k = 0; k < 2 && status == JV_OK; k++) {
        size_t to = 0;
        const char *words = jv_store_text(&x->store, x->w->step.choices[k]);
        status = follow(x, k ? "2" : "1", NULL, &to, NULL);
        if (status == JV_OK)
            jv_sketch_answer(x, d, words, to)->sound = k == 0;
    }
    return status;
}

static jv_status reading(jv_card_work *x, size_t *node) {
    jv_sketch d;
    jv_walk *w = x->w;
    jv_counts n = count(w);
    bool off = is_off(w);
    if (taken(w)) {
        *node = jv_end_again(x, off);
        return JV_OK;
    }
    if (n.readings >= MOST_READINGS || jv_reach(w->finder) < floor_of(x)) {
        *node = jv_end_beyond(x, off);
        return JV_OK;
    }
    jv_check v = *jv_finder_check(w->finder, jv_walk_due(w));
    jv_sketch_step(x, &d);
    jv_asked_add(&d.asked, jv_walk_due(w), w->with_ohms);
    d.node.how = jv_store_text(&x->store, w->step.how);
    size_t to = 0, only = JV_FIND_NONE;
    jv_status status = v.kind == JV_CHECK_LOOK ? read_look(x, &d) : read_bands(x, &d, &v, &only);
    if (status == JV_OK && only != JV_FIND_NONE) { /* no reading of it tells anything here */
        *node = only;
        return JV_OK;
    }
    if (status == JV_OK && n.skips == 0 && n.readings < SKIPS_UNTIL)
        status = follow(x, "skip", NULL, &to, NULL);
    else if (status == JV_OK)
        to = jv_end_beyond(x, off);
    if (status != JV_OK)
        return status;
    jv_sketch_answer(x, &d, "cannot reach it, or not sure", to);
    *node = jv_store_node(&x->store, &d);
    return JV_OK;
}

/* --- the tree --- */

static jv_status look(jv_card_work *x, size_t *node) {
    jv_status status = jv_walk_look(x->w);
    jv_walk_make_step(x->w);
    return status == JV_OK ? jv_card_explore(x, node) : status;
}

static jv_status explore(jv_card_work *x, size_t *node) {
    jv_walk *w = x->w;
    if (w->phase == JV_PHASE_REPAIR || w->phase == JV_PHASE_LOCATE_WAY)
        return jv_card_tail(x, node);
    if (w->phase == JV_PHASE_LOOKING && taken(w)) {
        *node = jv_end_again(x, is_off(w));
        return JV_OK;
    }
    if (jv_walk_need(w) != JV_NEED_NOTHING)
        return before(x, node);
    switch (w->phase) {
    case JV_PHASE_LOOKING:
        return reading(x, node);
    case JV_PHASE_END:
        return ends(x, node);
    case JV_PHASE_CHANGED: /* asked before the complaint (opening.c) */
        return look(x, node);
    default:
        return choices(x, node);
    }
}

jv_status jv_card_explore(jv_card_work *x, size_t *node) {
    jv_text key = {0};
    jv_asked had = already(x->w);
    bool looks = outlook(x->w, &key), comes_again = looks || describe(x->w, &key);
    jv_status status = key.failed ? JV_ERR_MEMORY : JV_OK;
    double reach = looks ? jv_reach(x->w->finder) : 1.0;
    size_t known = comes_again ? jv_store_find(&x->store, jv_text_str(&key), reach) : JV_FIND_NONE;
    /* Never ask twice. */
    if (looks && known != JV_FIND_NONE && jv_asked_meet(&x->store.asked[known], &had))
        known = JV_FIND_NONE;
    if (status == JV_OK && known != JV_FIND_NONE)
        *node = known;
    else if (status == JV_OK)
        status = explore(x, node);
    if (status == JV_OK && x->store.failed)
        status = JV_ERR_MEMORY;
    if (status == JV_OK && comes_again && known == JV_FIND_NONE)
        jv_store_note(&x->store, jv_text_str(&key), *node, reach);
    jv_text_clear(&key);
    return status;
}
