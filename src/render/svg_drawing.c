/* svg_drawing.c - the circuit drawn as a diagram. SPDX-License-Identifier: MIT */
#include "render/svg_drawing.h"

#include "circuit/part_kind.h"

#include <math.h>
#include <string.h>

static const double bold = 1.25;     /* width of bold capitals against plain text */
static const double magnified = 1.4; /* the most that a screen enlarges a drawing */
static const double legible = 1.25;  /* the least on a phone, which scrolls instead */
static const double paper_mm = 0.26; /* a unit on paper, at most */

/* --- marks --- */

static void find_worst(jv_draw_work *w) {
    const jv_drop_case *k = w->report->drawn;
    size_t n = w->report->circuit->n_parts;
    const jv_suspect *named =
        jv_is_record(w->report) ? jv_walk_named(w->report->report->walk) : NULL;
    for (size_t m = 0; m < JV_WORST; m++) {
        w->worst[m] = n;
        if (jv_is_record(w->report)) { /* the part that was named, and no drops */
            if (named && m < named->n && named->part[m] != JV_FIND_NONE)
                w->worst[m] = named->part[m];
            continue;
        }
        for (size_t i = 0; k && k->converged && i < n; i++)
            if (k->parts[i].share > 0.0 && !jv_draw_rank(w, i) &&
                (w->worst[m] == n || k->parts[i].share > k->parts[w->worst[m]].share))
                w->worst[m] = i;
    }
}

/* A filled circle with the rank: the widest drop is 1. */
static void draw_rank(jv_draw_work *w, size_t rank, double x, double y) {
    char digit[2] = {(char)('0' + rank), 0};
    jv_svg_circle(w->page, w->texts, "rank", x, y - 3.2, 5.6);
    jv_svg_text(w->page, w->texts, "rank-text", x, y, "middle", digit);
}

static void draw_lines(jv_draw_work *w, const char *const *lines, size_t n, double x, double y,
                       const char *anchor, size_t rank) {
    for (size_t i = 0; i < n; i++)
        jv_svg_text(w->page, w->texts, i ? "small" : "name", x, y + (double)i * JV_LINE_STEP,
                    anchor, lines[i]);
    if (rank && n) {
        double width = bold * jv_svg_text_width(lines[0], JV_TEXT_HIGH);
        draw_rank(w, rank, *anchor == 'm' ? x - width / 2 - 9.0 : x + width + 9.0, y);
    }
}

static jv_tag *group_of(jv_draw_work *w, const jv_piece *p) {
    jv_report_work *r = w->report;
    bool aside = p->across && p->pin;
    jv_tag *g =
        jv_tag_add(w->page, w->symbols, "g", jv_draw_rank(w, p->part) && !aside ? "worst" : NULL);
    jv_tag_textf(w->page, g, "title", NULL, "%s, %s", r->designators[p->part],
                 r->circuit->parts[p->part].name);
    return g;
}

/* --- pieces --- */

static void draw_series(jv_draw_work *w, const jv_piece *p) {
    const jv_drawing *d = w->d;
    double half = jv_symbol_half(p->symbol), left = d->nodes[p->from].x, right = d->nodes[p->to].x;
    const char *lines[JV_PIECE_LINES];
    jv_tag *g = group_of(w, p);
    bool wire = p->symbol == JV_SYMBOL_WIRE;
    jv_svg_line(w->page, wire ? g : w->wires, wire ? "cable" : "wire", left, p->y,
                wire ? right : p->x - half, p->y);
    if (!wire)
        jv_svg_line(w->page, w->wires, "wire", p->x + half, p->y, right, p->y);
    jv_symbol_draw(w->page, g, p->symbol, false, p->x, p->y);
    size_t n = jv_draw_head(w, p, lines);
    draw_lines(w, lines, n, p->x, p->y - jv_draw_rise(p) - (double)(n - 1) * JV_LINE_STEP, "middle",
               jv_draw_rank(w, p->part));
    n = jv_draw_tail(w, p, lines);
    for (size_t i = 0; i < n; i++)
        jv_svg_text(w->page, w->texts, "small", p->x,
                    p->y + jv_draw_fall(p) + (double)i * JV_LINE_STEP, "middle", lines[i]);
}

static void draw_across(jv_draw_work *w, const jv_piece *p) {
    const jv_drawing *d = w->d;
    double half = jv_symbol_half(p->symbol);
    bool signal = p->signal >= 0;
    double y = signal ? p->y_signal : (p->y_a + p->y_b) / 2;
    const char *lines[JV_PIECE_LINES];
    jv_tag *g = group_of(w, p);
    jv_svg_line(w->page, w->wires, "wire", d->nodes[p->a].x, p->y_a, p->x, p->y_a);
    jv_svg_line(w->page, w->wires, "wire", d->nodes[p->b].x, p->y_b, p->x, p->y_b);
    jv_svg_line(w->page, w->wires, "wire", p->x, p->y_a, p->x, y - half);
    jv_svg_line(w->page, w->wires, "wire", p->x, y + half, p->x, p->y_b);
    if (signal)
        jv_svg_line(w->page, w->wires, "wire", d->nodes[p->signal].x, y, p->x - half, y);
    jv_symbol_draw(w->page, g, p->symbol, true, p->x, y);
    size_t n = jv_draw_side_lines(w, p, lines);
    draw_lines(w, lines, n, p->x + 20.0, y + 4.0 - (double)(n - 1) * JV_LINE_STEP / 2, "start",
               p->pin ? 0 : jv_draw_rank(w, p->part));
}

typedef struct jv_draw_box {
    const jv_piece *first;
    double left, right, top, bottom; /* top and bottom: its outer lines */
    bool crossed;                    /* by a line that is not its own */
} jv_draw_box;

static bool is_of(const jv_piece *p, const jv_draw_box *box) {
    return p->placed && p->symbol == JV_SYMBOL_CHANNEL && p->part == box->first->part;
}

static void find_box(const jv_drawing *d, const jv_piece *first, jv_draw_box *box) {
    box->first = first;
    box->left = d->column_x[first->column];
    box->right = box->left + d->column_width[first->column];
    box->top = box->bottom = first->y;
    box->crossed = false;
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        if (!is_of(p, box))
            continue;
        box->top = fmin(box->top, p->y);
        box->bottom = fmax(box->bottom, p->y);
    }
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        if (!p->placed || p->across || is_of(p, box) || p->y < box->top || p->y > box->bottom)
            continue;
        if (d->nodes[p->from].x < box->left && d->nodes[p->to].x > box->right)
            box->crossed = true;
    }
}

/* Inside a box that other lines pass: a rail and a contact for each output, so that nobody
 * takes the lines for its own. */
static void draw_inside(jv_draw_work *w, const jv_draw_box *box, const jv_piece *p, double entry) {
    static const double inset = 14.0;
    double rail = box->left + (p->y == entry ? 0.0 : inset);
    jv_svg_line(w->page, w->wires, "wire", rail, p->y, box->left + inset + 8.0, p->y);
    jv_svg_line(w->page, w->wires, "wire", box->left + inset, entry, box->left + inset, p->y);
    jv_symbol_draw(w->page, w->symbols, JV_SYMBOL_CONTACT, false, box->left + inset + 18.0, p->y);
    jv_svg_line(w->page, w->wires, "wire", box->left + inset + 28.0, p->y, box->right, p->y);
}

static void draw_channels(jv_draw_work *w, const jv_draw_box *box) {
    const jv_drawing *d = w->d;
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        if (!is_of(p, box))
            continue;
        bool back = d->nodes[p->from].side == JV_DRAW_RETURN;
        double entry = back ? box->bottom : box->top;
        jv_svg_line(w->page, w->wires, "wire", box->right, p->y, d->nodes[p->to].x, p->y);
        if (p->y == entry)
            jv_svg_line(w->page, w->wires, "wire", d->nodes[p->from].x, entry, box->left, entry);
        if (box->crossed)
            draw_inside(w, box, p, entry);
        jv_svg_text(w->page, w->texts, "small", box->right - 4.0,
                    p->y + (box->crossed ? 13.0 : 3.0), "end",
                    jv_report_printf(w->report, "%s%s", p->pin, back ? " \xE2\x88\x92" : " +"));
    }
}

/* The box of a controller: all its wires of the sheet. */
static void draw_box(jv_draw_work *w, const jv_piece *first) {
    jv_report_work *r = w->report;
    jv_draw_box box;
    const char *lines[JV_PIECE_LINES];
    find_box(w->d, first, &box);
    draw_channels(w, &box);
    jv_tag *g = group_of(w, first);
    double y = box.top - JV_BOX_ABOVE;
    jv_svg_rect(w->page, box.crossed ? w->wires : g, box.crossed ? "boundary" : "shape", box.left,
                y, box.right - box.left, box.bottom - y + JV_BOX_BELOW);
    lines[0] = r->designators[first->part];
    size_t n =
        1 + jv_draw_split(r, r->circuit->parts[first->part].name, JV_NAME_COLUMNS, lines + 1);
    if (box.crossed)
        jv_svg_text(w->page, w->texts, "name", box.left + 8.0, y - 4.0, "start",
                    jv_report_printf(r, "%s %s", lines[0], r->circuit->parts[first->part].name));
    else
        draw_lines(w, lines, n, box.left + 5.0, y + 11.0, "start", 0);
    if (jv_draw_rank(w, first->part))
        draw_rank(w, jv_draw_rank(w, first->part), box.left, y);
}

static bool first_channel(const jv_drawing *d, const jv_piece *p) {
    for (const jv_piece *q = d->pieces; q < p; q++)
        if (q->placed && q->symbol == JV_SYMBOL_CHANNEL && q->part == p->part)
            return false;
    return true;
}

static void draw_pieces(jv_draw_work *w) {
    const jv_drawing *d = w->d;
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        if (!p->placed)
            continue;
        if (p->symbol == JV_SYMBOL_CHANNEL) {
            if (first_channel(d, p))
                draw_box(w, p);
        } else if (p->across) {
            draw_across(w, p);
        } else {
            draw_series(w, p);
        }
    }
}

/* --- nodes --- */

static void draw_dot(jv_draw_work *w, const jv_draw_node *n, double y) {
    if (n->top < n->bottom && y != n->y)
        jv_svg_circle(w->page, w->symbols, "dot", n->x, y, 2.2);
}

/* Lines that join a vertical between its ends: each joint gets its dot. The ends turn. */
static void draw_dots(jv_draw_work *w, size_t node) {
    const jv_drawing *d = w->d;
    const jv_draw_node *n = &d->nodes[node];
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        if (!p->placed || (int32_t)i == d->source || p->symbol == JV_SYMBOL_CHANNEL)
            continue;
        double y = p->y;
        if (p->across)
            y = p->a == (int32_t)node ? p->y_a : p->b == (int32_t)node ? p->y_b : p->y_signal;
        bool joins =
            p->across ? p->a == (int32_t)node || p->b == (int32_t)node || p->signal == (int32_t)node
                      : p->from == (int32_t)node || (p->chord && p->to == (int32_t)node);
        if (joins && y > n->top && y < n->bottom)
            draw_dot(w, n, y);
    }
}

/* A place for the meter: its number, or a dot when the sheet asks nothing of it. */
static void draw_point(jv_draw_work *w, const jv_draw_node *n) {
    unsigned number = w->report->points ? w->report->points[n->terminal] : 0;
    if (!number) {
        jv_svg_circle(w->page, w->symbols, "dot", n->x, n->y, 2.2);
        return;
    }
    jv_tag *g = jv_tag_add(w->page, w->texts, "g", NULL);
    jv_tag_textf(w->page, g, "title", NULL, "%s", w->d->circuit->terminals[n->terminal]);
    jv_svg_circle(w->page, g, "pill", n->x, n->y, 7.5);
    jv_svg_text(w->page, g, "volts", n->x, n->y + 3.0, "middle",
                jv_report_printf(w->report, "%u", number));
}

static void draw_nodes(jv_draw_work *w) {
    const jv_drawing *d = w->d;
    const jv_drop_case *k = w->report->drawn;
    for (size_t i = 0; i < d->n_nodes; i++) {
        const jv_draw_node *n = &d->nodes[i];
        if (!n->shown)
            continue;
        jv_svg_line(w->page, w->wires, "wire", n->x, n->top, n->x, n->bottom);
        draw_dots(w, i);
        if (n->labelled && n->terminal >= 0)
            jv_svg_text(w->page, w->texts, "small", n->x - JV_PILL_HALF - 4.0, n->y + 3.0, "end",
                        d->circuit->terminals[n->terminal]);
        if (n->terminal < 0 || !k || !k->converged) {
            jv_svg_circle(w->page, w->symbols, "dot", n->x, n->y, 2.2);
            continue;
        }
        if (w->plain) {
            draw_point(w, n);
            continue;
        }
        double volts = k->terminal_v[n->terminal];
        jv_tag *g = jv_tag_add(w->page, w->texts, "g", NULL);
        jv_tag_textf(w->page, g, "title", NULL, "%s", d->circuit->terminals[n->terminal]);
        jv_tag *t = jv_svg_rect(w->page, g, "pill", n->x - JV_PILL_HALF, n->y - JV_PILL_HIGH / 2,
                                2 * JV_PILL_HALF, JV_PILL_HIGH);
        jv_tag_set(w->page, t, "rx", "6");
        jv_svg_text(w->page, g, "volts", n->x, n->y + 3.0, "middle",
                    jv_report_printf(w->report, "%.2f V", fabs(volts) < 0.005 ? 0.0 : volts));
    }
}

/* --- the figure --- */

static const char *describe(jv_draw_work *w, bool sensors) {
    jv_report_work *r = w->report;
    if (sensors && jv_is_record(r))
        return "Supply, ground and signal lead of each sensor. The part that was named is marked "
               "1.";
    if (sensors)
        return "Supply, ground and signal lead of each sensor, with the volts at each end. The "
               "tables below hold the same figures.";
    size_t parts = r->circuit->n_parts;
    if (jv_is_record(r) && w->worst[0] != parts)
        return jv_report_printf(r,
                                "The way from the source at the left to the load: plus lines "
                                "above, return lines below. The part that was named is marked 1: "
                                "%s.",
                                jv_report_part_name(r, w->worst[0]));
    if (w->worst[0] == parts)
        return "The circuit from its source at the left to what it feeds at the right: plus lines "
               "above, return lines below. The tables below hold the same figures.";
    return jv_report_printf(
        r,
        "The circuit from its source at the left to what it feeds at the right: plus lines above, "
        "return lines below, with volts at each terminal and amps in each part. The widest drop "
        "on the way to the load is marked 1: %s. The tables below hold the same figures.",
        jv_report_part_name(r, w->worst[0]));
}

/* On paper a large drawing goes over several pages, cut between rows, so that its texts stay at
 * 6 points or more: 0.235 mm a unit. Portrait paper takes 186 mm by 240, landscape 255 by 176. */
static const double portrait_wide = 790.0, portrait_high = 1020.0, landscape_high = 740.0;

static void draw_slices(jv_draw_work *w, jv_tag *figure, const char *title, unsigned id) {
    const jv_drawing *d = w->d;
    bool landscape = d->width > portrait_wide;
    double from = 0.0, most = landscape ? landscape_high : portrait_high;
    unsigned part = 0;
    for (int32_t row = 0; row < d->n_rows; row++) {
        bool last = row + 1 == d->n_rows;
        if (!last && d->row_end[row + 1] - from <= most)
            continue;
        double to = last ? d->height : d->row_end[row];
        const char *name = jv_report_printf(w->report, "%s, sheet %u", title, ++part);
        jv_tag *svg =
            jv_tag_svg(w->page, figure, d->width, to - from, name, "A part of the drawing above.");
        jv_tag_set(w->page, svg, "class", landscape ? "slice wide" : "slice");
        jv_tag_setf(w->page, svg, "viewBox", "0 %.0f %.0f %.0f", from, d->width, to - from);
        jv_tag_setf(w->page, svg, "style", "width:%.0fmm", paper_mm * d->width);
        jv_tag *use = jv_tag_add(w->page, svg, "use", NULL);
        jv_tag_setf(w->page, use, "href", "#drawing-%u", id);
        from = to;
    }
}

static void draw_sheet(jv_draw_work *w, jv_tag *section, bool sensors) {
    jv_report_work *r = w->report;
    const char *title = sensors ? "Sensor harness" : "Circuit diagram";
    if (r->drawn)
        title = jv_report_printf(r, "%s, case \"%s\"", title, r->drawn->name);
    jv_tag *figure = jv_report_figure(r, section, title);
    jv_tag *svg =
        jv_tag_svg(w->page, figure, w->d->width, w->d->height, title, describe(w, sensors));
    bool sliced = !w->plain && (w->d->width > portrait_wide || w->d->height > portrait_high);
    unsigned id = w->page->ids;
    jv_tag_set(w->page, svg, "class", sliced ? "diagram sliced" : "diagram");
    jv_tag_setf(w->page, svg, "style", "max-width:%.0fpx;--legible:%.0fpx", magnified * w->d->width,
                legible * w->d->width);
    jv_tag *all = jv_tag_add(w->page, svg, "g", NULL);
    jv_tag_setf(w->page, all, "id", "drawing-%u", id);
    w->wires = jv_tag_add(w->page, all, "g", NULL);
    w->symbols = jv_tag_add(w->page, all, "g", NULL);
    w->texts = jv_tag_add(w->page, all, "g", NULL);
    draw_pieces(w);
    draw_nodes(w);
    if (sliced)
        draw_slices(w, figure, title, id);
}

/* The source that gives most stands at the left. */
static size_t main_source(const jv_report_work *r) {
    size_t n = r->circuit->n_parts, best = n;
    double most = -INFINITY;
    if (r->report->kind == JV_REPORT_SHEET && jv_has_way(r))
        return r->drawn->steps[0].part;
    for (size_t i = 0; i < n; i++) {
        if (!r->circuit->parts[i].kind->is_source)
            continue;
        double gives = r->drawn && r->drawn->converged ? r->drawn->parts[i].delivers_a : NAN;
        if (best == n || gives > most) {
            best = i;
            most = isnan(gives) ? -INFINITY : gives;
        }
    }
    return best;
}

static bool is_on_way(const jv_drop_case *k, const jv_piece *p) {
    if (p->across)
        return p->part == k->load && !p->pin;
    for (size_t i = 0; i < k->n_steps; i++) {
        const jv_drop_step *s = &k->steps[i];
        bool ends = (s->from == (size_t)p->a && s->to == (size_t)p->b) ||
                    (s->from == (size_t)p->b && s->to == (size_t)p->a);
        /* A frame is two steps by way of its middle; a channel may be turned to lower. */
        bool one = s->from == (size_t)p->a || s->to == (size_t)p->a;
        bool out = s->from == (size_t)p->b || s->to == (size_t)p->b;
        if (s->part == p->part && (ends || (p->symbol == JV_SYMBOL_FRAME && one) ||
                                   (p->symbol == JV_SYMBOL_CHANNEL && out)))
            return true;
    }
    return false;
}

/* Is what a walk has named beside the way that is drawn? Then all of the circuit stays. */
static bool is_named_aside(const jv_draw_work *w) {
    const jv_suspect *named =
        jv_is_record(w->report) ? jv_walk_named(w->report->report->walk) : NULL;
    if (!named || named->part[0] == JV_FIND_NONE)
        return false;
    for (size_t i = 0; i < w->d->n_pieces; i++)
        if (w->d->pieces[i].part == named->part[0] && is_on_way(w->report->drawn, &w->d->pieces[i]))
            return false;
    return true;
}

/* The sheet shows the way to one load and nothing else: large enough to be read on paper. */
static void keep_way(jv_draw_work *w) {
    jv_drawing *d = w->d;
    d->gap = 24.0;
    d->over = 16.0;
    if (jv_has_way(w->report) && !is_named_aside(w))
        for (size_t i = 0; i < d->n_pieces; i++)
            d->pieces[i].hidden = !is_on_way(w->report->drawn, &d->pieces[i]);
}

void jv_report_draw(jv_report_work *work, jv_tag *section, bool sensors) {
    jv_drawing d;
    jv_draw_work w = {.report = work, .page = &work->page, .d = &d};
    w.plain = work->report->kind == JV_REPORT_SHEET;
    jv_status status = jv_drawing_make(work->circuit, &work->arena, &d);
    bool any = false;
    if (status == JV_ERR_RANGE) {
        if (!sensors)
            jv_tag_textf(w.page, section, "p", NULL,
                         "This circuit has more symbols than a page can hold (%d); the tables "
                         "stand for the drawing.",
                         JV_DRAWING_MOST);
        return;
    }
    find_worst(&w);
    if (w.plain)
        keep_way(&w);
    if (status == JV_OK)
        status = jv_drawing_sort(&d, main_source(work), &work->arena);
    if (status == JV_OK)
        status = jv_drawing_place(&d, sensors, jv_draw_measure_piece, &w, &work->arena, &any);
    if (status != JV_OK)
        work->page.failed = true;
    else if (any)
        draw_sheet(&w, section, sensors);
}
