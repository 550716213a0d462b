/* text.c - texts of a walk. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include <math.h>

/* Below this a reading is shown, and taken, in millivolts. */
static const double millivolts_below = 0.2;
static const double milli = 1e3;
static const double fine_mv = 10.0; /* below it with a decimal */

const char *jv_walk_keep(jv_walk *w, jv_text *t) {
    const char *copy = t->failed ? NULL : jv_arena_copy(&w->arena, jv_text_str(t), t->length);
    jv_text_clear(t);
    if (!copy)
        w->out_of_memory = true;
    return copy ? copy : "";
}

const char *jv_walk_say(jv_walk *w, const char *format, ...) {
    jv_text t = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&t, format, args);
    va_end(args);
    return jv_walk_keep(w, &t);
}

/* Minus zero is no reading. */
static double clean(double x, double step) {
    return fabs(x) < 0.5 * step ? 0.0 : x;
}

static void add_ohms(jv_text *out, double ohms) {
    static const double kilo = 1e3, mega = 1e6;
    if (isinf(ohms))
        jv_text_add(out, "OL");
    else if (ohms >= mega)
        jv_text_addf(out, "%.2f Mohm", ohms / mega);
    else if (ohms >= kilo)
        jv_text_addf(out, "%.2f kohm", ohms / kilo);
    else
        jv_text_addf(out, "%.1f ohm", clean(ohms, 0.1));
}

void jv_reading_print(jv_text *out, jv_check_kind kind, double value) {
    if (isnan(value))
        jv_text_add(out, "unknown");
    else if (kind == JV_CHECK_OHMS)
        add_ohms(out, value);
    else if (kind == JV_CHECK_AMPS)
        jv_text_addf(out, "%.1f A", clean(value, 0.1));
    else if (fabs(value * milli) < fine_mv)
        jv_text_addf(out, "%.1f mV", clean(value * milli, 0.1));
    else if (fabs(value) < millivolts_below)
        jv_text_addf(out, "%.0f mV", value * milli);
    else
        jv_text_addf(out, "%.2f V", clean(value, 0.01));
}

void jv_band_print(jv_text *out, jv_check_kind kind, const jv_expected *x) {
    if (isnan(x->value)) {
        jv_text_add(out, "not known");
        return;
    }
    jv_text low = {0}, high = {0};
    double from = x->low;
    /* The low end of a drop that cannot be told from nothing. */
    if (kind != JV_CHECK_AMPS && from < 0.0 && x->value >= 0.0 && -from < x->high)
        from = 0.0;
    jv_reading_print(&low, kind, from);
    jv_reading_print(&high, kind, x->high);
    if (kind == JV_CHECK_OHMS && isinf(x->value) && !isinf(from))
        jv_text_addf(out, "OL, at least %s", jv_text_str(&low));
    else if (low.length == high.length && !low.failed && !high.failed &&
             jv_text_distance(jv_text_str(&low), jv_text_str(&high), 1) == 0)
        jv_text_add(out, jv_text_str(&low));
    else
        jv_text_addf(out, "%s to %s", jv_text_str(&low), jv_text_str(&high));
    out->failed |= low.failed || high.failed;
    jv_text_clear(&low);
    jv_text_clear(&high);
}

const char *jv_walk_part(const jv_walk *w, size_t part) {
    return part < w->c->n_parts ? w->c->parts[part].name : "?";
}

const char *jv_walk_terminal(const jv_walk *w, size_t terminal) {
    return terminal < w->c->n_terminals ? w->c->terminals[terminal] : "?";
}

void jv_walk_motors(jv_text *out, const jv_walk *w, size_t loading) {
    if (loading >= w->c->n_cases) {
        jv_text_add(out, "the jacks");
        return;
    }
    const jv_case *k = &w->c->cases[loading];
    for (size_t i = 0; i < k->n_runs; i++) {
        const char *join = i == 0 ? "" : i + 1 == k->n_runs ? " and " : ", ";
        jv_text_addf(out, "%s\"%s\"", join, jv_walk_part(w, k->runs[i].part));
    }
}
