/* drawing_place.c - rows, columns and tracks of a drawing. SPDX-License-Identifier: MIT */
#include "render/drawing.h"

#include <math.h>
#include <string.h>

/* Units of the drawing; its texts are 9 to 10 units high. */
static const double track = 8.0;   /* between verticals side by side */
static const double wide = 26.0;   /* the same where volts would lie on the other line */
static const double apart = 6.0;   /* least room between the ends of two verticals on a track */
static const double margin = 8.0;  /* around everything */
static const double bare = 12.0;   /* least room above and below a line */
static const double symbol = 34.0; /* of a piece that hangs across */
static const double between = 6.0; /* rows */

typedef struct jv_row_line {
    double above, below; /* room of its texts */
    double y;
} jv_row_line;

typedef struct jv_row {
    bool mid, single;
    double inside; /* of its across piece */
    jv_row_line top, middle, bottom;
} jv_row;

typedef struct jv_place_work {
    jv_drawing *d;
    bool sensors;
    jv_draw_measure *measure;
    const void *context;
    jv_row *rows;
    int32_t n_rows;
} jv_place_work;

static bool on_sheet(const jv_place_work *w, const jv_piece *p) {
    const jv_drawing *d = w->d;
    if (p - d->pieces == d->source)
        return !w->sensors;
    return p->sensor == w->sensors && !p->hidden && d->nodes[p->a].side != JV_DRAW_NONE &&
           d->nodes[p->b].side != JV_DRAW_NONE;
}

static bool is_source(const jv_drawing *d, const jv_piece *p) {
    return p - d->pieces == d->source;
}

static bool is_tree(const jv_piece *p) {
    return !p->across && !p->chord;
}

/* A node is shown when a piece of the sheet touches it; it starts a line when the piece that
 * leads to it is not on the sheet. */
static bool mark(jv_place_work *w) {
    jv_drawing *d = w->d;
    bool any = false;
    for (size_t i = 0; i < d->n_nodes; i++) {
        jv_draw_node *n = &d->nodes[i];
        n->shown = n->labelled = n->output = false;
        n->boundary = n->depth = 0;
        n->least_row = n->greatest_row = -1;
    }
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        p->placed = on_sheet(w, p);
        p->row = -1;
        if (!p->placed)
            continue;
        any = true;
        d->nodes[p->a].shown = d->nodes[p->b].shown = true;
        if (p->signal >= 0)
            d->nodes[p->signal].shown = true;
        if (p->symbol == JV_SYMBOL_CHANNEL)
            d->nodes[p->to].output = true;
    }
    for (size_t i = 0; i < d->n_nodes; i++) {
        jv_draw_node *n = &d->nodes[i];
        bool head = n->parent < 0 || !d->pieces[n->parent].placed;
        n->labelled = n->shown && head && w->sensors;
    }
    return any;
}

/* Deepest first: the main way stays straight on top. All wires of a box stay together. */
static int32_t weight(const jv_drawing *d, const jv_piece *p) {
    int32_t deepest = d->nodes[p->to].depth;
    if (p->symbol != JV_SYMBOL_CHANNEL)
        return deepest;
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *q = &d->pieces[i];
        if (q->placed && is_tree(q) && q->part == p->part && q->from == p->from &&
            q->symbol == JV_SYMBOL_CHANNEL && d->nodes[q->to].depth > deepest)
            deepest = d->nodes[q->to].depth;
    }
    return deepest;
}

static void find_depths(jv_drawing *d) {
    for (size_t k = d->n_order; k-- > 0;) {
        const jv_draw_node *n = &d->nodes[d->order[k]];
        if (!n->shown || n->parent < 0 || !d->pieces[n->parent].placed)
            continue;
        jv_draw_node *up = &d->nodes[d->pieces[n->parent].from];
        if (up->depth < n->depth + 1)
            up->depth = n->depth + 1;
    }
}

static void widen(jv_draw_node *n, int32_t row) {
    if (n->least_row < 0 || row < n->least_row)
        n->least_row = row;
    if (row > n->greatest_row)
        n->greatest_row = row;
}

static void take_row(jv_place_work *w, jv_piece *p) {
    jv_drawing *d = w->d;
    p->row = w->n_rows++;
    jv_row *row = &w->rows[p->row];
    row->mid = p->signal >= 0;
    widen(&d->nodes[p->a], p->row);
    widen(&d->nodes[p->b], p->row);
    if (p->signal >= 0)
        widen(&d->nodes[p->signal], p->row);
}

/* Rows in the order of a walk down the plus side. */
static void walk_rows(jv_place_work *w, int32_t node) {
    jv_drawing *d = w->d;
    for (;;) {
        jv_piece *next = NULL;
        int32_t most = -1;
        for (size_t i = 0; i < d->n_pieces; i++) {
            jv_piece *p = &d->pieces[i];
            if (!p->placed || !is_tree(p) || p->from != node || p->row >= 0)
                continue;
            int32_t deep = weight(d, p);
            if (deep > most) {
                most = deep;
                next = p;
            }
        }
        if (!next)
            break;
        next->row = 0; /* been there; its line comes from its node */
        walk_rows(w, next->to);
    }
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        if (p->placed && p->across && !is_source(d, p) && p->a == node && p->row < 0)
            take_row(w, p);
    }
}

static void single_row(jv_place_work *w, jv_draw_node *node, jv_piece *piece) {
    w->rows[w->n_rows].single = true;
    if (node)
        widen(node, w->n_rows);
    else
        piece->row = w->n_rows;
    w->n_rows++;
}

static bool has_child(const jv_drawing *d, int32_t node) {
    for (size_t i = 0; i < d->n_pieces; i++)
        if (d->pieces[i].placed && is_tree(&d->pieces[i]) && d->pieces[i].from == node)
            return true;
    return false;
}

static void find_rows(jv_place_work *w) {
    jv_drawing *d = w->d;
    for (size_t k = 0; k < d->n_order; k++) {
        const jv_draw_node *n = &d->nodes[d->order[k]];
        bool head = n->parent < 0 || !d->pieces[n->parent].placed;
        if (n->shown && head && n->side != JV_DRAW_RETURN)
            walk_rows(w, d->order[k]);
    }
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        if (p->placed && p->across && !is_source(d, p) && p->row < 0)
            take_row(w, p);
        if (p->placed && p->chord)
            single_row(w, NULL, p);
    }
    /* Lines that lead nowhere. */
    for (size_t k = 0; k < d->n_order; k++) {
        jv_draw_node *n = &d->nodes[d->order[k]];
        bool head = n->parent < 0 || !d->pieces[n->parent].placed;
        if (n->shown && n->least_row < 0 && !head && !has_child(d, d->order[k]))
            single_row(w, n, NULL);
    }
    for (size_t k = d->n_order; k-- > 0;) {
        const jv_draw_node *n = &d->nodes[d->order[k]];
        if (!n->shown || n->least_row < 0 || n->parent < 0 || !d->pieces[n->parent].placed)
            continue;
        jv_draw_node *up = &d->nodes[d->pieces[n->parent].from];
        widen(up, n->least_row);
        widen(up, n->greatest_row);
    }
    if (!w->n_rows)
        single_row(w, NULL, &d->pieces[0]);
}

/* Least boundary of the outputs of the box of a channel, or greatest of its feeding nodes. */
static int32_t box_edge(const jv_drawing *d, const jv_piece *p, bool outputs) {
    int32_t edge = outputs ? INT32_MAX : 0;
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *q = &d->pieces[i];
        if (!q->placed || q->symbol != JV_SYMBOL_CHANNEL || q->part != p->part)
            continue;
        int32_t b = d->nodes[outputs ? q->to : q->from].boundary;
        edge = outputs == (b < edge) ? b : edge;
    }
    return edge;
}

/* Every piece one boundary on from its near node; outputs of a box behind both of its feeds. */
static void find_boundaries(jv_drawing *d) {
    bool changed = true;
    for (size_t pass = 0; changed && pass < d->n_nodes + 2; pass++) {
        changed = false;
        for (size_t i = 0; i < d->n_pieces; i++) {
            const jv_piece *p = &d->pieces[i];
            if (!p->placed || p->across)
                continue;
            int32_t at =
                p->symbol == JV_SYMBOL_CHANNEL ? box_edge(d, p, false) : d->nodes[p->from].boundary;
            if (d->nodes[p->to].boundary < at + 1) {
                d->nodes[p->to].boundary = at + 1;
                changed = true;
            }
        }
    }
}

static void find_columns_across(jv_drawing *d) {
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        if (!p->placed || !p->across || is_source(d, p))
            continue;
        int32_t a = d->nodes[p->a].boundary, b = d->nodes[p->b].boundary;
        p->column = a > b ? a : b;
        if (p->signal >= 0 && d->nodes[p->signal].boundary > p->column)
            p->column = d->nodes[p->signal].boundary;
    }
}

/* The farthest boundary that a node may have, all behind it staying where it is. */
static int32_t latest(const jv_drawing *d, int32_t node) {
    int32_t most = INT32_MAX;
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        int32_t at = INT32_MAX;
        if (!p->placed || is_source(d, p))
            continue;
        if (p->across && (p->a == node || p->b == node || p->signal == node))
            at = p->column;
        else if (!p->across && p->from == node)
            at =
                (p->symbol == JV_SYMBOL_CHANNEL ? box_edge(d, p, true) : d->nodes[p->to].boundary) -
                1;
        if (at < most)
            most = at;
    }
    return most;
}

/* Nodes move to the right as far as they may, so that what belongs together stands together:
 * far nodes first. */
static void move_right(jv_drawing *d) {
    for (int32_t b = (int32_t)d->n_nodes; b > 0; b--)
        for (size_t i = 0; i < d->n_nodes; i++) {
            jv_draw_node *n = &d->nodes[i];
            if (!n->shown || n->output || n->boundary != b || n->parent < 0 ||
                !d->pieces[n->parent].placed)
                continue;
            int32_t to = latest(d, (int32_t)i);
            if (to != INT32_MAX && to > b)
                n->boundary = to;
        }
    d->n_columns = 1;
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        if (!p->placed || is_source(d, p))
            continue;
        if (!p->across)
            p->column =
                (p->symbol == JV_SYMBOL_CHANNEL ? box_edge(d, p, true) : d->nodes[p->to].boundary) -
                1;
        if (p->column + 1 > d->n_columns)
            d->n_columns = p->column + 1;
    }
}

/* The line of a row that a node, or a piece leading to it, lies on. */
static jv_row_line *line_of(jv_place_work *w, const jv_draw_node *n) {
    if (n->least_row < 0)
        return &w->rows[0].top;
    if (n->side == JV_DRAW_PLUS)
        return &w->rows[n->least_row].top;
    if (n->side == JV_DRAW_RETURN)
        return &w->rows[n->greatest_row].bottom;
    return &w->rows[n->least_row].middle;
}

static void ask_room(jv_place_work *w) {
    const jv_drawing *d = w->d;
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        if (!p->placed || is_source(d, p))
            continue;
        jv_draw_room room = w->measure(w->context, p);
        if (p->across) {
            w->rows[p->row].inside = fmax(w->rows[p->row].inside, room.above);
            continue;
        }
        jv_row_line *line = p->chord ? &w->rows[p->row].top : line_of(w, &d->nodes[p->to]);
        line->above = fmax(line->above, room.above);
        line->below = fmax(line->below, room.below);
    }
}

/* A row of one line keeps the room of all three. */
static double place_single(jv_row *r, double y) {
    double over = fmax(r->top.above, fmax(r->middle.above, r->bottom.above));
    double under = fmax(r->top.below, fmax(r->middle.below, r->bottom.below));
    y += fmax(over, bare);
    r->top.y = r->middle.y = r->bottom.y = y;
    return y + fmax(under, bare);
}

static double place_row(jv_row *r, double y) {
    y += fmax(r->top.above, bare);
    r->top.y = y;
    y += fmax(r->top.below, bare);
    if (r->mid) {
        y += fmax(r->middle.above, bare);
        r->middle.y = y;
        y += fmax(r->middle.below, bare);
    }
    y += fmax(r->bottom.above, bare);
    double least = r->top.y + fmax(r->inside + 2 * bare, symbol + 2 * bare);
    r->bottom.y = fmax(y, least);
    if (!r->mid)
        r->middle.y = (r->top.y + r->bottom.y) / 2;
    return r->bottom.y + fmax(r->bottom.below, bare);
}

static void find_lines(jv_place_work *w) {
    jv_drawing *d = w->d;
    double y = margin;
    ask_room(w);
    for (int32_t i = 0; i < w->n_rows; i++) {
        jv_row *r = &w->rows[i];
        y = (r->single ? place_single(r, y) : place_row(r, y)) + between;
        d->row_end[i] = y;
    }
    d->n_rows = w->n_rows;
    d->height = y + margin;
    for (size_t i = 0; i < d->n_nodes; i++)
        if (d->nodes[i].shown)
            d->nodes[i].y = d->nodes[i].top = d->nodes[i].bottom = line_of(w, &d->nodes[i])->y;
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        if (!p->placed || is_source(d, p))
            continue;
        if (p->across) {
            p->y_a = w->rows[p->row].top.y;
            p->y_b = w->rows[p->row].bottom.y;
            p->y_signal = w->rows[p->row].middle.y;
        } else {
            p->y = p->chord ? w->rows[p->row].top.y : d->nodes[p->to].y;
        }
    }
}

static void stretch(jv_draw_node *n, double y) {
    n->top = fmin(n->top, y);
    n->bottom = fmax(n->bottom, y);
}

/* A node reaches from line to line of all that is joined to it. A box is entered once a side. */
static void find_verticals(jv_drawing *d) {
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        if (!p->placed || is_source(d, p))
            continue;
        if (p->across) {
            stretch(&d->nodes[p->a], p->y_a);
            stretch(&d->nodes[p->b], p->y_b);
            if (p->signal >= 0)
                stretch(&d->nodes[p->signal], p->y_signal);
            continue;
        }
        if (p->chord)
            stretch(&d->nodes[p->to], p->y);
        if (p->symbol != JV_SYMBOL_CHANNEL) {
            stretch(&d->nodes[p->from], p->y);
            continue;
        }
        double y = p->y;
        for (size_t k = 0; k < d->n_pieces; k++) {
            const jv_piece *q = &d->pieces[k];
            if (q->placed && q->symbol == JV_SYMBOL_CHANNEL && q->part == p->part &&
                q->from == p->from)
                y = d->nodes[p->from].side == JV_DRAW_RETURN ? fmax(y, q->y) : fmin(y, q->y);
        }
        stretch(&d->nodes[p->from], y);
    }
}

static bool meets(const jv_draw_node *a, const jv_draw_node *b) {
    return a->top < b->bottom + apart && b->top < a->bottom + apart;
}

/* The first track on which no other node of the boundary is in the way; how many there are. */
static int find_tracks(jv_drawing *d, int32_t boundary) {
    int count = 1;
    for (size_t k = 0; k < d->n_order; k++) {
        jv_draw_node *n = &d->nodes[d->order[k]];
        if (!n->shown || n->boundary != boundary)
            continue;
        n->track = 0;
        for (size_t m = 0; m < k; m++) {
            const jv_draw_node *o = &d->nodes[d->order[m]];
            if (o->shown && o->boundary == boundary && o->track == n->track && meets(o, n)) {
                n->track++;
                m = (size_t)-1; /* from the start again, on the next track */
            }
        }
        if (n->track + 1 > count)
            count = n->track + 1;
    }
    return count;
}

/* Volts on the line of one node must not hide the vertical of another. */
static double track_step(const jv_drawing *d, int32_t boundary) {
    for (size_t i = 0; i < d->n_nodes; i++) {
        const jv_draw_node *n = &d->nodes[i];
        for (size_t m = 0; m < d->n_nodes && n->shown && n->boundary == boundary; m++) {
            const jv_draw_node *o = &d->nodes[m];
            if (m != i && o->shown && o->boundary == boundary && o->track != n->track &&
                n->y > o->top - apart && n->y < o->bottom + apart)
                return wide;
        }
    }
    return track;
}

/* Columns get the width of their widest text, less the room beside the volts that texts may
 * use as well. */
static void find_x(jv_place_work *w, double start) {
    jv_drawing *d = w->d;
    for (size_t i = 0; i < d->n_pieces; i++) {
        const jv_piece *p = &d->pieces[i];
        if (p->placed && !is_source(d, p))
            d->column_width[p->column] =
                fmax(d->column_width[p->column],
                     w->measure(w->context, p).width - (p->across ? 0.0 : d->over));
    }
    double x = margin + start;
    for (int32_t c = 0; c <= d->n_columns; c++) {
        int tracks = find_tracks(d, c);
        double step = track_step(d, c);
        for (size_t i = 0; i < d->n_nodes; i++)
            if (d->nodes[i].shown && d->nodes[i].boundary == c)
                d->nodes[i].x = x + d->gap / 2 + step * d->nodes[i].track;
        x += d->gap + step * (tracks - 1);
        d->column_x[c] = x;
        x += d->column_width[c];
    }
    d->width = d->column_x[d->n_columns - 1] + d->column_width[d->n_columns - 1] + margin;
    for (size_t i = 0; i < d->n_pieces; i++) {
        jv_piece *p = &d->pieces[i];
        if (!p->placed)
            continue;
        if (is_source(d, p)) {
            p->x = margin + symbol / 2;
            p->y_a = d->nodes[p->a].y;
            p->y_b = d->nodes[p->b].y;
            p->column = -1;
            continue;
        }
        p->x = d->column_x[p->column] + (p->across ? symbol / 2 : d->column_width[p->column] / 2);
    }
}

jv_status jv_drawing_place(jv_drawing *d, bool sensors, jv_draw_measure *measure,
                           const void *context, jv_arena *arena, bool *any) {
    /* Left of everything: the source with its text, or the names of the lines that start. */
    static const double label_width = 96.0;
    jv_place_work w = {d, sensors, measure, context, NULL, 0};
    w.rows = jv_arena_alloc(arena, d->n_pieces + d->n_nodes + 1, sizeof *w.rows);
    d->column_x = jv_arena_alloc(arena, d->n_nodes + 2, sizeof *d->column_x);
    d->column_width = jv_arena_alloc(arena, d->n_nodes + 2, sizeof *d->column_width);
    d->row_end = jv_arena_alloc(arena, d->n_pieces + d->n_nodes + 1, sizeof *d->row_end);
    if (!w.rows || !d->column_x || !d->column_width || !d->row_end)
        return JV_ERR_MEMORY;
    *any = d->source >= 0 && mark(&w);
    if (!*any)
        return JV_OK;
    find_depths(d);
    find_rows(&w);
    find_boundaries(d);
    find_columns_across(d);
    move_right(d);
    find_lines(&w);
    find_verticals(d);
    find_x(&w, sensors ? label_width : measure(context, &d->pieces[d->source]).width);
    return JV_OK;
}
