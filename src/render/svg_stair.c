/* svg_stair.c - the staircase of volts, out and back. SPDX-License-Identifier: MIT */
#include "render/report_part.h"
#include "render/svg.h"

#include <math.h>
#include <string.h>

/* Two panels on one scale: the plus side falls from the source to the load, the return side
 * from the load to the source's minus; what the load keeps is the break between them. Levels
 * are volts against the source's minus. */
typedef struct jv_stair {
    jv_report_work *work;
    jv_page *page;
    jv_tag *svg;
    const jv_drop_case *k, *healthy;
    size_t base; /* terminal of the source's minus; n_terminals = inside something */
    double base_v;
    size_t n_plus;                  /* steps up to the load */
    double top_v, plus_v, return_v; /* source; lowest of the plus panel, highest of the return */
    double scale;                   /* units per volt */
    double y_plus, y_return;        /* of plus_v and of return_v */
    double step;                    /* units per step */
} jv_stair;

static const double left = 46.0, width = 780.0, right_room = 8.0;
static const double top = 16.0, panels = 250.0, break_room = 46.0;
static const double spare = 0.06; /* of the volts, free at the ends of a panel */

static double x_of(const jv_stair *s, size_t step) {
    return left + s->step * (double)step;
}

static double y_of(const jv_stair *s, bool back, double volts) {
    return back ? s->y_return + (s->return_v - volts) * s->scale
                : s->y_plus - (volts - s->plus_v) * s->scale;
}

/* Level of a terminal of a case against the source's minus. */
static double level_at(const jv_stair *s, const jv_drop_case *k, size_t terminal) {
    if (terminal >= s->work->circuit->n_terminals || !k->converged)
        return NAN;
    double base = s->base < s->work->circuit->n_terminals ? k->terminal_v[s->base] : 0.0;
    return k->terminal_v[terminal] - base;
}

/* What the plus side must keep for a watch: its limit stands on what its minus side has lost.
 * NAN when it does not count or lies inside something. */
static double need_of(const jv_stair *s, size_t watch) {
    const jv_drop_watch *w = &s->k->watches[watch];
    double foot = level_at(s, s->k, (size_t)s->work->circuit->watches[watch].minus);
    return w->verdict == JV_NOT_WATCHED ? NAN : foot + w->limit_v;
}

static double highest_limit(const jv_stair *s) {
    static const double far = 6.0; /* volts above the source: no longer worth the room */
    double most = 0.0;
    for (size_t i = 0; i < s->k->n_watches; i++) {
        double need = need_of(s, i);
        if (need > most && need < s->k->source_v + far)
            most = need;
    }
    return most;
}

static void find_range(jv_stair *s) {
    const jv_drop_case *k = s->k;
    s->base = jv_report_base(k, &s->base_v);
    s->top_v = k->source_v;
    while (s->n_plus < k->n_steps && k->steps[s->n_plus].side != JV_SIDE_RETURN)
        s->n_plus++;
    s->plus_v = s->top_v;
    s->top_v = fmax(s->top_v, highest_limit(s));
    for (size_t i = 0; i < k->n_steps; i++) {
        double v = k->steps[i].level_v - s->base_v;
        double h = s->healthy ? level_at(s, s->healthy, k->steps[i].to) : NAN;
        if (i < s->n_plus)
            s->plus_v = fmin(s->plus_v, isnan(h) ? v : fmin(v, h));
        else
            s->return_v = fmax(s->return_v, isnan(h) ? 0.0 : h);
    }
    /* Before the first step back the level is what the load leaves. */
    s->return_v = fmax(s->return_v, -s->base_v);
    if (s->healthy)
        s->top_v = fmax(s->top_v, s->healthy->source_v);
    double volts = fmax(s->top_v - s->plus_v + s->return_v, 0.1);
    s->plus_v -= spare * volts;
    s->return_v += spare * volts;
    s->scale = panels / (s->top_v - s->plus_v + s->return_v + spare * volts);
    s->y_plus = top + (s->top_v + spare / 2 * volts - s->plus_v) * s->scale;
    s->y_return = s->y_plus + break_room;
    s->step = (width - left - right_room) / (double)(k->n_steps + 1);
}

/* Steps of 0.05, 0.1, 0.2, 0.5, ... so that six to twelve lines fit. */
static double grid_step(double volts) {
    static const double nice[] = {0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0};
    enum { LINES = 12 };
    for (size_t i = 0; i + 1 < sizeof nice / sizeof nice[0]; i++)
        if (volts / nice[i] <= LINES)
            return nice[i];
    return nice[sizeof nice / sizeof nice[0] - 1];
}

static void draw_grid(jv_stair *s, bool back, double low, double high, double grid) {
    long first = lround(ceil(low / grid - 1e-9)), last = lround(floor(high / grid + 1e-9));
    for (long i = first; i <= last; i++) {
        double v = grid * (double)i;
        double y = y_of(s, back, v);
        jv_svg_line(s->page, s->svg, "grid", left, y, width - right_room, y);
        jv_svg_text(s->page, s->svg, "tick", left - 5.0, y + 3.5, "end",
                    jv_report_printf(s->work, "%.2f", v));
    }
    double y1 = y_of(s, back, high), y2 = y_of(s, back, low);
    jv_svg_line(s->page, s->svg, "axis", left, y1, left, y2);
}

/* One curve as a path of treads and risers. */
static void draw_curve(jv_stair *s, const jv_drop_case *k, bool actual) {
    jv_text d = {0};
    double level = k->source_v;
    jv_text_addf(&d, "M%.1f %.1f", left, y_of(s, false, level));
    for (size_t i = 0; i < s->k->n_steps; i++) {
        const jv_drop_step *step = &s->k->steps[i];
        double next = actual ? step->level_v - s->base_v : level_at(s, k, step->to);
        bool back = i >= s->n_plus;
        double x = x_of(s, i + 1);
        if (i == s->n_plus) { /* past the load: where its minus stands */
            double foot = actual ? -s->base_v : level_at(s, k, step->from);
            jv_text_addf(&d, " H%.1f", x_of(s, i) + s->step * 0.5);
            if (!isnan(foot))
                level = foot;
            jv_text_addf(&d, " M%.1f %.1f", x_of(s, i) + s->step * 0.5, y_of(s, true, level));
        }
        jv_text_addf(&d, " H%.1f", x + (back ? s->step * 0.5 : 0.0));
        if (!isnan(next))
            level = next;
        jv_text_addf(&d, " V%.1f", y_of(s, back, level));
    }
    jv_text_addf(&d, " H%.1f", width - right_room);
    jv_svg_path(s->page, s->svg, actual ? "line-actual" : "line-healthy", jv_text_str(&d));
    if (d.failed)
        s->page->failed = true;
    jv_text_clear(&d);
}

static const char *name_of(const jv_stair *s, const jv_drop_step *step) {
    return jv_report_printf(s->work, "%s %s", s->work->designators[step->part],
                            s->work->circuit->parts[step->part].name);
}

/* Names stand at 50 degrees: the longest decides. */
static double names_room(const jv_stair *s) {
    static const double slant = 0.77, text_high = 9.0; /* sine of 50 degrees */
    double most = 0.0;
    for (size_t i = 0; i < s->k->n_steps; i++)
        most = fmax(most, jv_svg_text_width(name_of(s, &s->k->steps[i]), text_high));
    return slant * most;
}

/* Name of each step along the bottom, its drop where it falls. */
static void draw_names(jv_stair *s) {
    double bottom = y_of(s, true, 0.0) + 12.0;
    size_t worst = 0;
    for (size_t i = 0; i < s->k->n_steps; i++)
        if (s->k->steps[i].drop_v > s->k->steps[worst].drop_v)
            worst = i;
    for (size_t i = 0; i < s->k->n_steps; i++) {
        const jv_drop_step *step = &s->k->steps[i];
        bool back = i >= s->n_plus;
        double x = x_of(s, i + 1) + (back ? s->step * 0.5 : 0.0);
        double level = step->level_v - s->base_v, from = level + step->drop_v;
        if (i == worst)
            jv_svg_rect(s->page, s->svg, "drop-worst", x - 3.0, y_of(s, back, from), 6.0,
                        step->drop_v * s->scale);
        jv_svg_line(s->page, s->svg, "grid", x, y_of(s, back, level), x, bottom - 6.0);
        jv_tag *t = jv_svg_text(s->page, s->svg, "small", x + 3.0, bottom, "end", name_of(s, step));
        jv_tag_setf(s->page, t, "transform", "rotate(-50 %.1f %.1f)", x + 3.0, bottom);
    }
}

/* A watch that counts and whose terminals lie on the way: its limit stands on the level of its
 * minus, so the plus side must stay above it there. */
static void draw_limits(jv_stair *s) {
    double y_last = -INFINITY;
    for (size_t m = 0; m < s->k->n_watches; m++) {
        const jv_drop_watch *w = &s->k->watches[m];
        const jv_watch *watch = &s->work->circuit->watches[m];
        double need = need_of(s, m);
        if (isnan(need) || need < s->plus_v || need > s->top_v)
            continue;
        size_t at = s->n_plus;
        for (size_t i = 0; i < s->n_plus; i++)
            if (s->k->steps[i].to == (size_t)watch->plus)
                at = i + 1;
        double y = y_of(s, false, need), label = y - 4.0;
        if (fabs(label - y_last) < 11.0)
            label = y_last + 12.0;
        y_last = label;
        jv_svg_line(s->page, s->svg, "line-limit", left, y, x_of(s, s->n_plus) + s->step, y);
        jv_svg_text(s->page, s->svg, "small", width - right_room, label, "end",
                    jv_report_printf(s->work,
                                     "%s: must stay above %.2f V here (%.2f V at its terminals)",
                                     w->name, need, w->limit_v));
        if (at < s->n_plus)
            jv_svg_circle(s->page, s->svg, "dot", x_of(s, at), y, 3.0);
    }
}

static void draw_key(jv_stair *s, double y) {
    double x = left;
    jv_svg_line(s->page, s->svg, "line-actual", x, y, x + 26.0, y);
    jv_svg_text(s->page, s->svg, "tick", x + 32.0, y + 3.5, "start",
                s->healthy ? "as it is" : "level of volts");
    if (s->healthy) {
        jv_svg_line(s->page, s->svg, "line-healthy", x + 110.0, y, x + 136.0, y);
        jv_svg_text(s->page, s->svg, "tick", x + 142.0, y + 3.5, "start", "healthy");
    }
    jv_svg_line(s->page, s->svg, "line-limit", x + 220.0, y, x + 246.0, y);
    jv_svg_text(s->page, s->svg, "tick", x + 252.0, y + 3.5, "start",
                "limit of a watch, raised by what its minus side has lost");
}

void jv_report_stair(jv_report_work *work, jv_tag *section) {
    jv_stair s = {.work = work, .page = &work->page, .k = work->drawn, .healthy = work->healthy};
    if (s.healthy && !s.healthy->converged)
        s.healthy = NULL;
    find_range(&s);
    double height = y_of(&s, true, 0.0) + names_room(&s) + 34.0;
    const char *load = work->circuit->parts[s.k->load].name;
    jv_tag *figure = jv_report_figure(work, section, "Staircase of volts");
    s.svg = jv_tag_svg(&work->page, figure, width, height, "Staircase of volts, out and back",
                       jv_report_printf(work,
                                        "Volts against the source's minus, from %.2f V at the "
                                        "source unloaded down the plus side to \"%s\", which keeps "
                                        "%.2f V, and back on the return side. The table below "
                                        "holds each step.",
                                        s.k->source_v, load, s.k->load_v));
    jv_tag_set(&work->page, s.svg, "class", "plot");
    double grid = grid_step(s.top_v - s.plus_v + s.return_v);
    draw_grid(&s, false, s.plus_v, s.top_v, grid);
    draw_grid(&s, true, 0.0, s.return_v, grid);
    draw_names(&s);
    if (s.healthy)
        draw_curve(&s, s.healthy, false);
    draw_curve(&s, s.k, true);
    draw_limits(&s);
    double middle = s.y_plus + break_room / 2, x = x_of(&s, s.n_plus) + s.step * 0.5;
    jv_svg_line(&work->page, s.svg, "axis dashed", x,
                y_of(&s, false, s.k->steps[s.n_plus - 1].level_v - s.base_v), x,
                y_of(&s, true, -s.base_v));
    jv_svg_text(&work->page, s.svg, "name", x + 8.0, middle + 3.0, "start",
                jv_report_printf(work, "\"%s\" keeps %.2f V", load, s.k->load_v));
    draw_key(&s, height - 8.0);
}
