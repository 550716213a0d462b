/* size_miss.c - why a sizing does not hold, in words. SPDX-License-Identifier: MIT */
#include "study/size_work.h"

#include "circuit/part_kind.h"

#include <math.h>
#include <string.h>

static const double rounding_v = 1e-9;
static const double worth_telling_v = 0.05; /* lost in one part */

const char *jv_size_say(jv_size_work *w, const char *format, ...) {
    jv_text t = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&t, format, args);
    va_end(args);
    const char *copy = t.failed ? NULL : jv_arena_copy(w->m.arena, jv_text_str(&t), t.length);
    jv_text_clear(&t);
    return copy ? copy : "not enough memory to say why";
}

/* A limit of a scene that a measure is below, in words. */
const char *jv_size_limit_words(jv_size_work *w, const jv_size_scene *s, const jv_limit *l,
                                double now) {
    const char *name = l->kind == JV_LIMIT_WATCH ? l->watch->name : "a load";
    bool motor = false;
    for (size_t k = 0; l->kind != JV_LIMIT_WATCH && k < w->m.copy.n_cases; k++) {
        if (!w->m.benches[k])
            continue;
        const jv_part *p = &w->m.copy.parts[w->m.benches[k]->net->elements[l->element].part];
        name = p->name;
        motor = p->kind->is_motor;
        break;
    }
    if (!isfinite(now))
        return "there is no operating point";
    if (l->kind == JV_LIMIT_WATCH)
        return jv_size_say(w, "\"%s\" is %.2f V short %s", name, -now,
                           s->ends ? "in its worst case" : "with nothing varied");
    if (l->kind == JV_LIMIT_DROP)
        return jv_size_say(w, "\"%s\" gets %.2f V less than the 10 %% drop budget leaves", name,
                           -now);
    return jv_size_say(w, "\"%s\" %s for want of %.2f V", name,
                       motor ? "stands still" : "does not get its current", -now);
}

/* The part that is no cable to size and loses most as a scene stands, and its volts: no size helps
 * there. NULL = none. */
static const char *loses_most(jv_size_work *w, const jv_size_scene *s, double *volts) {
    const jv_bench *b = w->m.benches[s->loading];
    const jv_net *net = b->net;
    size_t best = SIZE_MAX;
    *volts = 0;
    for (size_t p = 0; p < w->m.copy.n_parts; p++) {
        const jv_part_kind *kind = w->m.copy.parts[p].kind;
        bool sized = false;
        double sum = 0;
        for (size_t r = 0; r < w->m.n_runs; r++)
            sized = sized || w->m.runs[r].part == p;
        if (sized || !(kind->is_series || kind->is_source))
            continue;
        for (size_t e = net->first[p]; e < net->first[p + 1]; e++)
            if (net->elements[e].law == JV_SERIES && !net->elements[e].open)
                sum = fmax(sum, fabs(b->system->i_now[e] * net->elements[e].r));
        if (sum > *volts) {
            *volts = sum;
            best = p;
        }
    }
    return best == SIZE_MAX ? NULL : w->m.copy.parts[best].name;
}

/* Puts a scene at the largest sizes, so that its currents can be looked at. */
static bool stand_largest(jv_size_work *w, size_t scene) {
    double now;
    jv_size_put_all(w, NULL);
    return jv_size_measure(&w->m, scene, 0, &now) == JV_OK && isfinite(now);
}

static void add_miss(jv_size_work *w, jv_size_miss *list, const char *part, const char *loading,
                     const char *what) {
    list[w->result->n_misses++] = (jv_size_miss){part, loading, what};
}

/* Watches that even the largest sizes do not bring to the odds. */
static jv_status odds_misses(jv_size_work *w, jv_size_miss *list) {
    jv_size_model *m = &w->m;
    for (size_t i = 0; m->odds && i < m->odds->n; i++) {
        double holds, short_v;
        jv_status status = jv_size_odds_miss(m, NULL, i, &holds, &short_v);
        if (status != JV_OK)
            return status;
        const jv_odds_row *row = &m->odds->rows[i];
        if (short_v > 0)
            add_miss(
                w, list, m->copy.watches[row->watch].name, m->copy.cases[row->loading].name,
                jv_size_say(
                    w,
                    "with every cable at its largest it holds in %.1f %% of the draws, %g %% are "
                    "asked for: %.2f V short",
                    100 * holds, 100 * m->odds->share, short_v));
    }
    return JV_OK;
}

/* Does another scene of the same case miss the same limit by more (or, before it, by as much)? */
static bool told_better(const jv_size_model *m, size_t scene, const jv_limit *l) {
    for (size_t k = 0; k < m->n_scenes; k++)
        for (size_t i = 0; i < m->scenes[k].n; i++) {
            const jv_limit *o = &m->scenes[k].limits[i];
            if (k == scene || m->scenes[k].loading != m->scenes[scene].loading ||
                o->kind != l->kind)
                continue;
            bool same = l->kind == JV_LIMIT_WATCH ? o->watch == l->watch : o->element == l->element;
            if (same && (o->ref < l->ref || (o->ref == l->ref && k < scene)))
                return true;
        }
    return false;
}

/* Does this cut leave no choice at all? */
static bool rules_all_out(const jv_size_model *m, const jv_size_cut *cut) {
    bool all = !cut->only;
    for (size_t r = 0; r < m->n_runs; r++) {
        size_t least = 0, most = m->runs[r].n - 1, at = cut->choice[r];
        while (least < most && m->runs[r].list[least].why_not)
            least++;
        while (most > 0 && m->runs[r].list[most].why_not)
            most--;
        bool thin = cut->burns && r != cut->own;
        all = all && (at == SIZE_MAX || (thin ? at <= least : at >= most));
    }
    return all;
}

/* The choice that comes nearest to holding of those that a cut keeps out. */
static const size_t *nearest(jv_size_work *w, const jv_size_cut *cut) {
    for (size_t r = 0; r < w->m.n_runs; r++)
        w->whole[r] = cut->choice[r] == SIZE_MAX ? w->m.runs[r].n - 1 : cut->choice[r];
    return w->whole;
}

/* No limit by itself rules all choices out, but a short does, or the shorts together with the
 * limits: each cable's once, as near as it comes. */
static void cut_misses(jv_size_work *w, jv_size_miss *list) {
    const jv_size_model *m = &w->m;
    bool alone = false;
    for (size_t k = 0; k < w->n_cuts; k++)
        alone = alone || rules_all_out(m, &w->cuts[k]);
    for (size_t i = 0; i < m->guards.n; i++) {
        const char *words = NULL;
        for (size_t k = w->n_cuts; k-- > 0 && !words;) {
            const jv_size_cut *cut = &w->cuts[k];
            if (!cut->only && cut->cable == i && (!alone || rules_all_out(m, cut)))
                words = jv_size_short_at(w, nearest(w, cut), i);
        }
        if (words)
            add_miss(w, list, m->copy.parts[m->guards.cables[i].part].name, NULL,
                     alone
                         ? jv_size_say(w, "no choice of the others helps: %s", words)
                         : jv_size_say(w,
                                       "no choice that meets the other limits holds; as near as it "
                                       "comes: %s",
                                       words));
    }
    if (!w->result->n_misses)
        add_miss(w, list, "circuit", NULL,
                 "each limit can be met by itself, but no choice meets all of them");
}

jv_status jv_size_tell_misses(jv_size_work *w) {
    jv_size_model *m = &w->m;
    size_t room = m->n_runs + 2 + m->guards.n + (m->odds ? m->odds->n : 0);
    for (size_t k = 0; k < m->n_scenes; k++)
        room += m->scenes[k].n;
    jv_size_miss *list = jv_arena_alloc(m->arena, room, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    for (size_t r = 0; r < m->n_runs; r++) {
        const jv_choices *run = &m->runs[r];
        bool any = false;
        for (size_t c = 0; c < run->n; c++)
            any = any || !run->list[c].why_not;
        if (!any)
            add_miss(w, list, m->copy.parts[run->part].name, NULL,
                     jv_size_say(w, "no size holds; of the largest, %s: %s",
                                 run->list[run->n - 1].text, run->list[run->n - 1].why_not));
    }
    jv_size_put_all(w, NULL);
    for (size_t k = 0; k < m->n_scenes; k++)
        for (size_t i = 0; i < m->scenes[k].n; i++) {
            const jv_limit *l = &m->scenes[k].limits[i];
            const char *loading = m->copy.cases[m->scenes[k].loading].name;
            if (l->ref >= -rounding_v || told_better(m, k, l))
                continue;
            const char *what = jv_size_say(w, "with every cable at its largest %s",
                                           jv_size_limit_words(w, &m->scenes[k], l, l->ref));
            double volts = 0;
            const char *part = stand_largest(w, k) ? loses_most(w, &m->scenes[k], &volts) : NULL;
            if (part && volts >= worth_telling_v)
                what = jv_size_say(w, "%s; no cable helps with the %.2f V that go into \"%s\"",
                                   what, volts, part);
            const char *name = l->kind == JV_LIMIT_WATCH ? l->watch->name : "motors";
            add_miss(w, list, name, loading, what);
        }
    if (odds_misses(w, list) != JV_OK)
        return JV_ERR_MEMORY;
    if (!w->result->n_misses && w->result->unproved) {
        add_miss(w, list, "circuit", NULL, w->result->unproved);
    } else if (!w->result->n_misses) {
        cut_misses(w, list);
    }
    w->result->misses = list;
    return JV_OK;
}
