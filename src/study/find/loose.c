/* loose.c - faults that come and go. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

/* A fault that comes and goes is there in every other reading (common practice, no source). A
 * meter that holds the peak of a whole run misses it less often. */
static const double there = 0.5, there_at_peak = 0.9;

bool jv_is_loose(const jv_find_state *s) {
    for (size_t k = 0; k < s->n_faults; k++)
        if (s->fault[k].way == JV_WAY_LOOSE)
            return true;
    return false;
}

double jv_loose_share(const jv_finder *f, const jv_find_check *c) {
    bool held = f->meter.peak_hold && c->view.kind == JV_CHECK_VOLTS &&
                c->view.setup == JV_SETUP_RUN && c->view.part != JV_FIND_NONE;
    return held ? there_at_peak : there;
}
