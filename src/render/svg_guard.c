/* svg_guard.c - time against current of a fuse and its cables. SPDX-License-Identifier: MIT */
#include "render/report_part.h"
#include "render/svg.h"

#include <math.h>

/* Units of the drawing. Under the plot is a row for each current that has a meaning. */
static const double left = 62.0, width = 780.0, right_room = 14.0, top = 12.0, high = 300.0;
static const double row_high = 15.0, axis_room = 34.0;
/* Seconds: from what a short takes to hours. */
static const double least_s = 0.01, most_s = 1e4;

typedef struct jv_guard_plot {
    jv_report_work *work;
    jv_page *page;
    jv_tag *svg;
    const jv_review_device *d;
    double low_a, high_a;
} jv_guard_plot;

static double x_of(const jv_guard_plot *g, double amps) {
    double share = log(amps / g->low_a) / log(g->high_a / g->low_a);
    return left + (width - left - right_room) * share;
}

/* Cut at the edges. */
static double y_of(double seconds) {
    double s = fmin(fmax(seconds, least_s), most_s);
    return top + high * log(most_s / s) / log(most_s / least_s);
}

/* --- which curves --- */

static bool same(const jv_review_wire *a, const jv_review_wire *b) {
    bool equal = a->n_curve == b->n_curve && a->confidence == b->confidence;
    for (size_t i = 0; equal && i < a->n_curve; i++)
        equal = fabs(a->curve[i].time_s - b->curve[i].time_s) <= 1e-6 * a->curve[i].time_s &&
                fabs(a->curve[i].current_a - b->curve[i].current_a) <= 1e-6 * a->curve[i].current_a;
    return equal;
}

/* Names for which there is no room are counted. */
static void add_name(jv_report_work *work, jv_guard_curve *curve, const char *name) {
    static const double room = width - 150.0;
    const char *longer = jv_report_printf(work, "%s, %s", curve->names, name);
    if (!curve->unnamed && jv_svg_text_width(longer, 9.0) < room)
        curve->names = longer;
    else
        curve->unnamed++;
}

/* The short of one more wire of the group. */
static void take_short(jv_guard_curve *curve, const jv_review_wire *wire) {
    curve->short_least_a = fmin(curve->short_least_a, wire->short_least_a);
    curve->short_least_a = fmin(curve->short_least_a, wire->short_most_a);
    curve->short_most_a = fmax(curve->short_most_a, wire->short_most_a);
}

size_t jv_guard_curves(jv_report_work *work, const jv_review_device *d, jv_guard_curve curves[]) {
    size_t n = 0;
    for (size_t i = 0; i < d->n_wires; i++) {
        const jv_review_wire *wire = &d->wires[i];
        size_t k = 0;
        while (k < n && !same(curves[k].wire, wire))
            k++;
        if (k < n) {
            add_name(work, &curves[k], wire->part);
            take_short(&curves[k], wire);
            continue;
        }
        for (k = n; k > 0 && curves[k - 1].wire->carries_a > wire->carries_a; k--)
            if (k < JV_GUARD_CURVES)
                curves[k] = curves[k - 1];
        if (k < JV_GUARD_CURVES) {
            curves[k] = (jv_guard_curve){wire, wire->part, 0, NAN, NAN};
            take_short(&curves[k], wire);
        }
        n += n < JV_GUARD_CURVES;
    }
    return n;
}

size_t jv_guard_curve_of(const jv_review_wire *wire, const jv_guard_curve *curves, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (same(curves[i].wire, wire))
            return i + 1;
    return 0;
}

/* --- axes --- */

static void widen(jv_guard_plot *g, double amps) {
    if (!(amps > 0.0) || !isfinite(amps))
        return;
    g->low_a = fmin(g->low_a, amps);
    g->high_a = fmax(g->high_a, amps);
}

static void find_range(jv_guard_plot *g) {
    static const double below = 0.65, above = 1.25;
    const jv_review_device *d = g->d;
    g->low_a = g->high_a = d->rating_a;
    widen(g, d->running_a);
    widen(g, d->stall_a);
    widen(g, d->inrush_a);
    for (size_t i = 0; i < d->curve.count; i++)
        widen(g, d->rating_a * d->curve.points[i].fraction);
    for (size_t i = 0; i < d->n_wires; i++) {
        widen(g, d->wires[i].carries_a);
        widen(g, d->wires[i].short_least_a);
        widen(g, d->wires[i].short_most_a);
    }
    g->low_a = fmax(below * g->low_a, d->rating_a / 50.0);
    g->high_a *= above;
}

static void draw_grid(jv_guard_plot *g) {
    static const double steps[] = {1.0, 2.0, 5.0};
    const int last = (int)lround(log10(most_s));
    for (int decade = (int)lround(log10(least_s)); decade <= last; decade++) {
        double s = pow(10.0, decade), y = y_of(s);
        jv_svg_line(g->page, g->svg, "grid", left, y, width - right_room, y);
        jv_svg_text(g->page, g->svg, "tick", left - 6.0, y + 3.5, "end",
                    jv_report_printf(g->work, "%g s", s));
    }
    const int end = (int)ceil(log10(g->high_a));
    for (int decade = (int)floor(log10(g->low_a)); decade < end; decade++)
        for (size_t i = 0; i < sizeof steps / sizeof steps[0]; i++) {
            double a = pow(10.0, decade) * steps[i];
            if (a < g->low_a || a > g->high_a)
                continue;
            double x = x_of(g, a);
            const char *label = jv_report_printf(g->work, "%g A", a);
            jv_svg_line(g->page, g->svg, "grid", x, top, x, top + high);
            if (x - left > 0.5 * jv_svg_text_width(label, 10.0) - 14.0 &&
                width - x > 0.5 * jv_svg_text_width(label, 10.0))
                jv_svg_text(g->page, g->svg, "tick", x, top + high + 14.0, "middle", label);
        }
    jv_svg_line(g->page, g->svg, "axis", left, top, left, top + high);
    jv_svg_line(g->page, g->svg, "axis", left, top + high, width - right_room, top + high);
}

/* --- the device --- */

enum { EVEN = 120, SAMPLES = EVEN + 1 + 2 * JV_TIME_POINTS };

/* Even steps, and both sides of each point of the curve; how many. */
static size_t sample(const jv_guard_plot *g, double amps[SAMPLES]) {
    static const double just_below = 1.0 - 1e-9;
    size_t n = 0;
    for (int i = 0; i <= EVEN; i++)
        amps[n++] = g->low_a * pow(g->high_a / g->low_a, (double)i / EVEN);
    for (size_t i = 0; i < g->d->curve.count; i++) {
        amps[n++] = just_below * g->d->curve.points[i].fraction * g->d->rating_a;
        amps[n++] = g->d->curve.points[i].fraction * g->d->rating_a;
    }
    for (size_t i = 1; i < n; i++) {
        double a = amps[i];
        size_t k = i;
        for (; k > 0 && amps[k - 1] > a; k--)
            amps[k] = amps[k - 1];
        amps[k] = a;
    }
    return n;
}

static double latest(const jv_guard_plot *g, double amps) {
    return jv_opens_by_s(&g->d->curve, g->d->rating_a, amps, false);
}

static double earliest(const jv_guard_plot *g, double amps) {
    return jv_opens_from_s(&g->d->curve, g->d->rating_a, 1.0, amps);
}

static void add_point(jv_text *d, double x, double y) {
    jv_text_addf(d, "%s%.1f %.1f", d->length ? " L" : "M", x, y);
}

static void add_path(jv_guard_plot *g, const char *class_name, jv_text *d) {
    if (d->length)
        jv_svg_path(g->page, g->svg, class_name, jv_text_str(d));
    if (d->failed)
        g->page->failed = true;
    jv_text_clear(d);
}

/* Between the earliest and the latest opening it may open; left of it, it need not. */
static void draw_band(jv_guard_plot *g, const double *amps, size_t n) {
    jv_text band = {0};
    for (size_t i = 0; i < n; i++)
        add_point(&band, x_of(g, amps[i]), y_of(latest(g, amps[i])));
    for (size_t i = n; i-- > 0;)
        add_point(&band, x_of(g, amps[i]), y_of(earliest(g, amps[i])));
    jv_text_add(&band, " Z");
    add_path(g, "band", &band);
}

/* What rests on memory is broken, and the key says it in words. */
static const char *opens_class(const jv_review_device *d) {
    return d->curve.confidence == JV_WEAK ? "line-opens line-weak" : "line-opens";
}

static void draw_device(jv_guard_plot *g, const double *amps, size_t n) {
    jv_text late = {0}, early = {0};
    for (size_t i = 0; i < n; i++) {
        double s = latest(g, amps[i]);
        if (isfinite(s) && !late.length)
            add_point(&late, x_of(g, amps[i]), y_of(most_s));
        if (isfinite(s))
            add_point(&late, x_of(g, amps[i]), y_of(s));
    }
    for (size_t i = 0; i < n; i++) {
        double s = earliest(g, amps[i]);
        if (s >= least_s && s <= most_s)
            add_point(&early, x_of(g, amps[i]), y_of(s));
    }
    add_path(g, "line-early", &early);
    add_path(g, opens_class(g->d), &late);
}

/* --- the cables --- */

static void draw_mark(jv_guard_plot *g, double x, double y, size_t number) {
    jv_svg_circle(g->page, g->svg, "rank", x, y, 6.4);
    jv_svg_text(g->page, g->svg, "rank-text", x, y + 3.2, "middle",
                jv_report_printf(g->work, "%zu", number));
}

/* Where the mark of a curve stands: on it, each lower than the one before. */
static void mark_curve(jv_guard_plot *g, const jv_review_wire *wire, size_t k) {
    static const double first_s = 400.0, ratio = 0.25;
    double wanted = first_s * pow(ratio, (double)k);
    for (size_t i = 1; i < wire->n_curve; i++) {
        const jv_review_stand *a = &wire->curve[i - 1], *b = &wire->curve[i];
        if (b->time_s > wanted || b->current_a > g->high_a)
            continue;
        double share = !isfinite(a->time_s) || a->time_s <= b->time_s
                           ? 1.0
                           : fmin(1.0, log(a->time_s / wanted) / log(a->time_s / b->time_s));
        double amps = a->current_a * pow(b->current_a / a->current_a, fmax(share, 0.0));
        double y = y_of(fmin(wanted, isfinite(a->time_s) ? a->time_s : wanted));
        draw_mark(g, x_of(g, amps), y, k + 1);
        return;
    }
}

static void draw_cable(jv_guard_plot *g, const jv_review_wire *wire, size_t k) {
    jv_text d = {0};
    for (size_t i = 0; i < wire->n_curve && wire->curve[i].current_a <= g->high_a; i++) {
        if (!d.length)
            add_point(&d, x_of(g, wire->curve[i].current_a), y_of(most_s));
        add_point(&d, x_of(g, wire->curve[i].current_a), y_of(wire->curve[i].time_s));
    }
    add_path(g, wire->confidence == JV_WEAK ? "line-stands line-weak" : "line-stands", &d);
    mark_curve(g, wire, k);
}

/* --- what flows --- */

typedef struct jv_guard_flow {
    const char *class_name;
    double amps;
    const char *words;
} jv_guard_flow;
enum { FLOWS = 4 };

/* The currents of the device, largest first; how many. */
static size_t gather_flows(jv_guard_plot *g, jv_guard_flow *flows) {
    static const double noticed = 1.05;
    const jv_review_device *d = g->d;
    jv_report_work *w = g->work;
    const jv_guard_flow all[FLOWS] = {
        {"line-at", d->rating_a, jv_report_printf(w, "rating, %.3g A", d->rating_a)},
        {"line-run", d->running_a,
         jv_report_printf(w, "runs at %.3g A (%s)", d->running_a,
                          d->running_case ? d->running_case : "")},
        {"line-hold", d->stall_a,
         jv_report_printf(w, "%.3g A with \"%s\" held fast", d->stall_a,
                          d->stall_motor ? d->stall_motor : "")},
        {"line-start", d->inrush_a,
         jv_report_printf(w, "%.3g A at first as all start (%s); how long is not known here",
                          d->inrush_a, d->inrush_case ? d->inrush_case : "")}};
    size_t n = 0;
    for (size_t i = 0; i < FLOWS; i++) {
        size_t k = n;
        /* A start or a stall that adds nothing to what runs is in the table alone. */
        bool adds = i < 2 || !(all[i].amps <= d->running_a * noticed);
        if (!(all[i].amps > g->low_a) || !adds)
            continue;
        for (n++; k > 0 && flows[k - 1].amps < all[i].amps; k--)
            flows[k] = flows[k - 1];
        flows[k] = all[i];
    }
    return n;
}

/* A row under the plot each: a line up into the plot, and words beside its end. The largest
 * stands highest, so that no line crosses words. */
static double draw_flows(jv_guard_plot *g, const jv_guard_flow *flows, size_t n) {
    double first = top + high + axis_room;
    for (size_t i = 0; i < n; i++) {
        double x = x_of(g, flows[i].amps), y = first + row_high * (double)i;
        jv_svg_line(g->page, g->svg, flows[i].class_name, x, top, x, y - 4.0);
        jv_svg_circle(g->page, g->svg, "dot", x, y - 4.0, 2.6);
    }
    for (size_t i = 0; i < n; i++) {
        double x = x_of(g, flows[i].amps), y = first + row_high * (double)i;
        bool right = x + 8.0 + jv_svg_text_width(flows[i].words, 9.0) <= width;
        jv_svg_text(g->page, g->svg, "small", right ? x + 7.0 : x - 7.0, y - 1.0,
                    right ? "start" : "end", flows[i].words);
    }
    return first + row_high * (double)n;
}

/* What a short at the far end of the cables of a curve draws: a bar at the foot of the plot. */
static void draw_short(jv_guard_plot *g, const jv_guard_curve *curve, size_t k) {
    static const double step = 15.0, tick = 4.0;
    if (!(curve->short_most_a > 0.0))
        return;
    double y = top + high - 10.0 - step * (double)k;
    double from = x_of(g, curve->short_least_a), to = x_of(g, curve->short_most_a);
    jv_svg_line(g->page, g->svg, "line-short", from, y, fmax(to, from + 0.1), y);
    jv_svg_line(g->page, g->svg, "line-stands", from, y - tick, from, y + tick);
    jv_svg_line(g->page, g->svg, "line-stands", to, y - tick, to, y + tick);
    draw_mark(g, 0.5 * (from + to), y, k + 1);
}

/* A row each: the number of the curve, and the cables that it is of. */
static double draw_names(jv_guard_plot *g, double y, const jv_guard_curve *curves, size_t n) {
    for (size_t i = 0; i < n; i++, y += row_high) {
        const jv_guard_curve *c = &curves[i];
        const char *more = c->unnamed ? jv_report_printf(g->work, " and %zu more", c->unnamed) : "";
        draw_mark(g, left + 7.0, y - 3.5, i + 1);
        jv_svg_text(g->page, g->svg, "small", left + 20.0, y - 0.5, "start",
                    jv_report_printf(g->work, "carries %.0f A: %s%s", c->wire->carries_a, c->names,
                                     more));
    }
    return y;
}

/* The key: a sample of each kind of line, and what it means. */
enum { MOST_KEY = 5 };
typedef struct key_entry {
    const char *class_name, *words;
    double x;
    size_t row;
} key_entry;
static const double sample_wide = 24.0, sample_room = 5.0;

static size_t gather_key(const jv_guard_plot *g, const jv_guard_curve *curves, size_t n,
                         key_entry *list) {
    const jv_review_device *d = g->d;
    bool weak = d->curve.confidence == JV_WEAK, solid_wire = false, weak_wire = false;
    size_t k = 0;
    for (size_t i = 0; i < n; i++) {
        weak_wire = weak_wire || curves[i].wire->confidence == JV_WEAK;
        solid_wire = solid_wire || curves[i].wire->confidence != JV_WEAK;
    }
    if (d->known) {
        list[k++] =
            (key_entry){opens_class(d), weak ? "open by here (from memory)" : "open by here", 0, 0};
        list[k++] =
            (key_entry){"line-early", weak ? "not before (from memory)" : "not before here", 0, 0};
    }
    if (solid_wire)
        list[k++] = (key_entry){"line-stands", "the cable stands it", 0, 0};
    if (weak_wire)
        list[k++] =
            (key_entry){"line-stands line-weak",
                        solid_wire ? "the same from memory" : "the cable stands it (from memory)",
                        0, 0};
    if (n)
        list[k++] = (key_entry){"line-short", "short at its far end", 0, 0};
    return k;
}

/* Side by side, and in a new row where the room ends; returns the rows. */
static size_t place_key(key_entry *list, size_t n) {
    /* Fonts of other browsers may be wider than what is reckoned with. */
    static const double apart = 16.0, spare = 1.1;
    double x = left;
    size_t row = 0;
    for (size_t k = 0; k < n; k++) {
        double wide = sample_wide + sample_room + spare * jv_svg_text_width(list[k].words, 10.0);
        if (x > left && x + wide > width) {
            x = left;
            row++;
        }
        list[k].x = x;
        list[k].row = row;
        x += wide + apart;
    }
    return row + 1;
}

static void draw_key(jv_guard_plot *g, double first, const key_entry *list, size_t n) {
    for (size_t k = 0; k < n; k++) {
        double x = list[k].x, y = first + row_high * (double)list[k].row;
        jv_svg_line(g->page, g->svg, list[k].class_name, x, y, x + sample_wide, y);
        jv_svg_text(g->page, g->svg, "tick", x + sample_wide + sample_room, y + 3.5, "start",
                    list[k].words);
    }
}

void jv_report_guard(jv_report_work *work, jv_tag *section, const jv_review_device *d,
                     const jv_guard_curve *curves, size_t n) {
    jv_guard_plot g = {.work = work, .page = &work->page, .d = d};
    find_range(&g);
    jv_guard_flow flows[FLOWS];
    size_t n_flows = gather_flows(&g, flows);
    key_entry key[MOST_KEY];
    size_t n_key = gather_key(&g, curves, n, key), key_rows = place_key(key, n_key);
    double height = top + high + axis_room + row_high * (double)(n_flows + n + key_rows - 1) + 18.0;
    const char *title = jv_report_printf(work, "Time against current of \"%s\"", d->part);
    jv_tag *figure = jv_report_figure(work, section, title);
    const char *opens =
        !d->known ? "When it opens is not known."
        : isfinite(d->must_open_a)
            ? jv_report_printf(work, "Below %.4g A it may never open.", d->must_open_a)
            : "It has no current at which it must open.";
    g.svg = jv_tag_svg(
        &work->page, figure, width, height, title,
        jv_report_printf(work,
                         "Both axes logarithmic. Between two lines the device of %.4g A opens; "
                         "%zu curves of how long its cables stand a current. %s A cable is guarded "
                         "where its curve lies above and right of the line \"open by here\". The "
                         "tables below hold the figures.",
                         d->rating_a, n, opens));
    jv_tag_set(&work->page, g.svg, "class", "plot");
    double amps[SAMPLES];
    size_t n_amps = sample(&g, amps);
    if (d->known)
        draw_band(&g, amps, n_amps);
    draw_grid(&g);
    double y = draw_flows(&g, flows, n_flows);
    for (size_t i = 0; i < n; i++)
        draw_short(&g, &curves[i], i);
    if (d->known)
        draw_device(&g, amps, n_amps);
    for (size_t i = 0; i < n; i++)
        draw_cable(&g, curves[i].wire, i);
    y = draw_names(&g, y + 4.0, curves, n);
    draw_key(&g, y, key, n_key);
}
