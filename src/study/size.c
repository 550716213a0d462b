/* size.c - the least copper that holds: search, worst corners, shorts. SPDX-License-Identifier: MIT
 */
#include "jackvolt/size.h"

#include "study/size_work.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

typedef struct jv_sizing_owner {
    jv_sizing result; /* first: the public pointer is the owner's */
    jv_arena arena;
} jv_sizing_owner;

static const double rounding_v = 1e-9;
/* Predicted and solved measures may differ by this, V; more means that currents moved. */
static const double linear_v = 1e-5;
enum { MOST_ROUNDS = 400 }; /* of corners and cuts, together */

void jv_size_put_all(jv_size_work *w, const size_t *pick) {
    for (size_t r = 0; r < w->m.n_runs; r++)
        jv_size_put(&w->m, r, pick ? pick[r] : w->m.runs[r].n - 1);
}

/* The worst corner of a watch in a case with what stands in the copy; the knobs stay there. */
jv_status jv_size_worst(jv_size_work *w, size_t loading, const jv_watch *watch,
                        jv_bench_answer *out) {
    jv_size_model *m = &w->m;
    jv_status status = JV_OK;
    if (!m->benches[loading])
        status = jv_bench_open(&m->copy, &m->copy.cases[loading], NULL, 0, &m->benches[loading]);
    jv_bench_question q = {.measure = jv_measure_watch, .ctx = watch};
    if (status == JV_OK)
        status = jv_bench_worst(m->benches[loading], &q, out, NULL);
    return status;
}

static jv_status add_corner(jv_size_work *w, size_t loading) {
    const jv_bench *b = w->m.benches[loading];
    int8_t *ends = jv_alloc(b->n_knobs + 1, sizeof *ends);
    if (!ends)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < b->n_knobs; i++)
        ends[i] = (int8_t)b->knobs[i].end;
    jv_status status = jv_size_add_scene(&w->m, loading, ends);
    jv_free(ends);
    return status;
}

/* Corners of every watch at what stands in the copy; those below zero (or all) become scenes. */
static jv_status corners(jv_size_work *w, const size_t *pick, bool all, bool *added) {
    const jv_circuit *c = &w->m.copy;
    *added = false;
    for (size_t k = 0; k < c->n_cases; k++)
        for (size_t i = 0; i < c->n_watches; i++) {
            jv_bench_answer a;
            if (!jv_watch_counts(&c->watches[i], c->cases[k].n_runs > 0))
                continue;
            jv_size_put_all(w, pick);
            jv_status status = jv_size_worst(w, k, &c->watches[i], &a);
            if (status == JV_OK && (all || a.worst < -rounding_v)) {
                *added = true;
                status = add_corner(w, k);
            }
            if (status != JV_OK)
                return status;
        }
    jv_size_put_all(w, pick);
    return JV_OK;
}

/* ---- shorts ---- */

/* Conductors start as warm as their run makes them. */
static void warm_guards(jv_size_work *w, const size_t *pick) {
    for (size_t r = 0; r < w->m.n_runs; r++)
        for (size_t i = 0; i < w->m.guards.n; i++)
            if (w->m.guards.cables[i].part == w->m.runs[r].part)
                w->m.guards.cables[i].running_c = w->m.runs[r].list[pick[r]].temp_c;
}

static jv_status short_at(jv_size_work *w, const size_t *pick, size_t cable, uint8_t *heated,
                          jv_size_short *out) {
    jv_size_put_all(w, pick);
    warm_guards(w, pick);
    return jv_size_short_of(&w->m, &w->m.guards.cables[cable], heated, out);
}

/* A trial may name no size for runs beside the way: they stand at their largest. */
static jv_status fails_mixed(jv_size_work *w, const size_t *trial, const jv_size_cut *cut,
                             bool *fails) {
    jv_size_short now;
    for (size_t r = 0; r < w->m.n_runs; r++)
        w->whole[r] = trial[r] == SIZE_MAX ? w->m.runs[r].n - 1 : trial[r];
    jv_status status = short_at(w, w->whole, cut->cable, NULL, &now);
    *fails = now == (cut->burns ? JV_SHORT_BURNS : JV_SHORT_FADES);
    return status;
}

/* The widest cut that this short still justifies: each run on its way as thick as it may be
 * and still fail; of one that is too strong, the others as thin as they may be. */
static jv_status widen(jv_size_work *w, const jv_size_cut *cut, const uint8_t *heated) {
    for (size_t r = 0; r < w->m.n_runs; r++) {
        size_t *at = &cut->choice[r];
        bool fails = true, thinner = cut->burns && r != cut->own;
        if (!heated[w->m.runs[r].part]) {
            *at = SIZE_MAX;
            continue;
        }
        while (fails && (thinner ? *at > 0 : *at + 1 < w->m.runs[r].n)) {
            size_t was = *at;
            *at = thinner ? was - 1 : was + 1;
            jv_status status = fails_mixed(w, cut->choice, cut, &fails);
            if (status != JV_OK)
                return status;
            if (!fails)
                *at = was;
        }
    }
    return JV_OK;
}

/* Room for one more cut, its choices those of the pick. */
static size_t *new_cut(jv_size_work *w, const size_t *pick) {
    size_t *choice = jv_arena_alloc(w->m.arena, w->m.n_runs + 1, sizeof *choice);
    if (!choice)
        return NULL;
    if (w->n_cuts == w->cut_room) {
        size_t wanted = w->cut_room ? 2 * w->cut_room : 16;
        jv_size_cut *moved = jv_arena_alloc(w->m.arena, wanted, sizeof *moved);
        if (!moved)
            return NULL;
        if (w->n_cuts)
            memcpy(moved, w->cuts, w->n_cuts * sizeof *moved);
        w->cuts = moved;
        w->cut_room = wanted;
    }
    memcpy(choice, pick, w->m.n_runs * sizeof *choice);
    w->cuts[w->n_cuts++] = (jv_size_cut){.choice = choice};
    return choice;
}

static jv_status add_cut(jv_size_work *w, const size_t *pick, size_t cable, bool burns,
                         const uint8_t *heated) {
    if (!new_cut(w, pick))
        return JV_ERR_MEMORY;
    jv_size_cut *cut = &w->cuts[w->n_cuts - 1];
    cut->cable = cable;
    cut->burns = burns;
    for (cut->own = 0; cut->own < w->m.n_runs; cut->own++)
        if (w->m.runs[cut->own].part == w->m.guards.cables[cable].part)
            break;
    return widen(w, cut, heated);
}

/* Every cable's short at the pick; the first that fails becomes a cut. */
static jv_status cut_shorts(jv_size_work *w, const size_t *pick, bool *added) {
    *added = false;
    uint8_t *heated = jv_alloc(w->m.copy.n_parts + 1, 1);
    jv_status status = heated ? JV_OK : JV_ERR_MEMORY;
    for (size_t i = 0; i < w->m.guards.n && status == JV_OK && !*added; i++) {
        jv_size_short now;
        memset(heated, 0, w->m.copy.n_parts + 1);
        status = short_at(w, pick, i, heated, &now);
        bool sized = false;
        for (size_t r = 0; r < w->m.n_runs; r++)
            sized = sized || heated[w->m.runs[r].part];
        if (status == JV_OK && now == JV_SHORT_UNKNOWN && !w->unclear)
            w->unclear = w->m.copy.parts[w->m.guards.cables[i].part].name;
        if (status != JV_OK || now == JV_SHORT_HOLDS || now == JV_SHORT_UNKNOWN || !sized)
            continue;
        *added = true;
        status = add_cut(w, pick, i, now == JV_SHORT_BURNS, heated);
    }
    jv_size_put_all(w, pick);
    jv_free(heated);
    return status;
}

const char *jv_size_short_at(jv_size_work *w, const size_t *pick, size_t cable) {
    const char *words = NULL;
    jv_size_put_all(w, pick);
    warm_guards(w, pick);
    jv_status status = jv_size_short_words(&w->m, &w->m.guards.cables[cable], &words);
    w->short_of_memory |= status == JV_ERR_MEMORY;
    return status == JV_OK ? words : NULL;
}

const char *jv_size_first_short(jv_size_work *w, const size_t *pick) {
    const char *words = NULL;
    for (size_t i = 0; i < w->m.guards.n && !words && !w->short_of_memory; i++)
        words = jv_size_short_at(w, pick, i);
    return words;
}

/* ---- the rounds ---- */

static jv_status search(jv_size_work *w) {
    w->found.nodes = 0;
    if (w->m.linear || w->m.odds) /* of draws there are sums alone, and a check by other draws */
        return jv_size_search(&w->m, w->cuts, w->n_cuts, &w->found);
    return jv_size_search_solving(&w->m, w->cuts, w->n_cuts, &w->found, &w->exact);
}

/* Do the sums say what the equations say? *holds: by the equations. */
static jv_status check_linear(jv_size_work *w, bool *same, bool *holds) {
    double least;
    size_t scene, limit;
    jv_size_put_all(w, w->found.pick);
    jv_status status = jv_size_solve(&w->m, &least, &scene, &limit);
    *same = least >= -linear_v - 2 * w->m.slack_v;
    *holds = least >= -rounding_v;
    return status;
}

/* This one choice is out. */
static jv_status cut_this(jv_size_work *w, bool *again) {
    if (!new_cut(w, w->found.pick))
        return JV_ERR_MEMORY;
    w->cuts[w->n_cuts - 1].only = true;
    *again = true;
    return JV_OK;
}

/* Does the choice hold by the equations, at nominal values and in other draws? */
static jv_status check_odds(jv_size_work *w, bool *again) {
    bool same, holds;
    jv_status status = check_linear(w, &same, &holds);
    if (status != JV_OK)
        return status;
    if (!same)
        w->m.linear = false;
    if (holds)
        status = jv_size_odds_check(w, &holds);
    if (status == JV_OK && !holds)
        status = cut_this(w, again);
    return status;
}

static jv_status one_round(jv_size_work *w, bool *again) {
    jv_status status = search(w);
    *again = false;
    w->nodes += w->found.nodes;
    if (status != JV_OK || !w->found.any)
        return status;
    if (w->m.odds) {
        status = check_odds(w, again);
        if (status == JV_OK && !*again)
            status = cut_shorts(w, w->found.pick, again);
        return status;
    }
    if (w->m.linear) {
        bool same, holds;
        status = check_linear(w, &same, &holds);
        if (status != JV_OK || !same) {
            w->m.linear = false;
            *again = true;
            return status;
        }
        if (!holds) /* within the slack: this one does not */
            return cut_this(w, again);
    }
    status = corners(w, w->found.pick, false, again);
    if (status == JV_OK && !*again)
        status = cut_shorts(w, w->found.pick, again);
    return status;
}

static jv_status run_rounds(jv_size_work *w) {
    jv_status status = JV_OK;
    bool again, added;
    for (size_t k = 0; k < w->m.copy.n_cases && status == JV_OK; k++)
        status = jv_size_add_scene(&w->m, k, NULL);
    if (status == JV_OK && w->m.options->odds > 0)
        status = jv_size_odds_make(&w->m);
    else if (status == JV_OK)
        status = corners(w, NULL, true, &added);
    again = status == JV_OK;
    for (w->rounds = 0; again && w->rounds < MOST_ROUNDS; w->rounds++) {
        status = one_round(w, &again);
        again = again && status == JV_OK;
    }
    w->ended = !again;
    return status;
}

/* Same sizes in every run that the cut looks at? */
static bool same_way(const jv_size_work *w, const jv_size_doubt *a, const jv_size_doubt *b) {
    if (w->cuts[a->cut].cable != w->cuts[b->cut].cable)
        return false;
    for (size_t r = 0; r < w->m.n_runs; r++)
        if (w->cuts[a->cut].choice[r] != SIZE_MAX && a->pick[r] != b->pick[r])
            return false;
    return true;
}

/* Try every cheaper choice that a cut kept out: does its short fail indeed? */
static jv_status try_doubts(jv_size_work *w, bool *all_fail) {
    const jv_size_found *f = &w->found;
    *all_fail = f->n_doubts <= JV_SIZE_DOUBTS;
    for (size_t i = 0; *all_fail && i < f->n_doubts; i++) {
        const jv_size_doubt *d = &f->doubts[i];
        bool known = d->cost >= f->cost;
        for (size_t k = 0; k < i && !known; k++)
            known = f->doubts[k].cost < f->cost && same_way(w, &f->doubts[k], d);
        if (known)
            continue;
        jv_size_short now;
        jv_status status = short_at(w, d->pick, w->cuts[d->cut].cable, NULL, &now);
        *all_fail = now == JV_SHORT_FADES || now == JV_SHORT_BURNS;
        if (status != JV_OK)
            return status;
    }
    return JV_OK;
}

/* Currents hang on the sizes, so that "thicker is never worse" has led the search: then every
 * cheaper choice is tried too, where they are not too many. One that holds takes its place. */
static jv_status try_cheaper(jv_size_work *w) {
    jv_size_found *f = &w->found;
    size_t n = w->m.n_runs;
    size_t *best = jv_arena_alloc(w->m.arena, n + 1, sizeof *best);
    double cost = f->cost;
    bool again = true;
    jv_status status = best ? JV_OK : JV_ERR_MEMORY;
    if (best)
        memcpy(best, f->pick, n * sizeof *best);
    for (; again && status == JV_OK && w->rounds < MOST_ROUNDS; w->rounds++) {
        static const double cheaper = 1 - 1e-12;
        status = jv_size_search_below(&w->m, w->cuts, w->n_cuts, cost * cheaper, f);
        w->nodes += f->nodes;
        again = f->any && f->complete;
        w->exact = f->complete && !f->any;
        if (status != JV_OK || !again)
            break;
        bool added;
        status = corners(w, f->pick, false, &added);
        if (status == JV_OK && !added)
            status = cut_shorts(w, f->pick, &added);
        if (status == JV_OK && !added) {
            cost = f->cost;
            memcpy(best, f->pick, n * sizeof *best);
        }
    }
    if (status == JV_OK)
        memcpy(f->pick, best, n * sizeof *best);
    f->any = true;
    f->cost = cost;
    return status;
}

/* In plain words, why the answer is not proved the least. NULL = it is. */
static const char *why_unproved(jv_size_work *w) {
    const jv_size_found *f = &w->found;
    if (w->unclear)
        return jv_size_say(w,
                           "a short of \"%s\" finds no operating point, so that it is not known "
                           "whether its fuse opens in time",
                           w->unclear);
    if (!w->ended)
        return jv_size_say(w, "the search stopped after %d rounds of worst cases and shorts",
                           MOST_ROUNDS);
    if (!w->m.linear && w->m.odds)
        return "currents hang on the sizes here (a mesh, a load of fixed ohms or power, a relay), "
               "so "
               "that the sums of the search are close, not exact";
    if (!w->m.linear && !w->exact)
        return jv_size_say(
            w,
            "currents hang on the sizes here (a mesh, a load of fixed ohms or power, a "
            "relay), and the cheaper choices are too many to try: the search stopped "
            "after %zu of them",
            f->nodes - 1);
    if (w->m.linear && !f->complete)
        return jv_size_say(w, "the search stopped at its limit of %zu choices", f->nodes - 1);
    if (!w->doubts_fail)
        return "a cheaper choice was left out because a short burns a thicker one, and not all "
               "such "
               "were tried";
    return NULL;
}

static jv_size_proof proof_of(const jv_size_work *w) {
    if (!w->found.any || !w->ended)
        return JV_SIZE_NONE;
    bool exact = w->m.linear || (w->exact && !w->m.odds);
    return exact && w->found.complete && w->doubts_fail && !w->unclear ? JV_SIZE_PROVED
                                                                       : JV_SIZE_MONOTONE;
}

static bool room_for_doubts(jv_size_work *w) {
    jv_size_doubt *d = jv_arena_alloc(w->m.arena, JV_SIZE_DOUBTS, sizeof *d);
    size_t *picks = jv_arena_alloc(w->m.arena, JV_SIZE_DOUBTS * (w->m.n_runs + 1), sizeof *picks);
    if (!d || !picks)
        return false;
    for (size_t i = 0; i < JV_SIZE_DOUBTS; i++)
        d[i].pick = picks + i * (w->m.n_runs + 1);
    w->found.doubts = d;
    return true;
}

jv_status jv_size_find(const jv_circuit *c, const jv_size_options *options, jv_diags *diags,
                       jv_sizing **out) {
    static const jv_size_options usual = {0};
    static const double least_odds = 0.5 - 1e-9, most_odds = 0.999 + 1e-9; /* rounding */
    if (options && options->odds != 0 &&
        !(options->odds >= least_odds && options->odds <= most_odds))
        return JV_ERR_RANGE;
    jv_sizing_owner *owner = jv_zalloc(1, sizeof *owner);
    if (!owner)
        return JV_ERR_MEMORY;
    jv_sizing *result = &owner->result;
    jv_size_work w = {.result = result};
    jv_status status =
        jv_size_model_make(c, options ? options : &usual, &owner->arena, diags, &w.m);
    if (status == JV_OK)
        status = jv_size_model_protect(&w.m);
    if (status == JV_OK) {
        w.found.pick = jv_arena_alloc(&owner->arena, w.m.n_runs + 1, sizeof *w.found.pick);
        w.whole = jv_arena_alloc(&owner->arena, w.m.n_runs + 1, sizeof *w.whole);
        status = w.found.pick && w.whole && room_for_doubts(&w) ? run_rounds(&w) : JV_ERR_MEMORY;
    }
    if (status == JV_OK && w.found.any && w.ended && !w.m.linear && !w.m.odds && !w.exact)
        status = try_cheaper(&w);
    if (status == JV_OK && w.found.any)
        status = try_doubts(&w, &w.doubts_fail);
    if (status == JV_OK) {
        result->circuit = c;
        result->possible = w.found.any && w.ended;
        result->proof = proof_of(&w);
        bool sure = result->proof == JV_SIZE_PROVED ||
                    (!w.found.any && w.ended && w.found.complete && (w.m.linear || w.exact));
        result->unproved = sure ? NULL : why_unproved(&w);
        result->nodes = w.nodes;
        if (w.m.odds) {
            result->odds = w.m.odds->share;
            result->searched = w.m.odds->draws;
            result->draws = w.m.odds->checked;
        }
        status = jv_size_tell(&w);
        if (w.short_of_memory)
            status = JV_ERR_MEMORY;
    }
    jv_size_model_clear(&w.m);
    if (status != JV_OK) {
        jv_sizing_free(&result);
        return status;
    }
    *out = result;
    return JV_OK;
}

void jv_sizing_free(jv_sizing **sizing) {
    if (!sizing || !*sizing)
        return;
    jv_sizing_owner *owner = (jv_sizing_owner *)*sizing;
    jv_arena_clear(&owner->arena);
    jv_free(owner);
    *sizing = NULL;
}
