/* odds.c - Bayes over states, reading by reading. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include "circuit/kinds.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

/* States below this share of the best, as a logarithm, are laid aside: 1e-7. */
static const double least_log = -16.1;
/* A reading is wild with this probability: a slip of the probe or the pen. */
static const double wild = 0.002;
/* A symptom is told wrong with this probability. */
static const double mistold = 3e-5;
/* A symptom under "none of these" is a toss. */
static const double toss = 0.5;
/* What a person sees of speeds and stops, V: of 0.15 V in the engine trial; of a watch, whose
 * limit and moment vary a little. */
static const double seen_sd_v[] = {0.10, 0.15, 0.30, 0.25, 0.10};
/* A look at a joint: finds a bad one, blames a good one (judgement). */
static const double look_finds = 0.7, wiggle_finds = 0.8, look_blames = 0.08;
static const double root_two_pi = 2.5066282746310002;

static double square(double x) {
    return x * x;
}
static double normal_cdf(double z) {
    static const double root_two = 1.4142135623730951;
    return 0.5 * erfc(-z / root_two);
}
static double normal_pdf(double z) {
    return exp(-0.5 * z * z) / root_two_pi;
}

/* z += ps (shift), spread of z -= shrink^2 ps ps'. What moves nothing is not kept. */
bool jv_odds_condition(jv_finder *f, jv_find_state *s, const double *ps, double shift,
                       double shrink) {
    static const double nothing = 1e-6;
    size_t n = f->n_unknowns;
    if (!(shrink > nothing))
        return true;
    if (!s->mu) {
        s->mu = jv_zalloc(n, sizeof *s->mu);
        if (!s->mu)
            return false;
    }
    float *gain = jv_resize(s->gain, (s->n_gain + 1) * n, sizeof *gain);
    if (gain)
        s->gain = gain;
    double *push = jv_resize(s->push, s->n_gain + 1, sizeof *push);
    if (push)
        s->push = push;
    if (!gain || !push)
        return false;
    float *g = gain + s->n_gain * n;
    for (size_t k = 0; k < n; k++) {
        s->mu[k] += ps[k] * shift;
        g[k] = (float)(ps[k] * shrink);
    }
    push[s->n_gain++] = shift / shrink;
    return true;
}

/* --- readings --- */

double jv_look_bad(const jv_finder *f, const jv_find_state *s, size_t part) {
    for (size_t k = 0; k < s->n_faults; k++) {
        jv_way way = (jv_way)s->fault[k].way;
        if (s->fault[k].part != part)
            continue;
        if (way == JV_WAY_LOOSE) /* moved, it shows itself */
            return wiggle_finds;
        if (way == JV_WAY_ADDED || way == JV_WAY_OPEN || way == JV_WAY_HOT)
            return look_finds;
    }
    (void)f;
    return look_blames;
}

static jv_status read_look(jv_finder *f, const jv_find_check *c, bool bad) {
    for (size_t k = 0; k < f->n_states; k++) {
        double p = jv_look_bad(f, &f->states[k], c->view.part);
        f->states[k].log_weight += log(bad ? p : 1.0 - p);
    }
    f->none_log += log(toss);
    return JV_OK;
}

/* Of a fault that comes and goes: a mixture of both, and the likelier of them is learnt from.
 * In: as it is there; scratch2 alike. */
static jv_status read_loose(jv_finder *f, size_t k, const jv_find_check *c, double y, double *fits,
                            double *sd, double *z) {
    double mean, var, share = jv_loose_share(f, c), bad = share * *fits;
    jv_status status = jv_expect_gone(f, k, c->setup, c->look, &mean, &var, f->scratch);
    if (status != JV_OK)
        return status;
    double good_sd = sqrt(var + jv_reading_noise(f, c, y)), good_z = (y - mean) / good_sd;
    double good = (1.0 - share) * (1.0 - wild) * normal_pdf(good_z) / good_sd;
    *fits = bad + good;
    if (good <= bad)
        return JV_OK;
    *sd = good_sd;
    *z = good_z;
    memcpy(f->scratch2, f->scratch, f->n_unknowns * sizeof *f->scratch2);
    return JV_OK;
}

/* One state and one reading; its standardised error squared in *misfit. */
static jv_status read_state(jv_finder *f, size_t k, const jv_find_check *c, double y,
                            double *misfit) {
    jv_find_state *s = &f->states[k];
    double mean, var;
    jv_status status = jv_expect_now(f, k, c->setup, c->look, &mean, &var, f->scratch2);
    if (status != JV_OK)
        return status;
    double total = var + jv_reading_noise(f, c, y) + jv_reading_bend(f, c, mean);
    double sd = sqrt(total);
    double z = (y - mean) / sd;
    double fits = (1.0 - wild) * exp(-0.5 * z * z) / (root_two_pi * sd);
    double flat = wild * jv_reading_flat(f, c);
    if (jv_is_loose(s))
        status = read_loose(f, k, c, y, &fits, &sd, &z);
    if (status != JV_OK)
        return status;
    *misfit = z * z;
    if (k != f->sound)
        s->log_weight += log(fits + flat);
    /* On the flat part it teaches nothing of this state. */
    if (fits > flat && !jv_odds_condition(f, s, f->scratch2, z / sd, 1.0 / sd))
        return JV_ERR_MEMORY;
    return JV_OK;
}

static jv_status read_value(jv_finder *f, jv_entry *e) {
    const jv_find_check *c = &f->checks[e->check];
    double y = jv_reading_of_value(f, c, e->value, e->over), mean, var, misfit = 0.0;
    static const double counts = 1e-3; /* suspects that likely */
    jv_status status = jv_expect_now(f, f->sound, c->setup, c->look, &mean, &var, NULL);
    if (status != JV_OK)
        return status;
    f->none_log += log(jv_reading_none(f, c, y, mean, var));
    e->misfit = INFINITY;
    for (size_t k = 0; k < f->n_states && status == JV_OK; k++) {
        if (!f->states[k].alive && k != f->sound)
            continue;
        double before = f->part_odds[f->c->n_parts + f->states[k].suspect];
        status = read_state(f, k, c, y, &misfit);
        if (k == f->sound)
            e->plain = misfit;
        else if (before > counts)
            e->misfit = fmin(e->misfit, misfit);
    }
    return status;
}

/* --- symptoms --- */

static bool speed_look(const jv_find_setup *s, size_t part, jv_look *look, bool others) {
    for (size_t m = 0; m < s->n_motors && m < JV_LOOK_TERMS / 2; m++) {
        const jv_element *e = &s->net->elements[s->motor[m]];
        bool own = e->part == part;
        if (own)
            look->motor = (int16_t)m;
        double w = own ? 1.0 : (others ? -0.8 / (double)(s->n_motors - 1) : 0.0);
        if (part == JV_FIND_NONE)
            w = 1.0 / (double)s->n_motors;
        if (w == 0.0)
            continue;
        if (s->x[e->a] < s->x[e->b])
            w = -w;
        look->index[look->n] = e->a;
        look->weight[look->n++] = w;
        look->index[look->n] = e->b;
        look->weight[look->n++] = -w;
    }
    return look->motor >= 0 || part == JV_FIND_NONE;
}

static void between(jv_look *look, int32_t plus, int32_t minus, double limit) {
    look->kind = JV_LOOK_VOLTS;
    look->index[0] = plus;
    look->weight[0] = 1.0;
    look->index[1] = minus;
    look->weight[1] = -1.0;
    look->n = 2;
    look->offset = limit;
}

/* The look whose value is below zero when the symptom is there. */
static bool symptom_look(const jv_finder *f, const jv_find_setup *s, const jv_symptom *y,
                         jv_look *look) {
    const jv_circuit *c = f->c;
    memset(look, 0, sizeof *look);
    look->motor = -1;
    switch (y->kind) {
    case JV_SYMPTOM_TRIPS: {
        const jv_watch *w = &c->watches[y->subject];
        double bias = w->plus >= 0
                          ? s->x[w->plus] - s->x[w->minus] - jv_watch_seen(&s->net->scene, w, s->x)
                          : 0.0;
        between(look, w->plus, w->minus, w->below.nominal + bias);
        return true;
    }
    case JV_SYMPTOM_SLOW:
        look->kind = JV_LOOK_SPEED;
        return speed_look(s, y->subject, look, true) && s->n_motors > 1;
    case JV_SYMPTOM_ALL_SLOW:
        look->kind = JV_LOOK_ALL;
        return speed_look(s, JV_FIND_NONE, look, false) && s->n_motors > 0;
    case JV_SYMPTOM_STILL:
        look->kind = JV_LOOK_STILL;
        return speed_look(s, y->subject, look, false);
    case JV_SYMPTOM_SENSOR: {
        const jv_part *p = &c->parts[y->subject];
        double least = NAN;
        for (unsigned k = 0; k < p->kind->n_keys; k++)
            if (strcmp(p->kind->keys[k].name, "minimum") == 0)
                least = jv_scene_value(&s->net->scene, p, k, NAN);
        between(look, jv_part_terminal(c, p, 0), jv_part_terminal(c, p, 1), least);
        return !isnan(least);
    }
    case JV_SYMPTOM_HINT: /* no look: hint.c */
        break;
    }
    return false;
}

static jv_status symptom_setup(jv_finder *f, const jv_symptom *y, size_t *setup) {
    bool runs = y->loading != JV_FIND_NONE && f->c->cases[y->loading].n_runs > 0;
    if (!runs) {
        *setup = f->rest;
        return JV_OK;
    }
    return jv_setup_get(f, JV_SETUP_RUN, y->loading, NULL, 0, -1, -1, setup);
}

/* P(look below zero) and the matched normal, as a shift and a shrinking along the look. */
static bool believe(jv_finder *f, jv_find_state *s, double mean, double var, double noise,
                    bool absent, double *p) {
    double sd = sqrt(var + square(noise)), a = (absent ? mean : -mean) / sd;
    double cdf = fmax(normal_cdf(a), 1e-12), ratio = normal_pdf(a) / cdf;
    double shrink = fmin(fmax(ratio * (ratio + a), 0.0), 1.0);
    *p = fmin(fmax(normal_cdf(a), mistold), 1.0 - mistold);
    if (cdf < mistold)
        return true; /* mistold, if anything */
    return jv_odds_condition(f, s, f->scratch2, (absent ? ratio : -ratio) / sd, sqrt(shrink) / sd);
}

/* Signals of a sensor that is lost with its volts in order: a low that is not low or a high that
 * is not high at the controller's input. */
typedef struct jv_signal {
    int32_t input, minus; /* -1 = no input hears it */
    size_t lifted;        /* setup at rest with the sensor's output high */
} jv_signal;

/* P(a look of a record lies on the right side of a limit), by its mean and a width. */
static jv_status beyond(jv_finder *f, size_t state, size_t setup, int32_t a, int32_t b,
                        double limit, bool above, double *p) {
    static const double width_v = 0.3;
    jv_look look;
    memset(&look, 0, sizeof look);
    look.motor = -1;
    between(&look, a, b, limit);
    jv_find_setup *s = &f->setups[setup];
    size_t number = 0;
    while (number < s->n_looks && memcmp(&s->looks[number], &look, sizeof look) != 0)
        number++;
    if (number == s->n_looks)
        number = jv_setup_look(s, &look);
    if (number == JV_FIND_NONE)
        return JV_ERR_MEMORY;
    double mean;
    jv_status status = jv_expect_look(f, state, setup, number, &mean, NULL);
    *p = normal_cdf((above ? mean : -mean) / width_v);
    return status;
}

static jv_status find_signal(jv_finder *f, const jv_symptom *y, jv_signal *out) {
    enum { MINUS_KEY = 1, SIGNAL_KEY = 2 };
    const jv_circuit *c = f->c;
    const jv_part *p = &c->parts[y->subject];
    jv_find_setup *rest = &f->setups[f->rest];
    double best = INFINITY;
    out->input = out->minus = -1;
    int32_t signal = p->kind == &jv_kind_hall ? jv_part_terminal(c, p, SIGNAL_KEY) : -1;
    if (signal < 0)
        return JV_OK;
    const double *row = jv_setup_row(rest, signal);
    if (!row)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *q = &c->parts[i];
        for (uint32_t t = 0; q->kind == &jv_kind_controller && t < q->n_slots; t++) {
            const jv_slot *slot = &c->slots[q->first_slot + t];
            if (strcmp(q->kind->keys[slot->key].name, "inputs") != 0 || slot->index < 0)
                continue;
            /* The input that hears it: a current put into either moves the signal alike. */
            double far = fabs(row[slot->index] - row[signal]);
            if (far < best) {
                best = far;
                out->input = slot->index;
                out->minus = jv_part_terminal(c, q, MINUS_KEY);
            }
        }
    }
    const size_t off[1] = {y->subject};
    jv_status status = jv_setup_get(f, JV_SETUP_REST, rest->loading, off, 1, -1, -1, &out->lifted);
    if (status == JV_OK && !f->setups[out->lifted].usable)
        out->input = -1;
    return status;
}

static jv_status lost_signal(jv_finder *f, size_t k, const jv_signal *g, double *p_sound) {
    /* Logic levels of an input with hysteresis, V (from memory). */
    static const double low_v = 1.5, high_v = 3.0;
    double low = 1.0, high = 1.0;
    if (g->input < 0)
        return JV_OK;
    jv_status status = beyond(f, k, f->rest, g->input, g->minus, low_v, false, &low);
    if (status == JV_OK)
        status = beyond(f, k, g->lifted, g->input, g->minus, high_v, true, &high);
    *p_sound = low * high;
    return status;
}

/* "None of these" is told nothing by it. */
static jv_status read_hint(jv_finder *f, jv_hint hint) {
    for (size_t k = 0; k < f->n_states; k++)
        if (f->states[k].alive && k != f->sound)
            f->states[k].log_weight += log(jv_hint_weight(f, &f->states[k], hint));
    return JV_OK;
}

static jv_status read_symptom(jv_finder *f, jv_entry *e) {
    const jv_symptom *y = &e->symptom;
    size_t setup, number;
    jv_look look;
    if (y->kind == JV_SYMPTOM_HINT)
        return read_hint(f, (jv_hint)y->subject);
    jv_status status = symptom_setup(f, y, &setup);
    if (status != JV_OK)
        return status;
    jv_find_setup *s = &f->setups[setup];
    if (!s->usable || !symptom_look(f, s, y, &look))
        return JV_OK;
    for (number = 0; number < s->n_looks; number++)
        if (memcmp(&s->looks[number], &look, sizeof look) == 0)
            break;
    if (number == s->n_looks)
        number = jv_setup_look(s, &look);
    if (number == JV_FIND_NONE)
        return JV_ERR_MEMORY;
    jv_signal signal = {-1, -1, 0};
    if (y->kind == JV_SYMPTOM_SENSOR)
        status = find_signal(f, y, &signal);
    f->none_log += log(toss);
    for (size_t k = 0; k < f->n_states && status == JV_OK; k++) {
        double mean, var, p, sound = 1.0;
        if (!f->states[k].alive || k == f->sound)
            continue;
        status = jv_expect_now(f, k, setup, number, &mean, &var, f->scratch2);
        if (status != JV_OK)
            return status;
        if (jv_is_loose(&f->states[k]) && y->absent) {
            /* It may have been away: it is not learnt from. */
            double there = normal_cdf(-mean / sqrt(var + square(seen_sd_v[y->kind])));
            p = fmax(1.0 - 0.5 * there, mistold);
        } else if (!believe(f, &f->states[k], mean, var, seen_sd_v[y->kind], y->absent, &p)) {
            return JV_ERR_MEMORY;
        }
        if (y->kind == JV_SYMPTOM_SENSOR)
            status = lost_signal(f, k, &signal, &sound);
        if (sound < 1.0) { /* present: volts lost or signal lost */
            double volts = y->absent ? 1.0 - p : p, lost = 1.0 - (1.0 - volts) * sound;
            p = fmin(fmax(y->absent ? 1.0 - lost : lost, mistold), 1.0 - mistold);
        }
        f->states[k].log_weight += log(p);
    }
    return status;
}

/* --- the whole --- */

void jv_odds_reset(jv_finder *f) {
    for (size_t k = 0; k < f->n_states; k++) {
        jv_find_state *s = &f->states[k];
        jv_free(s->mu);
        jv_free(s->gain);
        jv_free(s->push);
        s->mu = s->push = NULL;
        s->gain = NULL;
        s->n_gain = 0;
        s->log_weight = s->log_prior;
        s->alive = k != f->sound;
    }
    f->none_log = log(f->options.none_prior);
    f->epoch++;
    jv_expect_trim(f);
}

static void sum_suspects(jv_finder *f, double best) {
    size_t parts = f->c->n_parts, none = f->n_suspects - 1;
    double *by_suspect = f->part_odds + parts, total = 0.0;
    memset(f->part_odds, 0, (parts + f->n_suspects) * sizeof *f->part_odds);
    for (size_t k = 0; k < f->n_states; k++) {
        jv_find_state *s = &f->states[k];
        if (!s->alive)
            continue;
        if (s->log_weight < best + least_log) {
            s->alive = false;
            continue;
        }
        double w = exp(s->log_weight - best);
        by_suspect[s->suspect] += w;
        total += w;
    }
    by_suspect[none] = exp(f->none_log - best);
    total += by_suspect[none];
    for (size_t k = 0; k < f->n_suspects; k++) {
        const jv_suspect *v = &f->suspects[k].view;
        by_suspect[k] /= total;
        for (size_t t = 0; t < v->n; t++)
            f->part_odds[v->part[t]] += by_suspect[k];
    }
}

static void severity(const jv_finder *f, jv_odds *o) {
    const jv_find_suspect *u = &f->suspects[o->suspect];
    double sum = 0.0, mean = 0.0, square_sum = 0.0, best = -INFINITY;
    bool logs = !u->view.along && u->view.n;
    for (size_t k = u->first; u->view.n && k < u->first + u->n; k++)
        best = fmax(best, f->states[k].alive ? f->states[k].log_weight : -INFINITY);
    for (size_t k = u->first; isfinite(best) && k < u->first + u->n; k++) {
        const jv_find_state *s = &f->states[k];
        if (!s->alive)
            continue;
        double w = exp(s->log_weight - best), width, x;
        const jv_failure *how = &f->c->parts[s->fault[0].part].kind->failures[s->fault[0].failure];
        size_t cells = u->view.along ? JV_SHORT_CELLS : u->cells;
        double z = s->mu ? s->mu[f->cell[0]] : 0.0;
        /* A cell's unknown is in units of 0.4 of its width (expect.c). */
        static const double cell_width = 0.4;
        width = logs && how->low > 0.0 ? log(how->high / how->low) / (double)cells
                                       : 1.0 / (double)cells;
        x = logs ? log(fmax(s->fault[0].value, 1e-12)) : s->fault[0].position;
        x += cell_width * width * z;
        sum += w;
        mean += w * x;
        double left = 1.0;
        for (size_t g = 0; g < s->n_gain; g++)
            left -= square((double)s->gain[g * f->n_unknowns + f->cell[0]]);
        square_sum += w * (x * x + square(cell_width * width) * fmax(left, 0.0));
    }
    o->severity = o->severity_sd = 0.0;
    if (sum <= 0.0)
        return;
    mean /= sum;
    double sd = sqrt(fmax(square_sum / sum - mean * mean, 0.0));
    o->severity = logs ? exp(mean) : fmin(fmax(mean, 0.0), 1.0);
    o->severity_sd = logs ? sd * o->severity : sd;
}

static void sort_odds(jv_finder *f) {
    for (size_t k = 1; k < f->n_suspects; k++) {
        jv_odds o = f->odds[k];
        size_t at = k;
        for (; at > 0 && f->odds[at - 1].probability < o.probability; at--)
            f->odds[at] = f->odds[at - 1];
        f->odds[at] = o;
    }
}

jv_status jv_odds_sum(jv_finder *f) {
    static const double shown = 1e-4;
    double best = f->none_log;
    f->chosen.known = false;
    for (size_t k = 0; k < f->n_states; k++)
        if (f->states[k].alive)
            best = fmax(best, f->states[k].log_weight);
    sum_suspects(f, best);
    for (size_t k = 0; k < f->n_suspects; k++) {
        jv_odds *o = &f->odds[k];
        o->suspect = k;
        o->probability = f->part_odds[f->c->n_parts + k];
        o->severity = o->severity_sd = 0.0;
        if (o->probability > shown)
            severity(f, o);
    }
    sort_odds(f);
    return JV_OK;
}

jv_status jv_odds_apply(jv_finder *f, jv_entry *e) {
    jv_status status = JV_OK;
    if (e->kind == JV_ENTRY_SYMPTOM && !e->proof) {
        status = read_symptom(f, e);
    } else if (e->kind == JV_ENTRY_READING && !e->proof && !e->dropped) {
        jv_find_check *c = &f->checks[e->check];
        c->taken = true;
        jv_check_open_place(f, e->check);
        status = c->view.kind == JV_CHECK_LOOK ? read_look(f, c, e->value > 0.5)
                 : e->band.is                  ? jv_band_read(f, e)
                                               : read_value(f, e);
    } else if (e->kind == JV_ENTRY_SKIP) {
        f->checks[e->check].skipped = true;
    }
    return status == JV_OK ? jv_odds_sum(f) : status;
}
