/* bench.c - one case of a circuit with its spreads movable. SPDX-License-Identifier: MIT */
#include "study/bench.h"

#include "study/watch.h"

#include <math.h>
#include <string.h>

static bool has_spread(const jv_value *v) {
    return v->spread != JV_EXACT && v->high > v->low;
}

static bool is_quantity(const jv_circuit *c, const jv_part *p, const jv_slot *s) {
    (void)c;
    jv_key_type type = p->kind->keys[s->key].type;
    return type == JV_KEY_QUANTITY || type == JV_KEY_POINTS;
}

/* The knob that turns slots of this key and tag already; n when there is none. */
static size_t shared_knob(const jv_bench *b, const jv_part *p, const jv_slot *s) {
    for (size_t i = 0; p->with && i < b->n_knobs; i++) {
        const jv_knob *k = &b->knobs[i];
        if (k->kind == JV_KNOB_SLOT && k->tag && strcmp(k->tag, p->with) == 0 &&
            b->c->slots[k->index].key == s->key)
            return i;
    }
    return b->n_knobs;
}

static void add_knob(jv_bench *b, jv_knob_kind kind, size_t index, const char *tag,
                     const jv_value *v) {
    if (!has_spread(v))
        return;
    b->knobs[b->n_knobs++] =
        (jv_knob){.kind = kind, .index = (uint32_t)index, .tag = tag, .value = *v};
}

static void gather_knobs(jv_bench *b) {
    for (size_t i = 0; i < b->c->n_parts; i++) {
        const jv_part *p = &b->c->parts[i];
        for (uint32_t k = 0; k < p->n_slots; k++) {
            const jv_slot *s = &b->c->slots[p->first_slot + k];
            if (is_quantity(b->c, p, s) && shared_knob(b, p, s) == b->n_knobs)
                add_knob(b, JV_KNOB_SLOT, p->first_slot + k, p->with, &s->value);
        }
    }
    add_knob(b, JV_KNOB_AMBIENT, 0, NULL,
             b->given->has_ambient ? &b->given->ambient : &b->c->ambient);
    if (b->given->has_charge)
        add_knob(b, JV_KNOB_CHARGE, 0, NULL, &b->given->charge);
    for (size_t i = 0; i < b->given->n_runs; i++)
        add_knob(b, JV_KNOB_RUN, i, NULL, &b->given->runs[i].value);
}

static double end_of(const jv_value *v, int end) {
    if (end == 0)
        return v->nominal;
    return end < 0 ? v->low : v->high;
}

/* Slots that share the tag take the same end of their own spreads. */
static void turn_slots(jv_bench *b, const jv_knob *k, int end) {
    const jv_circuit *c = b->c;
    if (!k->tag) {
        b->x[k->index] = end_of(&c->slots[k->index].value, end);
        return;
    }
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        if (!p->with || strcmp(p->with, k->tag) != 0)
            continue;
        for (uint32_t s = p->first_slot; s < p->first_slot + p->n_slots; s++)
            if (c->slots[s].key == c->slots[k->index].key && is_quantity(c, p, &c->slots[s]))
                b->x[s] = end_of(&c->slots[s].value, end);
    }
}

void jv_bench_turn(jv_bench *b, size_t knob, int end) {
    jv_knob *k = &b->knobs[knob];
    k->end = end;
    double value = end_of(&k->value, end);
    switch (k->kind) {
    case JV_KNOB_SLOT:
        turn_slots(b, k, end);
        break;
    case JV_KNOB_AMBIENT:
        b->net->scene.ambient_c = value;
        break;
    case JV_KNOB_CHARGE:
        b->loading.charge.nominal = value;
        break;
    case JV_KNOB_RUN:
        b->loading.runs[k->index].value.nominal = value;
        break;
    }
}

void jv_bench_turn_all(jv_bench *b, int end) {
    for (size_t i = 0; i < b->n_knobs; i++)
        jv_bench_turn(b, i, end);
}

jv_status jv_bench_open(const jv_circuit *c, const jv_case *given, const jv_fault *faults,
                        size_t n_faults, jv_bench **out) {
    jv_bench *b = jv_zalloc(1, sizeof *b);
    if (!b)
        return JV_ERR_MEMORY;
    b->c = c;
    b->given = given;
    b->loading = *given;
    b->loading.runs = jv_zalloc(given->n_runs + 1, sizeof *b->loading.runs);
    b->x = jv_zalloc(c->n_slots + 1, sizeof *b->x);
    b->knobs = jv_zalloc(c->n_slots + given->n_runs + 2, sizeof *b->knobs);
    jv_status status = b->loading.runs && b->x && b->knobs ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK) {
        if (given->n_runs)
            memcpy(b->loading.runs, given->runs, given->n_runs * sizeof *given->runs);
        for (size_t i = 0; i < c->n_slots; i++)
            b->x[i] = c->slots[i].value.nominal;
        gather_knobs(b);
        status = jv_net_build(c, &b->loading, faults, n_faults, &b->net);
    }
    if (status == JV_OK)
        status = jv_system_new(b->net, &b->system);
    if (status != JV_OK) {
        jv_bench_free(&b);
        return status;
    }
    *out = b;
    return JV_OK;
}

void jv_bench_free(jv_bench **bench) {
    if (!bench || !*bench)
        return;
    jv_bench *b = *bench;
    jv_system_free(&b->system);
    jv_net_free(&b->net);
    jv_free(b->loading.runs);
    jv_free(b->x);
    jv_free(b->knobs);
    jv_free(b);
    *bench = NULL;
}

bool jv_case_holds_fast(const jv_case *k) {
    for (size_t i = 0; i < k->n_runs; i++)
        if (k->runs[i].kind == JV_LOAD_STALLED)
            return true;
    return false;
}

void jv_bench_load(jv_bench *b) {
    for (size_t i = 0; i < b->net->n_elements; i++)
        b->net->elements[i].state = 0;
    jv_net_load(b->net, b->x);
}

bool jv_point_is_answer(const jv_point *p) {
    return p->outcome == JV_POINT_FOUND || p->outcome == JV_POINT_CANNOT_DELIVER;
}

jv_status jv_bench_find(jv_bench *b, jv_point *out) {
    b->solves++;
    jv_status status = jv_point_find(b->system, false, out);
    if (status == JV_ERR_UNSOLVED) {
        out->outcome = JV_POINT_NOT_FOUND;
        status = JV_OK;
    }
    return status;
}

double jv_measure_watch(const jv_bench *b, const jv_point *p, const void *watch) {
    const jv_watch *w = watch;
    return jv_watch_seen(&b->net->scene, w, p->v) - fmax(w->below.high, w->below.nominal);
}

/* Loads and ambient at their high ends: what heats most. */
void jv_bench_turn_hot(jv_bench *b) {
    jv_bench_turn_all(b, 0);
    for (size_t i = 0; i < b->n_knobs; i++) {
        const jv_knob *k = &b->knobs[i];
        if (k->kind == JV_KNOB_RUN || k->kind == JV_KNOB_AMBIENT)
            jv_bench_turn(b, i, 1);
        if (k->kind != JV_KNOB_SLOT)
            continue;
        size_t part = 0;
        while (part + 1 < b->c->n_parts && b->c->parts[part + 1].first_slot <= k->index)
            part++;
        const jv_part_kind *kind = b->c->parts[part].kind;
        jv_dim dim = kind->keys[b->c->slots[k->index].key].dim;
        if (!kind->is_source &&
            (dim == JV_DIM_CURRENT || dim == JV_DIM_POWER || dim == JV_DIM_TEMPERATURE))
            jv_bench_turn(b, i, 1);
    }
}

/* ---- worst case ---- */

enum { SWEEPS = 5 };

static jv_status ask(jv_bench *b, const jv_bench_question *q, double *out, jv_point *at) {
    jv_point p;
    jv_bench_load(b);
    if (q->prepare)
        q->prepare(b, q->prepare_ctx);
    jv_status status = jv_bench_find(b, &p);
    *out = -INFINITY;
    if (status == JV_OK && jv_point_is_answer(&p))
        *out = q->measure(b, &p, q->ctx);
    if (at)
        *at = p;
    return status;
}

/* Turn one knob to its worse end. *now follows; *bent is told when its middle is worse. */
static jv_status turn_worse(jv_bench *b, const jv_bench_question *q, size_t knob, double *now,
                            bool *moved, bool *bent, bool *idle) {
    static const double same = 1e-9; /* V, A or K: rounding */
    const int was = b->knobs[knob].end;
    double value[3] = {*now, *now, *now};
    jv_status status = JV_OK;
    for (int end = -1; end <= 1 && status == JV_OK; end++) {
        if (end == was)
            continue;
        jv_bench_turn(b, knob, end);
        status = ask(b, q, &value[end + 1], NULL);
    }
    int worse = value[0] < value[2] - same ? -1 : 1;
    if (fabs(value[0] - value[2]) <= same && was != 0)
        worse = was;
    *idle = fabs(value[0] - value[1]) <= same && fabs(value[2] - value[1]) <= same;
    *bent = *bent || value[1] < value[worse + 1] - same;
    *moved = *moved || (worse != was && was != 0) || value[worse + 1] < *now - same;
    jv_bench_turn(b, knob, worse);
    *now = value[worse + 1];
    return status;
}

jv_status jv_bench_worst(jv_bench *b, const jv_bench_question *q, jv_bench_answer *out,
                         jv_point *at) {
    bool moved = true, bent = false;
    bool *idle = jv_zalloc(b->n_knobs + 1, sizeof *idle);
    if (!idle)
        return JV_ERR_MEMORY;
    jv_bench_turn_all(b, 0);
    jv_status status = ask(b, q, &out->nominal, at);
    out->worst = out->nominal;
    for (int sweep = 0; sweep < SWEEPS && moved && status == JV_OK && isfinite(out->worst);
         sweep++) {
        moved = bent = false;
        for (size_t i = 0; i < b->n_knobs && status == JV_OK && isfinite(out->worst); i++)
            if (!idle[i]) /* what moved nothing at first is let alone */
                status = turn_worse(b, q, i, &out->worst, &moved, &bent, &idle[i]);
    }
    jv_free(idle);
    out->settled = !moved && !bent;
    if (status == JV_OK)
        status = ask(b, q, &out->worst, at);
    return status;
}
