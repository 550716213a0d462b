/* svg_time.c - a sequence in time: volts, amps, and which jack runs. SPDX-License-Identifier: MIT
 */
#include "render/report_part.h"
#include "render/svg.h"

#include <math.h>
#include <string.h>

static const double left = 52.0, width = 780.0, right_room = 10.0, top = 16.0;
static const double volts_high = 150.0, amps_high = 110.0, bar_high = 24.0, apart = 34.0;
static const double column = 2.0; /* units for which a stroke holds every sample */

typedef struct jv_time_plot {
    jv_report_work *work;
    jv_page *page;
    jv_tag *svg;
    const jv_sequence *q;
} jv_time_plot;

/* A panel: its lower edge at y, values from low to high over `high` units. */
typedef struct jv_time_panel {
    double y, high, low, most;
} jv_time_panel;

static double x_of(const jv_time_plot *t, double seconds) {
    return left + (width - left - right_room) * seconds / t->q->end_s;
}

static double y_of(const jv_time_panel *p, double value) {
    return p->y - p->high * (value - p->low) / (p->most - p->low);
}

/* 1, 2 or 5 times a power of ten, so that at most `lines` steps cover the range. */
static double nice_step(double range, double lines) {
    static const double nice[] = {1.0, 2.0, 5.0, 10.0};
    double rough = range / lines, power = pow(10.0, floor(log10(rough)));
    for (size_t i = 0; i < sizeof nice / sizeof nice[0]; i++)
        if (nice[i] * power >= rough)
            return nice[i] * power;
    return 10.0 * power;
}

static void widen(jv_time_panel *p, const double *values, size_t n) {
    for (size_t i = 0; i < n; i++) {
        p->low = fmin(p->low, values[i]);
        p->most = fmax(p->most, values[i]);
    }
}

static void draw_frame(jv_time_plot *t, jv_time_panel *p, const char *unit) {
    enum { LINES = 5 };
    double step = nice_step(fmax(p->most - p->low, 1e-3), LINES);
    p->low = step * floor(p->low / step + 1e-9);
    p->most = step * ceil(p->most / step - 1e-9);
    long n = lround((p->most - p->low) / step);
    for (long i = 0; i <= n; i++) {
        double value = p->low + step * (double)i, y = y_of(p, value);
        jv_svg_line(t->page, t->svg, "grid", left, y, width - right_room, y);
        jv_svg_text(t->page, t->svg, "tick", left - 5.0, y + 3.5, "end",
                    jv_report_printf(t->work, "%.*f", step < 1.0 ? 1 : 0, value + 0.0));
    }
    jv_svg_text(t->page, t->svg, "tick", 4.0, p->y - p->high - 5.0, "start", unit);
    jv_svg_line(t->page, t->svg, "axis", left, p->y - p->high, left, p->y);
}

/* Least and greatest of each column are in the stroke, so that a dip of milliseconds shows. */
static void draw_trace(jv_time_plot *t, const jv_time_panel *p, const double *values,
                       const char *class_name) {
    const jv_sequence *q = t->q;
    jv_text d = {0};
    for (size_t i = 0; i < q->n_samples;) {
        double x = x_of(t, q->times[i]), low = values[i], most = values[i];
        double first = values[i], last = values[i];
        for (; i < q->n_samples && x_of(t, q->times[i]) < x + column; i++) {
            low = fmin(low, values[i]);
            most = fmax(most, values[i]);
            last = values[i];
        }
        jv_text_addf(&d, "%s%.1f %.1f", d.length ? " L" : "M", x, y_of(p, first));
        if (most > low)
            jv_text_addf(&d, " V%.1f V%.1f V%.1f", y_of(p, most), y_of(p, low), y_of(p, last));
    }
    jv_svg_path(t->page, t->svg, class_name, jv_text_str(&d));
    if (d.failed)
        t->page->failed = true;
    jv_text_clear(&d);
}

static const jv_trace *trace_of(const jv_sequence *q, const char *name, const char *unit) {
    for (size_t i = 0; i < q->n_traces; i++)
        if (!strcmp(q->traces[i].name, name) && !strcmp(q->traces[i].unit, unit))
            return &q->traces[i];
    return NULL;
}

/* Watches at the same terminals see the same volts: one curve. */
static bool is_again(const jv_circuit *c, size_t watch) {
    for (size_t i = 0; i < watch; i++)
        if (c->watches[i].plus == c->watches[watch].plus &&
            c->watches[i].minus == c->watches[watch].minus)
            return true;
    return false;
}

static const char *curve_class(size_t n) {
    static const char *const classes[] = {"line-actual", "line-healthy", "line-third"};
    return classes[n % (sizeof classes / sizeof classes[0])];
}

/* Over the curves, each clear of the one before it. */
static void name_limits(jv_time_plot *t, const jv_time_panel *p) {
    static const double text_step = 11.0;
    double x = width - right_room - 4.0, before = -INFINITY;
    for (size_t i = 0; i < t->q->n_watches; i++) {
        const jv_sequence_watch *w = &t->q->watches[i];
        double y =
            y_of(p, w->limit_v) + 11.0; /* below its line: the curve is above while all is well */
        if (fabs(y - before) < text_step)
            y = before + text_step;
        before = y;
        jv_svg_text(t->page, t->svg, "small", x, y, "end",
                    jv_report_printf(t->work, "%s: %.2f V, %.2g s", w->name, w->limit_v,
                                     w->held_for_s));
    }
}

static double draw_volts(jv_time_plot *t, double y) {
    const jv_sequence *q = t->q;
    jv_time_panel p = {y + volts_high, volts_high, INFINITY, -INFINITY};
    for (size_t i = 0; i < q->n_watches; i++) {
        const jv_trace *trace = trace_of(q, q->watches[i].name, "V");
        if (trace)
            widen(&p, trace->values, q->n_samples);
        widen(&p, &q->watches[i].limit_v, 1);
    }
    if (!(p.most > p.low))
        return y;
    draw_frame(t, &p, "V");
    size_t n = 0;
    double label = p.y - p.high - 5.0, x = left;
    for (size_t i = 0; i < q->n_watches; i++) {
        const jv_trace *trace = trace_of(q, q->watches[i].name, "V");
        double limit = y_of(&p, q->watches[i].limit_v);
        jv_svg_line(t->page, t->svg, "line-limit", left, limit, width - right_room, limit);
        if (!trace || is_again(t->work->circuit, i))
            continue;
        draw_trace(t, &p, trace->values, curve_class(n));
        jv_svg_line(t->page, t->svg, curve_class(n++), x, label - 3.0, x + 20.0, label - 3.0);
        const char *name = jv_report_printf(t->work, "at \"%s\"", trace->name);
        jv_svg_text(t->page, t->svg, "small", x + 25.0, label, "start", name);
        x += 45.0 + jv_svg_text_width(name, 9.0);
    }
    name_limits(t, &p);
    return p.y + apart;
}

static double draw_amps(jv_time_plot *t, double y) {
    const jv_sequence *q = t->q;
    const jv_circuit *c = t->work->circuit;
    jv_time_panel p = {y + amps_high, amps_high, 0.0, 0.0};
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_trace *trace = jv_is_source(c, i) ? trace_of(q, c->parts[i].name, "A") : NULL;
        if (trace)
            widen(&p, trace->values, q->n_samples);
    }
    if (!(p.most > p.low))
        return y;
    draw_frame(t, &p, "A");
    size_t n = 0;
    double label = p.y - p.high - 5.0, x = left;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_trace *trace = jv_is_source(c, i) ? trace_of(q, c->parts[i].name, "A") : NULL;
        if (!trace)
            continue;
        draw_trace(t, &p, trace->values, curve_class(n));
        jv_svg_line(t->page, t->svg, curve_class(n++), x, label - 3.0, x + 20.0, label - 3.0);
        const char *name = jv_report_printf(t->work, "out of \"%s\"", trace->name);
        jv_svg_text(t->page, t->svg, "small", x + 25.0, label, "start", name);
        x += 45.0 + jv_svg_text_width(name, 9.0);
    }
    return p.y + apart - 12.0;
}

/* A bar while a motor takes current, with its name before it. */
static double draw_bars(jv_time_plot *t, double y) {
    static const double runs_a = 0.05; /* less is rounding or leakage */
    const jv_sequence *q = t->q;
    const jv_circuit *c = t->work->circuit;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_trace *trace = jv_is_motor(c, i) ? trace_of(q, c->parts[i].name, "A") : NULL;
        if (!trace)
            continue;
        jv_svg_text(t->page, t->svg, "small", left + 2.0, y + 9.0, "start", c->parts[i].name);
        double from = NAN;
        for (size_t k = 0; k < q->n_samples; k++) {
            bool runs = fabs(trace->values[k]) > runs_a, last = k + 1 == q->n_samples;
            if (runs && isnan(from))
                from = q->times[k];
            if (isnan(from) || (runs && !last))
                continue;
            jv_svg_rect(t->page, t->svg, "bar", x_of(t, from), y + 12.0,
                        fmax(x_of(t, q->times[k]) - x_of(t, from), 1.0), bar_high - 15.0);
            from = NAN;
        }
        y += bar_high;
    }
    return y;
}

static void draw_seconds(jv_time_plot *t, double y) {
    enum { LINES = 10 };
    double step = nice_step(t->q->end_s, LINES);
    long n = (long)floor(t->q->end_s / step + 1e-9);
    for (long i = 0; i <= n; i++) {
        double x = x_of(t, step * (double)i);
        jv_svg_line(t->page, t->svg, "grid", x, top, x, y);
        jv_svg_text(t->page, t->svg, "tick", x, y + 13.0, "middle",
                    jv_report_printf(t->work, "%g s", step * (double)i));
    }
}

/* Serious events: a mark across all panels. */
static void draw_events(jv_time_plot *t, double y) {
    size_t n = 0;
    for (size_t i = 0; i < t->q->n_events && n < 9; i++) {
        const jv_sequence_event *e = &t->q->events[i];
        if (!e->serious)
            continue;
        double x = x_of(t, e->t_s);
        char digit[2] = {(char)('1' + n++), 0};
        jv_svg_line(t->page, t->svg, "line-event", x, top, x, y);
        jv_svg_circle(t->page, t->svg, "rank", x, top - 6.0, 5.6);
        jv_svg_text(t->page, t->svg, "rank-text", x, top - 2.8, "middle", digit);
    }
}

static size_t count_bars(const jv_time_plot *t) {
    size_t n = 0;
    for (size_t i = 0; i < t->work->circuit->n_parts; i++)
        n += jv_is_motor(t->work->circuit, i) &&
             trace_of(t->q, t->work->circuit->parts[i].name, "A");
    return n;
}

void jv_report_time(jv_report_work *work, jv_tag *section) {
    jv_time_plot t = {.work = work, .page = &work->page, .q = work->report->sequence};
    if (!t.q->n_samples || !(t.q->end_s > 0.0))
        return;
    double height =
        top + 16.0 + volts_high + amps_high + 2 * apart + bar_high * (double)count_bars(&t) + 20.0;
    jv_tag *figure = jv_report_figure(work, section, "The sequence in time");
    t.svg = jv_tag_svg(&work->page, figure, width, height, "The sequence in time",
                       jv_report_printf(work,
                                        "Volts at each watch with its limit, amps out of each "
                                        "source and bars for the motors that run, over %.1f s. %s "
                                        "The tables below hold what happened.",
                                        t.q->end_s, t.q->end));
    jv_tag_set(&work->page, t.svg, "class", "plot");
    double bottom = height - 22.0;
    draw_seconds(&t, bottom);
    draw_events(&t, bottom);
    double y = draw_volts(&t, top + 16.0);
    y = draw_amps(&t, y);
    draw_bars(&t, y);
}
