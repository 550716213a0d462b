/* svg_drawing.c - the circuit drawn as a diagram. SPDX-License-Identifier: MIT */
#include "circuit/part_kind.h"
#include "render/drop_words.h"
#include "render/report_part.h"
#include "render/svg.h"

#include <math.h>
#include <string.h>

static const double text_high = 9.0;  /* of names and figures */
static const double line_step = 10.5; /* from text line to text line */
static const double pill_half = 19.0; /* volts of a node */
static const double pill_high = 12.0;
static const double bold = 1.25; /* width of bold capitals against plain text */
static const double box_above = 26.0, box_below = 22.0; /* of a controller, round its lines */
static const double texts_over = JV_DRAWING_OVER;       /* that texts stand out of their column */
static const double magnified = 1.4;                    /* the most that a screen enlarges it */
enum { NAME_COLUMNS = 12, NAME_LINES = 3, WORST = 3 };

typedef struct jv_draw_work {
    jv_report_work *report;
    jv_page *page;
    jv_drawing *d;
    jv_tag *wires, *symbols, *texts;
    size_t worst[WORST]; /* parts with the widest drops, widest first */
} jv_draw_work;

/* --- texts --- */

/* Splits a name at spaces into lines of some width; the last takes what is left. */
static size_t split(jv_report_work *w, const char *name, size_t width, const char *lines[]) {
    size_t n = 0;
    while (*name && n < NAME_LINES) {
        size_t take = strlen(name), cut = 0;
        for (size_t i = 0; i <= take && n + 1 < NAME_LINES; i++)
            if ((name[i] == ' ' || !name[i]) && (i <= width || !cut))
                cut = i;
        if (!cut)
            cut = take;
        lines[n] = jv_arena_copy(&w->arena, name, cut);
        if (!lines[n]) {
            w->page.failed = true;
            return n;
        }
        n++;
        name += cut;
        while (*name == ' ')
            name++;
    }
    return n;
}

static size_t rank_of(const jv_draw_work *w, size_t part) {
    for (size_t i = 0; i < WORST; i++)
        if (w->worst[i] == part)
            return i + 1;
    return 0;
}

/* The first piece of a part on the sheet carries its name; further pins only theirs. */
static bool is_first(const jv_draw_work *w, const jv_piece *p) {
    for (const jv_piece *q = w->d->pieces; q < p; q++)
        if (q->placed && q->part == p->part && q->across == p->across)
            return false;
    return true;
}

/* Lines above a series piece: designator, then the name. */
static size_t head_lines(jv_draw_work *w, const jv_piece *p, const char *lines[]) {
    jv_report_work *r = w->report;
    const jv_part *part = &r->circuit->parts[p->part];
    lines[0] = p->pin && p->symbol != JV_SYMBOL_BOX
                   ? jv_report_printf(r, "%s:%s", r->designators[p->part], p->pin)
                   : r->designators[p->part];
    if (p->pin && !is_first(w, p))
        return 1;
    return 1 + split(r, part->name, NAME_COLUMNS, lines + 1);
}

/* A pin's own drop and amps are known when the way passes it. */
static bool step_of(const jv_drop_case *k, const jv_piece *p, double *drop, double *amps) {
    for (size_t i = 0; i < k->n_steps; i++) {
        const jv_drop_step *s = &k->steps[i];
        if (s->part == p->part && ((s->from == (size_t)p->a && s->to == (size_t)p->b) ||
                                   (s->from == (size_t)p->b && s->to == (size_t)p->a))) {
            *drop = s->drop_v;
            *amps = s->current_a;
            return true;
        }
    }
    return false;
}

/* Opened, unplugged or switched off by the case. */
static bool is_off(const jv_report_work *r, size_t part) {
    const jv_circuit *c = r->circuit;
    size_t at = r->drawn ? jv_circuit_find_case(c, r->drawn->name) : c->n_cases;
    for (size_t i = 0; at < c->n_cases && i < c->cases[at].n_off; i++)
        if (c->cases[at].off[i] == part)
            return true;
    return false;
}

static bool figures_of(const jv_draw_work *w, const jv_piece *p, double *drop, double *amps) {
    const jv_drop_case *k = w->report->drawn;
    if (!k || !k->converged)
        return false;
    if (p->pin)
        return step_of(k, p, drop, amps);
    *drop = fabs(k->parts[p->part].drop_v);
    *amps = fabs(k->parts[p->part].current_a);
    return !isnan(*drop) && !isnan(*amps);
}

static const char *amps_text(jv_report_work *r, double amps) {
    return jv_report_print(r, jv_words_amps(amps), JV_DIM_CURRENT, 3);
}

static size_t tail_lines(jv_draw_work *w, const jv_piece *p, const char *lines[]) {
    jv_report_work *r = w->report;
    size_t n = 0;
    double drop, amps;
    const char *detail = jv_report_detail(r, p->part);
    if (*detail && (!p->pin || is_first(w, p)))
        lines[n++] = detail;
    if (is_off(r, p->part)) {
        lines[n++] = "off here";
        return n;
    }
    if (!figures_of(w, p, &drop, &amps))
        return n;
    lines[n++] = amps_text(r, amps);
    lines[n++] = jv_report_printf(r, "%.2f V", drop);
    return n;
}

/* Beside an across piece. */
static size_t side_lines(jv_draw_work *w, const jv_piece *p, const char *lines[]) {
    enum { SIDE_COLUMNS = 16 };
    jv_report_work *r = w->report;
    const jv_part *part = &r->circuit->parts[p->part];
    size_t n = 0;
    double drop, amps;
    lines[n++] = r->designators[p->part];
    if (p->pin) /* a coil, or what a controller takes for itself */
        lines[n++] = p->pin;
    else
        n += split(r, part->name, SIDE_COLUMNS, lines + n);
    if (is_off(r, p->part))
        lines[n++] = "off here";
    if (p->pin || is_off(r, p->part) || !figures_of(w, p, &drop, &amps))
        return n;
    const jv_drop_part *f = &r->drawn->parts[p->part];
    if (!isnan(f->open_circuit_v)) {
        lines[n++] = jv_report_printf(r, "%.2f V inside", f->open_circuit_v);
        lines[n++] = jv_report_printf(r, "%s %s", f->delivers_a < 0.0 ? "takes" : "gives",
                                      amps_text(r, fabs(f->delivers_a)));
        return n;
    }
    lines[n++] = jv_report_printf(r, "%s, %.2f V", amps_text(r, amps), drop);
    if (f->stalled)
        lines[n++] = "stalled";
    else if (!isnan(f->speed_share))
        lines[n++] = jv_report_printf(r, "%.0f %% speed", 100.0 * f->speed_share);
    return n;
}

static double widest(const char *const *lines, size_t n) {
    double most = 0.0;
    for (size_t i = 0; i < n; i++)
        most = fmax(most, jv_svg_text_width(lines[i], text_high));
    return most;
}

/* Room between a line and the texts above it, and below. */
static double rise_of(const jv_piece *p) {
    switch (p->symbol) {
    case JV_SYMBOL_BOX:
        return 16.0;
    case JV_SYMBOL_MOTOR:
        return 18.0;
    case JV_SYMBOL_CONTACT:
    case JV_SYMBOL_BREAKER: /* the blade */
        return 12.0;
    default:
        return 9.0;
    }
}

static double fall_of(const jv_piece *p) {
    bool deep =
        p->symbol == JV_SYMBOL_BOX || p->symbol == JV_SYMBOL_MOTOR || p->symbol == JV_SYMBOL_FRAME;
    return (deep ? 16.0 : 9.0) + text_high - 2.0;
}

static jv_draw_room measure(const void *context, const jv_piece *p) {
    static const double box_width = 92.0 + texts_over, beside = 40.0;
    jv_draw_work *w = (jv_draw_work *)context;
    const char *lines[12];
    jv_draw_room room = {box_width, box_above, box_below};
    if (p->symbol == JV_SYMBOL_CHANNEL)
        return room;
    if (p->across) {
        size_t n = side_lines(w, p, lines);
        room.width = beside + widest(lines, n);
        room.above = (double)n * line_step;
        return room;
    }
    size_t n = head_lines(w, p, lines), m = tail_lines(w, p, lines + n);
    room.width = fmax(widest(lines, n + m), 2 * jv_symbol_half(p->symbol) + texts_over);
    room.above = rise_of(p) + (double)n * line_step;
    room.below = fall_of(p) + (double)m * line_step - text_high;
    return room;
}

/* --- marks --- */

static void find_worst(jv_draw_work *w) {
    const jv_drop_case *k = w->report->drawn;
    size_t n = w->report->circuit->n_parts;
    for (size_t m = 0; m < WORST; m++) {
        w->worst[m] = n;
        for (size_t i = 0; k && k->converged && i < n; i++)
            if (k->parts[i].share > 0.0 && !rank_of(w, i) &&
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
        jv_svg_text(w->page, w->texts, i ? "small" : "name", x, y + (double)i * line_step, anchor,
                    lines[i]);
    if (rank && n) {
        double width = bold * jv_svg_text_width(lines[0], text_high);
        draw_rank(w, rank, *anchor == 'm' ? x - width / 2 - 9.0 : x + width + 9.0, y);
    }
}

static jv_tag *group_of(jv_draw_work *w, const jv_piece *p) {
    jv_report_work *r = w->report;
    bool aside = p->across && p->pin;
    jv_tag *g =
        jv_tag_add(w->page, w->symbols, "g", rank_of(w, p->part) && !aside ? "worst" : NULL);
    jv_tag_textf(w->page, g, "title", NULL, "%s, %s", r->designators[p->part],
                 r->circuit->parts[p->part].name);
    return g;
}

/* --- pieces --- */

static void draw_series(jv_draw_work *w, const jv_piece *p) {
    const jv_drawing *d = w->d;
    double half = jv_symbol_half(p->symbol), left = d->nodes[p->from].x, right = d->nodes[p->to].x;
    const char *lines[8];
    jv_tag *g = group_of(w, p);
    bool wire = p->symbol == JV_SYMBOL_WIRE;
    jv_svg_line(w->page, wire ? g : w->wires, wire ? "cable" : "wire", left, p->y,
                wire ? right : p->x - half, p->y);
    if (!wire)
        jv_svg_line(w->page, w->wires, "wire", p->x + half, p->y, right, p->y);
    jv_symbol_draw(w->page, g, p->symbol, false, p->x, p->y);
    size_t n = head_lines(w, p, lines);
    draw_lines(w, lines, n, p->x, p->y - rise_of(p) - (double)(n - 1) * line_step, "middle",
               rank_of(w, p->part));
    n = tail_lines(w, p, lines);
    for (size_t i = 0; i < n; i++)
        jv_svg_text(w->page, w->texts, "small", p->x, p->y + fall_of(p) + (double)i * line_step,
                    "middle", lines[i]);
}

static void draw_across(jv_draw_work *w, const jv_piece *p) {
    const jv_drawing *d = w->d;
    double half = jv_symbol_half(p->symbol);
    bool signal = p->signal >= 0;
    double y = signal ? p->y_signal : (p->y_a + p->y_b) / 2;
    const char *lines[12];
    jv_tag *g = group_of(w, p);
    jv_svg_line(w->page, w->wires, "wire", d->nodes[p->a].x, p->y_a, p->x, p->y_a);
    jv_svg_line(w->page, w->wires, "wire", d->nodes[p->b].x, p->y_b, p->x, p->y_b);
    jv_svg_line(w->page, w->wires, "wire", p->x, p->y_a, p->x, y - half);
    jv_svg_line(w->page, w->wires, "wire", p->x, y + half, p->x, p->y_b);
    if (signal)
        jv_svg_line(w->page, w->wires, "wire", d->nodes[p->signal].x, y, p->x - half, y);
    jv_symbol_draw(w->page, g, p->symbol, true, p->x, y);
    size_t n = side_lines(w, p, lines);
    draw_lines(w, lines, n, p->x + 20.0, y + 4.0 - (double)(n - 1) * line_step / 2, "start",
               p->pin ? 0 : rank_of(w, p->part));
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
    const char *lines[8];
    find_box(w->d, first, &box);
    draw_channels(w, &box);
    jv_tag *g = group_of(w, first);
    double y = box.top - box_above;
    jv_svg_rect(w->page, box.crossed ? w->wires : g, box.crossed ? "boundary" : "shape", box.left,
                y, box.right - box.left, box.bottom - y + box_below);
    lines[0] = r->designators[first->part];
    size_t n = 1 + split(r, r->circuit->parts[first->part].name, NAME_COLUMNS, lines + 1);
    if (box.crossed)
        jv_svg_text(w->page, w->texts, "name", box.left + 8.0, y - 4.0, "start",
                    jv_report_printf(r, "%s %s", lines[0], r->circuit->parts[first->part].name));
    else
        draw_lines(w, lines, n, box.left + 5.0, y + 11.0, "start", 0);
    if (rank_of(w, first->part))
        draw_rank(w, rank_of(w, first->part), box.left, y);
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
            jv_svg_text(w->page, w->texts, "small", n->x - pill_half - 4.0, n->y + 3.0, "end",
                        d->circuit->terminals[n->terminal]);
        if (n->terminal < 0 || !k || !k->converged) {
            jv_svg_circle(w->page, w->symbols, "dot", n->x, n->y, 2.2);
            continue;
        }
        double volts = k->terminal_v[n->terminal];
        jv_tag *g = jv_tag_add(w->page, w->texts, "g", NULL);
        jv_tag_textf(w->page, g, "title", NULL, "%s", d->circuit->terminals[n->terminal]);
        jv_tag *t = jv_svg_rect(w->page, g, "pill", n->x - pill_half, n->y - pill_high / 2,
                                2 * pill_half, pill_high);
        jv_tag_set(w->page, t, "rx", "6");
        jv_svg_text(w->page, g, "volts", n->x, n->y + 3.0, "middle",
                    jv_report_printf(w->report, "%.2f V", fabs(volts) < 0.005 ? 0.0 : volts));
    }
}

/* --- the figure --- */

static const char *describe(jv_draw_work *w, bool sensors) {
    jv_report_work *r = w->report;
    if (sensors)
        return "Supply, ground and signal lead of each sensor, with the volts at each end. The "
               "tables below hold the same figures.";
    size_t parts = r->circuit->n_parts;
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

static void draw_sheet(jv_draw_work *w, jv_tag *section, bool sensors) {
    jv_report_work *r = w->report;
    const char *title = sensors ? "Sensor harness" : "Circuit diagram";
    if (r->drawn)
        title = jv_report_printf(r, "%s, case \"%s\"", title, r->drawn->name);
    jv_tag *figure = jv_report_figure(r, section, title);
    jv_tag *svg =
        jv_tag_svg(w->page, figure, w->d->width, w->d->height, title, describe(w, sensors));
    jv_tag_set(w->page, svg, "class", "diagram");
    jv_tag_setf(w->page, svg, "style", "max-width:%.0fpx", magnified * w->d->width);
    w->wires = jv_tag_add(w->page, svg, "g", NULL);
    w->symbols = jv_tag_add(w->page, svg, "g", NULL);
    w->texts = jv_tag_add(w->page, svg, "g", NULL);
    draw_pieces(w);
    draw_nodes(w);
}

/* The source that gives most stands at the left. */
static size_t main_source(const jv_report_work *r) {
    size_t n = r->circuit->n_parts, best = n;
    double most = -INFINITY;
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

void jv_report_draw(jv_report_work *work, jv_tag *section, bool sensors) {
    jv_drawing d;
    jv_draw_work w = {.report = work, .page = &work->page, .d = &d};
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
    if (status == JV_OK)
        status = jv_drawing_sort(&d, main_source(work), &work->arena);
    if (status == JV_OK)
        status = jv_drawing_place(&d, sensors, measure, &w, &work->arena, &any);
    if (status != JV_OK)
        work->page.failed = true;
    else if (any)
        draw_sheet(&w, section, sensors);
}
