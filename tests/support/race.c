/* race.c - the same motors and battery as plain differential equations. SPDX-License-Identifier:
 * MIT */
#include "circuit/parts/battery.h"
#include "circuit/parts/motor_time.h"

#include "race.h"

#include "build.h"
#include "circuit/remark.h"
#include "legs.h"
#include "plan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

/* The figures of legs.c, and of the file below. */
static const double r20 = 0.10, henry = 1e-4, ke = 0.028, inertia = 1.5e-4, lead = 5.08e-3,
                    ratio = 60.0;
static const double harness = 0.010, branch = 0.020, pi = 3.14159265358979323846;
static const double heat_w = 58.0, to_case = 2.0, heat_c = 600.0, to_air = 2.5, air = 20.0;

jv_circuit *race_circuit(size_t n) {
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "battery", "post", "minus");
    build_word(c, "chemistry", "flooded");
    build_quantity(c, "capacity", "100 Ah");
    build_quantity(c, "charge", "80 %");
    build_quantity(c, "tester_resistance", "6 mohm");
    build_close(c);
    build_between(c, "cable", "harness", "post", "bus");
    build_quantity(c, "resistance", "10 mohm");
    build_close(c);
    for (size_t k = 0; k < n; k++) {
        char name[32], end[32];
        snprintf(name, sizeof name, "branch %zu", k + 1);
        snprintf(end, sizeof end, "end %zu", k + 1);
        build_between(c, "cable", name, "bus", end);
        build_quantity(c, "resistance", "20 mohm");
        build_close(c);
        snprintf(name, sizeof name, "leg %zu", k + 1);
        legs_add_warm(c, name, end);
    }
    plan_watch(c, "bus", "bus", "minus", 1.0, 0.0, JV_WARN);
    legs_finish(c);
    return c;
}

void race_begin(race *r, size_t n, const double *amps) {
    memset(r, 0, sizeof *r);
    r->n = n;
    r->size = n * RACE_OF_LEG + 2;
    memcpy(r->amps, amps, n * sizeof *amps);
    jv_battery_known known;
    jv_battery_known_nothing(&known);
    known.chemistry = JV_CHEMISTRY_FLOODED;
    known.chemistry_known = true;
    known.capacity_ah = 100.0;
    known.charge = r->charge_now = 0.80;
    known.tester_ohm = 0.006;
    known.temp_c = 20.0;
    assert_int_equal(jv_battery_model_make(&known, &r->model), JV_OK);
}

void race_rest(const race *r, double y[]) {
    memset(y, 0, r->size * sizeof *y);
    for (size_t k = 0; k < r->n; k++)
        y[k * RACE_OF_LEG + 3] = y[k * RACE_OF_LEG + 4] = air;
    y[r->n * RACE_OF_LEG] = r->charge_now;
}

static double battery_ohm(const race *r, double z, double *slope) {
    const jv_curve *g = &r->model.charge_factor;
    double per = r->model.resistance_ohm / jv_curve_at(g, r->charge_now);
    *slope = per * jv_curve_slope(g, z);
    return per * jv_curve_at(g, z);
}

static double battery_open(const race *r, double z) {
    double shift = r->model.open_circuit_v - jv_curve_at(&r->model.ocv, r->charge_now);
    return shift + jv_curve_at(&r->model.ocv, z);
}

int race_rates(double t, const double y[], double f[], void *context) {
    race *r = context;
    (void)t;
    r->evaluations++;
    const double *battery = y + r->n * RACE_OF_LEG;
    double sum = 0.0, slope;
    for (size_t k = 0; k < r->n; k++)
        sum += y[k * RACE_OF_LEG];
    double ohm = battery_ohm(r, battery[0], &slope);
    double v = battery_open(r, battery[0]) - battery[1] - (ohm + harness) * sum;
    for (size_t k = 0; k < r->n; k++) {
        const double *m = y + k * RACE_OF_LEG;
        double *d = f + k * RACE_OF_LEG, ra = r20 * (234.5 + m[3]) / 254.5;
        d[0] = (v - (branch + ra) * m[0] - ke * m[1]) / henry;
        d[1] = r->held[k] ? 0.0 : ke * (m[0] - r->amps[k]) / inertia;
        d[2] = m[1] * lead / (2.0 * pi * ratio);
        d[3] = (ra * m[0] * m[0] - (m[3] - m[4]) / to_case) / heat_w;
        d[4] = ((m[3] - m[4]) / to_case - (m[4] - air) / to_air) / heat_c;
    }
    f[r->n * RACE_OF_LEG] = -sum / (r->model.capacity_ah * 3600.0);
    f[r->n * RACE_OF_LEG + 1] =
        (sum - battery[1] / r->model.polarisation_ohm) / r->model.polarisation_f;
    return 0;
}

int race_jacobian(double t, const double y[], double *dfdy, double dfdt[], void *context) {
    race *r = context;
    (void)t;
    size_t n = r->size, b = r->n * RACE_OF_LEG;
    memset(dfdy, 0, n * n * sizeof *dfdy);
    memset(dfdt, 0, n * sizeof *dfdt);
    double sum = 0.0, slope, ohm = battery_ohm(r, y[b], &slope);
    for (size_t k = 0; k < r->n; k++)
        sum += y[k * RACE_OF_LEG];
    double u_z = jv_curve_slope(&r->model.ocv, y[b]) - slope * sum;
    for (size_t k = 0; k < r->n; k++) {
        size_t i = k * RACE_OF_LEG;
        double ra = r20 * (234.5 + y[i + 3]) / 254.5, ra_t = r20 / 254.5;
        for (size_t o = 0; o < r->n; o++)
            dfdy[i * n + o * RACE_OF_LEG] = -(ohm + harness) / henry;
        dfdy[i * n + i] -= (branch + ra) / henry;
        dfdy[i * n + i + 1] = -ke / henry;
        dfdy[i * n + i + 3] = -ra_t * y[i] / henry;
        dfdy[i * n + b] = u_z / henry;
        dfdy[i * n + b + 1] = -1.0 / henry;
        dfdy[(i + 1) * n + i] = r->held[k] ? 0.0 : ke / inertia;
        dfdy[(i + 2) * n + i + 1] = lead / (2.0 * pi * ratio);
        dfdy[(i + 3) * n + i] = 2.0 * ra * y[i] / heat_w;
        dfdy[(i + 3) * n + i + 3] = (ra_t * y[i] * y[i] - 1.0 / to_case) / heat_w;
        dfdy[(i + 3) * n + i + 4] = 1.0 / (to_case * heat_w);
        dfdy[(i + 4) * n + i + 3] = 1.0 / (to_case * heat_c);
        dfdy[(i + 4) * n + i + 4] = -(1.0 / to_case + 1.0 / to_air) / heat_c;
        dfdy[b * n + i] = -1.0 / (r->model.capacity_ah * 3600.0);
        dfdy[(b + 1) * n + i] = 1.0 / r->model.polarisation_f;
    }
    dfdy[(b + 1) * n + b + 1] = -1.0 / (r->model.polarisation_ohm * r->model.polarisation_f);
    return 0;
}

int race_net_rates(double t, const double y[], double f[], void *context) {
    race_motion *r = context;
    jv_motion *m = r->motion;
    jv_system *s = m->system;
    size_t n = r->loading.n_runs, b = n * RACE_OF_LEG;
    double x[RACE_LEGS][JV_BODY_STATES] = {{0}};
    (void)t;
    jv_body *battery = &m->bodies[m->body_of[0]];
    double amps = s->x[battery->row], drop_i, rate[JV_BODY_STATES];
    jv_element *e = &r->net->elements[battery->element];
    e->e = jv_body_rates(battery, y + b, amps, &e->r, rate);
    e->e -= e->r * amps;
    jv_system_evaluate(s);
    for (size_t k = 0; k < n; k++) { /* currents of inductances are given */
        const jv_body *leg = &m->bodies[m->body_of[3 + 2 * k]];
        const int32_t *at = s->slot + s->slot_at[leg->element];
        s->f[leg->row] = s->x[leg->row] - y[k * RACE_OF_LEG];
        s->ax[at[JV_AT_A]] = s->ax[at[JV_AT_B]] = 0.0;
        s->ax[at[JV_AT_OWN]] = 1.0;
    }
    if (jv_motion_factor(m) != JV_OK)
        return -1;
    for (int i = 0; i < s->n; i++)
        s->dx[i] = -s->f[i];
    if (jv_motion_solve(m, s->dx) != JV_OK)
        return -1;
    for (int i = 0; i < s->n; i++)
        s->x[i] += s->dx[i];
    for (size_t k = 0; k < n; k++) {
        const jv_body *leg = &m->bodies[m->body_of[3 + 2 * k]];
        const double *v = y + k * RACE_OF_LEG;
        double *d = f + k * RACE_OF_LEG;
        x[k][0] = ke * v[1];
        memcpy(&x[k][1], v + 2, 3 * sizeof x[k][1]);
        x[k][JV_MOTOR_DRIVE] = 1.0; /* no soft start */
        double drop = jv_body_rates(leg, x[k], v[0], &drop_i, rate);
        const jv_element *port = &r->net->elements[leg->element];
        d[0] = (s->x[port->a] - s->x[port->b] - drop) / leg->henry;
        d[1] = rate[0] / ke;
        memcpy(d + 2, &rate[1], 3 * sizeof *d);
    }
    jv_body_rates(battery, y + b, s->x[battery->row], &drop_i, rate);
    memcpy(f + b, rate, 2 * sizeof *f);
    return 0;
}

void race_values(const jv_motion *m, size_t n, double y[]) {
    for (size_t k = 0; k < n; k++) {
        const jv_body *b = &m->bodies[m->body_of[3 + 2 * k]];
        const double *x = m->now + jv_motion_x(m, b);
        double *o = y + k * RACE_OF_LEG;
        o[0] = jv_body_amps(m, b, m->now);
        o[1] = x[0] / ke;
        o[2] = x[1];
        o[3] = x[2];
        o[4] = x[3];
    }
    const double *x = m->now + jv_motion_x(m, &m->bodies[m->body_of[0]]);
    y[n * RACE_OF_LEG] = x[0];
    y[n * RACE_OF_LEG + 1] = x[1];
}

enum { MOST_EVENTS = 256 };

static double highest(const race_motion *r, const double *values) {
    double g[MOST_EVENTS], most = JV_NO_EVENT;
    assert_true(r->motion->n_events <= MOST_EVENTS);
    jv_motion_events(r->motion, values, g);
    for (size_t e = 0; e < r->motion->n_events; e++)
        most = fmax(most, g[e]);
    return most;
}

/* Breaking away is the one event of these runs. */
static void break_away(race_motion *r) {
    jv_motion *m = r->motion;
    double g[MOST_EVENTS];
    jv_motion_events(m, m->now, g);
    for (size_t k = 0; k < m->n_bodies; k++) {
        jv_body *b = &m->bodies[k];
        for (size_t e = 0; e < b->kind->n_events; e++) {
            if (!(g[b->event + e] > 0.0))
                continue;
            jv_body_deed deed = {0};
            b->kind->act(&r->net->scene, &r->circuit->parts[b->part],
                         r->net->elements + r->net->first[b->part], 1, b->work,
                         m->now + jv_motion_x(m, b), jv_body_amps(m, b, m->now), 0.0, e, m->t,
                         &deed);
            jv_text_clear(&deed.text);
        }
    }
}

/* The step ends where the first breaks away, to a nanosecond. */
static void cut_where_it_breaks_away(race_motion *r) {
    static const double located_s = 1e-9;
    jv_motion *m = r->motion;
    double low = 0.0, high = 1.0, *look = m->rhs; /* as large as a vector of values */
    while ((high - low) * m->h_last > located_s) {
        double middle = 0.5 * (low + high);
        jv_motion_look(m, middle, look);
        *(highest(r, look) > 0.0 ? &high : &low) = middle;
    }
    if (high < 1.0)
        jv_motion_cut(m, high);
    m->error_last = 0.0;
    break_away(r);
}

void race_motion_step(race_motion *r, double until) {
    assert_int_equal(jv_motion_step(r->motion, until), JV_OK);
    if (highest(r, r->motion->now) > 0.0)
        cut_where_it_breaks_away(r);
}

void race_motion_to(race_motion *r, double t) {
    while (r->motion->t < t)
        race_motion_step(r, t);
}

void race_motion_command(race_motion *r, const double *amps) {
    jv_point point;
    for (size_t k = 0; k < r->loading.n_runs; k++)
        r->runs[k].value = jv_value_exact(amps[k]);
    assert_int_equal(jv_motion_settle(r->motion, true, &point), JV_OK);
    assert_int_equal(point.outcome, JV_POINT_FOUND);
    r->motion->h = 1e-6;
    r->motion->error_last = 0.0;
    break_away(r);
}

void race_motion_new(race_motion *r, size_t n, const double *amps, double tolerance) {
    enum { ROOM = 64 };
    memset(r, 0, sizeof *r);
    r->circuit = race_circuit(n);
    r->loading.name = "race";
    r->loading.runs = r->runs;
    jv_remarks said = {0};
    said.arena = &r->arena;
    said.room = ROOM;
    said.list = jv_arena_alloc(&r->arena, ROOM, sizeof *said.list);
    assert_int_equal(jv_net_build(r->circuit, &r->loading, NULL, 0, &r->net), JV_OK);
    assert_int_equal(jv_motion_new(r->net, tolerance, &said, &r->motion), JV_OK);
    for (size_t k = 0; k < n; k++)
        r->runs[k] = (jv_run){(uint32_t)(3 + 2 * k), 1, JV_LOAD_AMPS, jv_value_exact(0.0)};
    r->loading.n_runs = n;
    race_motion_command(r, amps);
}

void race_motion_free(race_motion *r) {
    jv_motion_free(&r->motion);
    jv_net_free(&r->net);
    jv_circuit_free(&r->circuit);
    jv_arena_clear(&r->arena);
}
