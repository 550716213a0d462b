/* scatter.c - worst case and odds over the spreads. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L
#include "study/scatter.h"

#include "circuit/fault.h"
#include "study/draws.h"
#include "study/watch.h"
#include "study/worst.h"

#include <math.h>
#include <string.h>
#include <unistd.h>

typedef struct jv_scatter_work {
    jv_scatter_owner *owner;
    const jv_scatter_options *options;
    const jv_case *loading;
    const jv_fault *faults;
    size_t n_faults;
    jv_spreads spreads;
    jv_trial nominal;
    jv_moves moves;
    jv_lane_width width;
    size_t *counted; /* watches that count in this case */
    size_t n_counted;
} jv_scatter_work;

/* Least margin of the watches that count in a case, everything nominal; infinity when none
 * does. */
static jv_status case_margin(const jv_circuit *c, const jv_case *k, const jv_fault *faults,
                             size_t n_faults, double *margin) {
    jv_net *net = NULL;
    jv_system *system = NULL;
    jv_point point;
    *margin = INFINITY;
    jv_status status = jv_net_build(c, k, faults, n_faults, &net);
    if (status == JV_OK)
        status = jv_system_new(net, &system);
    if (status == JV_OK)
        status = jv_point_first(system, &point);
    if (status == JV_ERR_UNSOLVED)
        status = JV_OK;
    else if (status == JV_OK && point.outcome <= JV_POINT_CANNOT_DELIVER)
        for (size_t w = 0; w < c->n_watches; w++)
            if (jv_watch_counts(&c->watches[w], k->n_runs > 0))
                *margin = fmin(*margin, jv_watch_seen(&net->scene, &c->watches[w], point.v) -
                                            c->watches[w].below.nominal);
    jv_system_free(&system);
    jv_net_free(&net);
    return status;
}

static jv_status choose_case(jv_scatter_work *w, const jv_circuit *c) {
    const char *name = w->options->case_name;
    if (name) {
        size_t index = jv_circuit_find_case(c, name);
        if (index == c->n_cases)
            return JV_ERR_UNKNOWN;
        w->loading = &c->cases[index];
        return JV_OK;
    }
    double least = INFINITY;
    bool any_runs = false;
    for (size_t k = 0; k < c->n_cases; k++)
        any_runs = any_runs || c->cases[k].n_runs;
    w->loading = &c->cases[0];
    for (size_t k = 0; k < c->n_cases; k++) {
        double margin;
        if (any_runs && !c->cases[k].n_runs)
            continue;
        jv_status status = case_margin(c, &c->cases[k], w->faults, w->n_faults, &margin);
        if (status != JV_OK)
            return status;
        if (margin < least) {
            least = margin;
            w->loading = &c->cases[k];
        }
    }
    return JV_OK;
}

static const char *keep(jv_arena *arena, const char *text) {
    return text ? jv_arena_copy(arena, text, strlen(text)) : NULL;
}

static jv_status list_watches(jv_scatter_work *w, const jv_circuit *c) {
    jv_scatter_owner *o = w->owner;
    bool running = w->loading->n_runs > 0;
    o->watches = jv_arena_alloc(&o->arena, c->n_watches + 1, sizeof *o->watches);
    w->counted = jv_arena_alloc(&o->arena, c->n_watches + 1, sizeof *w->counted);
    if (!o->watches || !w->counted)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < c->n_watches; k++) {
        jv_scatter_watch *out = &o->watches[k];
        out->name = keep(&o->arena, c->watches[k].name);
        out->limit_v = c->watches[k].below.nominal;
        out->assumed = c->watches[k].assumed;
        out->basis = keep(&o->arena, c->watches[k].basis);
        out->counts = jv_watch_counts(&c->watches[k], running);
        if (!out->name || (c->watches[k].basis && !out->basis))
            return JV_ERR_MEMORY;
        if (out->counts)
            w->counted[w->n_counted++] = k;
    }
    o->result.watches = o->watches;
    o->result.n_watches = c->n_watches;
    return JV_OK;
}

static jv_status list_quantities(jv_scatter_work *w) {
    jv_scatter_owner *o = w->owner;
    o->quantities = jv_arena_alloc(&o->arena, w->spreads.n + 1, sizeof *o->quantities);
    if (!o->quantities)
        return JV_ERR_MEMORY;
    for (size_t q = 0; q < w->spreads.n; q++) {
        o->quantities[q] = w->spreads.list[q].shown;
        o->quantities[q].name = keep(&o->arena, w->spreads.list[q].shown.name);
        if (!o->quantities[q].name)
            return JV_ERR_MEMORY;
    }
    o->result.quantities = o->quantities;
    o->result.n_quantities = w->spreads.n;
    return JV_OK;
}

static jv_status find_worst(jv_scatter_work *w) {
    jv_status status = JV_OK;
    for (size_t i = 0; i < w->n_counted && status == JV_OK; i++) {
        size_t k = w->counted[i];
        jv_scatter_watch *out = &w->owner->watches[k];
        out->nominal_v = w->nominal.nominal_seen[k];
        out->worst.seen_v = out->worst.margin_v = NAN;
        if (!w->options->no_worst)
            status = jv_worst_find(&w->nominal, k, w->options->seed, &w->owner->arena, &out->worst);
    }
    return status;
}

static unsigned threads_of(const jv_scatter_options *options) {
    enum { MOST = 1024 };
    if (options->threads)
        return options->threads < MOST ? options->threads : MOST;
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n > 0 && n < MOST ? (unsigned)n : 1;
}

static jv_status draw(jv_scatter_work *w) {
    jv_scatter *out = &w->owner->result;
    const jv_scatter_options *o = w->options;
    jv_draws draws = {.spreads = &w->spreads,
                      .faults = w->faults,
                      .n_faults = w->n_faults,
                      .nominal = &w->nominal,
                      .moves = &w->moves,
                      .watches = w->counted,
                      .n_watches = w->n_counted,
                      .one_at_a_time = o->one_at_a_time,
                      .width = w->width};
    jv_sample_plan plan = {.draws = out->asked,
                           .seed = out->seed,
                           .threads = threads_of(o),
                           .slice = out->slice,
                           .of = out->of,
                           .width = w->width,
                           .go_on = o->go_on,
                           .ctx = o->ctx};
    jv_status status = jv_tally_make(w->spreads.n, w->n_counted, &w->owner->tally);
    if (status == JV_OK)
        status = jv_moves_find(&w->nominal, &w->moves);
    jv_response response = jv_draws_response(&draws);
    if (status == JV_OK)
        status = jv_sample_run(&response, &plan, &w->owner->tally, &out->interrupted);
    return status;
}

jv_status jv_scatter_conclude(jv_scatter_owner *o) {
    jv_scatter *s = &o->result;
    size_t next = 0;
    s->draws = o->tally.draws;
    s->scalar = o->tally.scalar;
    for (size_t k = 0; k < s->n_watches; k++) {
        jv_scatter_watch *w = &o->watches[k];
        if (!w->counts)
            continue;
        double *shares = jv_arena_alloc(&o->arena, s->n_quantities + 1, sizeof *shares);
        if (!shares)
            return JV_ERR_MEMORY;
        jv_tally_figures(&o->tally, next++, shares, w);
        if (w->trips || w->unsolved || w->worst.margin_v < 0.0)
            s->finding = true;
    }
    return JV_OK;
}

/* --- which study this is --- */

static void hash_bytes(uint64_t *h, const void *bytes, size_t n) {
    const unsigned char *b = bytes;
    for (size_t k = 0; k < n; k++) {
        *h ^= b[k]; /* NOLINT(clang-analyzer-core.uninitialized.Assign): all are set */
        *h *= UINT64_C(1099511628211);
    }
}

static void hash_value(uint64_t *h, const jv_value *v) {
    const double numbers[] = {v->nominal, v->low, v->high, (double)v->spread};
    hash_bytes(h, numbers, sizeof numbers);
}

/* FNV-1a over all values, texts, faults and the case: slices of other circuits, other --set or
 * other --fault do not join by mistake. */
static uint64_t study_of(const jv_scatter_work *w) {
    const jv_circuit *c = w->spreads.circuit;
    uint64_t h = UINT64_C(14695981039346656037);
    for (size_t k = 0; k < c->n_slots; k++) {
        hash_value(&h, &c->slots[k].value);
        hash_bytes(&h, &c->slots[k].index, sizeof c->slots[k].index);
        hash_bytes(&h, &c->slots[k].second, sizeof c->slots[k].second);
        if (c->slots[k].text)
            hash_bytes(&h, c->slots[k].text, strlen(c->slots[k].text));
    }
    for (size_t k = 0; k < c->n_parts; k++)
        hash_bytes(&h, c->parts[k].name, strlen(c->parts[k].name) + 1);
    for (size_t k = 0; k < w->n_faults; k++) {
        jv_text words = {0};
        jv_fault_print(&words, c, &w->faults[k]);
        hash_bytes(&h, jv_text_str(&words), words.length);
        jv_text_clear(&words);
    }
    hash_bytes(&h, w->loading->name, strlen(w->loading->name));
    hash_value(&h, &w->loading->run_for);
    hash_bytes(&h, &w->loading->pause_s, sizeof w->loading->pause_s);
    hash_bytes(&h, &w->loading->repeats, sizeof w->loading->repeats);
    hash_value(&h, &c->ambient);
    hash_value(&h, &w->loading->ambient);
    hash_value(&h, &w->loading->charge);
    for (size_t k = 0; k < w->loading->n_runs; k++)
        hash_value(&h, &w->loading->runs[k].value);
    return h;
}

static jv_status run(jv_scatter_work *w, const jv_circuit *c) {
    jv_scatter_owner *o = w->owner;
    if (w->options->faults)
        w->faults = jv_faults_list(w->options->faults, &w->n_faults);
    jv_status status = choose_case(w, c);
    if (status == JV_OK)
        status = jv_spreads_find(c, w->loading, &w->spreads);
    if (status != JV_OK)
        return status;
    o->study = study_of(w);
    o->result.circuit = keep(&o->arena, c->name ? c->name : "");
    o->result.case_name = keep(&o->arena, w->loading->name);
    o->result.running = w->loading->n_runs > 0;
    if (!o->result.circuit || !o->result.case_name)
        return JV_ERR_MEMORY;
    status = list_watches(w, c);
    if (status == JV_OK)
        status = list_quantities(w);
    if (status == JV_OK)
        status = jv_trial_make(&w->spreads, w->faults, w->n_faults, NULL, &w->nominal);
    if (status == JV_OK)
        status = find_worst(w);
    if (status == JV_OK)
        status = draw(w);
    if (status == JV_OK)
        status = jv_scatter_conclude(o);
    return status;
}

/* False: this machine has none so wide. */
static bool width_of(unsigned bits, jv_lane_width *out) {
    static const unsigned widths[] = {128, 256, 512};
    *out = jv_lane_widest();
    for (unsigned k = 0; k < sizeof widths / sizeof widths[0]; k++)
        if (bits == widths[k]) {
            *out = (jv_lane_width)k;
            return jv_lane_has(*out);
        }
    return bits == 0;
}

jv_status jv_scatter_run(const jv_circuit *c, const jv_scatter_options *options, jv_scatter **out) {
    static const jv_scatter_options usual = {0};
    if (!options)
        options = &usual;
    jv_lane_width width;
    if (options->draws > JV_SCATTER_MOST || options->slice > options->of ||
        (options->of && !options->slice) || !width_of(options->registers, &width))
        return JV_ERR_RANGE;
    jv_scatter_owner *owner = jv_zalloc(1, sizeof *owner);
    if (!owner)
        return JV_ERR_MEMORY;
    jv_scatter_work w = {.owner = owner, .options = options, .width = width};
    jv_scatter *result = &owner->result;
    result->seed = options->seed;
    result->asked = options->draws ? options->draws : JV_SCATTER_DRAWS;
    result->slice = options->of ? options->slice : 1;
    result->of = options->of ? options->of : 1;
    jv_status status = run(&w, c);
    jv_moves_clear(&w.moves);
    jv_trial_clear(&w.nominal);
    jv_spreads_clear(&w.spreads);
    if (status != JV_OK) {
        jv_scatter_free(&result);
        return status;
    }
    *out = result;
    return JV_OK;
}

void jv_scatter_free(jv_scatter **scatter) {
    if (!scatter || !*scatter)
        return;
    jv_scatter_owner *owner = (jv_scatter_owner *)*scatter;
    jv_tally_clear(&owner->tally);
    jv_arena_clear(&owner->arena);
    jv_free(owner);
    *scatter = NULL;
}
