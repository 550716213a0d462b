/* play.c - runs a sequence: steps, events, timers. SPDX-License-Identifier: MIT */
#include "study/sequence/play.h"

#include "circuit/kinds.h"
#include "circuit/parts/motor_time.h"

#include <math.h>
#include <string.h>
#include <time.h>

enum { POINTS = JV_PLAY_POINTS, IMMEDIATE = 200 };
static const double restart_h = 2e-5;   /* first step after a jump, s */
static const double rest_shown_s = 1.0; /* shown after everything stopped */
static const double same_moment_s = 1e-9;

double jv_wall_now(void) {
    struct timespec now;
    return timespec_get(&now, TIME_UTC) ? (double)now.tv_sec + 1e-9 * (double)now.tv_nsec : 0.0;
}

const char *jv_play_part_name(const jv_play *p, uint32_t part) {
    return p->c->parts[part].name;
}

void jv_tell(jv_play *p, jv_happening what, uint32_t part, int32_t watch, bool serious, bool weak,
             const char *format, ...) {
    if (p->tweak)
        return; /* a run that only asks tells no story */
    if (p->n_events == p->cap_events) {
        size_t wanted = p->cap_events ? 2 * p->cap_events : 64;
        jv_sequence_event *moved = jv_resize(p->events, wanted, sizeof *moved);
        if (!moved) {
            p->status = JV_ERR_MEMORY;
            return;
        }
        p->events = moved;
        p->cap_events = wanted;
    }
    jv_text text = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&text, format, args);
    va_end(args);
    jv_sequence_event *e = &p->events[p->n_events++];
    e->t_s = p->motion ? p->motion->t : 0.0;
    e->what = what;
    e->part = part == UINT32_MAX ? p->c->n_parts : part;
    e->watch = watch < 0 ? p->c->n_watches : (size_t)watch;
    e->step = p->step;
    e->serious = serious;
    e->weak = weak;
    e->text = jv_arena_copy(p->arena, jv_text_str(&text), text.length);
    if (!e->text || text.failed)
        p->status = JV_ERR_MEMORY;
    jv_text_clear(&text);
}

static jv_runner *runner_of(jv_play *p, uint32_t part) {
    for (size_t k = 0; k < p->n_runners; k++)
        if (p->runners[k].part == part)
            return &p->runners[k];
    return NULL;
}

/* --- commands --- */

static void switch_parts(jv_play *p) {
    const jv_case *k = p->step < p->plan->n_steps ? &p->plan->steps[p->step].loading : NULL;
    memset(p->net->off, 0, p->c->n_parts);
    for (size_t i = 0; k && i < k->n_off; i++)
        p->net->off[k->off[i]] = 1;
    for (size_t i = 0; k && i < k->n_on; i++)
        p->net->off[k->on[i]] = 2;
    for (size_t i = 0; i < p->c->n_parts; i++)
        if (p->part_open[i])
            p->net->off[i] = 1;
}

static void set_goal(jv_play *p, const jv_runner *r) {
    const jv_plan_step *s = &p->plan->steps[p->step];
    jv_motor_goal goal = {s->extension_m, s->force_n, s->current_a, s->stroke_end};
    jv_motor_set_goal(p->motion->bodies[r->body].work, &goal);
}

static void start_motor(jv_play *p, const jv_run *run) {
    jv_runner *r = runner_of(p, run->part);
    if (!r)
        return;
    double t = p->motion->t;
    if (r->on) { /* it goes on from the step before, with this step's load and goals */
        for (size_t k = 0; k < p->now.n_runs; k++)
            if (p->now.runs[k].part == run->part)
                p->now.runs[k] = *run;
        set_goal(p, r);
        p->reload = true;
        return;
    }
    p->now.runs[p->now.n_runs++] = *run;
    r->on = true;
    r->started = t;
    r->limit_due = isnan(r->limit_s) ? INFINITY : t + r->limit_s;
    r->pulse_due = isnan(r->pulse_timeout) || r->hall < 0 ? INFINITY : t + r->pulse_timeout;
    set_goal(p, r);
    p->reload = true;
    bool pump = p->c->parts[run->part].kind == &jv_kind_pump;
    jv_tell(p, JV_JACK_STARTS, run->part, -1, false, false, "%s starts%s",
            jv_play_part_name(p, run->part),
            pump                 ? ""
            : run->direction < 0 ? ", lowering"
                                 : ", lifting");
    jv_monitors_command(p, t);
}

void jv_play_stop_motor(jv_play *p, uint32_t part) {
    jv_runner *r = runner_of(p, part);
    if (!r || !r->on)
        return;
    r->on = false;
    r->runs_s += p->motion->t - r->started;
    r->limit_due = r->pulse_due = INFINITY;
    size_t kept = 0;
    for (size_t i = 0; i < p->now.n_runs; i++)
        if (p->now.runs[i].part != part)
            p->now.runs[kept++] = p->now.runs[i];
    p->now.n_runs = kept;
    p->reload = true;
}

void jv_play_stop_all(jv_play *p, const char *why) {
    for (size_t k = 0; k < p->n_runners; k++)
        jv_play_stop_motor(p, p->runners[k].part);
    p->n_queue = 0;
    if (p->stopping)
        return;
    p->stopping = true;
    p->stop = JV_STOP_TRIPPED;
    p->why = why;
    p->end_at = p->motion->t + rest_shown_s;
}

static void begin_step(jv_play *p) {
    const jv_plan_step *s = &p->plan->steps[p->step];
    double t = p->motion->t;
    p->step_from = t;
    p->net->scene.ambient_c = s->loading.has_ambient ? s->loading.ambient.nominal
                              : p->plan->has_ambient ? p->plan->ambient.nominal
                                                     : p->c->ambient.nominal;
    jv_fuses_air(p);
    p->step_over = false;
    p->step_until = isnan(s->for_s) ? INFINITY : t + s->for_s;
    p->step_starts[p->step] = t;
    p->n_queue = 0;
    p->reload = true;
    jv_tell(p, JV_STEP_STARTS, UINT32_MAX, -1, false, false, "%s", s->loading.name);
    for (size_t i = 0; i < s->loading.n_runs; i++) {
        double at = t + (double)i * s->stagger_s;
        if (at > t)
            p->queue[p->n_queue++] = (jv_queue){s->loading.runs[i], at};
        else
            start_motor(p, &s->loading.runs[i]);
    }
}

/* Does the next step let this motor go on as it runs? */
static bool goes_on(const jv_play *p, const jv_runner *r) {
    const jv_case *next =
        p->step + 1 < p->plan->n_steps ? &p->plan->steps[p->step + 1].loading : NULL;
    for (size_t i = 0; next && i < next->n_runs; i++) {
        if (next->runs[i].part != r->part)
            continue;
        for (size_t k = 0; k < p->now.n_runs; k++)
            if (p->now.runs[k].part == r->part)
                return p->now.runs[k].direction == next->runs[i].direction;
    }
    return false;
}

static void end_step(jv_play *p) {
    for (size_t k = 0; k < p->n_runners; k++) {
        jv_runner *r = &p->runners[k];
        if (!r->on || goes_on(p, r))
            continue;
        jv_tell(p, JV_JACK_STOPS, r->part, -1, false, false, "%s is let go: its time is up",
                jv_play_part_name(p, r->part));
        jv_play_stop_motor(p, r->part);
    }
    p->n_queue = 0;
    p->reload = true;
    p->step++;
}

static bool step_is_over(const jv_play *p) {
    const jv_plan_step *s = &p->plan->steps[p->step];
    if (p->step_over || p->motion->t >= p->step_until - same_moment_s)
        return true;
    return s->loading.n_runs > 0 && p->now.n_runs == 0 && p->n_queue == 0;
}

static void finish(jv_play *p, jv_sequence_stop stop, const char *why) {
    if (!p->stopping) {
        p->stop = stop;
        p->why = why;
    }
    p->stopping = true;
    p->end_at = p->motion->t;
}

/* Steps that end and begin in this moment. */
static void turn_page(jv_play *p) {
    if (p->waiting && !p->stopping) {
        if (jv_monitors_hold_back(p))
            return;
        p->waiting = false;
        begin_step(p);
    }
    while (!p->stopping && p->step < p->plan->n_steps && step_is_over(p)) {
        end_step(p);
        if (p->step < p->plan->n_steps)
            begin_step(p);
    }
    if (p->stopping || p->step < p->plan->n_steps)
        return;
    p->stopping = true;
    p->stop = JV_STOP_DONE;
    p->why = "every step is done";
    p->end_at = p->motion->t + rest_shown_s;
}

/* --- bodies --- */

static void do_deed(jv_play *p, const jv_body *b, const jv_body_deed *d) {
    const char *name = jv_play_part_name(p, b->part);
    if (d->told)
        jv_tell(p, d->what, b->part, -1, d->serious, d->weak, "%s %s", name, jv_text_str(&d->text));
    if (d->what == JV_RELAY_DROPS || d->what == JV_CHATTERS)
        p->releases[b->part] += d->serious;
    if (d->text.failed)
        p->status = JV_ERR_MEMORY;
    if (!d->reached)
        return;
    jv_tell(p, JV_JACK_STOPS, b->part, -1, false, false, "%s is let go: it has got where it should",
            name);
    jv_play_stop_motor(p, b->part);
}

static void act_body(jv_play *p, const jv_body *b, size_t event) {
    jv_motion *m = p->motion;
    jv_body_deed deed = {0};
    size_t first = p->net->first[b->part], n = b->kind->n_states;
    double before[JV_BODY_STATES];
    memcpy(before, m->now + jv_motion_x(m, b), n * sizeof *before);
    b->kind->act(&p->net->scene, &p->c->parts[b->part], p->net->elements + first,
                 p->net->own[b->part], b->work, m->now + jv_motion_x(m, b),
                 jv_body_amps(m, b, m->now), jv_body_volts(m, b, m->now), event, m->t, &deed);
    bool jumped = memcmp(before, m->now + jv_motion_x(m, b), n * sizeof *before) != 0;
    if (deed.switched || jumped)
        p->resettle = true;
    m->error_last = 0.0; /* rates may have changed: the controller's memory is of no use */
    do_deed(p, b, &deed);
    jv_text_clear(&deed.text);
}

static void act_event(jv_play *p, size_t event) {
    size_t bodies = p->motion->n_events;
    if (event >= bodies + p->n_monitors) {
        p->resettle = true; /* a law went over to another piece */
    } else if (event >= bodies) {
        jv_monitors_act(p, event - bodies);
    } else {
        for (size_t k = 0; k < p->motion->n_bodies; k++) {
            const jv_body *b = &p->motion->bodies[k];
            if (event >= b->event && event < b->event + b->kind->n_events)
                act_body(p, b, event - b->event);
        }
    }
}

/* --- time --- */

static double next_due(const jv_play *p) {
    double due = fmin(fmin(jv_monitors_due(p), jv_fuses_due(p)), p->longest);
    if (p->stopping)
        due = fmin(due, p->end_at);
    else
        due = fmin(due, p->step_until);
    for (size_t i = 0; i < p->n_queue; i++)
        due = fmin(due, p->queue[i].at);
    for (size_t k = 0; k < p->motion->n_bodies; k++) {
        const jv_body *b = &p->motion->bodies[k];
        if (b->kind->due)
            due = fmin(due, b->kind->due(b->work));
    }
    return fmin(due, p->restart_due);
}

static void fire_timers(jv_play *p) {
    double t = p->motion->t + same_moment_s;
    for (size_t k = 0; k < p->motion->n_bodies; k++) {
        const jv_body *b = &p->motion->bodies[k];
        if (b->kind->due && b->kind->due(b->work) <= t)
            act_body(p, b, JV_BODY_TIMER);
    }
    for (size_t i = 0; i < p->n_queue && !p->stopping;) {
        if (p->queue[i].at > t) {
            i++;
            continue;
        }
        start_motor(p, &p->queue[i].run);
        p->queue[i] = p->queue[--p->n_queue];
    }
    jv_monitors_timers(p);
    jv_fuses_timers(p);
    if (p->restart_due <= t) {
        p->restart_due = INFINITY;
        jv_tell(p, JV_RESTART, p->restart_part, -1, false, false,
                "%s works again; it has forgotten what it was doing",
                jv_play_part_name(p, p->restart_part));
    }
    if (p->motion->t >= p->longest - same_moment_s && !p->stopping)
        finish(p, JV_STOP_LONGEST, "it takes longer than it may");
}

static void sample_edge(jv_play *p) {
    jv_track_row(p, p->motion->t, p->motion->now);
}

static const char too_much_power[] = "loads of constant power ask for more than reaches them";

/* Beyond the fold (V^2/(4 R) of a plain source) such a load has no volts but starved ones. */
static void tell_short(jv_play *p) {
    const jv_motion *m = p->motion;
    if (p->told_short)
        return;
    p->told_short = true;
    jv_tell(p, JV_CANNOT_DELIVER, m->power_part, -1, true, false,
            "%s: %s: they ask for %.0f W, no more than %.0f W can be had",
            jv_play_part_name(p, m->power_part), too_much_power, m->power_w,
            m->power_w * m->power_share);
}

/* No step is small enough: at the fold of a constant power that has just been reached? */
static void give_up(jv_play *p) {
    static const double ample = 2.0, near = 1.001; /* of what is asked */
    p->status = jv_motion_power(p->motion, ample);
    if (p->status != JV_OK)
        return;
    p->unsolved = true;
    if (p->motion->power_w > 0.0 && p->motion->power_share < near) {
        tell_short(p);
        finish(p, JV_STOP_UNSOLVED, too_much_power);
        return;
    }
    finish(p, JV_STOP_UNSOLVED, "no step in time is small enough");
}

/* Volts and currents that fit after a jump; what follows at once, follows here. */
static void settle(jv_play *p) {
    bool edge = p->reload;
    for (int round = 0; round < IMMEDIATE && p->status == JV_OK; round++) {
        if (p->reload || p->resettle) {
            jv_point point;
            bool reload = p->reload;
            p->reload = p->resettle = false;
            switch_parts(p);
            p->status = jv_motion_settle(p->motion, reload, &point);
            p->motion->h = fmin(p->motion->h > 0.0 ? p->motion->h : restart_h, restart_h);
            p->motion->error_last = 0.0;
            if (point.outcome == JV_POINT_CANNOT_DELIVER)
                tell_short(p);
            if (!p->motion->settled) {
                p->unsolved = true;
                finish(p, JV_STOP_UNSOLVED,
                       p->told_short ? too_much_power : "no operating point was found");
                return;
            }
        }
        double *g = p->g[0];
        jv_motion_events(p->motion, p->motion->now, g);
        for (size_t e = 0; e < p->motion->n_events; e++)
            if (g[e] > 0.0)
                act_event(p, e);
        jv_monitors_look(p);
        if (!p->reload && !p->resettle) {
            if (edge)
                sample_edge(p);
            return;
        }
        edge = edge || p->reload;
    }
    if (p->status == JV_OK) {
        p->unsolved = true;
        finish(p, JV_STOP_UNSOLVED, "something lets go and pulls in without end");
    }
}

static void pulse_timers(jv_play *p) {
    for (size_t k = 0; k < p->n_runners; k++) {
        jv_runner *r = &p->runners[k];
        if (!r->on || isnan(r->pulse_timeout) || r->hall < 0)
            continue;
        jv_motor_now now;
        const jv_body *b = &p->motion->bodies[r->body];
        jv_motor_look(b->work, p->motion->now + jv_motion_x(p->motion, b), &now);
        if (now.turns && !p->monitors[r->hall].past)
            r->pulse_due = INFINITY;
        else if (isinf(r->pulse_due))
            r->pulse_due = p->motion->t + r->pulse_timeout;
    }
}

static void advance(jv_play *p) {
    double until = next_due(p), share;
    if (until <= p->motion->t + same_moment_s) { /* due in this moment: a dwell of nothing */
        fire_timers(p);
        return;
    }
    p->status = jv_motion_step(p->motion, until);
    if (p->status == JV_ERR_UNSOLVED) {
        give_up(p);
        return;
    }
    if (p->status != JV_OK)
        return;
    size_t fuse = 0, event = jv_locate_first(p, &share);
    double at = jv_fuses_crossing(p, fmin(share, 1.0), &fuse);
    bool blows = at < share;
    if (blows)
        share = at;
    double passed = fmin(share, 1.0);
    jv_tracks_advance(p, passed);
    jv_fuses_advance(p, passed);
    if (share <= 1.0) {
        if (share < 1.0)
            jv_motion_cut(p->motion, share);
        if (blows)
            jv_fuses_act(p, fuse);
        else
            act_event(p, event);
    }
    if (p->motion->t >= until - same_moment_s)
        fire_timers(p);
    pulse_timers(p);
}

static bool clock_is_over(const jv_play *p) {
    double wall = p->options->wall_s > 0.0 ? p->options->wall_s : 60.0;
    return jv_wall_now() - p->wall_start > wall;
}

bool jv_play_is_over(const jv_play *p) {
    return (p->options->asked && *p->options->asked) || clock_is_over(p);
}

static bool must_stop(jv_play *p) {
    const jv_sequence_options *o = p->options;
    if (p->status != JV_OK || p->unsolved)
        return true;
    if (p->tweak && p->tweak->watch >= 0 && !p->tweak->disarm && p->tracks[p->tweak->watch].trips)
        return true;
    if (p->sink_stopped || (o->asked && *o->asked)) {
        p->stopping = false;
        finish(p, JV_STOP_ASKED, "it was asked to stop");
        return true;
    }
    if (clock_is_over(p)) {
        p->stopping = false;
        finish(p, JV_STOP_CLOCK, "its wall clock limit is over");
        return true;
    }
    return p->stopping && p->motion->t >= p->end_at - same_moment_s;
}

static jv_status loop(jv_play *p) {
    enum { LOOKS = 16 };
    for (size_t turn = 0;; turn++) {
        if (!p->unsolved)
            turn_page(p);
        settle(p);
        if (turn % LOOKS == 0 || p->stopping || p->sink_stopped || p->cut_short || p->tweak)
            if (must_stop(p))
                break;
        if (p->status != JV_OK || p->unsolved)
            break;
        advance(p);
        if (p->status != JV_OK)
            break;
    }
    return p->status;
}

jv_status jv_play_run(jv_play *p) {
    const jv_sequence_options *o = p->options;
    if (!(p->wall_start > 0.0))
        p->wall_start = jv_wall_now();
    p->tolerance = o->tolerance > 0.0 ? o->tolerance : 1e-6;
    p->longest = o->longest_s > 0.0          ? o->longest_s
                 : isnan(p->plan->longest_s) ? 600.0
                                             : p->plan->longest_s;
    p->every = o->every_s > 0.0 ? o->every_s : 0.05;
    p->restart_due = INFINITY;
    p->step = 0;
    jv_status status = jv_play_make(p);
    if (status != JV_OK)
        return status;
    p->reload = true;
    settle(p); /* at rest, before the first command */
    jv_tracks_rest(p);
    p->step_until = INFINITY;
    p->waiting = p->plan->n_steps && p->plan->steps[0].loading.n_runs && jv_monitors_hold_back(p);
    if (p->status == JV_OK && !p->unsolved && !p->stopping && !p->waiting)
        begin_step(p);
    status = loop(p);
    if (status == JV_OK)
        jv_tracks_end(p);
    return p->status;
}

void jv_play_free(jv_play *p) {
    jv_tracks_free(p);
    jv_motion_free(&p->motion);
    jv_net_free(&p->net);
    void *const blocks[] = {p->now.runs, p->queue,   p->part_open, p->releases,
                            p->monitors, p->runners, p->fuses,     p->faults,
                            p->events,   p->times,   p->rows};
    for (size_t i = 0; i < sizeof blocks / sizeof blocks[0]; i++)
        jv_free(blocks[i]);
    for (int k = 0; k < POINTS; k++) {
        jv_free(p->g[k]);
        jv_free(p->values[k]);
    }
}
