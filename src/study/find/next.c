/* next.c - the next step, and when to stop. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"
#include "study/find/table.h"

#include <math.h>
#include <string.h>

enum { MOST_CHECKS = 20 };
/* A reading whose best square of the standardised error exceeds this fits no suspect that counts:
 * one in a thousand by chance (chi-square, one degree of freedom). */
static const double misfit_at = 10.8;
/* Where a part has no reading of its own, odds must be this clear to name it. */
static const double clear_odds = 0.985;
/* Proof reading and putting everything back, minutes (judgement). */
static const double proof_min = 5.0;
/* The band of a proof reading: three standard deviations. */
static const double proof_sds = 3.0;

/* Below the odds at which a part is named, by so much, it is named all the same when no check is
 * worth its minutes any more (judgement). */
static const double eased_by = 0.10;
/* A part that is bad in any case is named alone when a second fault beside it is no likelier. */
static const double second_share = 0.2;

/* Suspects mended at the same part count together. */
static double named_odds(const jv_finder *f, size_t suspect) {
    double sum = 0.0;
    for (size_t k = 0; k + 1 < f->n_suspects; k++)
        if (f->suspects[k].group == f->suspects[suspect].group)
            sum += f->part_odds[f->c->n_parts + k];
    return sum;
}

/* The suspect with the best odds of its repair; "none of these" when that leads. */
static size_t leader(const jv_finder *f, double *probability) {
    enum { LOOKED = 12 };
    size_t best = f->odds[0].suspect;
    *probability = best + 1 == f->n_suspects ? f->odds[0].probability : 0.0;
    for (size_t k = 0; k < LOOKED && k < f->n_suspects; k++) {
        size_t s = f->odds[k].suspect;
        double p = s + 1 == f->n_suspects ? 0.0 : named_odds(f, s);
        if (p > *probability) {
            *probability = p;
            best = s;
        }
    }
    return best;
}

/* Odds that mending this single is part of the repair: its own, and those of its pairs. */
static double shared_odds(const jv_finder *f, size_t single) {
    size_t group = f->suspects[single].group;
    double sum = named_odds(f, single);
    for (size_t k = 0; k + 1 < f->n_suspects; k++) {
        const jv_find_suspect *s = &f->suspects[k];
        if (s->view.n == 2 &&
            (f->suspects[s->single[0]].group == group || f->suspects[s->single[1]].group == group))
            sum += f->part_odds[f->c->n_parts + k];
    }
    return sum;
}

/* The single that is bad alone or in a pair, by the leader: itself, or the likelier of a pair. */
static size_t bad_anyway(const jv_finder *f, size_t lead, double *probability) {
    const jv_find_suspect *s = &f->suspects[lead];
    size_t best = s->view.n == 2 ? s->single[0] : lead;
    *probability = shared_odds(f, best);
    if (s->view.n == 2 && shared_odds(f, s->single[1]) > *probability) {
        best = s->single[1];
        *probability = shared_odds(f, best);
    }
    return best;
}

bool jv_own_is_read(const jv_finder *f, const jv_find_suspect *s, size_t own) {
    const jv_check *want = &f->checks[own].view;
    for (size_t k = 0; k < f->n_checks; k++) {
        const jv_find_check *c = &f->checks[k];
        bool similar = c->taken && c->view.part == want->part && c->view.kind == want->kind &&
                       c->view.setup == want->setup && c->view.n_off == want->n_off &&
                       (k == own || want->part != JV_FIND_NONE);
        for (size_t t = 0; similar && t < want->n_off; t++)
            similar = c->view.off[t] == want->off[t];
        bool pin = s->fault[0].pin || s->fault[1].pin;
        if (similar && (!pin || k == own || c->view.plus == want->plus))
            return true;
    }
    return false;
}

/* The own reading still to be taken; NONE when all that can be are. *has: there is one. */
static size_t own_missing(const jv_finder *f, size_t suspect, bool *has) {
    const jv_find_suspect *s = &f->suspects[suspect];
    *has = false;
    for (size_t k = 0; k < JV_OWN; k++) {
        size_t own = s->own[k];
        if (own == JV_FIND_NONE || f->checks[own].skipped)
            continue;
        *has = true;
        if (!jv_own_is_read(f, s, own))
            return own;
    }
    return JV_FIND_NONE;
}

static size_t n_readings(const jv_finder *f) {
    size_t n = 0;
    for (size_t k = 0; k < f->n_entries; k++)
        n += f->entries[k].kind == JV_ENTRY_READING;
    return n;
}

/* The reading that fits worst, beyond a limit; confirmed: it was read twice. */
static size_t odd_entry(const jv_finder *f, bool confirmed, double beyond) {
    size_t worst = JV_FIND_NONE;
    for (size_t k = 0; k < f->n_entries; k++) {
        const jv_entry *e = &f->entries[k];
        if (e->kind != JV_ENTRY_READING || e->proof || e->dropped || e->confirmed != confirmed ||
            !(e->misfit > beyond))
            continue;
        if (worst == JV_FIND_NONE || e->misfit > f->entries[worst].misfit)
            worst = k;
    }
    return worst;
}

/* A reading to take again before anything is built on it: it fits nothing, or it is the worst
 * fitting when no fault of the list leads. */
static size_t doubtful(const jv_finder *f) {
    static const double even = 0.5, uneasy = 3.0;
    bool none = f->odds[0].suspect + 1 == f->n_suspects && f->odds[0].probability > even;
    return odd_entry(f, false, none ? uneasy : misfit_at);
}

/* --- expectations --- */

static jv_expected to_person(const jv_finder *f, const jv_find_check *c, double mean, double var) {
    static const double two_sided = 1.96;
    double sd = sqrt(var + jv_reading_noise(f, c, mean));
    jv_expected e = {jv_reading_to_value(f, c, mean),
                     jv_reading_to_value(f, c, mean - two_sided * sd),
                     jv_reading_to_value(f, c, mean + two_sided * sd)};
    if (c->view.kind == JV_CHECK_OHMS && e.low < 0.0)
        e.low = 0.0;
    return e;
}

/* Mean and variance of a check over the states of one suspect. */
static jv_status mixture(jv_finder *f, size_t check, size_t suspect, double *mean, double *var) {
    const jv_find_check *c = &f->checks[check];
    const jv_find_suspect *s = &f->suspects[suspect];
    double best = -INFINITY, sum = 0.0, m = 0.0, q = 0.0;
    bool any = false;
    for (size_t k = s->first; k < s->first + s->n; k++)
        any = any || f->states[k].alive;
    for (size_t k = s->first; k < s->first + s->n; k++)
        if (!any || f->states[k].alive)
            best = fmax(best, f->states[k].log_weight);
    for (size_t k = s->first; k < s->first + s->n; k++) {
        double w = exp(f->states[k].log_weight - best), a, v;
        if ((any && !f->states[k].alive) || w < 1e-6)
            continue;
        jv_status status = jv_expect_now(f, k, c->setup, c->look, &a, &v, NULL);
        if (status != JV_OK)
            return status;
        sum += w;
        m += w * a;
        q += w * (v + a * a);
    }
    *mean = m / sum;
    *var = fmax(q / sum - *mean * *mean, 0.0);
    return JV_OK;
}

jv_expected jv_finder_expect(const jv_finder *finder, size_t check, size_t suspect) {
    jv_finder *f = (jv_finder *)finder; /* records are made when first asked for */
    jv_expected unknown = {NAN, NAN, NAN};
    double mean, var;
    if (check >= f->n_checks || f->checks[check].view.kind == JV_CHECK_LOOK)
        return unknown;
    const jv_find_check *c = &f->checks[check];
    bool sound = suspect >= f->n_suspects - 1;
    jv_status status = sound ? jv_expect_now(f, f->sound, c->setup, c->look, &mean, &var, NULL)
                             : mixture(f, check, suspect, &mean, &var);
    return status == JV_OK ? to_person(f, c, mean, var) : unknown;
}

/* --- the proof --- */

static size_t heaviest(const jv_finder *f, size_t suspect) {
    const jv_find_suspect *s = &f->suspects[suspect];
    size_t best = s->first;
    for (size_t k = s->first; k < s->first + s->n; k++)
        if (f->states[k].alive &&
            (!f->states[best].alive || f->states[k].log_weight > f->states[best].log_weight))
            best = k;
    return best;
}

/* What a check reads once the suspect is mended: the sound circuit with what the readings taught
 * of this vehicle's healthy quantities. */
static jv_status mended(jv_finder *f, size_t check, size_t suspect, double *mean, double *var) {
    const jv_find_check *c = &f->checks[check];
    const jv_find_state *s = &f->states[heaviest(f, suspect)];
    size_t n = f->n_unknowns;
    jv_status status = jv_expect_look(f, f->sound, c->setup, c->look, mean, f->scratch);
    if (status != JV_OK)
        return status;
    *var = 0.0;
    f->scratch[f->cell[0]] = f->scratch[f->cell[1]] = 0.0;
    for (size_t k = 0; k < n; k++) {
        *var += f->scratch[k] * f->scratch[k];
        *mean += s->mu ? f->scratch[k] * s->mu[k] : 0.0;
    }
    for (size_t g = 0; g < s->n_gain; g++) {
        double w = 0.0;
        for (size_t k = 0; k < n; k++)
            w += f->scratch[k] * (double)s->gain[g * n + k];
        *var -= w * w;
    }
    *var = fmax(*var, 0.0);
    return JV_OK;
}

/* The reading that proves a repair: where the complaint was felt, all plugged and running. */
static jv_status proof_check(jv_finder *f, size_t suspect, size_t *check) {
    const jv_circuit *c = f->c;
    *check = f->suspects[suspect].own[0];
    for (size_t k = 0; k < f->n_entries; k++) {
        const jv_symptom *y = &f->entries[k].symptom;
        size_t setup = f->rest;
        int32_t a = -1, b = -1;
        if (f->entries[k].kind != JV_ENTRY_SYMPTOM || y->absent || y->kind == JV_SYMPTOM_HINT)
            continue;
        if (y->kind == JV_SYMPTOM_TRIPS) {
            a = c->watches[y->subject].plus;
            b = c->watches[y->subject].minus;
        } else if (y->kind != JV_SYMPTOM_ALL_SLOW) {
            a = jv_part_terminal(c, &c->parts[y->subject], 0);
            b = jv_part_terminal(c, &c->parts[y->subject], 1);
        }
        jv_status status = JV_OK;
        if (y->loading != JV_FIND_NONE && c->cases[y->loading].n_runs)
            status = jv_setup_get(f, JV_SETUP_RUN, y->loading, NULL, 0, -1, -1, &setup);
        if (status == JV_OK && a >= 0 && b >= 0 && f->setups[setup].usable)
            return jv_check_volts(f, setup, a, b, JV_FIND_NONE, check);
        if (status != JV_OK)
            return status;
    }
    return JV_OK;
}

/* Was a check read again with another result? */
static bool has_changed(const jv_finder *f) {
    for (size_t k = 0; k < f->n_entries; k++)
        for (size_t later = k + 1; f->entries[k].dropped && later < f->n_entries; later++)
            if (f->entries[later].check == f->entries[k].check && f->entries[later].confirmed)
                return true;
    return false;
}

/* Did a reading of the part differ from that of a sound circuit? Of a part that is read at rest or
 * unplugged any reading counts: what it does to the rail is seen all over. */
static bool has_spoken(const jv_finder *f, size_t suspect) {
    static const double differs = 9.0; /* three standard deviations, squared */
    const jv_find_suspect *s = &f->suspects[suspect];
    size_t own = s->own[0];
    bool any = own == JV_FIND_NONE || f->checks[own].view.setup != JV_SETUP_RUN, spoke = false;
    for (size_t k = 0; k < f->n_entries; k++) {
        const jv_entry *e = &f->entries[k];
        if (e->kind != JV_ENTRY_READING || e->proof || e->dropped)
            continue;
        size_t part = f->checks[e->check].view.part;
        bool of_it = any || part == s->view.part[0] || (s->view.n == 2 && part == s->view.part[1]);
        spoke = spoke || (of_it && e->plain > differs);
    }
    return spoke;
}

/* A fault that comes and goes is away in half of the runs, say: two of them prove little, eight
 * leave one chance in 256 (judgement). */
static size_t proof_runs(const jv_finder *f, size_t suspect) {
    enum { PLAIN = 2, MORE = 8 };
    return has_spoken(f, suspect) && !has_changed(f) ? PLAIN : MORE;
}

static const jv_entry *last_proof(const jv_finder *f) {
    for (size_t k = f->n_entries; k-- > 0;) {
        const jv_entry *e = &f->entries[k];
        if (e->kind == JV_ENTRY_REPAIR)
            return NULL;
        if ((e->kind == JV_ENTRY_READING || e->kind == JV_ENTRY_SYMPTOM) && e->proof)
            return e;
    }
    return NULL;
}

static jv_status after_repair(jv_finder *f, jv_closure *out) {
    const jv_entry *e = last_proof(f);
    double mean, var;
    out->suspect = f->repaired;
    out->state = JV_FIND_NAMED;
    out->runs = proof_runs(f, f->repaired);
    jv_status status = proof_check(f, f->repaired, &out->proof);
    if (status != JV_OK || out->proof == JV_FIND_NONE)
        return status;
    size_t check = e && e->kind == JV_ENTRY_READING ? e->check : out->proof;
    status = mended(f, check, f->repaired, &mean, &var);
    if (status != JV_OK)
        return status;
    const jv_find_check *c = &f->checks[check];
    out->proof_reads = to_person(f, c, mean, var);
    if (!e)
        return JV_OK;
    if (e->kind == JV_ENTRY_SYMPTOM) {
        out->state = e->symptom.absent ? JV_FIND_REPAIRED : JV_FIND_NOT_CURED;
        return JV_OK;
    }
    double y = jv_reading_of_value(f, c, e->value, e->over);
    double sd = sqrt(var + jv_reading_noise(f, c, y));
    bool holds = fabs(y - mean) <= proof_sds * sd;
    for (size_t k = f->n_entries; k-- > 0 && f->entries[k].kind != JV_ENTRY_REPAIR;)
        if (f->entries[k].kind == JV_ENTRY_SYMPTOM && !f->entries[k].symptom.absent)
            holds = false; /* still there */
    out->state = holds ? JV_FIND_REPAIRED : JV_FIND_NOT_CURED;
    return JV_OK;
}

/* --- closure --- */

/* Suspects that no check can tell from the leader share its odds: they are named together. They
 * are looked for where together they would be clear enough to be named. */
static jv_status add_twins(jv_finder *f, jv_closure *out) {
    static const double counts = 0.01;
    enum { MOST = sizeof out->twins / sizeof out->twins[0] };
    double others = 0.0;
    for (size_t k = 0; k + 1 < f->n_suspects; k++)
        if (f->suspects[k].group != f->suspects[out->suspect].group)
            others = fmax(others, f->part_odds[f->c->n_parts + k]);
    if (!n_readings(f) || others < counts)
        return JV_OK;
    size_t list[MOST], n;
    jv_status status = jv_twins(f, out->suspect, counts, list, MOST, &n);
    for (size_t k = 0; k < n && status == JV_OK; k++) {
        out->twins[out->n_twins++] = list[k];
        out->probability += f->part_odds[f->c->n_parts + list[k]];
    }
    return status;
}

/* Does another check bring a name nearer by more minutes than it takes? */
static jv_status is_worth(jv_finder *f, bool *worth) {
    const jv_chosen *c;
    *worth = false;
    if (n_readings(f) >= MOST_CHECKS)
        return JV_OK;
    jv_status status = jv_choose(f, &c);
    *worth = status == JV_OK && c->check != JV_FIND_NONE && c->saves > 0.0;
    return status;
}

/* Named when it is clear, or as clear as it is worth to make it, and read by itself. */
static jv_status name_it(jv_finder *f, jv_closure *out) {
    double shared, need = f->options.name_at, eased = need - eased_by;
    size_t single = bad_anyway(f, out->suspect, &shared);
    bool second = false, has, worth, pair = single != out->suspect;
    if (out->probability < (pair ? eased : need) && shared >= eased) {
        second = shared - named_odds(f, single) > second_share * shared;
        out->suspect = single;
        out->probability = shared;
    }
    size_t missing = own_missing(f, out->suspect, &has);
    out->own_read = has && missing == JV_FIND_NONE;
    double most = has ? need : clear_odds, least = has ? eased : need;
    if (!n_readings(f) || doubtful(f) != JV_FIND_NONE || out->probability < least)
        return JV_OK;
    bool clear = out->probability >= most && !second;
    if (!clear) {
        jv_status status = is_worth(f, &worth);
        if (status != JV_OK || worth)
            return status;
    }
    out->state = missing == JV_FIND_NONE ? JV_FIND_NAMED : JV_FIND_LOOKING;
    out->confirm = missing;
    return JV_OK;
}

jv_status jv_finder_closure(jv_finder *f, jv_closure *out) {
    memset(out, 0, sizeof *out);
    out->proof = out->odd_check = out->confirm = JV_FIND_NONE;
    if (f->repaired != JV_FIND_NONE)
        return after_repair(f, out);
    size_t odd = odd_entry(f, true, misfit_at);
    out->suspect = leader(f, &out->probability);
    out->state = JV_FIND_LOOKING;
    if (out->suspect + 1 == f->n_suspects || odd != JV_FIND_NONE) {
        static const double surely = 0.8;
        enum { ENOUGH = 5 }; /* readings, before no fault of the list is believed */
        bool none = out->suspect + 1 == f->n_suspects && out->probability > surely &&
                    n_readings(f) >= ENOUGH && doubtful(f) == JV_FIND_NONE;
        if (none || odd != JV_FIND_NONE)
            out->state = JV_FIND_UNEXPLAINED;
        if (odd != JV_FIND_NONE) {
            size_t best =
                f->odds[0].suspect + 1 == f->n_suspects ? f->odds[1].suspect : f->odds[0].suspect;
            out->odd_check = f->entries[odd].check;
            out->odd_reads = jv_finder_expect(f, out->odd_check, best);
        }
        return JV_OK;
    }
    jv_status status = add_twins(f, out);
    if (status != JV_OK)
        return status;
    status = name_it(f, out);
    if (status != JV_OK || out->state != JV_FIND_NAMED)
        return status;
    out->runs = proof_runs(f, out->suspect);
    double mean, var;
    status = proof_check(f, out->suspect, &out->proof);
    if (status != JV_OK || out->proof == JV_FIND_NONE)
        return status;
    status = mended(f, out->proof, out->suspect, &mean, &var);
    if (status == JV_OK)
        out->proof_reads = to_person(f, &f->checks[out->proof], mean, var);
    return status;
}

/* --- next --- */

/* Expected minutes left: the doubt at the rate of this check, then the repair and its proof. */
static double minutes_left(const jv_finder *f, double bits, double minutes) {
    double doubt = 0.0, repair = 0.0;
    for (size_t k = 0; k < f->n_suspects; k++) {
        double p = f->odds[k].probability;
        if (p > 0.0)
            doubt -= p * log2(p);
        repair += p * f->suspects[f->odds[k].suspect].view.minutes;
    }
    double looking = bits > 0.0 ? fmax(minutes, doubt * minutes / bits) : 0.0;
    return looking + repair + proof_min;
}

static jv_status next_check(jv_finder *f, const jv_closure *now, jv_next *out) {
    if (now->confirm != JV_FIND_NONE) {
        out->kind = JV_NEXT_CONFIRM;
        out->check = now->confirm;
        out->suspect = now->suspect;
        out->minutes = jv_check_minutes(f, now->confirm);
        out->leading[0] = now->suspect;
        out->n_leading = 1;
        return JV_OK;
    }
    /* What fits nothing is read again before anything is built on it. */
    size_t odd = doubtful(f);
    if (odd != JV_FIND_NONE) {
        out->kind = JV_NEXT_CHECK;
        out->check = f->entries[odd].check;
        out->minutes = f->checks[out->check].view.minutes;
        return JV_OK;
    }
    if (n_readings(f) >= MOST_CHECKS)
        return JV_OK;
    const jv_chosen *c;
    jv_status status = jv_choose(f, &c);
    if (status != JV_OK)
        return status;
    out->check = c->check;
    out->bits = c->bits;
    out->minutes = c->minutes;
    out->n_leading = c->n_leading;
    memcpy(out->leading, c->leading, sizeof out->leading);
    if (out->check != JV_FIND_NONE)
        out->kind = JV_NEXT_CHECK;
    return JV_OK;
}

jv_status jv_finder_next(jv_finder *f, jv_next *out) {
    jv_closure now;
    memset(out, 0, sizeof *out);
    out->check = out->suspect = JV_FIND_NONE;
    out->kind = JV_NEXT_OPEN;
    jv_status status = jv_finder_closure(f, &now);
    if (status != JV_OK)
        return status;
    if (now.state == JV_FIND_REPAIRED) {
        out->kind = JV_NEXT_DONE;
        out->suspect = now.suspect;
    } else if (now.state == JV_FIND_NAMED) {
        bool done = f->repaired != JV_FIND_NONE;
        out->kind = done ? JV_NEXT_PROOF : JV_NEXT_REPAIR;
        out->check = now.proof;
        out->suspect = now.suspect;
        out->minutes = done ? proof_min : f->suspects[now.suspect].view.minutes;
    } else if (now.state == JV_FIND_LOOKING) {
        status = next_check(f, &now, out);
    }
    out->to_go = minutes_left(f, out->bits, out->minutes);
    return status;
}

jv_status jv_finder_repair_order(jv_finder *f, size_t *suspects, size_t *n) {
    static const double least = 0.01;
    size_t count = 0;
    jv_action *a = jv_alloc(f->n_suspects + 1, sizeof *a);
    size_t *order = jv_alloc(f->n_suspects + 1, sizeof *order);
    size_t *which = jv_alloc(f->n_suspects + 1, sizeof *which);
    for (size_t k = 0; a && order && which && k < f->n_suspects && count < *n; k++) {
        const jv_odds *o = &f->odds[k];
        if (o->probability < least || o->suspect + 1 == f->n_suspects)
            continue;
        /* Mended blind, then tried: both count as its check. */
        a[count] =
            (jv_action){o->probability, f->suspects[o->suspect].view.minutes + proof_min, 0.0};
        which[count++] = o->suspect;
    }
    bool ok = a && order && which;
    if (ok) {
        jv_action_order(a, count, order);
        for (size_t k = 0; k < count; k++)
            suspects[k] = which[order[k]];
        *n = count;
    }
    jv_free(a);
    jv_free(order);
    jv_free(which);
    return ok ? JV_OK : JV_ERR_MEMORY;
}
