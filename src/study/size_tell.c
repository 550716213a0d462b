/* size_tell.c - what a sizing comes to, in figures and words. SPDX-License-Identifier: MIT */
#include "study/size_work.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"
#include "circuit/parts/fuse.h"
#include "jackvolt/review.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

static const double rounding_v = 1e-9;

/* ---- runs ---- */

/* The watch that a pick keeps too seldom; NULL = none. */
static const char *why_seldom(jv_size_work *w, const size_t *pick) {
    const jv_size_model *m = &w->m;
    for (size_t i = 0; m->odds && i < m->odds->n; i++) {
        double holds, short_v;
        const jv_odds_row *row = &m->odds->rows[i];
        if (jv_size_odds_miss(m, pick, i, &holds, &short_v) == JV_OK && short_v > 0)
            return jv_size_say(
                w, "case \"%s\": \"%s\" holds in %.1f %% of the draws only, %.2f V short",
                m->copy.cases[row->loading].name, m->copy.watches[row->watch].name, 100 * holds,
                short_v);
    }
    return NULL;
}

/* Why the pick with one run moved does not hold; NULL = it holds. */
static const char *why_down(jv_size_work *w, size_t *pick, size_t run, const char **brief) {
    jv_size_model *m = &w->m;
    const jv_choice *down = &m->runs[run].list[pick[run] - 1];
    *brief = down->why_brief;
    if (down->why_not)
        return down->why_not;
    *brief = "under its feed";
    for (size_t feed = 0; feed < m->n_runs; feed++)
        if (m->runs[feed].back == run &&
            down->copper_mm2 < m->runs[feed].list[pick[feed]].copper_mm2 * 0.999)
            return jv_size_say(w, "a return has no less copper than its feed \"%s\"",
                               m->copy.parts[m->runs[feed].part].name);
    double least;
    size_t scene, limit;
    const char *why = NULL;
    *brief = NULL;
    pick[run]--;
    jv_size_put_all(w, pick);
    if (jv_size_solve(m, &least, &scene, &limit) == JV_OK && least < -rounding_v)
        why = jv_size_say(w, "case \"%s\": %s", m->copy.cases[m->scenes[scene].loading].name,
                          jv_size_limit_words(w, &m->scenes[scene], &m->scenes[scene].limits[limit],
                                              least));
    if (why)
        *brief = isfinite(least) ? jv_size_say(w, "%.2f V short", -least) : "nothing runs";
    if (!why && (why = why_seldom(w, pick)) != NULL)
        *brief = "holds too seldom";
    if (!why && (why = jv_size_first_short(w, pick)) != NULL)
        *brief = "a short burns it";
    pick[run]++;
    return why;
}

/* Measures of all watches in all scenes, in their order. */
static size_t watch_measures(jv_size_work *w, double *list) {
    jv_size_model *m = &w->m;
    size_t n = 0;
    for (size_t k = 0; k < m->n_scenes; k++)
        for (size_t i = 0; i < m->scenes[k].n; i++)
            if (m->scenes[k].limits[i].kind == JV_LIMIT_WATCH) {
                if (jv_size_measure(m, k, i, &list[n]) != JV_OK)
                    list[n] = NAN;
                n++;
            }
    return n;
}

/* Most volts that any watch gains as run r goes one size up. */
static double gained(jv_size_work *w, size_t run, size_t choice) {
    size_t room = 1;
    for (size_t k = 0; k < w->m.n_scenes; k++)
        room += w->m.scenes[k].n;
    double *list = jv_alloc(2 * room, sizeof *list), most = NAN;
    if (!list)
        return NAN;
    size_t n = watch_measures(w, list);
    jv_size_put(&w->m, run, choice);
    watch_measures(w, list + room);
    for (size_t i = 0; i < n; i++)
        most = fmax(most, list[room + i] - list[i]);
    jv_free(list);
    return most;
}

static void tell_neighbours(jv_size_work *w, size_t run, jv_size_run *out) {
    jv_size_model *m = &w->m;
    size_t *pick = w->found.pick, at = pick[run];
    const jv_choices *r = &m->runs[run];
    out->up_kg = out->up_v = NAN;
    if (at > 0) {
        out->has_down = true;
        out->down = r->list[at - 1].size;
        out->down_fails = why_down(w, pick, run, &out->down_brief);
    }
    if (at + 1 < r->n) {
        jv_size_put_all(w, pick);
        out->has_up = true;
        out->up = r->list[at + 1].size;
        out->up_kg = r->list[at + 1].mass_kg - r->list[at].mass_kg;
        out->up_v = gained(w, run, at + 1);
    }
    jv_size_put_all(w, pick);
}

static const char *text_of(const jv_circuit *c, const jv_part *p, const char *key) {
    const jv_slot *s = jv_part_named(c, p, key);
    return s ? s->text : NULL;
}

/* The stud that a contact names at this terminal; NULL = none does. */
static const char *stud_at(const jv_circuit *c, int32_t terminal) {
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        const jv_slot *stud = p->kind == &jv_kind_contact ? jv_part_named(c, p, "stud") : NULL;
        if (stud &&
            (jv_part_terminal(c, p, 0) == terminal || jv_part_terminal(c, p, 1) == terminal))
            return stud->text;
    }
    return NULL;
}

/* What the file says of its ends: of the cable, or of the contacts it lies at. NULL = nothing. */
static const char *terminals_of(jv_size_work *w, const jv_part *p) {
    const jv_circuit *c = w->m.given;
    const char *own = text_of(c, p, "terminals");
    const char *a = stud_at(c, jv_part_terminal(c, p, JV_CABLE_A));
    const char *b = stud_at(c, jv_part_terminal(c, p, JV_CABLE_B));
    if (own || (!a && !b))
        return own;
    return jv_size_say(w, "%s and %s", a ? a : "?", b ? b : "?");
}

static double was_mass(const jv_circuit *c, const jv_part *p, double length) {
    jv_conductor wire;
    return jv_cable_conductor(c, p, &wire) == JV_OK ? wire.mass_kg_per_m * length : NAN;
}

static jv_status tell_runs(jv_size_work *w) {
    jv_size_model *m = &w->m;
    jv_size_run *list = jv_arena_alloc(m->arena, m->n_runs + 1, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    w->result->cost = m->options->n_prices ? 0 : NAN;
    for (size_t r = 0; r < m->n_runs; r++) {
        const jv_choices *run = &m->runs[r];
        const jv_part *p = &m->given->parts[run->part];
        jv_size_run *out = &list[r];
        const jv_choice *choice = &run->list[w->found.pick[r]];
        out->name = p->name;
        out->part = run->part;
        jv_size_read(jv_part_slot(m->given, p, JV_CABLE_SIZE)->text, &out->was, NULL);
        out->size = choice->size;
        out->length_m = jv_part_slot(m->given, p, JV_CABLE_LENGTH)->value.nominal;
        out->mass_kg = choice->mass_kg;
        out->cost = m->options->n_prices ? choice->cost : NAN;
        out->current_a = run->watched ? run->watched->running_a : NAN;
        out->temp_c = choice->temp_c;
        out->carries_a = choice->carries_a;
        out->fuse = run->watched && run->watched->guard != UINT32_MAX
                        ? m->given->parts[run->watched->guard].name
                        : NULL;
        out->colour = text_of(m->given, p, "colour");
        out->terminals = terminals_of(w, p);
        w->result->copper_kg += choice->mass_kg;
        w->result->was_kg += was_mass(m->given, p, out->length_m);
        if (m->options->n_prices)
            w->result->cost += choice->cost;
        tell_neighbours(w, r, out);
    }
    w->result->runs = list;
    w->result->n_runs = m->n_runs;
    return JV_OK;
}

static jv_status tell_fuses(jv_size_work *w) {
    jv_size_model *m = &w->m;
    jv_size_fuse *list = jv_arena_alloc(m->arena, m->n_fuses + 1, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < m->n_fuses; i++) {
        const jv_fuse_choice *f = &m->fuses[i];
        list[i] =
            (jv_size_fuse){.name = m->given->parts[f->part].name,
                           .was_a = f->was_a,
                           .rating_a = f->rating_a,
                           .changed = f->changed,
                           .most_a = f->most_a,
                           .carries_a = INFINITY,
                           .note = f->restyled ? jv_size_say(w, "%s; now of style %s", f->note,
                                                             jv_fuse_style_name(f->style))
                                               : f->note};
        for (size_t k = 0; k < m->guards.n; k++) {
            const jv_cable_watched *c = &m->guards.cables[k];
            jv_guarded g;
            if (c->guard != f->part ||
                jv_guarded_of_part(&m->copy, &m->copy.parts[c->part], m->guards.hot_c, &g) != JV_OK)
                continue;
            if (m->copy.parts[c->part].kind == &jv_kind_cable) /* leads: a regulator limits them */
                list[i].carries_a = fmin(list[i].carries_a, jv_carries_a(&g));
        }
    }
    w->result->fuses = list;
    w->result->n_fuses = m->n_fuses;
    return JV_OK;
}

/* ---- watches ---- */

static double highest(const jv_bench *b, const jv_point *p, const void *watch) {
    return -jv_measure_watch(b, p, watch);
}

static jv_status before(const jv_size_work *w, size_t loading, const jv_watch *watch,
                        double *worst) {
    jv_bench *b = NULL;
    jv_bench_answer a;
    jv_bench_question q = {.measure = jv_measure_watch, .ctx = watch};
    jv_status status = jv_bench_open(w->m.given, &w->m.given->cases[loading], NULL, 0, &b);
    if (status == JV_OK)
        status = jv_bench_worst(b, &q, &a, NULL);
    if (status == JV_OK)
        *worst = a.worst;
    jv_bench_free(&b);
    return status;
}

static jv_status tell_watch(jv_size_work *w, size_t loading, const jv_watch *watch,
                            jv_size_watch *out) {
    jv_bench_answer low, high;
    double was = NAN;
    jv_bench_question up = {.measure = highest, .ctx = watch};
    jv_status status = jv_size_worst(w, loading, watch, &low);
    if (status == JV_OK)
        status = jv_bench_worst(w->m.benches[loading], &up, &high, NULL);
    if (status == JV_OK)
        status = before(w, loading, watch, &was);
    if (status != JV_OK)
        return status;
    double limit = fmax(watch->below.high, watch->below.nominal);
    *out = (jv_size_watch){.name = watch->name,
                           .loading = w->m.copy.cases[loading].name,
                           .limit_v = limit,
                           .worst_v = low.worst + limit,
                           .nominal_v = low.nominal + limit,
                           .best_v = limit - high.worst,
                           .before_v = isfinite(was) ? was + limit : NAN,
                           .proved = low.settled,
                           .holds = NAN,
                           .low95 = NAN,
                           .high95 = NAN};
    for (size_t i = 0; w->m.odds && i < w->m.odds->n; i++) {
        const jv_odds_row *row = &w->m.odds->rows[i];
        if (row->loading != loading || &w->m.copy.watches[row->watch] != watch)
            continue;
        out->holds = w->m.odds->found[i].holds;
        out->low95 = w->m.odds->found[i].low95;
        out->high95 = w->m.odds->found[i].high95;
    }
    return JV_OK;
}

static jv_status tell_watches(jv_size_work *w) {
    const jv_circuit *c = &w->m.copy;
    jv_size_watch *list = jv_arena_alloc(w->m.arena, c->n_cases * c->n_watches + 1, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < c->n_cases; k++)
        for (size_t i = 0; i < c->n_watches; i++) {
            if (!jv_watch_counts(&c->watches[i], c->cases[k].n_runs > 0))
                continue;
            jv_status status = tell_watch(w, k, &c->watches[i], &list[w->result->n_watches++]);
            if (status != JV_OK)
                return status;
        }
    w->result->watches = list;
    return JV_OK;
}

/* ---- changes and review ---- */

static jv_status tell_sets(jv_size_work *w) {
    jv_size_model *m = &w->m;
    const char **list = jv_arena_alloc(m->arena, 2 * (m->n_runs + m->n_fuses) + 1, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    size_t n = 0;
    for (size_t r = 0; r < m->n_runs; r++) {
        const jv_part *p = &m->given->parts[m->runs[r].part];
        const char *text = m->runs[r].list[w->found.pick[r]].text;
        if (w->found.pick[r] != m->runs[r].was)
            list[n++] = jv_size_say(w, "%s.size=%s", p->name, text);
        const jv_slot *was = jv_part_slot(m->given, p, JV_CABLE_METAL);
        const jv_slot *now = jv_part_slot(&m->copy, p, JV_CABLE_METAL);
        if (was && was->index != now->index)
            list[n++] = jv_size_say(w, "%s.metal=%s", p->name, jv_metal_name((jv_metal)now->index));
    }
    for (size_t i = 0; i < m->n_fuses; i++) {
        const jv_fuse_choice *f = &m->fuses[i];
        if (f->changed)
            list[n++] =
                jv_size_say(w, "%s.rating=%g A", m->given->parts[f->part].name, f->rating_a);
        if (f->restyled)
            list[n++] = jv_size_say(w, "%s.style=%s", m->given->parts[f->part].name,
                                    jv_fuse_style_name(f->style));
    }
    w->result->sets = list;
    w->result->n_sets = n;
    return JV_OK;
}

static jv_status tell_review(jv_size_work *w) {
    jv_review *r = NULL;
    jv_status status = jv_review_run(&w->m.copy, &r);
    if (status != JV_OK)
        return status;
    const char **still = jv_arena_alloc(w->m.arena, r->failed + 1, sizeof *still);
    if (!still)
        status = JV_ERR_MEMORY;
    for (size_t i = 0; still && i < r->n_rows; i++) {
        bool fails = r->rows[i].verdict == JV_RULE_FAIL;
        /* The review asks for the worst case, the user for less. */
        bool beyond = w->m.odds && strcmp(r->rows[i].rule->id, "watch-worst-case") == 0;
        w->result->beyond_odds += fails && beyond;
        if (fails && !beyond)
            still[w->result->n_still++] = jv_size_say(w, "%s at %s: %s", r->rows[i].rule->id,
                                                      r->rows[i].part, r->rows[i].reason);
    }
    w->result->still = still;
    w->result->review_failed = w->result->n_still;
    w->result->review_unknown = r->unknown;
    jv_review_free(&r);
    return status;
}

jv_status jv_size_tell(jv_size_work *w) {
    if (!w->result->possible)
        return jv_size_tell_misses(w);
    jv_size_put_all(w, w->found.pick);
    jv_status status = tell_runs(w);
    if (status == JV_OK)
        status = tell_fuses(w);
    if (status == JV_OK)
        status = tell_watches(w);
    if (status == JV_OK)
        status = tell_sets(w);
    if (status == JV_OK)
        status = tell_review(w);
    return status;
}
