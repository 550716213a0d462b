/* fuses.c - fuses and breakers that heat up in a run. SPDX-License-Identifier: MIT */
#include "study/sequence/play.h"

#include "circuit/kinds.h"
#include "circuit/parts/breaker.h"
#include "circuit/parts/fuse.h"

#include <math.h>

/* The shares of (P6) are added up, once for the earliest and once for the latest time of the band;
 * 1 = open. Nothing else depends on that sum, so it is integrated over each step when the step is
 * known (Gauss, four points). What cooling does is not published: the earliest sum never falls, the
 * latest falls with 10 s below the hold current (judgement). */
static const double cooling_s = 10.0;
static const double breaker_reset_s = 15.0; /* cooling of a type I breaker, judgement */

static double added(const jv_play *p, const jv_fuse_follow *f, double share, bool late) {
    static const double at[] = {0.0694318442029737, 0.3300094782075719, 0.6699905217924281,
                                0.9305681557970263};
    static const double weight[] = {0.1739274225687269, 0.3260725774312731, 0.3260725774312731,
                                    0.1739274225687269};
    const jv_motion *m = p->motion;
    size_t i = (size_t)m->system->current[f->element];
    double sum = 0.0;
    for (int k = 0; k < 4; k++)
        sum += weight[k] * jv_device_rate(&f->device, jv_motion_value(m, i, share * at[k]), late);
    return sum * share * m->h_last;
}

static jv_status take_device(const jv_play *p, const jv_part *part, jv_device *out) {
    double rating = jv_scene_value(&p->net->scene, part, JV_FUSE_RATING, NAN);
    return jv_fuse_part_device(p->c, part, rating, p->net->scene.ambient_c, out);
}

void jv_fuses_air(jv_play *p) {
    for (size_t k = 0; k < p->n_fuses; k++) {
        jv_fuse_follow *f = &p->fuses[k];
        if (take_device(p, &p->c->parts[f->part], &f->device) != JV_OK)
            continue; /* cannot be: it had one */
        f->weak = f->device.confidence == JV_WEAK;
        f->hold = jv_device_hold_a(&f->device);
    }
}

jv_status jv_fuses_make(jv_play *p) {
    p->fuses = jv_zalloc(p->c->n_parts + 1, sizeof *p->fuses);
    if (!p->fuses)
        return JV_ERR_MEMORY;
    for (uint32_t i = 0; i < p->c->n_parts; i++) {
        const jv_part *part = &p->c->parts[i];
        jv_fuse_follow *f = &p->fuses[p->n_fuses];
        if (!jv_fuse_is(part) || take_device(p, part, &f->device) != JV_OK)
            continue;
        f->part = i;
        f->element = p->net->first[i];
        f->is_breaker = part->kind == &jv_kind_breaker;
        int reset = jv_part_word(p->c, part, JV_FUSE_STYLE, JV_BREAKER_AUTOMATIC);
        f->automatic = f->is_breaker && reset == JV_BREAKER_AUTOMATIC;
        f->reset_s =
            f->is_breaker ? jv_breaker_reset_s(&p->net->scene, part, breaker_reset_s) : NAN;
        f->due = INFINITY;
        f->may_open_s = f->opens_s = NAN;
        p->n_fuses++;
    }
    jv_fuses_air(p);
    return JV_OK;
}

/* Share at which a sum of `used` comes to 1, by bisection to a microsecond. */
static double moment(const jv_play *p, const jv_fuse_follow *f, double used, double share,
                     bool late) {
    double low = 0.0, high = share;
    while ((high - low) * p->motion->h_last > 1e-6) {
        double middle = 0.5 * (low + high);
        if (used + added(p, f, middle, late) >= 1.0)
            high = middle;
        else
            low = middle;
    }
    return high;
}

static bool idle(const jv_play *p, const jv_fuse_follow *f) {
    size_t i = (size_t)p->motion->system->current[f->element];
    const jv_motion *m = p->motion;
    double most = fmax(fmax(fabs(m->last[i]), fabs(m->now[i])), fabs(jv_motion_value(m, i, 0.5)));
    return f->open || most <= f->hold;
}

double jv_fuses_crossing(const jv_play *p, double share, size_t *event) {
    double first = 2.0;
    for (size_t k = 0; k < p->n_fuses; k++) {
        const jv_fuse_follow *f = &p->fuses[k];
        if (idle(p, f))
            continue;
        for (int late = 0; late < 2; late++) {
            double used = late ? f->late : f->early;
            if (used >= 1.0 || used + added(p, f, share, late) < 1.0)
                continue;
            double at = moment(p, f, used, share, late);
            if (at >= first)
                continue;
            first = at;
            *event = 2 * k + (size_t)late;
        }
    }
    return first;
}

void jv_fuses_advance(jv_play *p, double share) {
    double seconds = share * p->motion->h_last;
    for (size_t k = 0; k < p->n_fuses; k++) {
        jv_fuse_follow *f = &p->fuses[k];
        if (idle(p, f)) {
            f->late *= f->open ? 1.0 : exp(-seconds / cooling_s);
            continue;
        }
        f->early = fmin(1.0, f->early + added(p, f, share, false));
        f->late = fmin(1.0, f->late + added(p, f, share, true));
        /* Where no lower limit is published, the earliest is no later than the latest. */
        f->early = fmax(f->early, f->late);
    }
}

void jv_fuses_act(jv_play *p, size_t event) {
    jv_fuse_follow *f = &p->fuses[event / 2];
    const char *name = p->c->parts[f->part].name,
               *hint = f->weak ? " (times from memory: a hint)" : "";
    size_t i = (size_t)p->motion->system->current[f->element];
    double amps = fabs(p->motion->now[i]);
    if (event % 2 == 0) {
        f->early = 1.0;
        if (isnan(f->may_open_s))
            f->may_open_s = p->motion->t;
        if (!f->told)
            jv_tell(p, JV_MAY_OPEN, f->part, -1, !f->weak, f->weak,
                    "%s may open from here on: %.0f A, %.0f %% of its rating%s", name, amps,
                    100.0 * amps / f->device.rating_a, hint);
        f->told = true;
        return;
    }
    f->early = f->late = 1.0;
    f->open = true;
    if (isnan(f->may_open_s))
        f->may_open_s = p->motion->t;
    if (isnan(f->opens_s))
        f->opens_s = p->motion->t;
    jv_tell(p, JV_OPENS, f->part, -1, true, f->weak,
            "%s is open by here: %.0f A, %.0f %% of its rating%s", name, amps,
            100.0 * amps / f->device.rating_a, hint);
    if (f->automatic)
        f->due = p->motion->t + f->reset_s;
    p->part_open[f->part] = 1;
    p->reload = true;
}

double jv_fuses_due(const jv_play *p) {
    double due = INFINITY;
    for (size_t k = 0; k < p->n_fuses; k++)
        due = fmin(due, p->fuses[k].due);
    return due;
}

void jv_fuses_timers(jv_play *p) {
    for (size_t k = 0; k < p->n_fuses; k++) {
        jv_fuse_follow *f = &p->fuses[k];
        if (p->motion->t < f->due)
            continue;
        f->due = INFINITY;
        f->open = f->told = false;
        f->early = f->late = 0.0;
        p->part_open[f->part] = 0;
        p->reload = true;
        jv_tell(p, JV_CLOSES, f->part, -1, false, true,
                "%s has cooled and closes again by itself (after %g s: judgement)",
                p->c->parts[f->part].name, f->reset_s);
    }
}
