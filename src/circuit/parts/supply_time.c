/* supply_time.c - a supply that hiccups, in time. SPDX-License-Identifier: MIT */
#include "circuit/parts/supply.h"

#include "circuit/body.h"

#include <math.h>

/* Overloaded it gives its mean current, and tries again: where its whole current serves then, it
 * is over. How often one tries is printed nowhere; a second, judgement. */
static const double tries_after_s = 1.0;
static const double looks_after_s = 1e-3; /* after a try: does it last? */
static const double clearly = 1e-6;       /* of its volts, as in the steady answer */
enum { OVERLOADED, EVENTS };

typedef struct jv_supply_time {
    double full_a, mean_a, least_v; /* volts below which it is overloaded */
    bool off, hiccups, told;
    double due;
} jv_supply_time;

static bool start(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, jv_remarks *assumed) {
    jv_supply_time *w = work;
    (void)s, (void)p, (void)n, (void)x, (void)assumed;
    w->due = INFINITY;
    w->full_a = e->limit;
    w->mean_a = e->back;
    return w->mean_a < w->full_a;
}

static void command(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                    double *x, double t) {
    jv_supply_time *w = work;
    (void)s, (void)p, (void)n, (void)x, (void)t;
    w->off = e->open;
    w->least_v = e->e * (1.0 - clearly) - e->r * w->full_a;
    if (w->off) { /* switched on again it begins anew */
        w->hiccups = w->told = false;
        w->due = INFINITY;
        e->state = JV_SUPPLY_STEADY;
        e->limit = w->full_a;
    }
}

static void events(const void *work, const double *x, double i, double v, double *g) {
    const jv_supply_time *w = work;
    (void)x, (void)i;
    g[OVERLOADED] = w->off || w->hiccups ? JV_NO_EVENT : w->least_v - v;
}

static void act(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work, double *x,
                double i, double v, size_t event, double t, jv_body_deed *deed) {
    jv_supply_time *w = work;
    (void)s, (void)p, (void)n, (void)x, (void)i, (void)v;
    if (event == JV_BODY_TIMER && !w->hiccups) { /* it has held since it tried */
        w->due = INFINITY;
        deed->told = w->told;
        w->told = false;
        deed->what = JV_SUPPLY_BACK;
        jv_text_add(&deed->text, "delivers again");
        return;
    }
    w->hiccups = event == OVERLOADED;
    w->due = t + (w->hiccups ? tries_after_s : looks_after_s);
    e->state = w->hiccups ? JV_SUPPLY_TRIES : JV_SUPPLY_STEADY;
    e->limit = w->hiccups ? w->mean_a : w->full_a;
    deed->switched = true;
    if (!w->hiccups || w->told)
        return;
    w->told = deed->told = true;
    deed->what = JV_SUPPLY_OVERLOADED;
    jv_text_addf(&deed->text, "is overloaded: it switches off and on, %.1f A on average",
                 w->mean_a);
}

static double due(const void *work) {
    return ((const jv_supply_time *)work)->due;
}

const jv_body_kind jv_body_supply = {
    .work = sizeof(jv_supply_time),
    .start = start,
    .command = command,
    .n_events = EVENTS,
    .events = events,
    .due = due,
    .act = act,
};
