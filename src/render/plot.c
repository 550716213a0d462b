/* plot.c - a curve over time in the terminal. SPDX-License-Identifier: MIT */
#include "render/plot.h"

#include "jackvolt/memory.h"

#include <math.h>
#include <string.h>

enum { LABEL = 8, MOST_COLUMNS = 160, MOST_ROWS = 32, DOTS_WIDE = 2, DOTS_HIGH = 4 };

typedef struct jv_canvas {
    size_t wide, high; /* dots */
    bool ascii;
    unsigned char cell[MOST_ROWS][MOST_COLUMNS]; /* braille bits, or the ASCII character */
    double low, high_v, step, t0, t1;
} jv_canvas;

/* Bits of the dots of a braille cell, by row and column (Unicode, Braille Patterns). */
static const unsigned char bits[DOTS_HIGH][DOTS_WIDE] = {
    {0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}};

static void dot(jv_canvas *c, size_t x, size_t y, char plain) {
    if (x >= c->wide || y >= c->high)
        return;
    if (c->ascii) {
        if (plain == '*' || !c->cell[y][x])
            c->cell[y][x] = (unsigned char)plain;
        return;
    }
    c->cell[y / DOTS_HIGH][x / DOTS_WIDE] |= bits[y % DOTS_HIGH][x % DOTS_WIDE];
}

static size_t row_of(const jv_canvas *c, double v) {
    double share = (c->high_v - v) / (c->high_v - c->low);
    return (size_t)(fmin(fmax(share, 0.0), 1.0) * (double)(c->high - 1) + 0.5);
}

/* Round steps for the axis: 1, 2 or 5 times a power of ten. */
static double round_step(double span, double parts) {
    double raw = span / parts, power = pow(10.0, floor(log10(raw))), share = raw / power;
    return power * (share <= 1.0 ? 1.0 : share <= 2.0 ? 2.0 : share <= 5.0 ? 5.0 : 10.0);
}

static void scale(jv_canvas *c, const jv_plot *p) {
    static const double parts = 4.0;
    double low = p->from_zero ? 0.0 : INFINITY, high = -INFINITY;
    for (size_t i = 0; i < p->n; i++) {
        if (!isfinite(p->values[i]))
            continue;
        low = fmin(low, p->values[i]);
        high = fmax(high, p->values[i]);
    }
    if (!isnan(p->mark)) {
        low = fmin(low, p->mark);
        high = fmax(high, p->mark);
    }
    if (!(high > low))
        high = low + 1.0;
    double step = round_step(high - low, parts);
    c->low = step * floor(low / step);
    c->high_v = step * ceil(high / step);
    c->step = step;
    c->t0 = p->times[0];
    c->t1 = fmax(p->times[p->n - 1], c->t0 + 1e-9);
}

static void stroke(jv_canvas *c, size_t x, double low, double high) {
    size_t from = row_of(c, high), to = row_of(c, low);
    for (size_t y = from; y <= to; y++)
        dot(c, x, y, '*');
}

/* Each column: from the lowest to the highest sample in it, joined to the column before. */
static void curve(jv_canvas *c, const jv_plot *p) {
    double last = NAN;
    size_t i = 0;
    for (size_t x = 0; x < c->wide; x++) {
        double until = c->t0 + (c->t1 - c->t0) * (double)(x + 1) / (double)c->wide;
        double low = last, high = last;
        bool any = !isnan(last);
        while (i < p->n && (p->times[i] <= until || x + 1 == c->wide)) {
            double v = p->values[i++];
            if (!isfinite(v))
                continue;
            low = any ? fmin(low, v) : v;
            high = any ? fmax(high, v) : v;
            last = v;
            any = true;
        }
        if (any)
            stroke(c, x, low, high);
    }
}

static void level(jv_canvas *c, double v) {
    size_t gap = c->ascii ? 2 : 4;
    for (size_t x = 0; x < c->wide; x += gap)
        dot(c, x, row_of(c, v), '-');
}

static void print_cell(jv_text *out, const jv_canvas *c, unsigned char cell) {
    if (c->ascii) {
        jv_text_add_char(out, cell ? (char)cell : ' ');
        return;
    }
    if (!cell) {
        jv_text_add_char(out, ' ');
        return;
    }
    /* U+2800 + bits in UTF-8 */
    jv_text_add_char(out, (char)0xE2);
    jv_text_add_char(out, (char)(0xA0 | (cell >> 6)));
    jv_text_add_char(out, (char)(0x80 | (cell & 0x3F)));
}

/* The round level whose line runs through a row of text; NAN = none does. */
static double level_in(const jv_canvas *c, size_t row) {
    size_t levels = (size_t)((c->high_v - c->low) / c->step + 0.5);
    for (size_t k = 0; k <= levels; k++) {
        double v = c->low + c->step * (double)k;
        if (row_of(c, v) / (c->ascii ? 1 : DOTS_HIGH) == row)
            return fabs(v) < 1e-9 * c->step ? 0.0 : v;
    }
    return NAN;
}

static void print_rows(jv_text *out, const jv_canvas *c, const jv_plot *p, size_t columns) {
    for (size_t y = 0; y < p->height; y++) {
        size_t used = columns;
        double label = level_in(c, y);
        while (used > 0 && !c->cell[y][used - 1])
            used--;
        if (isnan(label))
            jv_text_addf(out, "%7s %s", "", c->ascii ? "|" : "\u2502");
        else
            jv_text_addf(out, "%7.4g %s", label, c->ascii ? "|" : "\u2502");
        for (size_t x = 0; x < used; x++)
            print_cell(out, c, c->cell[y][x]);
        jv_text_add(out, "\n");
    }
}

static void print_axis(jv_text *out, const jv_canvas *c, size_t columns) {
    jv_text end = {0};
    jv_text_addf(out, "%8s%s", "", c->ascii ? "+" : "\u2514");
    jv_text_repeat(out, c->ascii ? "-" : "\u2500", columns);
    jv_text_addf(&end, "%.4g s", c->t1);
    jv_text_addf(out, "\n%9.4g s", c->t0);
    size_t room = LABEL + 1 + columns;
    size_t taken = LABEL + 3 + end.length;
    if (room > taken)
        jv_text_repeat(out, " ", room - taken);
    jv_text_addf(out, "%s\n", jv_text_str(&end));
    if (end.failed)
        out->failed = true;
    jv_text_clear(&end);
}

void jv_plot_print(const jv_plot *p, const jv_style *style, jv_text *out) {
    size_t width = style->width ? style->width : JV_STYLE_WIDTH;
    size_t columns = width > LABEL + 20 ? width - LABEL - 1 : 20;
    if (p->n < 2 || p->height < 2 || p->height > MOST_ROWS)
        return;
    columns = columns > MOST_COLUMNS ? MOST_COLUMNS : columns;
    jv_canvas *c = jv_zalloc(1, sizeof *c);
    if (!c) {
        out->failed = true;
        return;
    }
    c->ascii = style->ascii;
    c->wide = columns * (c->ascii ? 1 : DOTS_WIDE);
    c->high = p->height * (c->ascii ? 1 : DOTS_HIGH);
    scale(c, p);
    if (!isnan(p->mark))
        level(c, p->mark);
    curve(c, p);
    jv_text_addf(out, "%s, %s\n", p->title, p->unit);
    print_rows(out, c, p, columns);
    print_axis(out, c, columns);
    jv_free(c);
}
