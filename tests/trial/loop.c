/* loop.c - one vehicle, from the complaint to the proof. SPDX-License-Identifier: MIT */
#include "loop.h"

#include "circuit/kinds.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

static double key_value(const jv_circuit *c, const jv_part *p, const char *name) {
    jv_scene s;
    memset(&s, 0, sizeof s);
    s.circuit = c;
    for (unsigned k = 0; k < p->kind->n_keys; k++)
        if (strcmp(p->kind->keys[k].name, name) == 0)
            return jv_scene_value(&s, p, k, NAN);
    return NAN;
}

static void tell(loop_complaint *y, jv_symptom_kind kind, size_t subject, size_t loading,
                 bool there, size_t *present) {
    if (y->n == LOOP_SYMPTOMS)
        return;
    y->list[y->n++] = (jv_symptom){kind, subject, loading, !there};
    *present += there;
}

/* Watches that act now and did not when the vehicle was sound. Returns true when the run stops. */
static bool tell_watches(const truth *t, const jv_find_setup *s, const truth_point *now,
                         const truth_point *was, loop_complaint *y, size_t *present) {
    bool running = s->kind == JV_SETUP_RUN, stopped = false;
    for (size_t w = 0; w < t->c->n_watches; w++) {
        const jv_watch *x = &t->c->watches[w];
        if (!jv_watch_counts(x, running) || x->plus < 0)
            continue;
        double bias = s->x[x->plus] - s->x[x->minus] - jv_watch_seen(&s->net->scene, x, s->x);
        if (was->v[x->plus] - was->v[x->minus] - bias < x->below.nominal)
            continue; /* it always did */
        bool acts = now->v[x->plus] - now->v[x->minus] - bias < x->below.nominal;
        tell(y, JV_SYMPTOM_TRIPS, w, running ? s->loading : JV_FIND_NONE, acts, present);
        stopped = stopped || (acts && x->action != JV_WARN);
        y->sensors = y->sensors || (acts && !running);
    }
    return stopped;
}

static void tell_motors(truth *t, const jv_find_setup *s, const truth_point *now,
                        const truth_point *was, loop_complaint *y, size_t *present) {
    static const double creep_v = 0.6, slow = 0.8, seen_sd_v = 0.15;
    double sum = 0.0;
    size_t n = 0;
    for (size_t i = 0; i < t->c->n_parts; i++)
        if (!isnan(now->emf[i]) && was->emf[i] > creep_v) {
            sum += now->emf[i] / was->emf[i];
            n++;
        }
    for (size_t i = 0; i < t->c->n_parts; i++) {
        if (isnan(now->emf[i]) || !(was->emf[i] > creep_v))
            continue;
        double own = was->emf[i];
        bool still = now->emf[i] < creep_v;
        double others = n > 1 ? own * (sum - now->emf[i] / own) / (double)(n - 1) : 0.0;
        bool slower = n > 1 && now->emf[i] + seen_sd_v * truth_normal(&t->random) < slow * others;
        bool there = still || slower;
        tell(y, still || n < 2 ? JV_SYMPTOM_STILL : JV_SYMPTOM_SLOW, i, s->loading, there, present);
        if (there && y->motor == JV_FIND_NONE)
            y->motor = i;
    }
}

/* A sensor is lost when its volts are short, or its signal does not swing at the controller. */
static void tell_sensors(truth *t, const truth_point *now, const truth_point *was,
                         loop_complaint *y, size_t *present) {
    for (size_t i = 0; i < t->c->n_parts; i++) {
        const jv_part *p = &t->c->parts[i];
        if (p->kind != &jv_kind_hall)
            continue;
        double least = key_value(t->c, p, "minimum");
        int32_t a = jv_part_terminal(t->c, p, 0), b = jv_part_terminal(t->c, p, 1);
        if (was->v[a] - was->v[b] < least)
            continue;
        bool lost = now->v[a] - now->v[b] < least;
        tell(y, JV_SYMPTOM_SENSOR, i, JV_FIND_NONE, lost, present);
        y->sensors = y->sensors || lost;
    }
}

bool loop_complain(truth *t, jv_finder *f, loop_complaint *y) {
    size_t present = 0, setups = f->n_setups;
    for (size_t q = 0; q < setups && !present; q++) {
        jv_find_setup *s = &f->setups[q];
        bool plain = q == f->rest || (s->kind == JV_SETUP_RUN && !s->n_off_public);
        if (!s->usable || !plain)
            continue;
        truth_point now, was;
        size_t faults = t->n_faults;
        memset(y, 0, sizeof *y);
        y->motor = JV_FIND_NONE;
        y->setup = q;
        truth_solve(t, s->kind, s->loading, s->off_public, s->n_off_public, &now);
        t->n_faults = 0;
        truth_solve(t, s->kind, s->loading, s->off_public, s->n_off_public, &was);
        t->n_faults = faults;
        if (now.found && was.found) {
            bool stopped = tell_watches(t, s, &now, &was, y, &present);
            if (s->kind == JV_SETUP_RUN && !stopped)
                tell_motors(t, s, &now, &was, y, &present);
            if (s->kind == JV_SETUP_REST)
                tell_sensors(t, &now, &was, y, &present);
        }
        truth_point_clear(&now);
        truth_point_clear(&was);
    }
    return present > 0;
}

static bool at_fault(const truth *t, const jv_finder *f, size_t suspect) {
    const jv_suspect *v = &f->suspects[suspect].view;
    for (size_t a = 0; a < v->n; a++)
        for (size_t b = 0; b < t->n_faults; b++)
            if (v->part[a] == t->fault[b].part)
                return true;
    return false;
}

bool loop_is_right(const truth *t, jv_finder *f, size_t suspect) {
    jv_closure now;
    if (at_fault(t, f, suspect))
        return true;
    bool right = false;
    if (jv_finder_closure(f, &now) != JV_OK || now.suspect != suspect)
        return false;
    for (size_t k = 0; k < now.n_twins; k++)
        right = right || at_fault(t, f, now.twins[k]);
    return right;
}

/* The likeliest part, or "none of these": what is said of it, and whether it is so. */
static void calibrate(const truth *t, const jv_finder *f, loop_bins *bins) {
    double p = f->part_odds[f->c->n_parts + f->n_suspects - 1];
    bool right = t->foreign;
    for (size_t i = 0; i < f->c->n_parts; i++) {
        if (jv_finder_part_odds(f, i) <= p)
            continue;
        p = jv_finder_part_odds(f, i);
        right = false;
        for (size_t b = 0; b < t->n_faults; b++)
            right = right || t->fault[b].part == i;
    }
    /* Bins about 0, .1, .2 .. 1. */
    size_t bin = (size_t)fmin(fmax(p * (LOOP_BINS - 1) + 0.5, 0.0), LOOP_BINS - 1.0);
    bins->said[bin] += p;
    bins->right[bin] += right;
    bins->n[bin]++;
}

/* Mends what was named, and takes the proof reading. */
static bool prove(truth *t, jv_finder *f, loop_result *out) {
    const jv_suspect *v = &f->suspects[out->suspect].view;
    size_t kept = 0;
    for (size_t b = 0; b < t->n_faults; b++) {
        bool mended = false;
        for (size_t a = 0; a < v->n; a++)
            mended = mended || v->part[a] == t->fault[b].part;
        if (!mended)
            t->fault[kept++] = t->fault[b];
    }
    t->n_faults = kept;
    jv_next next;
    if (jv_finder_repaired(f, out->suspect) != JV_OK || jv_finder_next(f, &next) != JV_OK)
        return false;
    if (next.kind == JV_NEXT_PROOF && next.check != JV_FIND_NONE) {
        double value;
        bool over;
        truth_reading(t, f, next.check, &value, &over);
        if (jv_finder_add_reading(f, next.check, value, over) != JV_OK)
            return false;
    }
    jv_closure now;
    if (jv_finder_closure(f, &now) != JV_OK)
        return false;
    /* The walk then has what failed repeated in full runs. */
    bool back = false;
    for (size_t run = 0; run < now.runs && !back; run++) {
        loop_complaint again;
        back = loop_complain(t, f, &again);
    }
    out->proof_held = now.state == JV_FIND_REPAIRED && !back;
    return true;
}

bool loop_engine(truth *t, jv_finder *f, const loop_complaint *y, loop_bins *bins,
                 loop_result *out) {
    memset(out, 0, sizeof *out);
    f->n_entries = 0;
    if (jv_odds_replay(f) != JV_OK)
        return false;
    for (size_t k = 0; k < y->n; k++)
        if (jv_finder_add_symptom(f, &y->list[k]) != JV_OK)
            return false;
    jv_next next;
    for (;;) {
        double value;
        bool over;
        if (jv_finder_next(f, &next) != JV_OK)
            return false;
        if (next.kind != JV_NEXT_CHECK && next.kind != JV_NEXT_CONFIRM)
            break;
        bool shows = truth_reading(t, f, next.check, &value, &over);
        out->minutes += next.minutes;
        out->checks++;
        /* Where nothing comes to rest the display does not either: no reading. */
        jv_status status = shows ? jv_finder_add_reading(f, next.check, value, over)
                                 : jv_finder_skip(f, next.check);
        if (status != JV_OK)
            return false;
        if (bins)
            calibrate(t, f, bins);
    }
    out->named = next.kind == JV_NEXT_REPAIR;
    out->suspect = next.suspect;
    out->right = out->named && loop_is_right(t, f, next.suspect);
    return !out->named || prove(t, f, out);
}

/* --- draws --- */

void loop_draw(truth *t, const jv_finder *f, const truth_style *style) {
    double all = 0.0, sum = 0.0, u = truth_uniform(&t->random);
    size_t pick = 0, n = f->n_suspects - 1;
    for (size_t k = 0; k < n; k++)
        all += style->flat ? 1.0 : f->suspects[k].view.prior;
    for (size_t k = 0; k < n && sum <= u * all; k++) {
        sum += style->flat ? 1.0 : f->suspects[k].view.prior;
        pick = k;
    }
    const jv_find_suspect *s = &f->suspects[pick];
    t->n_faults = s->view.n;
    for (size_t k = 0; k < s->view.n; k++) {
        jv_fault *x = &t->fault[k];
        *x = s->fault[k];
        const jv_failure *how = &f->c->parts[x->part].kind->failures[x->failure];
        if (how->low > 0.0)
            x->value = how->low * pow(how->high / how->low, truth_uniform(&t->random));
        if (how->way == JV_WAY_LOOSE) /* as often as not */
            t->present = 0.5;
        if (how->way == JV_WAY_ADDED)
            x->value *= style->severity;
        if (x->way == JV_WAY_SHORT) {
            x->position = truth_uniform(&t->random);
            x->value = 0.01 * pow(200.0, truth_uniform(&t->random));
        }
    }
}
