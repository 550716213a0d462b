/* finder.c - the fault finder's face: evidence in, odds out. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include <math.h>
#include <string.h>

enum { MOST_SETUPS = 160, MOST_RUNS = 4 };

/* A case that a person can run at will: upwards, no motor held fast, the weather as it is. */
static bool can_run(const jv_case *k) {
    if (!k->n_runs || k->has_ambient || k->has_charge)
        return false;
    for (size_t i = 0; i < k->n_runs; i++)
        if (k->runs[i].kind == JV_LOAD_STALLED || k->runs[i].direction < 0)
            return false;
    return true;
}

static jv_status make_rest(jv_finder *f) {
    const jv_circuit *c = f->c;
    size_t loading = JV_FIND_NONE, n = 0;
    size_t *off = jv_alloc(c->n_parts + 1, sizeof *off);
    if (!off)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < c->n_cases && loading == JV_FIND_NONE; k++)
        if (!c->cases[k].n_runs)
            loading = k;
    /* Chargers and tow vehicles hide a battery: they are off for every reading at rest. */
    bool battery = false;
    for (size_t i = 0; i < c->n_parts; i++)
        battery = battery || strcmp(c->parts[i].kind->name, "battery") == 0;
    for (size_t i = 0; battery && i < c->n_parts; i++)
        if (strcmp(c->parts[i].kind->name, "supply") == 0)
            off[n++] = i;
    jv_status status = jv_setup_get(f, JV_SETUP_REST, loading, off, n, -1, -1, &f->rest);
    jv_free(off);
    if (status == JV_OK && !f->setups[f->rest].usable)
        status = JV_ERR_UNSOLVED;
    return status;
}

/* The runs with most motors first, so that the trunk is loaded. */
static jv_status make_runs(jv_finder *f) {
    const jv_circuit *c = f->c;
    jv_status status = JV_OK;
    size_t made = 0, most = 0, setup;
    for (size_t k = 0; k < c->n_cases; k++)
        most = c->cases[k].n_runs > most ? c->cases[k].n_runs : most;
    for (size_t motors = most; motors > 0 && made < MOST_RUNS; motors--)
        for (size_t k = 0; k < c->n_cases && made < MOST_RUNS && status == JV_OK; k++) {
            if (c->cases[k].n_runs != motors || !can_run(&c->cases[k]))
                continue;
            if (f->options.only_case && strcmp(f->options.only_case, c->cases[k].name) != 0)
                continue;
            status = jv_setup_get(f, JV_SETUP_RUN, k, NULL, 0, -1, -1, &setup);
            made++;
        }
    return status;
}

static void take_options(jv_finder *f, const jv_find_options *options) {
    static const double usual_test_a = 0.5e-3; /* of a hand meter (from memory) */
    if (options)
        f->options = *options;
    f->meter = f->options.meter ? *f->options.meter : jv_meter_plain();
    f->options.meter = &f->meter;
    if (!(f->meter.test_a > 0.0))
        f->meter.test_a = usual_test_a;
    if (!(f->options.spread_scale > 0.0))
        f->options.spread_scale = 1.15;
    if (!(f->options.none_prior > 0.0))
        f->options.none_prior = 0.03;
    if (!(f->options.pair_factor > 0.0))
        f->options.pair_factor = 0.7;
    if (!(f->options.name_at > 0.0))
        f->options.name_at = 0.95;
}

static jv_status make(jv_finder *f) {
    f->cap_setups = MOST_SETUPS;
    f->setups = jv_zalloc(MOST_SETUPS, sizeof *f->setups);
    if (!f->setups)
        return JV_ERR_MEMORY;
    jv_status status = jv_places_make(f);
    if (status == JV_OK)
        status = jv_unknowns_make(f);
    if (status == JV_OK) {
        f->scratch = jv_zalloc(f->n_unknowns + 1, sizeof *f->scratch);
        f->scratch2 = jv_zalloc(f->n_unknowns + 1, sizeof *f->scratch2);
        status = f->scratch && f->scratch2 ? make_rest(f) : JV_ERR_MEMORY;
    }
    if (status == JV_OK)
        status = make_runs(f);
    if (status == JV_OK)
        status = jv_suspects_make(f);
    if (status == JV_OK)
        status = jv_checks_make(f);
    if (status != JV_OK)
        return status;
    jv_checks_own(f);
    f->odds = jv_zalloc(f->n_suspects + 1, sizeof *f->odds);
    f->part_odds = jv_zalloc(f->c->n_parts + f->n_suspects + 1, sizeof *f->part_odds);
    if (!f->odds || !f->part_odds)
        return JV_ERR_MEMORY;
    jv_odds_reset(f);
    return jv_odds_sum(f);
}

jv_status jv_finder_new(const jv_circuit *c, const jv_find_options *options, jv_finder **out) {
    jv_finder *f = jv_zalloc(1, sizeof *f);
    if (!f)
        return JV_ERR_MEMORY;
    f->c = c;
    f->repaired = f->proof = f->shared.state = JV_FIND_NONE;
    jv_status status = JV_OK;
    if (options && options->only_case && jv_circuit_find_case(c, options->only_case) == c->n_cases)
        status = JV_ERR_UNKNOWN;
    if (status == JV_OK) {
        take_options(f, options);
        status = make(f);
    }
    if (status != JV_OK) {
        jv_finder_free(&f);
        return status;
    }
    *out = f;
    return JV_OK;
}

static void free_states(jv_finder *f) {
    for (size_t k = 0; f->states && k < f->n_states; k++) {
        jv_find_state *s = &f->states[k];
        for (size_t t = 0; s->record && t < f->n_setups; t++)
            jv_record_free(&s->record[t]);
        jv_free(s->record);
        jv_free(s->mu);
        jv_free(s->gain);
        jv_free(s->push);
    }
    jv_free(f->states);
}

void jv_finder_free(jv_finder **finder) {
    if (!finder || !*finder)
        return;
    jv_finder *f = *finder;
    free_states(f);
    for (size_t k = 0; k < f->n_setups; k++)
        jv_setup_free(&f->setups[k]);
    jv_choose_free(f);
    void *const blocks[] = {f->setups,      f->suspects,      f->checks,  f->entries,
                            f->odds,        f->part_odds,     f->reasons, f->scratch,
                            f->scratch2,    f->unknowns,      f->mean_x,  f->shared.term,
                            f->shared.gate, f->shared.adjoint};
    for (size_t k = 0; k < sizeof blocks / sizeof blocks[0]; k++)
        jv_free(blocks[k]);
    jv_arena_clear(&f->arena);
    jv_free(f);
    *finder = NULL;
}

/* --- questions --- */

size_t jv_finder_suspects(const jv_finder *f) {
    return f->n_suspects;
}
const jv_suspect *jv_finder_suspect(const jv_finder *f, size_t suspect) {
    return suspect < f->n_suspects ? &f->suspects[suspect].view : NULL;
}
size_t jv_finder_checks(const jv_finder *f) {
    return f->n_checks;
}
const jv_check *jv_finder_check(const jv_finder *f, size_t check) {
    return check < f->n_checks ? &f->checks[check].view : NULL;
}
const jv_odds *jv_finder_odds(const jv_finder *f, size_t *n) {
    *n = f->n_suspects;
    return f->odds;
}
double jv_finder_part_odds(const jv_finder *f, size_t part) {
    return part < f->c->n_parts ? f->part_odds[part] : 0.0;
}

/* --- evidence --- */

static jv_entry *add_entry(jv_finder *f, jv_entry_kind kind) {
    if (f->n_entries == f->cap_entries) {
        size_t wanted = f->cap_entries ? 2 * f->cap_entries : 16;
        jv_entry *moved = jv_resize(f->entries, wanted, sizeof *moved);
        if (!moved)
            return NULL;
        f->entries = moved;
        f->cap_entries = wanted;
    }
    jv_entry *e = &f->entries[f->n_entries++];
    memset(e, 0, sizeof *e);
    e->kind = kind;
    e->check = e->suspect = JV_FIND_NONE;
    return e;
}

jv_status jv_finder_add_symptom(jv_finder *f, const jv_symptom *symptom) {
    const jv_circuit *c = f->c;
    size_t subjects = symptom->kind == JV_SYMPTOM_TRIPS  ? c->n_watches
                      : symptom->kind == JV_SYMPTOM_HINT ? (size_t)JV_HINTS
                                                         : c->n_parts;
    bool needs = symptom->kind != JV_SYMPTOM_ALL_SLOW;
    if ((needs && symptom->subject >= subjects) ||
        (symptom->loading != JV_FIND_NONE && symptom->loading >= c->n_cases))
        return JV_ERR_RANGE;
    jv_entry *e = add_entry(f, JV_ENTRY_SYMPTOM);
    if (!e)
        return JV_ERR_MEMORY;
    e->symptom = *symptom;
    e->proof = f->repaired != JV_FIND_NONE;
    return jv_odds_apply(f, e);
}

/* A check read before: the same again confirms it and is no second witness; another result takes
 * its place. */
static jv_status weigh_again(jv_finder *f, jv_entry *e) {
    static const double near_sds = 6.0;
    const jv_find_check *c = &f->checks[e->check];
    double y = jv_reading_of_value(f, c, e->value, e->over);
    for (jv_entry *old = f->entries; old < e; old++) {
        if (old->kind != JV_ENTRY_READING || old->check != e->check || old->dropped || old->proof)
            continue;
        double was = jv_reading_of_value(f, c, old->value, old->over);
        double near =
            c->view.kind == JV_CHECK_LOOK ? 0.5 : near_sds * sqrt(jv_reading_noise(f, c, y));
        if (fabs(was - y) <= near) {
            old->confirmed = true;
            e->dropped = true;
            return JV_OK;
        }
        old->dropped = true;
        e->confirmed = true; /* the second time people look twice */
        return jv_odds_replay(f);
    }
    return jv_odds_apply(f, e);
}

jv_status jv_finder_add_reading(jv_finder *f, size_t check, double value, bool over) {
    /* No hand meter in a 12 V vehicle shows more: V, A. */
    static const double most_v = 60.0, most_a = 2000.0;
    if (check >= f->n_checks || (!over && !isfinite(value)))
        return JV_ERR_RANGE;
    jv_check_kind kind = f->checks[check].view.kind;
    bool wrong = (kind == JV_CHECK_VOLTS && (over || fabs(value) > most_v)) ||
                 (kind == JV_CHECK_AMPS && (over || fabs(value) > most_a)) ||
                 (kind == JV_CHECK_OHMS && !over && value < 0.0) ||
                 (kind == JV_CHECK_LOOK && (over || (value != 0.0 && value != 1.0)));
    if (wrong)
        return JV_ERR_RANGE;
    jv_entry *e = add_entry(f, JV_ENTRY_READING);
    if (!e)
        return JV_ERR_MEMORY;
    e->check = check;
    e->value = value;
    e->over = over;
    e->band = f->band;
    e->proof = f->repaired != JV_FIND_NONE;
    return e->proof ? jv_odds_sum(f) : weigh_again(f, e);
}

jv_status jv_finder_skip(jv_finder *f, size_t check) {
    if (check >= f->n_checks)
        return JV_ERR_RANGE;
    jv_entry *e = add_entry(f, JV_ENTRY_SKIP);
    if (!e)
        return JV_ERR_MEMORY;
    e->check = check;
    return jv_odds_apply(f, e);
}

jv_status jv_finder_repaired(jv_finder *f, size_t suspect) {
    if (suspect + 1 >= f->n_suspects)
        return JV_ERR_RANGE;
    jv_entry *e = add_entry(f, JV_ENTRY_REPAIR);
    if (!e)
        return JV_ERR_MEMORY;
    e->suspect = suspect;
    f->repaired = suspect;
    return JV_OK;
}

jv_status jv_odds_replay(jv_finder *f) {
    jv_odds_reset(f);
    memset(f->open_place, 0, sizeof(bool) * (7 + f->c->n_parts));
    for (size_t k = 0; k < f->n_checks; k++)
        f->checks[k].taken = false;
    jv_status status = jv_odds_sum(f);
    f->repaired = JV_FIND_NONE;
    for (size_t k = 0; k < f->n_entries && status == JV_OK; k++) {
        if (f->entries[k].kind == JV_ENTRY_REPAIR)
            f->repaired = f->entries[k].suspect;
        status = jv_odds_apply(f, &f->entries[k]);
    }
    return status;
}

jv_status jv_finder_rewind(jv_finder *f, size_t entries, size_t checks) {
    while (f->n_entries > entries) {
        const jv_entry *e = &f->entries[--f->n_entries];
        if (e->kind == JV_ENTRY_SKIP)
            f->checks[e->check].skipped = false;
        /* Readings that this one confirmed or put aside stand as they did. */
        for (size_t k = 0; k < f->n_entries && e->kind == JV_ENTRY_READING; k++)
            if (f->entries[k].kind == JV_ENTRY_READING && f->entries[k].check == e->check) {
                f->entries[k].confirmed = false;
                f->entries[k].dropped = false;
            }
    }
    f->n_checks = checks;
    return jv_odds_replay(f);
}

jv_status jv_finder_undo(jv_finder *f) {
    return f->n_entries ? jv_finder_rewind(f, f->n_entries - 1, f->n_checks) : JV_ERR_RANGE;
}
