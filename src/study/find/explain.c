/* explain.c - what each piece of evidence did to one suspect; the circuit as found.
 * SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include "circuit/kinds.h"

#include <math.h>
#include <string.h>

/* Odds are kept off 0 and 1 by this, so that bits stay finite. */
static const double floor_p = 1e-9;

static double log_odds(double p) {
    double q = fmin(fmax(p, floor_p), 1.0 - floor_p);
    return log2(q / (1.0 - q));
}

static double odds_of(const jv_finder *f, size_t suspect) {
    return f->part_odds[f->c->n_parts + suspect];
}

jv_status jv_finder_explain(jv_finder *f, size_t suspect, const jv_reason **reasons, size_t *n) {
    if (suspect >= f->n_suspects)
        return JV_ERR_RANGE;
    jv_reason *list = jv_resize(f->reasons, f->n_entries + 1, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    f->reasons = list;
    *n = 0;
    size_t symptoms = 0, repaired = f->repaired;
    jv_odds_reset(f);
    jv_status status = jv_odds_sum(f);
    f->repaired = JV_FIND_NONE;
    for (size_t k = 0; k < f->n_entries && status == JV_OK; k++) {
        jv_entry *e = &f->entries[k];
        jv_reason *r = &list[*n];
        double before = odds_of(f, suspect);
        if (e->kind == JV_ENTRY_SKIP || e->kind == JV_ENTRY_REPAIR || e->proof)
            continue;
        memset(r, 0, sizeof *r);
        r->check = e->check;
        r->symptom = symptoms;
        r->value = r->expected = r->sd = NAN;
        if (e->kind == JV_ENTRY_READING) {
            static const double band = 3.92; /* of 95 %, in standard deviations */
            jv_expected x = jv_finder_expect(f, e->check, suspect);
            r->value = e->over ? INFINITY : e->value;
            r->expected = x.value;
            r->sd = (x.high - x.low) / band;
        } else {
            symptoms++;
        }
        status = jv_odds_apply(f, e);
        r->odds_after = odds_of(f, suspect);
        r->for_it = log_odds(r->odds_after) - log_odds(before);
        (*n)++;
    }
    f->repaired = repaired;
    *reasons = list;
    return status;
}

/* --- the circuit as found --- */

static size_t best_state(const jv_finder *f) {
    size_t best = f->sound;
    for (size_t k = 0; k < f->n_states; k++)
        if (f->states[k].alive &&
            (best == f->sound || f->states[k].log_weight > f->states[best].log_weight))
            best = k;
    return best;
}

static void put(jv_fitted *list, size_t most, size_t *n, const jv_fitted *one) {
    if (*n < most)
        list[*n] = *one;
    (*n)++;
}

static double left_of(const jv_finder *f, const jv_find_state *s, size_t unknown) {
    double left = 1.0;
    for (size_t g = 0; g < s->n_gain; g++) {
        double one = (double)s->gain[g * f->n_unknowns + unknown];
        left -= one * one;
    }
    return sqrt(fmax(left, 0.0));
}

/* The key of the file that holds what an unknown without a slot of its own moves; NULL = none does:
 * one of several joints, or a value that nobody wrote. */
static const jv_slot *slot_behind(const jv_finder *f, const jv_unknown *u) {
    static const char *const ohms[] = {"resistance", "length"};
    static const char *const volts[] = {"open_circuit", "set_voltage"};
    const jv_part *p = &f->c->parts[u->part];
    const char *const *names = u->kind == JV_UNKNOWN_OHMS ? ohms : volts;
    const jv_find_setup *rest = &f->setups[f->rest];
    if (u->kind == JV_UNKNOWN_OHMS && rest->net->own[u->part] != 1)
        return NULL;
    for (size_t t = 0; t < sizeof ohms / sizeof ohms[0]; t++)
        for (uint32_t i = 0; i < p->n_slots; i++) {
            const jv_slot *s = &f->c->slots[p->first_slot + i];
            const jv_key *key = &p->kind->keys[s->key];
            if (key->type == JV_KEY_QUANTITY && strcmp(key->name, names[t]) == 0 &&
                s->origin != JV_FALLBACK && s->value.spread == JV_EXACT)
                return s;
        }
    return NULL;
}

/* Ohms by a share, volts by an amount. */
static bool fit_exact(const jv_finder *f, const jv_unknown *u, double z, double left,
                      jv_fitted *out) {
    const jv_slot *s = slot_behind(f, u);
    if (!s)
        return false;
    double unit = u->kind == JV_UNKNOWN_OHMS ? s->value.nominal * u->sd : u->sd;
    out->key = f->c->parts[u->part].kind->keys[s->key].name;
    out->before = s->value.nominal;
    out->value = s->value.nominal + unit * z;
    out->sd = unit * left;
    return out->value > 0.0;
}

jv_status jv_finder_fit(jv_finder *f, jv_fitted *list, size_t *n) {
    size_t most = *n;
    const jv_find_state *s = &f->states[best_state(f)];
    static const double told = 0.02; /* of its spread that a reading must have taken */
    *n = 0;
    for (size_t k = 0; k < f->n_unknowns; k++) {
        const jv_unknown *u = &f->unknowns[k];
        double z = s->mu ? s->mu[k] : 0.0, left = left_of(f, s, k);
        jv_fitted one;
        memset(&one, 0, sizeof one);
        bool exact = u->kind == JV_UNKNOWN_OHMS || u->kind == JV_UNKNOWN_VOLTS;
        if (u->kind != JV_UNKNOWN_SLOT && u->kind != JV_UNKNOWN_LOAD && !exact)
            continue;
        if (left > 1.0 - told && fabs(z) < told)
            continue;
        one.part = u->part;
        if (exact && !fit_exact(f, u, z, left, &one))
            continue;
        if (u->kind == JV_UNKNOWN_SLOT) {
            const jv_slot *slot = &f->c->slots[u->slot];
            one.key = f->c->parts[u->part].kind->keys[slot->key].name;
            one.before = slot->value.nominal;
            one.value = f->mean_x[u->slot] + u->sd * z;
            one.sd = u->sd * left;
            if (slot->value.low >= 0.0)
                one.value = fmax(one.value, 0.0);
        } else if (!exact) { /* a factor on what the load asks, with that of all motors */
            size_t all = f->gain_v - 1;
            bool motor = f->c->parts[u->part].kind->is_motor;
            one.before = 1.0;
            one.value = 1.0 + u->sd * z;
            if (motor && s->mu)
                one.value += f->unknowns[all].sd * s->mu[all];
            one.sd = u->sd * left;
        }
        put(list, most, n, &one);
    }
    for (size_t k = 0; k < s->n_faults; k++) {
        jv_fitted one;
        memset(&one, 0, sizeof one);
        one.part = s->fault[k].part;
        one.key = f->suspects[s->suspect].view.way[k];
        one.value = s->fault[k].value;
        one.fault = true;
        if (k == 0 && f->odds[0].suspect == s->suspect) {
            one.value = f->odds[0].severity;
            one.sd = f->odds[0].severity_sd;
        }
        put(list, most, n, &one);
    }
    return JV_OK;
}

/* --- a check that a person describes --- */

static bool matches(const jv_check *v, const jv_check *w, bool turned) {
    bool by_part = w->kind == JV_CHECK_AMPS || w->kind == JV_CHECK_LOOK;
    size_t plus = turned ? w->minus : w->plus, minus = turned ? w->plus : w->minus;
    if (v->kind != w->kind || v->setup != w->setup || v->loading != w->loading)
        return false;
    if (v->n_off != w->n_off ||
        (v->n_off && memcmp(v->off, w->off, v->n_off * sizeof *v->off) != 0))
        return false;
    return by_part ? v->part == w->part : v->plus == plus && v->minus == minus;
}

static jv_status make_check(jv_finder *f, const jv_check *w, size_t *check) {
    size_t setup = f->rest;
    jv_status status = JV_OK;
    *check = JV_FIND_NONE;
    if (w->kind == JV_CHECK_LOOK)
        return w->part < f->c->n_parts ? jv_check_looking(f, w->part, check) : JV_ERR_RANGE;
    if (w->kind == JV_CHECK_AMPS) /* a clamp goes where the list says */
        return JV_ERR_RANGE;
    if (w->plus >= f->c->n_terminals || w->minus >= f->c->n_terminals || w->plus == w->minus)
        return JV_ERR_RANGE;
    if (w->kind == JV_CHECK_OHMS)
        return jv_check_ohms(f, w->off, w->n_off, (int32_t)w->plus, (int32_t)w->minus, JV_FIND_NONE,
                             check);
    size_t loading = w->setup == JV_SETUP_RUN ? w->loading : f->setups[f->rest].loading;
    status = jv_setup_get(f, w->setup, loading, w->off, w->n_off, -1, -1, &setup);
    if (status == JV_OK)
        status = jv_check_volts(f, setup, (int32_t)w->plus, (int32_t)w->minus, JV_FIND_NONE, check);
    return status;
}

jv_status jv_finder_find_check(jv_finder *f, const jv_check *wanted, size_t *check, bool *turned) {
    const jv_circuit *c = f->c;
    bool isolated = wanted->setup == JV_SETUP_ISOLATED;
    if ((wanted->kind == JV_CHECK_OHMS) != isolated && wanted->kind != JV_CHECK_LOOK)
        return JV_ERR_RANGE;
    if (wanted->setup == JV_SETUP_RUN &&
        (wanted->loading >= c->n_cases || !c->cases[wanted->loading].n_runs))
        return JV_ERR_RANGE;
    for (size_t k = 0; k < wanted->n_off; k++)
        if (wanted->off[k] >= c->n_parts)
            return JV_ERR_RANGE;
    for (int way = 0; way < 2; way++)
        for (size_t k = 0; k < f->n_checks; k++)
            if (matches(&f->checks[k].view, wanted, way)) {
                *check = k;
                *turned = way && wanted->kind != JV_CHECK_OHMS;
                return JV_OK;
            }
    *turned = false;
    jv_status status = make_check(f, wanted, check);
    return status == JV_OK && *check == JV_FIND_NONE ? JV_ERR_RANGE : status;
}
