/* track.c - what is kept of a run: lowest volts, displays, traces, sums. SPDX-License-Identifier:
 * MIT */
#include "study/sequence/play.h"

#include "circuit/parts/battery.h"
#include "circuit/parts/motor_time.h"
#include "jackvolt/meter.h"

#include <math.h>
#include <string.h>

enum { PIECES = 4, SUBPIECES = 8 };
static const double gap_s = 1e-9;
enum { looks_each = 256 }; /* samples between two looks at the clock */

/* --- traces: volts of each watch, volts and amps of sources, amps, volts and travel of motors ---
 */

typedef enum jv_column_kind {
    COLUMN_WATCH,
    COLUMN_VOLTS,
    COLUMN_AMPS,
    COLUMN_DELIVERS,
    COLUMN_TRAVEL
} jv_column_kind;
typedef struct jv_column {
    jv_column_kind kind;
    uint32_t index; /* monitor, element or part */
} jv_column;

static void column(jv_play *p, jv_column *list, jv_trace *traces, jv_column_kind kind,
                   uint32_t index, const char *name, const char *unit) {
    list[p->n_traces] = (jv_column){kind, index};
    traces[p->n_traces].name = name;
    traces[p->n_traces].unit = unit;
    traces[p->n_traces].source = (kind == COLUMN_VOLTS || kind == COLUMN_DELIVERS) &&
                                 p->c->parts[p->net->elements[index].part].kind->is_source;
    p->n_traces++;
}

static jv_status columns(jv_play *p) {
    size_t most = p->n_monitors + 3 * p->c->n_parts + 1;
    jv_column *list = jv_arena_alloc(p->arena, most, sizeof *list);
    jv_trace *traces = jv_arena_alloc(p->arena, most, sizeof *traces);
    if (!list || !traces)
        return JV_ERR_MEMORY;
    for (uint32_t k = 0; k < p->n_monitors; k++)
        if (p->monitors[k].kind == JV_MONITOR_WATCH)
            column(p, list, traces, COLUMN_WATCH, k, p->c->watches[p->monitors[k].index].name, "V");
    for (uint32_t i = 0; i < p->c->n_parts; i++) {
        const jv_part *part = &p->c->parts[i];
        uint32_t first = p->net->first[i];
        if (p->net->own[i] == 0 || (!part->kind->is_source && !part->kind->is_motor))
            continue;
        column(p, list, traces, COLUMN_VOLTS, first, part->name, "V");
        column(p, list, traces, part->kind->is_source ? COLUMN_DELIVERS : COLUMN_AMPS, first,
               part->name, "A");
        if (part->kind->is_motor && p->motion->body_of[i] >= 0)
            column(p, list, traces, COLUMN_TRAVEL, i, part->name, "m");
    }
    p->heads.traces = traces;
    p->heads.n_traces = p->n_traces;
    p->columns = list;
    p->traces = traces;
    return JV_OK;
}

static double column_value(const jv_play *p, const jv_column *c, const double *values) {
    const jv_element *e = &p->net->elements[c->index < p->net->n_elements ? c->index : 0];
    switch (c->kind) {
    case COLUMN_WATCH:
        return jv_monitor_value(p, &p->monitors[c->index], values);
    case COLUMN_VOLTS:
        return values[e->a] - values[e->b];
    case COLUMN_AMPS:
        return jv_motion_amps(p->motion, c->index, values);
    case COLUMN_DELIVERS:
        return -jv_motion_amps(p->motion, c->index, values) + 0.0;
    case COLUMN_TRAVEL:
        break;
    }
    const jv_body *b = &p->motion->bodies[p->motion->body_of[c->index]];
    jv_motor_now now;
    jv_motor_look(b->work, values + jv_motion_x(p->motion, b), &now);
    return now.extension_m;
}

static bool room_for_row(jv_play *p) {
    if (p->n_samples < p->cap_samples)
        return true;
    size_t wanted = p->cap_samples ? 2 * p->cap_samples : 1024;
    double *times = jv_resize(p->times, wanted, sizeof *times);
    if (times)
        p->times = times;
    double *rows = jv_resize(p->rows, wanted * (p->n_traces + 1), sizeof *rows);
    if (rows)
        p->rows = rows;
    if (!times || !rows) {
        p->status = JV_ERR_MEMORY;
        return false;
    }
    p->cap_samples = wanted;
    return true;
}

void jv_track_row(jv_play *p, double t, const double *values) {
    if (p->tweak || !room_for_row(p))
        return;
    double *row = p->rows + p->n_samples * p->n_traces;
    for (size_t k = 0; k < p->n_traces; k++)
        row[k] = column_value(p, &p->columns[k], values);
    p->times[p->n_samples++] = t;
    if (p->options->sink && !p->options->sink(p->options->sink_context, &p->heads, t, row))
        p->sink_stopped = true;
}

/* The next even one, as short a decimal as its step. */
static double sample_time(const jv_play *p) {
    static const double least = 1e-6, per_s = 1e9;
    double at = (double)p->next_sample * p->every;
    return p->every >= least ? round(at * per_s) / per_s : at;
}

static void samples(jv_play *p, double share) {
    const jv_motion *m = p->motion;
    double end = m->t_last + share * m->h_last;
    double at;
    while ((at = sample_time(p)) <= end - gap_s && !p->tweak && p->status == JV_OK &&
           !p->cut_short) {
        /* samples may be as close as anyone asks: a step must not hold up the end for them */
        p->cut_short = p->next_sample % looks_each == 0 && jv_play_is_over(p);
        if (at > m->t_last + gap_s) {
            jv_motion_look(m, (at - m->t_last) / m->h_last, p->values[0]);
            jv_track_row(p, at, p->values[0]);
        }
        p->next_sample++;
    }
    if (share < 1.0) {
        jv_motion_look(m, share, p->values[0]);
        jv_track_row(p, end, p->values[0]);
    }
}

/* --- what watches saw --- */

typedef struct jv_cubic { /* of a difference of two volts over the last step */
    double at0, linear, square, cube;
} jv_cubic;

static jv_cubic cubic_of(const jv_play *p, const jv_monitor *m) {
    const jv_motion *o = p->motion;
    size_t a = (size_t)m->plus, b = (size_t)m->minus;
    double y0 = o->last[a] - o->last[b], y1 = o->now[a] - o->now[b];
    double c3 = o->c3[a] - o->c3[b], c4 = o->c4[a] - o->c4[b];
    return (jv_cubic){y0 - m->shift_v, y1 - y0 + c3, c4 - c3, -c4};
}

static double cubic_at(const jv_cubic *c, double s) {
    return c->at0 + s * (c->linear + s * (c->square + s * c->cube));
}

static void lower(jv_watch_track *w, double v, double t) {
    if (v < w->lowest) {
        w->lowest = v;
        w->at = t;
    }
}

/* The cubic's own lowest points inside. */
static void lowest_inside(const jv_play *p, jv_watch_track *w, const jv_cubic *c, double share) {
    double a = 3.0 * c->cube, b = 2.0 * c->square, d = b * b - 4.0 * a * c->linear;
    double roots[2] = {-1.0, -1.0};
    if (fabs(a) < 1e-300)
        roots[0] = b != 0.0 ? -c->linear / b : -1.0;
    else if (d >= 0.0) {
        double q = -0.5 * (b + copysign(sqrt(d), b));
        roots[0] = q / a;
        roots[1] = q != 0.0 ? c->linear / q : -1.0;
    }
    for (int k = 0; k < 2; k++)
        if (roots[k] > 0.0 && roots[k] < share)
            lower(w, cubic_at(c, roots[k]), p->motion->t_last + roots[k] * p->motion->h_last);
}

static void keep_held(jv_play *p, jv_watch_track *w, double t, double v) {
    if (w->n_held == w->cap_held) {
        size_t wanted = w->cap_held ? 2 * w->cap_held : 512;
        double *times = jv_resize(w->held_t, wanted, sizeof *times);
        if (times)
            w->held_t = times;
        double *volts = jv_resize(w->held_v, wanted, sizeof *volts);
        if (volts)
            w->held_v = volts;
        if (!times || !volts) {
            p->status = JV_ERR_MEMORY;
            return;
        }
        w->cap_held = wanted;
    }
    w->held_t[w->n_held] = t;
    w->held_v[w->n_held++] = v;
}

/* A display of first order: over a piece in which the volts go straight from a to b. */
static double display(double shown, double a, double b, double seconds, double tau) {
    double slope = seconds > 0.0 ? (b - a) / seconds : 0.0, decay = exp(-seconds / tau);
    return b - slope * tau + (shown - a + slope * tau) * decay;
}

static void look_at(jv_play *p, const jv_monitor *m, jv_watch_track *w, double share) {
    const jv_motion *o = p->motion;
    jv_cubic c = cubic_of(p, m);
    for (int k = 0; k < SUBPIECES; k++) {
        double s0 = share * k / SUBPIECES, s1 = share * (k + 1) / SUBPIECES;
        w->shown = display(w->shown, cubic_at(&c, s0), cubic_at(&c, s1), (s1 - s0) * o->h_last,
                           p->response);
        if (m->counts)
            w->shown_lowest = fmin(w->shown_lowest, w->shown);
    }
    if (!m->counts) {
        w->run_under = 0.0;
        return;
    }
    double end = o->t_last + share * o->h_last, seconds = share * o->h_last;
    lower(w, c.at0, o->t_last);
    lower(w, cubic_at(&c, share), end);
    lowest_inside(p, w, &c, share);
    for (int k = 1; k <= PIECES; k++)
        keep_held(p, w, o->t_last + seconds * k / PIECES, cubic_at(&c, share * k / PIECES));
    /* Steps are cut where the limit is crossed: one side in one piece. */
    if (cubic_at(&c, 0.5 * share) < m->limit) {
        w->under += seconds;
        w->run_under += seconds;
        w->longest = fmax(w->longest, w->run_under);
    } else {
        w->run_under = 0.0;
    }
}

/* The highest limit that is passed for the whole dwell: the least, over all moments, of the
 * greatest volts in the dwell that begins there. */
static double held_lowest(const jv_watch_track *w, double dwell) {
    double least = INFINITY;
    if (!(dwell > 0.0))
        return isinf(w->lowest) ? NAN : w->lowest;
    for (size_t i = 0; i < w->n_held; i++) {
        double most = w->held_v[i];
        size_t k = i;
        while (k < w->n_held && w->held_t[k] < w->held_t[i] + dwell && most < least)
            most = fmax(most, w->held_v[k++]);
        if (k == w->n_held)
            break; /* the dwell would end after the run */
        least = fmin(least, most);
    }
    return isinf(least) ? NAN : least;
}

/* --- parts --- */

/* at_share: the values at that share of the step, behind which it may be cut. */
static void look_at_parts(jv_play *p, double share, const double *at_share) {
    const jv_motion *m = p->motion;
    for (size_t e = 0; e < m->n_e; e++) {
        uint32_t part = p->net->elements[e].part;
        int32_t j = m->system->current[e];
        for (int k = 0; k <= PIECES && j >= 0; k++) {
            double at = share * k / PIECES, i = fabs(jv_motion_value(m, (size_t)j, at));
            if (i <= p->peak[part])
                continue;
            p->peak[part] = i;
            p->peak_at[part] = m->t_last + at * m->h_last;
        }
        if (e != p->net->first[part])
            continue;
        const jv_element *x = &p->net->elements[e];
        double v =
            jv_motion_value(m, (size_t)x->a, share) - jv_motion_value(m, (size_t)x->b, share);
        p->lowest_v[part] = fmin(p->lowest_v[part], v);
    }
    for (size_t k = 0; k < m->n_bodies; k++) {
        const jv_body *b = &m->bodies[k];
        if (!b->kind->temperature)
            continue;
        double c = b->kind->temperature(b->work, at_share + jv_motion_x(m, b));
        p->hottest[b->part] = fmax(p->hottest[b->part], c);
    }
}

static void count_pulses(jv_play *p, const double *at_share) {
    for (size_t k = 0; k < p->n_runners; k++) {
        jv_runner *r = &p->runners[k];
        if (r->hall < 0)
            continue;
        const jv_body *b = &p->motion->bodies[r->body];
        jv_motor_now now;
        jv_motor_look(b->work, at_share + jv_motion_x(p->motion, b), &now);
        double turned = fabs(now.extension_m - r->turns_at) * now.turns_hz / fabs(now.speed);
        r->turns_at = now.extension_m;
        if (!isfinite(turned))
            continue;
        if (p->monitors[r->hall].past)
            r->lost += turned * r->pulses_per_turn;
        else
            r->pulses += turned * r->pulses_per_turn;
    }
}

void jv_tracks_advance(jv_play *p, double share) {
    for (size_t k = 0; k < p->n_monitors; k++)
        if (p->monitors[k].kind == JV_MONITOR_WATCH)
            look_at(p, &p->monitors[k], &p->tracks[p->monitors[k].index], share);
    if (p->tweak)
        return;
    const double *at_share = p->motion->now;
    if (share < 1.0) {
        jv_motion_look(p->motion, share, p->values[0]);
        at_share = p->values[0];
    }
    look_at_parts(p, share, at_share);
    count_pulses(p, at_share);
    samples(p, share);
}

void jv_tracks_rest(jv_play *p) {
    for (size_t k = 0; k < p->n_monitors; k++)
        if (p->monitors[k].kind == JV_MONITOR_WATCH)
            p->tracks[p->monitors[k].index].shown =
                jv_monitor_value(p, &p->monitors[k], p->motion->now);
}

jv_status jv_tracks_make(jv_play *p) {
    size_t parts = p->c->n_parts + 1;
    p->tracks = jv_zalloc(p->c->n_watches + 1, sizeof *p->tracks);
    p->peak = jv_arena_alloc(p->arena, parts, sizeof *p->peak);
    p->peak_at = jv_arena_alloc(p->arena, parts, sizeof *p->peak_at);
    p->lowest_v = jv_arena_alloc(p->arena, parts, sizeof *p->lowest_v);
    p->hottest = jv_arena_alloc(p->arena, parts, sizeof *p->hottest);
    p->charge_start = jv_arena_alloc(p->arena, parts, sizeof *p->charge_start);
    if (!p->charge_start)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < p->motion->n_bodies; k++) {
        const jv_body *b = &p->motion->bodies[k];
        if (b->kind == &jv_body_battery)
            p->charge_start[b->part] = p->motion->now[jv_motion_x(p->motion, b)];
    }
    if (!p->tracks || !p->peak || !p->peak_at || !p->lowest_v || !p->hottest)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < parts; i++) {
        p->lowest_v[i] = INFINITY;
        p->hottest[i] = -INFINITY;
    }
    for (size_t i = 0; i < p->c->n_watches; i++) {
        p->tracks[i].lowest = p->tracks[i].shown_lowest = INFINITY;
        p->tracks[i].at = p->tracks[i].first = NAN;
        p->tracks[i].cause.open_v = NAN;
        p->tracks[i].cause.widest = p->c->n_parts;
    }
    jv_meter meter = jv_meter_plain();
    p->response = p->options->response_s > 0.0 ? p->options->response_s : meter.response_s;
    for (size_t k = 0; k < p->n_runners; k++)
        p->runners[k].turns_at = p->runners[k].start_extension;
    return columns(p);
}

void jv_tracks_free(jv_play *p) {
    for (size_t i = 0; p->tracks && i < p->c->n_watches; i++) {
        jv_free(p->tracks[i].held_t);
        jv_free(p->tracks[i].held_v);
    }
    jv_free(p->tracks);
    p->tracks = NULL;
}

/* The end is shown, too. */
void jv_tracks_end(jv_play *p) {
    if (p->n_samples && p->times[p->n_samples - 1] < p->motion->t && !p->sink_stopped)
        jv_track_row(p, p->motion->t, p->motion->now);
}

static void finish_watches(jv_play *p, jv_sequence_watch *list) {
    for (size_t i = 0; i < p->c->n_watches; i++) {
        const jv_watch *w = &p->c->watches[i];
        const jv_watch_track *t = &p->tracks[i];
        jv_sequence_watch *o = &list[i];
        o->name = w->name;
        o->limit_v = w->below.nominal;
        o->held_for_s = w->held_for.nominal;
        o->assumed = w->assumed;
        o->at_rest = w->state == JV_RESTING;
        o->basis = w->basis;
        o->lowest_v = isinf(t->lowest) ? NAN : t->lowest;
        o->at_s = t->at;
        o->held_lowest_v = held_lowest(t, w->held_for.nominal);
        if (t->trips) /* it acted: it has been under its limit for the whole dwell */
            o->held_lowest_v = fmin(o->held_lowest_v, o->limit_v);
        /* A display that comes from lower volts of another state lags: no lower than the truth. */
        o->shown_lowest_v = isinf(t->shown_lowest) ? NAN : fmax(t->shown_lowest, o->lowest_v);
        o->under_s = t->under;
        o->longest_under_s = t->longest;
        o->trips = t->trips;
        o->first_trip_s = t->first;
        o->cause = t->cause;
    }
}

static void finish_motor(const jv_play *p, const jv_runner *r, jv_sequence_part *o) {
    const jv_body *b = &p->motion->bodies[r->body];
    const double *x = p->motion->now + jv_motion_x(p->motion, b);
    jv_motor_now now;
    jv_motor_look(b->work, x, &now);
    o->runs_s = r->runs_s + (r->on ? p->motion->t - r->started : 0.0);
    o->extension_m = now.extension_m;
    o->travel_m = now.extension_m - r->start_extension;
    o->limit_s = r->limit_s;
    o->heat_j = b->kind->heat(b->work, x);
    o->pulses = r->hall >= 0 ? r->pulses : NAN;
    o->lost_pulses = r->hall >= 0 ? r->lost : NAN;
}

static void finish_parts(jv_play *p, jv_sequence_part *list) {
    const jv_motion *m = p->motion;
    for (size_t i = 0; i < p->c->n_parts; i++) {
        jv_sequence_part *o = &list[i];
        size_t first = p->net->first[i], own = p->net->own[i];
        o->limit_s = o->extension_m = o->travel_m = o->pulses = o->lost_pulses = NAN;
        o->may_open_s = o->opens_s = o->used_early = o->used_late = NAN;
        o->charge_start = o->charge_end = o->runs_s = o->hottest_c = o->ends_c = NAN;
        o->heat_j = NAN;
        o->peak_a = p->peak[i];
        o->peak_at_s = p->peak[i] > 0.0 ? p->peak_at[i] : NAN;
        o->lowest_v = isinf(p->lowest_v[i]) ? NAN : p->lowest_v[i];
        o->charge_as = own ? m->now[jv_motion_charge(m, first)] : 0.0;
        for (size_t e = first; e < p->net->first[i + 1]; e++)
            o->energy_j += m->now[jv_motion_energy(m, e)];
        if (p->c->parts[i].kind->is_series)
            o->heat_j = o->energy_j;
        o->open_at_end = own && p->part_open[i];
        o->releases = p->releases[i];
        int32_t at = m->body_of[i];
        if (at < 0)
            continue;
        const jv_body *b = &m->bodies[at];
        if (b->kind->temperature) {
            o->ends_c = b->kind->temperature(b->work, m->now + jv_motion_x(m, b));
            o->hottest_c = fmax(p->hottest[i], o->ends_c);
        }
        if (b->kind == &jv_body_battery) {
            o->charge_start = p->charge_start[i];
            o->charge_end = m->now[jv_motion_x(m, b)];
        }
    }
    for (size_t k = 0; k < p->n_runners; k++)
        finish_motor(p, &p->runners[k], &list[p->runners[k].part]);
    for (size_t k = 0; k < p->n_fuses; k++) {
        const jv_fuse_follow *f = &p->fuses[k];
        jv_sequence_part *o = &list[f->part];
        o->used_early = f->early;
        o->used_late = f->late;
        o->weak_times = f->weak;
        o->may_open_s = f->may_open_s;
        o->opens_s = f->opens_s;
        o->open_at_end = f->open;
    }
}

/* Charge: what flowed into each terminal. Energy: what motors took and what became of it, against
 * what the sources gave. */
static void balance(const jv_play *p, double *charge, jv_sequence_balance *out) {
    const jv_motion *m = p->motion;
    double moved = 0.0, worst = 0.0, lost = 0.0;
    out->delivered_j = 0.0;
    for (size_t e = 0; e < m->n_e; e++) {
        const jv_element *x = &p->net->elements[e];
        double q = m->now[jv_motion_charge(m, e)], w = m->now[jv_motion_energy(m, e)];
        charge[x->a] += q;
        charge[x->law == JV_REGULATOR ? x->c : x->b] -= q;
        moved = fmax(moved, fabs(q));
        lost += w;
        if (p->c->parts[x->part].kind->is_source && w < 0.0)
            out->delivered_j -= w;
    }
    /* The own current of a regulator is not among the sums: its terminals are left out. */
    for (size_t e = 0; e < m->n_e; e++) {
        const jv_element *x = &p->net->elements[e];
        if (x->law == JV_REGULATOR && x->quiescent > 0.0)
            charge[x->a] = charge[x->b] = 0.0;
    }
    for (size_t k = 0; k < p->net->n_nodes; k++)
        worst = fmax(worst, fabs(charge[k]));
    for (size_t k = 0; k < m->n_bodies; k++) {
        const jv_body *b = &m->bodies[k];
        if (!b->kind->spent)
            continue;
        const double *v = m->now + jv_motion_x(m, b);
        double i = b->row >= 0 ? m->now[b->row] : 0.0;
        double took = m->now[jv_motion_energy(m, b->element)];
        double became = b->arc_j + b->kind->spent(b->work, v) + b->kind->stored(b->work, v) +
                        0.5 * b->henry * i * i;
        lost += fabs(took - became);
    }
    out->charge_error = moved > 0.0 ? worst / moved : 0.0;
    out->energy_error = out->delivered_j > 0.0 ? fabs(lost) / out->delivered_j : 0.0;
}

static jv_status keep_traces(jv_play *p, jv_sequence *out) {
    jv_trace *traces = p->traces;
    double *times = jv_arena_alloc(p->arena, p->n_samples + 1, sizeof *times);
    double *values = jv_arena_alloc(p->arena, p->n_samples * p->n_traces + 1, sizeof *values);
    if (!times || !values)
        return JV_ERR_MEMORY;
    if (p->n_samples)
        memcpy(times, p->times, p->n_samples * sizeof *times);
    for (size_t k = 0; k < p->n_traces; k++) {
        double *line = values + k * p->n_samples;
        for (size_t i = 0; i < p->n_samples; i++)
            line[i] = p->rows[i * p->n_traces + k];
        traces[k].values = line;
    }
    out->traces = traces;
    out->n_traces = p->n_traces;
    out->times = times;
    out->n_samples = p->n_samples;
    return JV_OK;
}

jv_status jv_tracks_finish(jv_play *p, jv_sequence *out) {
    jv_sequence_watch *watches = jv_arena_alloc(p->arena, p->c->n_watches + 1, sizeof *watches);
    jv_sequence_part *parts = jv_arena_alloc(p->arena, p->c->n_parts + 1, sizeof *parts);
    double *charge = jv_arena_alloc(p->arena, p->net->n_nodes + 1, sizeof *charge);
    if (!watches || !parts || !charge)
        return JV_ERR_MEMORY;
    finish_watches(p, watches);
    finish_parts(p, parts);
    balance(p, charge, &out->balance);
    out->watches = watches;
    out->n_watches = p->c->n_watches;
    out->parts = parts;
    return keep_traces(p, out);
}
