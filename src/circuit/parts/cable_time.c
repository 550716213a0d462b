/* cable_time.c - a cable that warms. SPDX-License-Identifier: MIT */
#include "circuit/parts/cable.h"

#include "circuit/body.h"
#include "jackvolt/heat.h"

#include <math.h>
#include <string.h>

/* (H3) for the whole length: v = R (1 + a (T - 20)) i, dT/dt = (i^2 r(T) - q(T))/c. Ohms that a
 * fault added stay as they are. */
static const char *const names[] = {"conductor, degC"};
static const double scale[] = {10.0};
enum { TOO_HOT, EVENTS };

typedef struct jv_cable_time {
    jv_heat_body heat;
    double ohm, ohm_k; /* at 20 degC, and its growth by the kelvin */
    double limit_c;
    bool told;
} jv_cable_time;

static bool start(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, jv_remarks *assumed) {
    jv_cable_time *w = work;
    (void)n, (void)assumed;
    if (!e->heat)
        return false;
    w->heat = *e->heat;
    w->limit_c = INFINITY;
    jv_figure limit;
    const jv_slot *name = jv_part_slot(s->circuit, p, JV_CABLE_INSULATION);
    if (name && jv_table_insulation(name->text, &limit) == JV_OK)
        w->limit_c = limit.value;
    x[0] = e->air_c;
    return true;
}

static void command(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                    double *x, double t) {
    jv_cable_time *w = work;
    (void)s, (void)p, (void)n, (void)x, (void)t;
    if (e->heat) /* the air may be another in this step */
        w->heat = *e->heat;
    w->ohm_k = e->r * e->r_slope;
    w->ohm = e->r - w->ohm_k * (e->r_at_c - 20.0);
}

static void law(const void *work, const double *x, double i, jv_body_law *out) {
    const jv_cable_time *w = work;
    memset(out, 0, sizeof *out);
    double slope, r = w->ohm + w->ohm_k * (x[0] - 20.0);
    out->drop = r * i;
    out->drop_i = r;
    out->drop_x[0] = w->ohm_k * i;
    out->rate[0] = jv_heat_rate(&w->heat, i, x[0], &slope);
    out->rate_x[0][0] = slope;
    double per_m = w->heat.r20 * (1.0 + w->heat.alpha * (x[0] - 20.0));
    out->rate_i[0] = 2.0 * i * per_m / w->heat.capacity;
}

static double rates(const void *work, const double *x, double i, double *drop_i, double *rate) {
    const jv_cable_time *w = work;
    double r = w->ohm + w->ohm_k * (x[0] - 20.0);
    *drop_i = r;
    rate[0] = jv_heat_rate(&w->heat, i, x[0], NULL);
    return r * i;
}

static void events(const void *work, const double *x, double i, double v, double *g) {
    const jv_cable_time *w = work;
    (void)i, (void)v;
    g[TOO_HOT] = w->told ? JV_NO_EVENT : x[0] - w->limit_c;
}

static void act(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work, double *x,
                double i, double v, size_t event, double t, jv_body_deed *deed) {
    jv_cable_time *w = work;
    (void)s, (void)p, (void)e, (void)n, (void)x, (void)v, (void)t, (void)event;
    w->told = deed->told = deed->serious = true;
    deed->what = JV_TOO_HOT;
    jv_text_addf(&deed->text,
                 "passes the %.0f degC (%.0f degF) that its insulation stands, at %.0f A",
                 w->limit_c, jv_shown_f(w->limit_c), fabs(i));
}

static double temperature(const void *work, const double *x) {
    (void)work;
    return x[0];
}

const jv_body_kind jv_body_cable = {
    .n_states = 1,
    .n_core = 1,
    .names = names,
    .scale = scale,
    .work = sizeof(jv_cable_time),
    .start = start,
    .command = command,
    .law = law,
    .rates = rates,
    .n_events = EVENTS,
    .events = events,
    .act = act,
    .temperature = temperature,
};
