/* size_protect.c - fuses for the currents, sizes for the fuses. SPDX-License-Identifier: MIT */
#include "study/size_model.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"
#include "circuit/parts/fuse.h"
#include "study/inrush.h"
#include "study/review_work.h"

#include <math.h>
#include <string.h>

static jv_slot *own_slot(jv_size_model *m, uint32_t part, unsigned key) {
    const jv_slot *s = jv_part_slot(&m->copy, &m->copy.parts[part], key);
    return s ? &m->copy.slots[s - m->copy.slots] : NULL;
}

/* ---- the hot cases ---- */

/* Currents of every part's first element, and the air, hot, of each case. */
typedef struct hot_case {
    double *a;
    double air_c;
} hot_case;

static jv_status hot_find(jv_size_model *m, size_t k, jv_point *p) {
    jv_status status = JV_OK;
    if (!m->benches[k])
        status = jv_bench_open(&m->copy, &m->copy.cases[k], NULL, 0, &m->benches[k]);
    if (status != JV_OK)
        return status;
    jv_bench_turn_hot(m->benches[k]);
    jv_bench_load(m->benches[k]);
    return jv_bench_find(m->benches[k], p);
}

static jv_status gather_hot(jv_size_model *m, hot_case *hot) {
    for (size_t k = 0; k < m->copy.n_cases; k++) {
        jv_point p;
        jv_status status = hot_find(m, k, &p);
        hot[k].a = jv_arena_alloc(m->arena, m->copy.n_parts + 1, sizeof *hot[k].a);
        if (status == JV_OK && !hot[k].a)
            status = JV_ERR_MEMORY;
        if (status != JV_OK)
            return status;
        const jv_net *net = m->benches[k]->net;
        hot[k].air_c = net->scene.ambient_c;
        for (size_t i = 0; jv_point_is_answer(&p) && i < m->copy.n_parts; i++)
            if (net->first[i] < net->first[i + 1])
                hot[k].a[i] = fabs(p.i[net->first[i]]);
    }
    return JV_OK;
}

/* ---- fuses ---- */

static bool lasts(const jv_size_model *m, uint32_t part, const hot_case *hot) {
    for (size_t k = 0; k < m->copy.n_cases; k++)
        if (!jv_case_holds_fast(&m->copy.cases[k]) &&
            !jv_fuse_lasts(&m->copy, part, &m->copy.cases[k], hot[k].a[part], hot[k].air_c))
            return false;
    return true;
}

/* Does no start of the motors open it, as far as their starts are known? */
static jv_status starts_hold(const jv_size_model *m, uint32_t part, bool *hold) {
    const jv_circuit *c = &m->copy;
    double *used = jv_alloc(2 * c->n_parts + 1, sizeof *used);
    jv_status status = used ? JV_OK : JV_ERR_MEMORY;
    *hold = true;
    for (size_t k = 0; k < c->n_cases && status == JV_OK && *hold; k++) {
        const jv_case *loading = &c->cases[k];
        if (!loading->n_runs || jv_case_holds_fast(loading) || jv_inrush_unknown(c, loading))
            continue;
        status = jv_inrush_find(c, loading, used, used + c->n_parts);
        if (status == JV_ERR_UNSOLVED)
            status = JV_OK; /* told by its operating point */
        else if (status == JV_OK)
            *hold = used[part] < 1;
    }
    jv_free(used);
    return status;
}

/* Carries the device its currents and its starts? *why: NULL, or what it does not. */
static jv_status carries(const jv_size_model *m, uint32_t part, const hot_case *hot,
                         const char **why) {
    bool hold = true;
    *why = lasts(m, part, hot) ? NULL : "the lasting current";
    jv_status status = *why ? JV_OK : starts_hold(m, part, &hold);
    if (!hold)
        *why = "the start of the motors";
    return status;
}

/* The least rating of a style that carries them, put in; *found false when none does. */
static jv_status try_style(jv_size_model *m, jv_fuse_choice *f, jv_fuse_style style,
                           const hot_case *hot, bool *found) {
    jv_slot *rating = own_slot(m, f->part, JV_FUSE_RATING);
    jv_slot *word = own_slot(m, f->part, JV_FUSE_STYLE);
    if (word)
        word->index = (int32_t)style;
    size_t n;
    const double *sold = jv_table_fuse_ratings(style, &n);
    *found = false;
    for (size_t i = 0; i < n; i++) {
        const char *why;
        rating->value = jv_value_exact(sold[i]);
        jv_status status = carries(m, f->part, hot, &why);
        if (status != JV_OK)
            return status;
        if (why)
            continue;
        f->rating_a = sold[i];
        f->style = style;
        *found = true;
        break;
    }
    return JV_OK;
}

/* Assumed ohms go with the reciprocal of the rating (0.06 V over it, table fuse-rules). */
static void set_ohms(jv_size_model *m, const jv_fuse_choice *f, double rating_a) {
    jv_slot *ohms = own_slot(m, f->part, JV_FUSE_RESISTANCE);
    if (!ohms || ohms->origin != JV_FALLBACK)
        return;
    ohms->value = m->given->slots[ohms - m->copy.slots].value;
    double ratio = f->was_a / rating_a;
    ohms->value.nominal *= ratio;
    ohms->value.low *= ratio;
    ohms->value.high *= ratio;
}

/* As it stands in the file. */
static void put_back(jv_size_model *m, jv_fuse_choice *f) {
    jv_slot *word = own_slot(m, f->part, JV_FUSE_STYLE);
    own_slot(m, f->part, JV_FUSE_RATING)->value = jv_value_exact(f->was_a);
    if (word)
        word->index = (int32_t)f->was_style;
    f->rating_a = f->was_a;
    f->style = f->was_style;
    f->changed = f->restyled = false;
    set_ohms(m, f, f->was_a);
}

static bool is_sized(const jv_size_model *m, uint32_t part) {
    bool sized = false;
    for (size_t r = 0; r < m->n_runs; r++)
        sized = sized || m->runs[r].part == part;
    return sized;
}

/* Sized by the rating of its device. One that no case loads is not: see keep_thick. */
static bool grows_with_its_fuse(const jv_size_model *m, uint32_t part) {
    const jv_cable_watched *w = jv_guards_of(&m->guards, part);
    return is_sized(m, part) && w && w->guard != UINT32_MAX;
}

/* Is the rating that a device was raised to more than this cable carries, or may it be? *carries_a:
 * NAN = that is not known. Where a supply before it lets through less than it carries, the device
 * is not what guards it; where less than the old rating, the new one changes nothing for it. */
static bool is_below(const jv_size_model *m, const jv_guards *all, const jv_cable_watched *k,
                     const jv_fuse_choice *f, double *carries_a) {
    jv_guarded g;
    bool behind = k->guard == f->part || (k->unsolved && k->guard == UINT32_MAX);
    if (!behind || grows_with_its_fuse(m, k->part))
        return false;
    *carries_a = NAN;
    /* While fuses are chosen the copy has all runs at their largest. */
    const jv_circuit *c = is_sized(m, k->part) ? m->given : &m->copy;
    if (jv_guarded_of_part(c, &c->parts[k->part], all->hot_c, &g) != JV_OK)
        return !(k->near_a <= f->was_a);
    *carries_a = jv_carries_a(&g);
    return f->rating_a > *carries_a && !(k->near_a <= *carries_a);
}

/* The first such cable that keeps its size; NULL = none. */
static const jv_part *kept_below(const jv_size_model *m, const jv_guards *all,
                                 const jv_fuse_choice *f, double *carries_a) {
    for (size_t i = 0; i < all->n; i++)
        if (is_below(m, all, &all->cables[i], f, carries_a))
            return &m->copy.parts[all->cables[i].part];
    return NULL;
}

static jv_status choose_fuse(jv_size_model *m, jv_fuse_choice *f, const hot_case *hot) {
    static const jv_fuse_style larger[] = {JV_FUSE_BLADE_E, JV_FUSE_BOLT_IN};
    const jv_part *p = &m->copy.parts[f->part];
    f->rating_a = f->was_a;
    f->style = f->was_style;
    f->note = "";
    const char *why;
    jv_status status = carries(m, f->part, hot, &why);
    if (status != JV_OK || !why)
        return status;
    if (m->options->keep_fuses) {
        f->note =
            jv_size_model_say(m, "its rating is too low for %s, and it is kept as you ask", why);
        return JV_OK;
    }
    if (p->kind != &jv_kind_fuse || !own_slot(m, f->part, JV_FUSE_STYLE) ||
        jv_part_has(&m->copy, p, JV_FUSE_CURVE)) {
        f->note = jv_size_model_say(
            m,
            "its rating is too low for %s; no other is known here for its kind, so it "
            "stands",
            why);
        return JV_OK;
    }
    bool found;
    status = try_style(m, f, f->was_style, hot, &found);
    for (size_t i = 0; i < sizeof larger / sizeof larger[0] && !found && status == JV_OK; i++)
        if (larger[i] != f->was_style)
            status = try_style(m, f, larger[i], hot, &found);
    if (status != JV_OK)
        return status;
    if (!found) {
        f->note = jv_size_model_say(m, "no rating sold carries %s", why);
        put_back(m, f);
        return JV_OK;
    }
    f->changed = true;
    f->restyled = f->style != f->was_style;
    f->why = why;
    f->note = jv_size_model_say(m, "%g A was too low for %s", f->was_a, why);
    set_ohms(m, f, f->rating_a);
    return JV_OK;
}

/* What the devices guard hangs on their ratings: the least of those on a way. */
static jv_status guards_anew(jv_size_model *m) {
    jv_status status = jv_guards_find(&m->copy, m->arena, &m->guards);
    if (status == JV_OK)
        jv_size_model_tie(m);
    return status;
}

/* A larger fuse goes back to its rating where a cable behind it keeps its size and does not carry
 * the new one. A fuse put back only takes cables over from larger ones, so one pass will do. */
static jv_status spare_kept(jv_size_model *m) {
    bool changed = false, back = false;
    for (size_t i = 0; i < m->n_fuses; i++)
        changed = changed || m->fuses[i].changed;
    jv_guards all = {NULL, 0, NAN};
    jv_status status = changed ? jv_guards_find_all(&m->copy, m->arena, &all) : JV_OK;
    if (status == JV_OK && changed)
        status = guards_anew(m);
    for (size_t i = 0; i < m->n_fuses && status == JV_OK; i++) {
        jv_fuse_choice *f = &m->fuses[i];
        double carries_a = 0;
        const jv_part *kept = f->changed ? kept_below(m, &all, f, &carries_a) : NULL;
        if (!kept)
            continue;
        if (isnan(carries_a))
            f->note = jv_size_model_say(
                m,
                "its rating is too low for %s, but what \"%s\" carries is not known here, and it "
                "stands behind it: give that cable by size and length",
                f->why, kept->name);
        else
            f->note = jv_size_model_say(
                m,
                "its rating is too low for %s, but \"%s\" keeps its size and carries "
                "%.0f A, less than the %g A that it takes: size that cable too",
                f->why, kept->name, carries_a, f->rating_a);
        put_back(m, f);
        back = true;
    }
    return status == JV_OK && back ? guards_anew(m) : status;
}

static jv_status choose_fuses(jv_size_model *m, const hot_case *hot) {
    m->fuses = jv_arena_alloc(m->arena, m->copy.n_parts + 1, sizeof *m->fuses);
    if (!m->fuses)
        return JV_ERR_MEMORY;
    for (uint32_t i = 0; i < m->copy.n_parts; i++) {
        if (!jv_fuse_is(&m->copy.parts[i]))
            continue;
        jv_fuse_choice *f = &m->fuses[m->n_fuses++];
        f->part = i;
        f->was_a = own_slot(m, i, JV_FUSE_RATING)->value.nominal;
        f->was_style = (jv_fuse_style)jv_part_word(&m->copy, &m->copy.parts[i], JV_FUSE_STYLE,
                                                   JV_FUSE_BLADE_C);
        for (size_t k = 0; k < m->copy.n_cases; k++)
            f->most_a = fmax(f->most_a, hot[k].a[i]);
        jv_status status = choose_fuse(m, f, hot);
        if (status != JV_OK)
            return status;
    }
    jv_status status = spare_kept(m);
    /* Benches took their values from the slots before: open them anew. */
    for (size_t k = 0; k < m->copy.n_cases; k++)
        jv_bench_free(&m->benches[k]);
    return status;
}

/* ---- what a size may not ---- */

static jv_status heat_choices(jv_size_model *m, size_t run) {
    jv_choices *r = &m->runs[run];
    for (size_t c = 0; c < r->n; c++) {
        jv_choice *choice = &r->list[c];
        jv_guarded g;
        jv_size_put(m, run, c);
        choice->temp_c = -INFINITY;
        for (size_t k = 0; k < m->copy.n_cases; k++) {
            jv_point p;
            if (jv_case_holds_fast(&m->copy.cases[k]))
                continue;
            jv_status status = hot_find(m, k, &p);
            if (status != JV_OK)
                return status;
            const jv_element *e = &m->benches[k]->net->elements[m->benches[k]->net->first[r->part]];
            if (jv_point_is_answer(&p) && e->heat && p.i[m->benches[k]->net->first[r->part]] != 0)
                choice->temp_c = fmax(choice->temp_c, e->temperature_c);
        }
        if (jv_guarded_of_part(&m->copy, &m->copy.parts[r->part], m->guards.hot_c, &g) != JV_OK)
            continue;
        choice->carries_a = jv_carries_a(&g);
        choice->why_brief = "too hot";
        if (choice->temp_c > g.limits.solid_c)
            choice->why_not =
                jv_size_model_say(m,
                                  "its conductor comes to %.0f degC, its insulation stands %.0f "
                                  "degC",
                                  choice->temp_c, g.limits.solid_c);
    }
    jv_size_put(m, run, r->n - 1);
    return JV_OK;
}

static void refuse(jv_choice *choice, const char *brief, const char *why) {
    choice->why_brief = brief;
    choice->why_not = why;
}

/* Nothing guards it, or no case shows what it carries: it is never made thinner than it is. */
static void keep_thick(jv_size_model *m, size_t run) {
    static const double rounding = 1e-6;
    jv_choices *r = &m->runs[run];
    jv_conductor was;
    if (jv_cable_conductor(m->given, &m->given->parts[r->part], &was) != JV_OK)
        return;
    double least = jv_copper_mm2(&was);
    for (size_t c = 0; c < r->n; c++)
        if (!r->list[c].why_not && r->list[c].copper_mm2 < least * (1 - rounding))
            refuse(&r->list[c], "no fuse guards it",
                   "no fuse guards it, so it is not made thinner");
}

/* To a frame at least 8 AWG, as the review asks. */
static void bond_choices(jv_size_model *m, size_t run) {
    jv_choices *r = &m->runs[run];
    double least = jv_frame_bond_least_mm2(&m->copy, r->watched);
    for (size_t c = 0; c < r->n; c++)
        if (!r->list[c].why_not && r->list[c].copper_mm2 < least)
            refuse(&r->list[c], "below 8 AWG",
                   "a cable to the frame that returns current is at least 8 AWG");
}

/* What returns the current of a feed that keeps its size has no less copper (rule return-size). */
static void return_choices(jv_size_model *m, size_t run) {
    static const double rounding = 1e-6;
    jv_choices *r = &m->runs[run];
    for (size_t i = 0; i < m->guards.n; i++) {
        const jv_cable_watched *k = &m->guards.cables[i];
        const jv_part *feed = &m->copy.parts[k->part];
        jv_conductor wire;
        if (k->mate != r->part || k->on_return || feed->kind != &jv_kind_cable ||
            is_sized(m, k->part) || jv_cable_conductor(&m->copy, feed, &wire) != JV_OK)
            continue;
        for (size_t c = 0; c < r->n; c++)
            if (!r->list[c].why_not &&
                r->list[c].copper_mm2 < jv_copper_mm2(&wire) * (1 - rounding))
                refuse(&r->list[c], "under its feed",
                       jv_size_model_say(
                           m,
                           "a return has no less copper than its feed \"%s\", which keeps its "
                           "size",
                           feed->name));
    }
}

static void guard_choices(jv_size_model *m, size_t run) {
    jv_choices *r = &m->runs[run];
    const jv_cable_watched *w = r->watched;
    return_choices(m, run);
    if (w)
        bond_choices(m, run);
    if (!w || w->guard == UINT32_MAX) {
        keep_thick(m, run);
        return;
    }
    const jv_part *device = &m->copy.parts[w->guard];
    double rating = own_slot(m, w->guard, JV_FUSE_RATING)->value.nominal;
    for (size_t c = 0; c < r->n; c++) {
        jv_choice *choice = &r->list[c];
        if (!choice->why_not && rating > choice->carries_a) /* even where no short can pass that */
            refuse(choice, "below its fuse",
                   jv_size_model_say(m, "it carries %.0f A, less than its fuse \"%s\" of %g A",
                                     choice->carries_a, device->name, rating));
    }
}

jv_status jv_size_model_protect(jv_size_model *m) {
    hot_case *hot = jv_arena_alloc(m->arena, m->copy.n_cases + 1, sizeof *hot);
    jv_status status = hot ? gather_hot(m, hot) : JV_ERR_MEMORY;
    if (status == JV_OK)
        status = choose_fuses(m, hot);
    for (size_t r = 0; r < m->n_runs && status == JV_OK; r++) {
        status = heat_choices(m, r);
        if (status == JV_OK)
            guard_choices(m, r);
        if (status == JV_OK)
            status = jv_size_refuse_burning(m, r);
    }
    return status;
}
