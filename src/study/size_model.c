/* size_model.c - a sizing as choices, costs and linear constraints. SPDX-License-Identifier: MIT */
#include "study/size_model.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

/* Copper that ohms amount to: 17.241 ohm mm2/km, IEC 60028. */
static const double copper_ohm_mm2_m = 17.241e-3;

const char *jv_size_model_say(jv_size_model *m, const char *format, ...) {
    jv_text t = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&t, format, args);
    va_end(args);
    const char *copy = t.failed ? NULL : jv_arena_copy(m->arena, jv_text_str(&t), t.length);
    jv_text_clear(&t);
    return copy ? copy : "not enough memory to say why";
}

static bool is_run(const jv_circuit *c, const jv_part *p) {
    return p->kind == &jv_kind_cable && jv_part_has(c, p, JV_CABLE_SIZE) &&
           jv_part_has(c, p, JV_CABLE_LENGTH);
}

static bool is_wanted(const jv_circuit *c, const jv_part *p, const jv_size_options *o) {
    if (!is_run(c, p))
        return false;
    for (size_t i = 0; i < o->n_resize; i++)
        if (strcmp(o->resize[i], p->name) == 0)
            return true;
    return !o->resize;
}

jv_status jv_size_check_names(const jv_circuit *c, const jv_size_options *o, jv_diags *d) {
    jv_status status = JV_OK;
    for (size_t i = 0; i < o->n_resize; i++) {
        int32_t part = jv_circuit_find_part(c, o->resize[i]);
        if (part >= 0 && is_run(c, &c->parts[part]))
            continue;
        status = JV_ERR_UNKNOWN;
        jv_diag_add(d, JV_ERROR, JV_CODE_OPTION_CHOICE, NULL,
                    "Name cables that the file gives by size and length.",
                    "\"%s\" is no cable that can be resized", o->resize[i]);
    }
    return status;
}

/* ---- choices ---- */

static double price_of(const jv_size_options *o, const jv_size *size) {
    for (size_t i = 0; i < o->n_prices; i++) {
        const jv_size *s = &o->prices[i].size;
        if (s->system == size->system && s->gauge == size->gauge &&
            fabs(s->area_mm2 - size->area_mm2) < 1e-9)
            return o->prices[i].per_m;
    }
    return NAN;
}

static bool same_size(const jv_size *a, const jv_size *b) {
    return a->system == b->system && a->gauge == b->gauge && fabs(a->area_mm2 - b->area_mm2) < 1e-9;
}

/* Clad and plain aluminium are replaced by copper: the list of rules fails them. */
static jv_metal metal_of(const jv_circuit *c, const jv_part *p) {
    int metal = jv_part_word(c, p, JV_CABLE_METAL, JV_METAL_COPPER);
    return metal == JV_METAL_TINNED_COPPER ? JV_METAL_TINNED_COPPER : JV_METAL_COPPER;
}

static jv_status fill_choices(jv_size_model *m, jv_choices *run) {
    const jv_circuit *c = &m->copy;
    const jv_part *p = &c->parts[run->part];
    jv_size was;
    if (jv_size_read(run->slot->text, &was, NULL) != JV_OK)
        return JV_ERR_UNKNOWN;
    size_t n;
    const jv_size *sizes =
        jv_table_sizes(m->options->other_basis ? m->options->basis : was.system, &n);
    double length = jv_part_slot(c, p, JV_CABLE_LENGTH)->value.nominal;
    run->list = jv_arena_alloc(m->arena, n + 1, sizeof *run->list);
    if (!run->list)
        return JV_ERR_MEMORY;
    run->was = SIZE_MAX;
    for (size_t i = 0; i < n; i++) {
        jv_conductor wire;
        jv_choice choice = {.size = sizes[i], .temp_c = NAN, .carries_a = NAN};
        /* A size whose copper is from memory may not be chosen. */
        if (jv_conductor_make(&sizes[i], metal_of(c, p), &wire) != JV_OK ||
            wire.confidence == JV_WEAK)
            continue;
        choice.mass_kg = wire.mass_kg_per_m * length;
        choice.copper_mm2 = copper_ohm_mm2_m / wire.r20_ohm_per_m;
        choice.cost =
            m->options->n_prices ? price_of(m->options, &sizes[i]) * length : choice.mass_kg;
        if (isnan(choice.cost))
            continue;
        jv_text text = {0};
        jv_size_print(&text, &sizes[i]);
        choice.text = text.failed ? NULL : jv_arena_copy(m->arena, jv_text_str(&text), text.length);
        jv_text_clear(&text);
        if (!choice.text)
            return JV_ERR_MEMORY;
        if (same_size(&sizes[i], &was))
            run->was = run->n;
        run->list[run->n++] = choice;
    }
    if (run->was == SIZE_MAX)
        run->was = run->n;
    return run->n ? JV_OK : JV_ERR_INPUT;
}

void jv_size_put(jv_size_model *m, size_t run, size_t choice) {
    const jv_choice *c = &m->runs[run].list[choice];
    jv_slot *slot = m->runs[run].slot;
    slot->text = c->text;
    slot->index = (int32_t)c->size.system;
    slot->second = c->size.gauge;
    slot->value = jv_value_exact(c->size.area_mm2);
}

static void put_largest(jv_size_model *m) {
    for (size_t r = 0; r < m->n_runs; r++)
        jv_size_put(m, r, m->runs[r].n - 1);
}

static jv_slot *slot_in_copy(jv_size_model *m, const jv_slot *slot) {
    return slot ? &m->copy.slots[slot - m->copy.slots] : NULL;
}

static jv_status gather_runs(jv_size_model *m, jv_diags *d) {
    jv_circuit *c = &m->copy;
    m->runs = jv_arena_alloc(m->arena, c->n_parts + 1, sizeof *m->runs);
    m->first = jv_arena_alloc(m->arena, c->n_parts + 2, sizeof *m->first);
    if (!m->runs || !m->first)
        return JV_ERR_MEMORY;
    for (uint32_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        if (!is_wanted(c, p, m->options))
            continue;
        jv_choices *run = &m->runs[m->n_runs];
        run->part = i;
        run->slot = slot_in_copy(m, jv_part_slot(c, p, JV_CABLE_SIZE));
        jv_status status = fill_choices(m, run);
        if (status == JV_ERR_INPUT)
            jv_diag_add(d, JV_ERROR, JV_CODE_OPTION_CHOICE, NULL,
                        "Add the sizes of its system to the price list.",
                        "the price list has no size for cable \"%s\"", p->name);
        if (status != JV_OK)
            return status;
        jv_slot *metal = slot_in_copy(m, jv_part_slot(c, p, JV_CABLE_METAL));
        if (metal)
            metal->index = (int32_t)metal_of(c, p);
        m->first[m->n_runs + 1] = m->first[m->n_runs] + run->n;
        m->n_runs++;
    }
    return JV_OK;
}

/* What guards each run, and which run returns what another one feeds. */
void jv_size_model_tie(jv_size_model *m) {
    for (size_t r = 0; r < m->n_runs; r++) {
        jv_choices *run = &m->runs[r];
        run->watched = jv_guards_of(&m->guards, run->part);
        run->back = m->n_runs;
        if (!run->watched || run->watched->on_return)
            continue;
        for (size_t k = 0; k < m->n_runs; k++)
            if (m->runs[k].part == run->watched->mate)
                run->back = k;
    }
}

jv_status jv_size_model_make(const jv_circuit *c, const jv_size_options *options, jv_arena *arena,
                             jv_diags *diags, jv_size_model *m) {
    m->given = c;
    m->copy = *c;
    m->arena = arena;
    m->options = options;
    m->linear = true;
    m->copy.slots = jv_arena_alloc(arena, c->n_slots + 1, sizeof *m->copy.slots);
    m->benches = jv_arena_alloc(arena, c->n_cases + 1, sizeof *m->benches);
    if (!m->copy.slots || !m->benches)
        return JV_ERR_MEMORY;
    memcpy(m->copy.slots, c->slots, c->n_slots * sizeof *c->slots);
    jv_status status = jv_size_check_names(c, options, diags);
    if (status == JV_OK)
        status = gather_runs(m, diags);
    if (status != JV_OK)
        return status;
    put_largest(m);
    status = jv_guards_find(&m->copy, arena, &m->guards);
    if (status == JV_OK)
        jv_size_model_tie(m);
    return status;
}

void jv_size_model_clear(jv_size_model *m) {
    for (size_t k = 0; m->benches && k < m->given->n_cases; k++)
        jv_bench_free(&m->benches[k]);
}

/* ---- scenes ---- */

static double measure(const jv_size_model *m, const jv_bench *b, const jv_point *p,
                      const jv_limit *l) {
    const jv_element *e = &b->net->elements[l->element];
    double volts;
    if (l->kind == JV_LIMIT_WATCH)
        return jv_measure_watch(b, p, l->watch);
    volts = fabs(p->v[e->a] - p->v[e->b]);
    if (l->kind ==
        JV_LIMIT_STALL) /* a motor turns while V > I R (theory M3), a load keeps its current */
        return volts - e->limit * e->r;
    const jv_part *source = &m->copy.parts[l->source];
    double supply =
        p->v[jv_part_terminal(&m->copy, source, 0)] - p->v[jv_part_terminal(&m->copy, source, 1)];
    jv_rule rule;
    static const double usual_percent = 10; /* ABYC E-11, other circuits */
    double percent = jv_table_rule("ABYC-08b", &rule) == JV_OK ? rule.value : usual_percent;
    return volts - (1 - percent / 100) * supply;
}

/* Asks for a current of its own: a motor that turns, a steady load. */
static bool asks(const jv_bench *b, uint32_t k) {
    const jv_element *e = &b->net->elements[k];
    return e->law == JV_SINK && !e->open && e->limit > 0 && isfinite(e->limit);
}

/* The source that delivers most. */
static uint32_t main_source(const jv_bench *b, const jv_point *p) {
    uint32_t best = UINT32_MAX;
    double most = 0;
    for (uint32_t k = 0; k < b->net->n_elements; k++) {
        uint32_t part = b->net->elements[k].part;
        if (b->c->parts[part].kind->is_source && -p->i[k] > most) {
            most = -p->i[k];
            best = part;
        }
    }
    return best;
}

static jv_status gather_limits(jv_size_model *m, jv_size_scene *s, const jv_bench *b,
                               const jv_point *p, bool budget) {
    const jv_case *k = &m->copy.cases[s->loading];
    s->limits = jv_arena_alloc(m->arena, m->copy.n_watches + b->net->n_elements + k->n_runs + 1,
                               sizeof *s->limits);
    if (!s->limits)
        return JV_ERR_MEMORY;
    for (size_t w = 0; w < m->copy.n_watches; w++)
        if (jv_watch_counts(&m->copy.watches[w], k->n_runs > 0))
            s->limits[s->n++] = (jv_limit){.kind = JV_LIMIT_WATCH, .watch = &m->copy.watches[w]};
    uint32_t source = main_source(b, p);
    for (uint32_t e = 0; e < b->net->n_elements; e++) {
        const jv_limit keeps = {.kind = JV_LIMIT_STALL, .element = e};
        if (!asks(b, e))
            continue;
        bool motor = b->c->parts[b->net->elements[e].part].kind->is_motor;
        /* What does not get its current with the thickest cables is no matter of the cables,
         * unless it is a motor. */
        if (motor || measure(m, b, p, &keeps) > 0)
            s->limits[s->n++] = keeps;
        if (motor && budget && source != UINT32_MAX)
            s->limits[s->n++] = (jv_limit){.kind = JV_LIMIT_DROP, .element = e, .source = source};
    }
    for (size_t i = 0; i < s->n; i++) {
        s->limits[i].ref = measure(m, b, p, &s->limits[i]);
        s->limits[i].delta =
            jv_arena_alloc(m->arena, m->first[m->n_runs] + 1, sizeof *s->limits[i].delta);
        if (!s->limits[i].delta)
            return JV_ERR_MEMORY;
    }
    return JV_OK;
}

static jv_status stand(jv_size_model *m, const jv_size_scene *s, jv_bench **bench, jv_point *p) {
    jv_bench *b = m->benches[s->loading];
    *bench = b;
    for (size_t i = 0; i < b->n_knobs; i++)
        jv_bench_turn(b, i, s->ends ? s->ends[i] : 0);
    jv_bench_load(b);
    return jv_bench_find(b, p);
}

/* Stands for no operating point among the deltas, V: finite, so that sums stay numbers. */
static const double no_answer_v = -1e6;

/* Do the currents stand as they were? A motor that starves draws less: that choice is out for
 * another reason, and told by its stall limit. */
static bool currents_stand(jv_size_model *m, const jv_size_scene *s, const jv_bench *b,
                           const jv_point *p, const double *ref_a, const double *now) {
    static const double share = 1e-6;
    /* Sensors draw some mA more or less as grounds shift: that is told by the slack. */
    static const double small_share = 1e-3, small_a = 2e-3, small_slack_v = 5e-3;
    double most = 0;
    for (uint32_t k = 0; k < b->net->n_elements; k++)
        most = fmax(most, fabs(ref_a[k]));
    for (size_t i = 0; i < s->n; i++)
        if (s->limits[i].kind == JV_LIMIT_STALL && now[i] <= 0)
            return true;
    for (uint32_t k = 0; k < b->net->n_elements; k++) {
        double moved = fabs(p->i[k] - ref_a[k]);
        if (moved > small_share * most + small_a)
            return false;
        if (moved > share * (1 + fabs(ref_a[k])))
            m->slack_v = small_slack_v;
    }
    return true;
}

static jv_status fill_deltas(jv_size_model *m, jv_size_scene *s, const double *ref_a, double *now) {
    for (size_t r = 0; r < m->n_runs; r++) {
        size_t largest = m->runs[r].n - 1;
        for (size_t c = 0; c < largest; c++) {
            jv_bench *b;
            jv_point p;
            jv_size_put(m, r, c);
            jv_status status = stand(m, s, &b, &p);
            if (status != JV_OK)
                return status;
            bool answer = jv_point_is_answer(&p);
            for (size_t i = 0; i < s->n; i++)
                now[i] = answer ? measure(m, b, &p, &s->limits[i]) : no_answer_v;
            for (size_t i = 0; i < s->n; i++)
                s->limits[i].delta[m->first[r] + c] = now[i] - s->limits[i].ref;
            if (answer && !currents_stand(m, s, b, &p, ref_a, now))
                m->linear = false;
        }
        jv_size_put(m, r, largest);
    }
    return JV_OK;
}

static jv_size_scene *room_for_scene(jv_size_model *m) {
    enum { FIRST = 16 };
    if (m->n_scenes == m->room) {
        size_t wanted = m->room ? 2 * m->room : FIRST;
        jv_size_scene *moved = jv_arena_alloc(m->arena, wanted, sizeof *moved);
        if (!moved)
            return NULL;
        if (m->n_scenes)
            memcpy(moved, m->scenes, m->n_scenes * sizeof *moved);
        m->scenes = moved;
        m->room = wanted;
    }
    return &m->scenes[m->n_scenes];
}

jv_status jv_size_add_scene(jv_size_model *m, size_t loading, const int8_t *ends) {
    jv_size_scene *s = room_for_scene(m);
    if (!s)
        return JV_ERR_MEMORY;
    jv_status status = JV_OK;
    if (!m->benches[loading])
        status = jv_bench_open(&m->copy, &m->copy.cases[loading], NULL, 0, &m->benches[loading]);
    if (status != JV_OK)
        return status;
    jv_bench *b = m->benches[loading];
    memset(s, 0, sizeof *s);
    s->loading = loading;
    if (ends) {
        s->ends = jv_arena_alloc(m->arena, b->n_knobs + 1, sizeof *s->ends);
        if (!s->ends)
            return JV_ERR_MEMORY;
        memcpy(s->ends, ends, b->n_knobs * sizeof *ends);
    }
    jv_point p;
    put_largest(m);
    status = stand(m, s, &b, &p);
    if (status != JV_OK)
        return status;
    m->n_scenes++;
    status = gather_limits(m, s, b, &p, !ends && !m->options->no_budget);
    if (!jv_point_is_answer(&p))
        for (size_t i = 0; i < s->n; i++)
            s->limits[i].ref = -INFINITY;
    double *ref_a = jv_alloc(b->net->n_elements + 1, sizeof *ref_a);
    double *now = jv_alloc(s->n + 1, sizeof *now);
    if (!ref_a || !now)
        status = JV_ERR_MEMORY;
    if (status == JV_OK && jv_point_is_answer(&p)) {
        memcpy(ref_a, p.i, b->net->n_elements * sizeof *ref_a);
        status = fill_deltas(m, s, ref_a, now);
    }
    jv_free(ref_a);
    jv_free(now);
    return status;
}

jv_status jv_size_solve(jv_size_model *m, double *least, size_t *scene, size_t *limit) {
    *least = INFINITY;
    *scene = *limit = 0;
    for (size_t k = 0; k < m->n_scenes; k++) {
        jv_size_scene *s = &m->scenes[k];
        jv_bench *b;
        jv_point p;
        jv_status status = stand(m, s, &b, &p);
        if (status != JV_OK)
            return status;
        for (size_t i = 0; i < s->n; i++) {
            double now = jv_point_is_answer(&p) ? measure(m, b, &p, &s->limits[i]) : -INFINITY;
            if (now < *least) {
                *least = now;
                *scene = k;
                *limit = i;
            }
        }
    }
    return JV_OK;
}

jv_status jv_size_measure(jv_size_model *m, size_t scene, size_t limit, double *now) {
    jv_bench *b;
    jv_point p;
    jv_status status = stand(m, &m->scenes[scene], &b, &p);
    *now = -INFINITY;
    if (status == JV_OK && jv_point_is_answer(&p))
        *now = measure(m, b, &p, &m->scenes[scene].limits[limit]);
    return status;
}
