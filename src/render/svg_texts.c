/* svg_texts.c - what a diagram says beside its symbols. SPDX-License-Identifier: MIT */
#include "render/drop_words.h"
#include "render/svg_drawing.h"

#include <math.h>
#include <string.h>

size_t jv_draw_split(jv_report_work *w, const char *name, size_t width, const char *lines[]) {
    size_t n = 0;
    while (*name && n < JV_NAME_LINES) {
        size_t take = strlen(name), cut = 0;
        for (size_t i = 0; i <= take && n + 1 < JV_NAME_LINES; i++)
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

size_t jv_draw_rank(const jv_draw_work *w, size_t part) {
    for (size_t i = 0; i < JV_WORST; i++)
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

size_t jv_draw_head(jv_draw_work *w, const jv_piece *p, const char *lines[]) {
    jv_report_work *r = w->report;
    const jv_part *part = &r->circuit->parts[p->part];
    lines[0] = p->pin && p->symbol != JV_SYMBOL_BOX
                   ? jv_report_printf(r, "%s:%s", r->designators[p->part], p->pin)
                   : r->designators[p->part];
    if (w->plain || (p->pin && !is_first(w, p)))
        return 1;
    return 1 + jv_draw_split(r, part->name, JV_NAME_COLUMNS, lines + 1);
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

size_t jv_draw_tail(jv_draw_work *w, const jv_piece *p, const char *lines[]) {
    jv_report_work *r = w->report;
    size_t n = 0;
    double drop, amps;
    if (w->plain)
        return 0;
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

size_t jv_draw_side_lines(jv_draw_work *w, const jv_piece *p, const char *lines[]) {
    jv_report_work *r = w->report;
    const jv_part *part = &r->circuit->parts[p->part];
    size_t n = 0;
    double drop, amps;
    lines[n++] = r->designators[p->part];
    if (p->pin) /* a coil, or what a controller takes for itself */
        lines[n++] = p->pin;
    else
        n += jv_draw_split(r, part->name, JV_SIDE_COLUMNS, lines + n);
    if (is_off(r, p->part))
        lines[n++] = "off here";
    if (p->pin || w->plain || is_off(r, p->part) || !figures_of(w, p, &drop, &amps))
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
        most = fmax(most, jv_svg_text_width(lines[i], JV_TEXT_HIGH));
    return most;
}

double jv_draw_rise(const jv_piece *p) {
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

double jv_draw_fall(const jv_piece *p) {
    bool deep =
        p->symbol == JV_SYMBOL_BOX || p->symbol == JV_SYMBOL_MOTOR || p->symbol == JV_SYMBOL_FRAME;
    return (deep ? 16.0 : 9.0) + JV_TEXT_HIGH - 2.0;
}

jv_draw_room jv_draw_measure_piece(const void *context, const jv_piece *p) {
    static const double box_width = 92.0, beside = 40.0;
    jv_draw_work *w = (jv_draw_work *)context;
    const char *lines[2 * JV_PIECE_LINES];
    jv_draw_room room = {box_width + w->d->over, JV_BOX_ABOVE, JV_BOX_BELOW};
    if (p->symbol == JV_SYMBOL_CHANNEL)
        return room;
    if (p->across) {
        size_t n = jv_draw_side_lines(w, p, lines);
        room.width = beside + widest(lines, n);
        room.above = (double)n * JV_LINE_STEP;
        return room;
    }
    size_t n = jv_draw_head(w, p, lines), m = jv_draw_tail(w, p, lines + n);
    room.width = fmax(widest(lines, n + m), 2 * jv_symbol_half(p->symbol) + w->d->over);
    room.above = jv_draw_rise(p) + (double)n * JV_LINE_STEP;
    room.below = jv_draw_fall(p) + (double)m * JV_LINE_STEP - JV_TEXT_HIGH;
    return room;
}
