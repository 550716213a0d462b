/* monitors.c - watches, controllers and sensors in time. SPDX-License-Identifier: MIT */
#include "study/sequence/play.h"

#include "circuit/kinds.h"
#include "circuit/parts/controller.h"
#include "circuit/parts/hall.h"
#include "study/watch.h"

#include <math.h>
#include <string.h>

/* Taken where the file says nothing; from memory, none decides a verdict that is not said to be
 * assumed. */
static const double reset_held_s = 0.005;   /* 1 to 10 ms */
static const double stop_held_s = 0.2;      /* 0.1 to 1 s */
static const double stop_ignored_s = 0.3;   /* 0.1 to 0.3 s */
static const double sensor_recovers = 1.02; /* of the least volts (judgement, as in hall.c) */

static const char *name_of(const jv_play *p, const jv_monitor *m) {
    return m->kind == JV_MONITOR_WATCH ? p->c->watches[m->index].name : p->c->parts[m->index].name;
}

static jv_monitor *add(jv_play *p, jv_monitor_kind kind, uint32_t index) {
    jv_monitor *m = &p->monitors[p->n_monitors++];
    memset(m, 0, sizeof *m);
    m->kind = (uint8_t)kind;
    m->index = index;
    m->plus = m->minus = -1;
    m->due = INFINITY;
    m->blank_until = -INFINITY;
    return m;
}

static void add_watch(jv_play *p, uint32_t index) {
    const jv_watch *w = &p->c->watches[index];
    jv_monitor *m = add(p, JV_MONITOR_WATCH, index);
    m->plus = w->plus;
    m->minus = w->minus;
    if (w->part >= 0 && p->c->parts[w->part].kind == &jv_kind_controller)
        m->shift_v = jv_controller_reverse_drop(&p->net->scene, &p->c->parts[w->part]);
    m->limit = w->below.nominal;
    m->reset = isnan(w->reset_above.nominal) ? m->limit : w->reset_above.nominal;
    m->hold_s = w->held_for.nominal;
    m->blank_s = w->ignored_for.nominal;
}

static void add_controller(jv_play *p, uint32_t index) {
    const jv_scene *s = &p->net->scene;
    const jv_part *part = &p->c->parts[index];
    double reset = jv_scene_value(s, part, JV_CONTROLLER_RESET_VOLTAGE, NAN);
    double stop = jv_scene_value(s, part, JV_CONTROLLER_STOP_CURRENT, NAN);
    if (!isnan(reset)) {
        jv_monitor *m = add(p, JV_MONITOR_RESET, index);
        m->plus = jv_part_terminal(p->c, part, JV_CONTROLLER_PLUS);
        m->minus = jv_part_terminal(p->c, part, JV_CONTROLLER_MINUS);
        m->shift_v = jv_controller_reverse_drop(s, part);
        m->limit = m->reset = reset;
        m->hold_s = jv_scene_value(s, part, JV_CONTROLLER_RESET_HELD, reset_held_s);
    }
    for (uint32_t e = p->net->first[index]; e < p->net->first[index + 1] && !isnan(stop); e++) {
        uint8_t role = p->net->elements[e].role;
        if (role != JV_CONTROLLER_FEED && role != JV_CONTROLLER_FEED_TURNED)
            continue;
        jv_monitor *m = add(p, JV_MONITOR_OVER, index);
        m->element = e;
        m->limit = m->reset = stop;
        m->hold_s = jv_scene_value(s, part, JV_CONTROLLER_STOP_HELD, stop_held_s);
        m->blank_s = jv_scene_value(s, part, JV_CONTROLLER_STOP_IGNORED, stop_ignored_s);
    }
}

static void add_hall(jv_play *p, uint32_t index) {
    const jv_part *part = &p->c->parts[index];
    jv_hall h = jv_hall_of_scene(&p->net->scene, part);
    jv_monitor *m = add(p, JV_MONITOR_HALL, index);
    m->plus = jv_part_terminal(p->c, part, JV_HALL_SUPPLY);
    m->minus = jv_part_terminal(p->c, part, JV_HALL_MINUS);
    m->limit = h.minimum_v;
    m->reset = sensor_recovers * h.minimum_v;
    const jv_slot *counts = jv_part_slot(p->c, part, JV_HALL_COUNTS);
    for (size_t k = 0; k < p->n_runners && counts; k++) {
        if ((int32_t)p->runners[k].part != counts->index)
            continue;
        p->runners[k].hall = (int32_t)(p->n_monitors - 1);
        p->runners[k].pulses_per_turn = jv_scene_value(&p->net->scene, part, JV_HALL_PULSES, NAN);
    }
}

static void make_runners(jv_play *p) {
    for (uint32_t i = 0; i < p->c->n_parts; i++) {
        const jv_part *part = &p->c->parts[i];
        if (!part->kind->is_motor || p->motion->body_of[i] < 0)
            continue;
        jv_runner *r = &p->runners[p->n_runners++];
        r->part = i;
        r->body = p->motion->body_of[i];
        r->element = p->motion->bodies[r->body].element;
        r->hall = -1;
        r->pulses_per_turn = r->limit_s = r->pulse_timeout = NAN;
        r->limit_due = r->pulse_due = INFINITY;
        jv_motor_now now;
        const jv_body *b = &p->motion->bodies[r->body];
        jv_motor_look(b->work, p->motion->now + jv_motion_x(p->motion, b), &now);
        r->start_extension = now.extension_m;
        if (part->driver < 0)
            continue;
        const jv_part *by = &p->c->parts[part->driver];
        r->limit_s = jv_scene_value(&p->net->scene, by, JV_CONTROLLER_TIME_LIMIT, NAN);
        r->pulse_timeout = jv_scene_value(&p->net->scene, by, JV_CONTROLLER_PULSE_TIMEOUT, NAN);
    }
}

jv_status jv_monitors_make(jv_play *p) {
    size_t most = p->c->n_watches + p->c->n_parts + p->net->n_elements + 1;
    p->monitors = jv_zalloc(most, sizeof *p->monitors);
    p->runners = jv_zalloc(p->c->n_parts + 1, sizeof *p->runners);
    if (!p->monitors || !p->runners)
        return JV_ERR_MEMORY;
    make_runners(p);
    for (uint32_t i = 0; i < p->c->n_watches; i++)
        add_watch(p, i);
    for (uint32_t i = 0; i < p->c->n_parts; i++) {
        if (p->c->parts[i].kind == &jv_kind_controller)
            add_controller(p, i);
        if (p->c->parts[i].kind == &jv_kind_hall)
            add_hall(p, i);
    }
    return JV_OK;
}

double jv_monitor_value(const jv_play *p, const jv_monitor *m, const double *values) {
    if (m->kind == JV_MONITOR_OVER)
        return fabs(jv_motion_amps(p->motion, m->element, values));
    return values[m->plus] - values[m->minus] - m->shift_v;
}

/* Rises through zero when the monitor goes beyond its limit, or comes back. */
static double function(const jv_play *p, const jv_monitor *m, const double *values) {
    double v = jv_monitor_value(p, m, values), sign = m->kind == JV_MONITOR_OVER ? -1.0 : 1.0;
    static const double just = 1e-12; /* a function at zero exactly is not missed */
    return (m->past ? sign * (v - m->reset) : sign * (m->limit - v)) + just;
}

void jv_monitors_events(const jv_play *p, const double *values, double *g) {
    for (size_t k = 0; k < p->n_monitors; k++)
        g[k] = p->monitors[k].counts ? function(p, &p->monitors[k], values) : JV_NO_EVENT;
}

static bool in_state(const jv_play *p, const jv_monitor *m) {
    bool running = p->now.n_runs > 0;
    if (m->kind == JV_MONITOR_WATCH)
        return jv_watch_counts(&p->c->watches[m->index], running);
    if (m->kind == JV_MONITOR_OVER)
        return running;
    return true;
}

/* A start blanks what is to look away from starts. */
void jv_monitors_command(jv_play *p, double t) {
    for (size_t k = 0; k < p->n_monitors; k++) {
        jv_monitor *m = &p->monitors[k];
        if (m->blank_s > 0.0)
            m->blank_until = t + m->blank_s;
    }
}

static void forget(jv_monitor *m) {
    m->past = m->tripped = false;
    m->due = INFINITY;
}

static void go_past(jv_play *p, jv_monitor *m) {
    double t = p->motion->t, v = jv_monitor_value(p, m, p->motion->now);
    m->past = true;
    m->since = t;
    m->due = t + m->hold_s;
    if (m->kind == JV_MONITOR_WATCH && m->hold_s > 0.0 && !m->told_below) {
        m->told_below = true;
        jv_tell(p, JV_WATCH_BELOW, UINT32_MAX, (int32_t)m->index, false, false,
                "%s: %.2f V, under its limit of %.2f V; it acts when that lasts %g s",
                name_of(p, m), v, m->limit, m->hold_s);
    }
    if (m->kind != JV_MONITOR_HALL)
        return;
    m->due = INFINITY;
    p->reload = true;
    jv_tell(p, JV_SENSORS_STARVE, m->index, -1, true, false,
            "%s gets less than the %.2f V that it needs: its pulses are lost", name_of(p, m),
            m->limit);
}

static void come_back(jv_play *p, jv_monitor *m) {
    if (m->kind == JV_MONITOR_HALL) {
        p->reload = true;
        jv_tell(p, JV_SENSORS_BACK, m->index, -1, false, false, "%s works again", name_of(p, m));
    }
    forget(m);
}

void jv_monitors_act(jv_play *p, size_t event) {
    jv_monitor *m = &p->monitors[event];
    if (m->past)
        come_back(p, m);
    else
        go_past(p, m);
}

void jv_monitors_look(jv_play *p) {
    double t = p->motion->t;
    for (size_t k = 0; k < p->n_monitors; k++) {
        jv_monitor *m = &p->monitors[k];
        bool was = m->counts;
        m->counts = in_state(p, m) && t >= m->blank_until;
        if (!m->counts) {
            if (was)
                forget(m);
            continue;
        }
        if (function(p, m, p->motion->now) > 0.0)
            jv_monitors_act(p, k);
    }
}

/* The motors that a watch across their terminals means; all of them when it looks elsewhere. */
static void stop_watched(jv_play *p, const jv_monitor *m) {
    bool any = false;
    for (size_t k = 0; k < p->n_runners; k++) {
        const jv_element *e = &p->net->elements[p->runners[k].element];
        if (!p->runners[k].on || e->a != m->plus || e->b != m->minus)
            continue;
        jv_play_stop_motor(p, p->runners[k].part);
        any = true;
    }
    if (!any)
        jv_play_stop_all(p, "a watch stopped all");
}

static void trip_watch(jv_play *p, jv_monitor *m) {
    const jv_watch *w = &p->c->watches[m->index];
    jv_watch_track *track = &p->tracks[m->index];
    double v = jv_monitor_value(p, m, p->motion->now);
    bool harmless = w->action == JV_WARN, resting = p->now.n_runs == 0;
    m->tripped = true;
    m->told_below = false;
    if (track->trips++ == 0) {
        track->first = p->motion->t;
        jv_cause_find(p, m, &track->cause);
    }
    if (p->tweak && p->tweak->watch == (int32_t)m->index) {
        if (!p->tweak->disarm)
            p->sink_stopped = true;
        return;
    }
    bool refuses = w->action == JV_REFUSE_START || (w->action == JV_STOP_ALL && resting);
    const char *then = harmless                    ? "it warns"
                       : w->action == JV_STOP_JACK ? "it stops that jack"
                       : refuses                   ? "it refuses a start"
                                                   : "it stops all";
    jv_tell(p, harmless ? JV_WATCH_WARNS : JV_WATCH_TRIPS, UINT32_MAX, (int32_t)m->index, true,
            w->assumed, "%s: %.2f V for %g s, under its %slimit of %.2f V: %s", w->name, v,
            p->motion->t - m->since, w->assumed ? "assumed " : "", m->limit, then);
    if (p->step < p->plan->n_steps && p->plan->steps[p->step].until_watch == (int32_t)m->index) {
        p->step_over = true;
        return;
    }
    if (harmless)
        return;
    if (refuses && !resting)
        return; /* it looks before a start only */
    if (refuses) {
        jv_tell(p, JV_REFUSED, UINT32_MAX, (int32_t)m->index, true, w->assumed,
                "nothing is started: too few volts at rest");
        p->stop = JV_STOP_REFUSED;
        p->why = "too few volts at rest";
        p->stopping = true;
        p->end_at = p->motion->t;
    } else if (w->action == JV_STOP_JACK) {
        stop_watched(p, m);
    } else {
        jv_play_stop_all(p, "a low-voltage watch stopped all");
    }
}

static void reset_controller(jv_play *p, jv_monitor *m) {
    const jv_part *part = &p->c->parts[m->index];
    double restart = jv_scene_value(&p->net->scene, part, JV_CONTROLLER_RESTART, 1.0);
    m->tripped = true;
    jv_tell(p, JV_BROWN_OUT, m->index, -1, true, false,
            "%s senses less than the %.2f V that it needs and resets: all its outputs open",
            part->name, m->limit);
    p->restart_due = p->motion->t + restart;
    p->restart_part = m->index;
    jv_play_stop_all(p, "the controller reset");
    p->end_at = fmax(p->end_at, p->restart_due + 0.1);
}

static void over_current(jv_play *p, jv_monitor *m) {
    m->tripped = true;
    double amps = jv_monitor_value(p, m, p->motion->now);
    for (size_t k = 0; k < p->n_runners; k++) {
        const jv_part *motor = &p->c->parts[p->runners[k].part];
        const jv_element *e = &p->net->elements[m->element],
                         *own = &p->net->elements[p->runners[k].element];
        bool mine = motor->driver == (int32_t)m->index &&
                    (e->b == own->a || e->b == own->b || motor->driver_output >= 0);
        if (!p->runners[k].on || !mine)
            continue;
        double through = fabs(jv_motion_amps(p->motion, p->runners[k].element, p->motion->now));
        if (fabs(through - amps) > 0.02 * amps)
            continue; /* another output's motor */
        jv_tell(p, JV_OVER_CURRENT, p->runners[k].part, -1, true, false,
                "%s stops %s: %.0f A, its over-current stop is %.0f A", p->c->parts[m->index].name,
                motor->name, amps, m->limit);
        jv_play_stop_motor(p, p->runners[k].part);
    }
}

bool jv_monitors_hold_back(const jv_play *p) {
    for (size_t k = 0; k < p->n_monitors; k++) {
        const jv_monitor *m = &p->monitors[k];
        if (m->kind == JV_MONITOR_WATCH && m->past && !m->tripped &&
            p->c->watches[m->index].action == JV_REFUSE_START)
            return true;
    }
    return false;
}

double jv_monitors_due(const jv_play *p) {
    double due = INFINITY;
    for (size_t k = 0; k < p->n_monitors; k++) {
        const jv_monitor *m = &p->monitors[k];
        if (m->past && !m->tripped)
            due = fmin(due, m->due);
        if (m->blank_until > p->motion->t)
            due = fmin(due, m->blank_until);
    }
    for (size_t k = 0; k < p->n_runners; k++)
        due = fmin(due, fmin(p->runners[k].limit_due, p->runners[k].pulse_due));
    return due;
}

static void runner_timers(jv_play *p, jv_runner *r, double t) {
    const jv_part *motor = &p->c->parts[r->part];
    if (t >= r->limit_due) {
        r->limit_due = INFINITY;
        jv_tell(p, JV_TIME_LIMIT, r->part, -1, true, false,
                "%s is stopped: it has run for the %g s that its controller allows", motor->name,
                r->limit_s);
        jv_play_stop_motor(p, r->part);
    }
    if (t >= r->pulse_due) {
        r->pulse_due = INFINITY;
        jv_tell(p, JV_PULSES_MISSING, r->part, -1, true, false,
                "%s is stopped: no pulse of its sensor for %g s", motor->name, r->pulse_timeout);
        jv_play_stop_motor(p, r->part);
    }
}

void jv_monitors_timers(jv_play *p) {
    double t = p->motion->t;
    for (size_t k = 0; k < p->n_monitors; k++) {
        jv_monitor *m = &p->monitors[k];
        if (!m->past || m->tripped || t < m->due)
            continue;
        m->due = INFINITY;
        if (m->kind == JV_MONITOR_WATCH)
            trip_watch(p, m);
        if (m->kind == JV_MONITOR_RESET)
            reset_controller(p, m);
        if (m->kind == JV_MONITOR_OVER)
            over_current(p, m);
    }
    for (size_t k = 0; k < p->n_runners; k++)
        runner_timers(p, &p->runners[k], t);
}
