/* battery_time.c - a battery in time. SPDX-License-Identifier: MIT */
#include "circuit/parts/battery.h"

#include "circuit/body.h"

#include <math.h>
#include <string.h>

/* (B1) v = -(U(z) - v1) + ... seen from plus to minus, i > 0 takes in:
 *   v = U(z) - v1 + r(z) i,  dv1/dt = (-i - v1/r1)/c1,  dz/dt = i/C.
 * z charge, C capacity, v1 polarisation. What the user fixed follows z by the difference of
 * volts and the ratio of ohms of the model. */
enum { CHARGE, SLOW, STATES };
enum { LOW_VOLTS, OVER_CURRENT, RECOVERS, COLD, EVENTS };
static const char *const names[STATES] = {"charge, 0 to 1", "polarisation, V"};
static const double scale[STATES] = {0.01, 0.01};

typedef struct jv_battery_time {
    jv_battery_model model;
    double shift_v, factor, added; /* fixed figures and faults against the model */
    double capacity_as, r1, c1;
    bool follows; /* volts and ohms go with the charge */
    jv_pack_limits limits;
    double temp_c;
    bool open, dead; /* opened by the pack; by the case or a fault */
    jv_pack_why pending, why;
    double due;
} jv_battery_time;

static double added_ohm(const jv_scene *s, const jv_part *p) {
    double ohms = 0.0;
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_ADDED)
            ohms += f->value;
    return ohms;
}

/* Ohms relative to a full battery. */
static double grown(const jv_battery_model *m, double charge) {
    return m->charge_factor.count ? jv_curve_at(&m->charge_factor, charge) : 1.0;
}

static bool start(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, jv_remarks *assumed) {
    static const double coulomb_per_ah = 3600.0;
    jv_battery_time *b = work;
    (void)e, (void)n;
    if (jv_battery_of_scene(s, p, &b->model) != JV_OK)
        return false;
    jv_battery_model *m = &b->model;
    if (m->surface_v > 0.0 && !m->fixed_voltage)
        m->open_circuit_v -= m->surface_v;
    m->surface_v = 0.0;
    b->temp_c = m->temp_c;
    b->added = added_ohm(s, p);
    b->shift_v = m->open_circuit_v - jv_curve_at(&m->ocv, m->charge);
    b->factor = m->resistance_ohm / grown(m, m->charge);
    b->capacity_as = m->capacity_ah > 0.0 ? m->capacity_ah * coulomb_per_ah : INFINITY;
    /* Volts and ohms that the user fixed belong to no charge that is known: they stay. */
    b->follows = !(m->fixed_voltage && m->fixed_resistance);
    b->r1 = m->fixed_resistance ? 0.0 : m->polarisation_ohm;
    b->c1 = m->polarisation_f;
    jv_battery_limits(s, p, &b->limits);
    b->due = INFINITY;
    x[CHARGE] = m->charge;
    x[SLOW] = 0.0;
    if (!jv_part_has(s->circuit, p, JV_BATTERY_CAPACITY) && b->follows)
        jv_remark(assumed, false, "capacity: %.0f Ah are assumed", m->capacity_ah);
    return true;
}

static void command(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                    double *x, double t) {
    jv_battery_time *b = work;
    (void)s, (void)p, (void)n, (void)x, (void)t;
    b->dead = e->open && e->state == JV_PACK_CLOSED;
    if (b->open)
        e->open = 1;
}

static void law(const void *work, const double *x, double i, jv_body_law *out) {
    const jv_battery_time *b = work;
    const jv_battery_model *m = &b->model;
    memset(out, 0, sizeof *out);
    double volts = m->open_circuit_v, r = m->resistance_ohm, slope = 0.0, grows = 0.0;
    if (b->follows) {
        volts = b->shift_v + jv_curve_at(&m->ocv, x[CHARGE]);
        slope = jv_curve_slope(&m->ocv, x[CHARGE]);
        r = b->factor * grown(m, x[CHARGE]);
        grows =
            m->charge_factor.count ? b->factor * jv_curve_slope(&m->charge_factor, x[CHARGE]) : 0.0;
    }
    r += b->added;
    out->drop = volts - x[SLOW] + r * i;
    out->drop_i = r;
    out->drop_x[CHARGE] = slope + grows * i;
    out->drop_x[SLOW] = -1.0;
    out->rate[CHARGE] = i / b->capacity_as;
    out->rate_i[CHARGE] = 1.0 / b->capacity_as;
    if (!(b->r1 > 0.0))
        return;
    out->rate[SLOW] = (-i - x[SLOW] / b->r1) / b->c1;
    out->rate_i[SLOW] = -1.0 / b->c1;
    out->rate_x[SLOW][SLOW] = -1.0 / (b->r1 * b->c1);
}

static double rates(const void *work, const double *x, double i, double *drop_i, double *rate) {
    const jv_battery_time *b = work;
    const jv_battery_model *m = &b->model;
    double volts = m->open_circuit_v, r = m->resistance_ohm;
    if (b->follows) {
        volts = b->shift_v + jv_curve_at(&m->ocv, x[CHARGE]);
        r = b->factor * grown(m, x[CHARGE]);
    }
    *drop_i = r + b->added;
    rate[CHARGE] = i / b->capacity_as;
    rate[SLOW] = b->r1 > 0.0 ? (-i - x[SLOW] / b->r1) / b->c1 : 0.0;
    return volts - x[SLOW] + *drop_i * i;
}

/* Volts with no current. */
static double open_v(const jv_battery_time *b, const double *x) {
    jv_body_law now;
    law(b, x, 0.0, &now);
    return now.drop;
}

/* More than a leak flows into it, A (judgement). */
static const double takes_in_a = 1e-3;

static void events(const void *work, const double *x, double i, double v, double *g) {
    const jv_battery_time *b = work;
    const jv_pack_limits *l = &b->limits;
    for (size_t k = 0; k < EVENTS; k++)
        g[k] = JV_NO_EVENT;
    if (b->dead)
        return;
    if (b->open) {
        if (b->why == JV_PACK_LOW_VOLTS && !isfinite(b->due))
            g[RECOVERS] = open_v(b, x) - l->low_reset_v;
        return;
    }
    static const double just = 1e-12; /* a function at zero exactly is not missed */
    double low = isnan(l->low_v) ? JV_NO_EVENT : l->low_v - v;
    double over = isnan(l->over_a) ? JV_NO_EVENT : -i - l->over_a;
    /* While one is pending its end is what counts. */
    g[LOW_VOLTS] = b->pending == JV_PACK_LOW_VOLTS ? -low + just : low + just;
    g[OVER_CURRENT] = b->pending == JV_PACK_OVER_CURRENT ? -over + just : over + just;
    if (isnan(l->low_v))
        g[LOW_VOLTS] = JV_NO_EVENT;
    if (isnan(l->over_a))
        g[OVER_CURRENT] = JV_NO_EVENT;
    if (!isnan(l->cold_discharge_c) && b->temp_c < l->cold_discharge_c)
        g[COLD] = 1.0;
    else if (!isnan(l->cold_charge_c) && b->temp_c < l->cold_charge_c)
        g[COLD] = i - takes_in_a;
}

static void open_pack(jv_battery_time *b, jv_element *e, jv_pack_why why, double i,
                      jv_body_deed *deed) {
    const char *const words[] = {"", "its volts stayed below the cut-off",
                                 "its current stayed above the cut-off",
                                 i > takes_in_a ? "it is too cold to take charge"
                                                : "it is too cold to deliver"};
    b->open = true;
    b->why = why;
    b->pending = JV_PACK_CLOSED;
    b->due = INFINITY;
    e->open = 1;
    e->state = (uint8_t)why;
    deed->told = deed->switched = deed->serious = true;
    deed->what = JV_CUT_OFF;
    jv_text_addf(&deed->text, "switches itself off: %s", words[why]);
}

static void pend(jv_battery_time *b, jv_pack_why why, double delay, double t) {
    bool ends = b->pending == why;
    b->pending = ends ? JV_PACK_CLOSED : why;
    b->due = ends ? INFINITY : t + delay;
}

static void act(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work, double *x,
                double i, double v, size_t event, double t, jv_body_deed *deed) {
    jv_battery_time *b = work;
    (void)s, (void)p, (void)n, (void)x, (void)i, (void)v;
    if (event == LOW_VOLTS)
        pend(b, JV_PACK_LOW_VOLTS, b->limits.low_delay_s, t);
    if (event == OVER_CURRENT)
        pend(b, JV_PACK_OVER_CURRENT, b->limits.over_delay_s, t);
    if (event == COLD)
        open_pack(b, e, JV_PACK_COLD, i, deed);
    if (event == RECOVERS)
        b->due = t + fmax(b->limits.low_delay_s, 1e-3);
    if (event != JV_BODY_TIMER)
        return;
    if (!b->open) {
        open_pack(b, e, b->pending, i, deed);
        return;
    }
    b->open = false;
    b->due = INFINITY;
    e->open = 0;
    e->state = JV_PACK_CLOSED;
    deed->told = deed->switched = true;
    deed->what = JV_CUT_OFF_ENDS;
    jv_text_add(&deed->text, "switches itself on again");
}

static double due(const void *work) {
    return ((const jv_battery_time *)work)->due;
}

static double stored(const void *work, const double *x) {
    const jv_battery_time *b = work;
    return b->r1 > 0.0 ? 0.5 * b->c1 * x[SLOW] * x[SLOW] : 0.0;
}

const jv_body_kind jv_body_battery = {
    .n_states = STATES,
    .n_core = STATES,
    .names = names,
    .scale = scale,
    .work = sizeof(jv_battery_time),
    .start = start,
    .command = command,
    .law = law,
    .rates = rates,
    .n_events = EVENTS,
    .events = events,
    .due = due,
    .act = act,
    .stored = stored,
};
