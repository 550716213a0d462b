/* watch.c - what a watch sees at an operating point. SPDX-License-Identifier: MIT */
#include "study/watch.h"

#include "circuit/kinds.h"
#include "circuit/parts/controller.h"

double jv_watch_seen(const jv_scene *s, const jv_watch *w, const double *v) {
    double volts = v[w->plus] - v[w->minus];
    if (w->part < 0)
        return volts;
    const jv_part *p = &s->circuit->parts[w->part];
    if (p->kind != &jv_kind_controller)
        return volts;
    return jv_controller_senses_v(s, p, volts);
}

bool jv_watch_counts(const jv_watch *w, bool running) {
    return w->state == JV_ALWAYS || (w->state == JV_RUNNING) == running;
}
