/* svg_odds.c - how the volts of a watch spread, and what they spread by.
 * SPDX-License-Identifier: MIT */
#include "render/report_part.h"
#include "render/svg.h"

#include <math.h>

static const double left = 40.0, width = 780.0, right_room = 10.0, top = 24.0, high = 130.0;
enum { BARS = 90, SHARES = 8 };

typedef struct jv_odds_range {
    double low, step; /* volts */
    double counts[BARS];
    double most;
} jv_odds_range;

/* Bars between the 0th and the 100th percentile and the limit; a twentieth of room beside. */
static void find_range(const jv_scatter_watch *w, jv_odds_range *r) {
    static const double room = 0.05;
    double low = w->limit_v, most = w->limit_v;
    for (size_t i = 0; i < JV_SCATTER_BINS; i++) {
        double v = JV_SCATTER_LEAST_V + JV_SCATTER_BIN_V * ((double)i + 0.5);
        if (w->bins[i]) {
            low = fmin(low, v);
            most = fmax(most, v);
        }
    }
    double span = fmax(most - low, 0.1);
    r->low = low - room * span;
    r->step = (1.0 + 2.0 * room) * span / BARS;
    r->most = 0.0;
    for (size_t i = 0; i < BARS; i++)
        r->counts[i] = 0.0;
    for (size_t i = 0; i < JV_SCATTER_BINS; i++) {
        double v = JV_SCATTER_LEAST_V + JV_SCATTER_BIN_V * ((double)i + 0.5);
        if (!w->bins[i])
            continue;
        size_t bar = (size_t)fmin(fmax((v - r->low) / r->step, 0.0), BARS - 1);
        r->counts[bar] += (double)w->bins[i];
        r->most = fmax(r->most, r->counts[bar]);
    }
}

static double x_of(const jv_odds_range *r, double volts) {
    return left + (width - left - right_room) * (volts - r->low) / (r->step * BARS);
}

static void draw_bars(jv_report_work *work, jv_tag *svg, const jv_scatter_watch *w,
                      const jv_odds_range *r) {
    double bar = (width - left - right_room) / BARS;
    for (size_t i = 0; i < BARS; i++) {
        double h = high * r->counts[i] / r->most, from = r->low + r->step * (double)i;
        if (h > 0.0)
            jv_svg_rect(&work->page, svg, from + r->step <= w->limit_v ? "bar-bad" : "bar",
                        left + bar * (double)i, top + high - h, fmax(bar - 1.0, 0.5), h);
    }
    double x = x_of(r, w->limit_v);
    bool right = x > width / 2;
    jv_svg_line(&work->page, svg, "line-limit", x, top - 10.0, x, top + high);
    jv_svg_text(&work->page, svg, "small", x + (right ? -4.0 : 4.0), top - 6.0,
                right ? "end" : "start",
                jv_report_printf(work, "limit %.2f V: below it in %.2f %% of the draws", w->limit_v,
                                 100.0 * w->trip_probability));
    jv_svg_line(&work->page, svg, "axis", left, top + high, width - right_room, top + high);
    for (int i = 0; i <= 6; i++) {
        double v = r->low + r->step * BARS * i / 6.0;
        jv_svg_text(&work->page, svg, "tick", x_of(r, v), top + high + 13.0,
                    i == 6 ? "end" : "middle", jv_report_printf(work, "%.2f V", v));
    }
}

/* The widest shares of the variance, widest first. */
static size_t pick_shares(const jv_scatter *s, const jv_scatter_watch *w, size_t *order) {
    static const double noticed = 0.005;
    size_t n = 0;
    for (size_t i = 0; i < s->n_quantities; i++) {
        if (!(w->share[i] > noticed))
            continue;
        size_t at = n < SHARES ? n++ : SHARES;
        while (at > 0 && w->share[order[at - 1]] < w->share[i]) {
            if (at < SHARES)
                order[at] = order[at - 1];
            at--;
        }
        if (at < SHARES)
            order[at] = i;
    }
    return n;
}

static void draw_shares(jv_report_work *work, jv_tag *svg, const jv_scatter_watch *w,
                        const size_t *order, size_t n, double y) {
    static const double names = 260.0, row = 14.0;
    const jv_scatter *s = work->report->scatter;
    for (size_t i = 0; i < n; i++) {
        double share = fmin(w->share[order[i]], 1.0), at = y + row * (double)i;
        jv_svg_text(&work->page, svg, "small", left + names - 6.0, at + 9.0, "end",
                    s->quantities[order[i]].name);
        jv_svg_rect(&work->page, svg, "bar", left + names, at + 1.0,
                    fmax((width - left - names - 60.0) * share, 1.0), row - 4.0);
        jv_svg_text(&work->page, svg, "small",
                    left + names + (width - left - names - 60.0) * share + 6.0, at + 9.0, "start",
                    jv_report_printf(work, "%.0f %%", 100.0 * share));
    }
}

void jv_report_odds(jv_report_work *work, jv_tag *section, const jv_scatter_watch *w) {
    jv_odds_range r;
    size_t order[SHARES] = {0};
    find_range(w, &r);
    if (!(r.most > 0.0))
        return;
    size_t n = w->share ? pick_shares(work->report->scatter, w, order) : 0;
    const char *title = jv_report_printf(work, "Volts at \"%s\" over all draws", w->name);
    jv_tag *figure = jv_report_figure(work, section, title);
    jv_tag *svg =
        jv_tag_svg(&work->page, figure, width, top + high + 34.0 + 14.0 * (double)n, title,
                   jv_report_printf(work,
                                    "Between %.2f V and %.2f V in 98 of 100 draws; limit "
                                    "%.2f V. Below: what the spread comes from.",
                                    w->p1_v, w->p99_v, w->limit_v));
    jv_tag_set(&work->page, svg, "class", "plot");
    draw_bars(work, svg, w, &r);
    draw_shares(work, svg, w, order, n, top + high + 26.0);
}
