/* truth.c - a random vehicle with a fault, as a person would meter it. SPDX-License-Identifier: MIT
 */
#include "truth.h"

#include "circuit/kinds.h"
#include "jackvolt/read.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

void truth_seed(truth_random *r, uint64_t seed) {
    /* splitmix64 step, so that neighbouring seeds differ everywhere */
    uint64_t z = seed + 0x9E3779B97F4A7C15u;
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    r->state = (z ^ (z >> 31)) | 1u;
}

double truth_uniform(truth_random *r) {
    r->state ^= r->state >> 12;
    r->state ^= r->state << 25;
    r->state ^= r->state >> 27;
    return (double)((r->state * 0x2545F4914F6CDD1Du) >> 11) * 0x1p-53;
}

double truth_normal(truth_random *r) {
    double u = truth_uniform(r), v = truth_uniform(r);
    return sqrt(-2.0 * log(u > 1e-300 ? u : 1e-300)) * cos(6.283185307179586 * v);
}

/* What the file states exactly varies too; figures as in the design of the trial (docs/trial.md).
 */
static double other(truth_random *r, const jv_part *p, const jv_key *key, double x, double spread) {
    double z = truth_normal(r) * spread;
    bool cable = p->kind == &jv_kind_cable || p->kind == &jv_kind_lead;
    if (strcmp(key->name, "open_circuit") == 0)
        return x + 0.06 * z;
    if (strcmp(key->name, "charge") == 0)
        return fmin(fmax(x + 0.08 * z, 0.05), 1.0);
    if (strcmp(key->name, "set_voltage") == 0)
        return x * (1.0 + 0.01 * z);
    if (cable && (key->dim == JV_DIM_LENGTH || key->dim == JV_DIM_RESISTANCE))
        return x * (1.0 + 0.03 * z);
    if (p->kind == &jv_kind_battery && key->dim == JV_DIM_RESISTANCE)
        return x * exp(0.15 * z);
    if (p->kind == &jv_kind_relay && strcmp(key->name, "resistance") != 0)
        return x;
    if (p->kind->is_motor || strcmp(key->name, "input_resistance") == 0)
        return x;
    if (key->dim == JV_DIM_RESISTANCE)
        return x * exp(0.3 * z);
    if (strcmp(key->name, "current") == 0 && key->dim == JV_DIM_CURRENT)
        return x * (1.0 + 0.08 * z);
    return x;
}

static void draw_values(truth *t, double spread) {
    jv_circuit *c = t->c;
    for (size_t i = 0; i < c->n_parts; i++)
        for (uint32_t k = 0; k < c->parts[i].n_slots; k++) {
            jv_slot *s = &c->slots[c->parts[i].first_slot + k];
            const jv_key *key = &c->parts[i].kind->keys[s->key];
            if (key->type != JV_KEY_QUANTITY && key->type != JV_KEY_POINTS)
                continue;
            if (s->value.spread != JV_EXACT)
                s->value.nominal = jv_value_at(&s->value, truth_normal(&t->random) * spread);
            else
                s->value.nominal = other(&t->random, &c->parts[i], key, s->value.nominal, spread);
        }
    double all = 1.0 + spread * 0.15 * (2.0 * truth_uniform(&t->random) - 1.0);
    double *own = jv_alloc(c->n_parts + 1, sizeof *own);
    if (!own)
        return;
    for (size_t i = 0; i < c->n_parts; i++)
        own[i] = all * (1.0 + 0.05 * spread * truth_normal(&t->random));
    for (size_t k = 0; k < c->n_cases; k++)
        for (size_t i = 0; i < c->cases[k].n_runs; i++) {
            jv_run *run = &c->cases[k].runs[i];
            double again = 1.0 + 0.02 * spread * truth_normal(&t->random);
            if (run->kind <= JV_LOAD_SHARE)
                run->value.nominal *= own[run->part] * again;
        }
    jv_free(own);
}

bool truth_make(truth *t, const char *file, const truth_style *style, uint64_t seed) {
    jv_diags d = {0};
    memset(t, 0, sizeof *t);
    truth_seed(&t->random, seed);
    bool ok = jv_circuit_read_file(file, NULL, &d, &t->c) == JV_OK;
    jv_diags_clear(&d);
    if (!ok)
        return false;
    draw_values(t, style->spread);
    t->meter = jv_meter_plain();
    t->scale_v = t->present = 1.0;
    t->wrong = style->wrong;
    t->gain_v = 1.0 + t->meter.volts.percent / 100.0 * (2.0 * truth_uniform(&t->random) - 1.0);
    t->gain_a = 1.0 + t->meter.amps.percent / 100.0 * (2.0 * truth_uniform(&t->random) - 1.0);
    t->gain_ohm = 1.0 + t->meter.ohms.percent / 100.0 * (2.0 * truth_uniform(&t->random) - 1.0);
    return true;
}

void truth_clear(truth *t) {
    jv_circuit_free(&t->c);
}

/* --- one operating point --- */

typedef struct solved {
    jv_net *net;
    jv_system *system;
    uint32_t *off;
    bool found;
} solved;

static void solved_clear(solved *s) {
    jv_system_free(&s->system);
    jv_net_free(&s->net);
    jv_free(s->off);
}

static jv_case case_of(truth *t, jv_setup setup, size_t loading, const size_t *off, size_t n_off,
                       solved *s) {
    jv_case k;
    size_t n = 0;
    memset(&k, 0, sizeof k);
    if (loading != JV_FIND_NONE)
        k = t->c->cases[loading];
    s->off = jv_alloc(k.n_off + n_off + t->c->n_parts + 1, sizeof *s->off);
    for (size_t i = 0; s->off && i < k.n_off; i++)
        s->off[n++] = k.off[i];
    for (size_t i = 0; s->off && i < n_off; i++)
        s->off[n++] = (uint32_t)off[i];
    for (size_t i = 0; s->off && setup == JV_SETUP_ISOLATED && i < t->c->n_parts; i++) {
        const jv_part_kind *kind = t->c->parts[i].kind;
        if (kind->is_source || kind == &jv_kind_sensor_supply || kind == &jv_kind_controller)
            s->off[n++] = (uint32_t)i;
    }
    k.off = s->off;
    k.n_off = n;
    return k;
}

/* Faults of this reading: an intermittent one may be away. */
static size_t present_faults(truth *t) {
    return t->present < 1.0 && truth_uniform(&t->random) > t->present ? 0 : t->n_faults;
}

/* Where it moves to and fro, a meter shows the middle of the two ends. */
static bool find_point(solved *s) {
    jv_point point;
    if (jv_point_find(s->system, false, &point) != JV_OK)
        return false;
    if (point.outcome != JV_POINT_CHATTERS)
        return point.outcome == JV_POINT_FOUND;
    size_t n = (size_t)s->system->n;
    double *end = jv_alloc(n, sizeof *end);
    if (!end)
        return false;
    memcpy(end, s->system->x, n * sizeof *end);
    bool found = jv_point_refine(s->system, &point) == JV_OK && point.outcome == JV_POINT_FOUND;
    for (size_t i = 0; i < n; i++)
        s->system->x[i] = 0.5 * (s->system->x[i] + end[i]);
    jv_free(end);
    return found;
}

static bool solve(truth *t, const jv_case *k, jv_setup setup, solved *s) {
    if (jv_net_build(t->c, k, t->fault, present_faults(t), &s->net) != JV_OK ||
        jv_system_new(s->net, &s->system) != JV_OK)
        return false;
    if (setup != JV_SETUP_ISOLATED)
        return find_point(s);
    for (size_t i = 0; i < s->net->n_elements; i++)
        s->net->elements[i].heat = NULL;
    jv_net_load(s->net, NULL);
    if (jv_system_anchor(s->system) != JV_OK)
        return false;
    jv_system_evaluate(s->system);
    return jv_lu_factor(s->system->lu, s->system->ax, true, NULL) == JV_OK;
}

bool truth_solve(truth *t, jv_setup setup, size_t loading, const size_t *off, size_t n_off,
                 truth_point *out) {
    solved s;
    memset(&s, 0, sizeof s);
    memset(out, 0, sizeof *out);
    jv_case k = case_of(t, setup, loading, off, n_off, &s);
    out->v = jv_zalloc(t->c->n_terminals + 1, sizeof *out->v);
    out->emf = jv_zalloc(t->c->n_parts + 1, sizeof *out->emf);
    out->found = out->v && out->emf && solve(t, &k, setup, &s);
    for (size_t i = 0; out->found && i < t->c->n_terminals; i++)
        out->v[i] = s.system->x[i];
    for (size_t i = 0; out->found && i < t->c->n_parts; i++) {
        const jv_part *p = &t->c->parts[i];
        out->emf[i] = NAN;
        if (!p->kind->is_motor || !jv_scene_run(&s.net->scene, p))
            continue;
        const jv_element *e = &s.net->elements[s.net->first[i]];
        double v = fabs(s.system->x[e->a] - s.system->x[e->b]);
        out->emf[i] = e->open ? 0.0 : fmax(v - fmin(v / e->r, e->limit) * e->r, 0.0);
    }
    solved_clear(&s);
    return out->found;
}

void truth_point_clear(truth_point *p) {
    jv_free(p->v);
    jv_free(p->emf);
}

/* --- one reading --- */

static bool joined(const solved *s, int32_t a, int32_t b) {
    size_t n = s->net->n_nodes;
    uint8_t *seen = jv_zalloc(n + 1, 1);
    if (!seen)
        return false;
    seen[a] = 1;
    for (bool moved = true; moved;) {
        moved = false;
        for (size_t k = 0; k < s->net->n_elements; k++) {
            const jv_element *e = &s->net->elements[k];
            if (e->open || seen[e->a] == seen[e->b])
                continue;
            seen[e->a] = seen[e->b] = 1;
            moved = true;
        }
    }
    bool yes = seen[b];
    jv_free(seen);
    return yes;
}

static double ohms_between(truth *t, solved *s, int32_t p, int32_t q) {
    double *x = s->system->x;
    if (!joined(s, p, q))
        return INFINITY;
    memset(x, 0, (size_t)s->system->n * sizeof *x);
    x[p] = t->meter.test_a;
    x[q] = -t->meter.test_a;
    if (jv_lu_solve(s->system->lu, x) != JV_OK)
        return INFINITY;
    return (x[p] - x[q]) / t->meter.test_a;
}

static double between(double low, double high, double u) {
    return low + (high - low) * u;
}

static double shown(truth *t, const jv_meter_range *r, double x) {
    double noise = r->counts * r->step * between(-1.0, 1.0, truth_uniform(&t->random));
    return round((x + noise) / r->step) * r->step;
}

/* Amps of the element that the engine's check clamps round: same part, same element number. */
static double clamp_amps(const jv_finder *f, const jv_find_check *c, const solved *s) {
    const jv_find_setup *y = &f->setups[c->setup];
    int32_t j = y->looks[c->look].index[0];
    for (size_t k = 0; k < y->net->n_elements; k++) {
        if (y->system->current[k] != j)
            continue;
        uint32_t part = y->net->elements[k].part;
        size_t own = k - y->net->first[part];
        size_t at = s->net->first[part] + own;
        return y->looks[c->look].weight[0] * s->system->x[s->system->current[at]];
    }
    return NAN;
}

static double exact(truth *t, const jv_finder *f, const jv_find_check *c, solved *s) {
    int32_t plus = (int32_t)c->view.plus, minus = (int32_t)c->view.minus;
    if (c->view.kind == JV_CHECK_AMPS)
        return clamp_amps(f, c, s);
    if (c->view.kind == JV_CHECK_OHMS)
        return ohms_between(t, s, plus, minus);
    return joined(s, plus, minus) ? s->system->x[plus] - s->system->x[minus] : 0.0;
}

static double metered(truth *t, const jv_find_check *c, double x) {
    const jv_meter *m = &t->meter;
    if (c->view.kind == JV_CHECK_AMPS)
        return shown(t, &m->amps, x * t->gain_a);
    if (c->view.kind == JV_CHECK_OHMS) {
        jv_meter_range r = m->ohms;
        double y = (x + m->lead_ohm) * t->gain_ohm;
        while (r.full_scale < y) { /* the next range */
            r.full_scale *= 10.0;
            r.step *= 10.0;
        }
        return fmax(shown(t, &r, y), 0.0);
    }
    double y = x * t->gain_v * t->scale_v;
    return shown(t, fabs(y) < m->millivolts.full_scale ? &m->millivolts : &m->volts, y);
}

static bool looks_bad(truth *t, size_t part) {
    double p = 0.08;
    for (size_t k = 0; k < t->n_faults; k++)
        if (t->fault[k].part == part &&
            (t->fault[k].way == JV_WAY_ADDED || t->fault[k].way == JV_WAY_OPEN ||
             t->fault[k].way == JV_WAY_HOT || t->fault[k].way == JV_WAY_LOOSE))
            p = 0.7;
    return truth_uniform(&t->random) < p;
}

bool truth_reading(truth *t, const jv_finder *f, size_t check, double *value, bool *over) {
    static const double most_v = 9.0, largest_ohm = 4e6;
    const jv_find_check *c = &f->checks[check];
    const jv_check *v = &c->view;
    solved s;
    memset(&s, 0, sizeof s);
    *over = false;
    if (v->kind == JV_CHECK_LOOK) {
        *value = looks_bad(t, v->part);
        return true;
    }
    size_t loading = v->setup == JV_SETUP_REST ? f->setups[f->rest].loading : v->loading;
    jv_case k = case_of(t, v->setup, loading, v->off, v->n_off, &s);
    bool found = s.off && solve(t, &k, v->setup, &s);
    if (found) {
        double x = exact(t, f, c, &s);
        *over = v->kind == JV_CHECK_OHMS && x > largest_ohm;
        *value = *over ? 0.0 : metered(t, c, x);
    } else {
        *value = 0.0;
    }
    if (v->kind == JV_CHECK_VOLTS && truth_uniform(&t->random) < t->wrong)
        *value += between(0.1, most_v, truth_uniform(&t->random)) *
                  (truth_uniform(&t->random) < 0.5 ? -1.0 : 1.0);
    solved_clear(&s);
    return found;
}
