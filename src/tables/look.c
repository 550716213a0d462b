/* look.c - what the typed lookups share. SPDX-License-Identifier: MIT */
#include "tables/look.h"

#include "jackvolt/text.h"

#include <math.h>
#include <string.h>

size_t jv_look_row(const jv_table *t, const jv_wish *wishes, size_t n, size_t from) {
    for (size_t row = from; row < t->row_count; row++) {
        size_t met = 0;
        while (met < n && strcmp(jv_table_cell(t, row, jv_table_column_find(t, wishes[met].column)),
                                 wishes[met].text) == 0) {
            met++;
        }
        if (met == n) {
            return row;
        }
    }
    return t->row_count;
}

jv_status jv_look_number(const jv_table *t, size_t row, const char *column, double scale,
                         jv_figure *out) {
    jv_status status = jv_table_number(t, row, jv_table_column_find(t, column), out);
    if (status == JV_OK) {
        out->value *= scale;
    }
    return status;
}

jv_status jv_look_span(const jv_table *t, size_t row, const char *column, double scale,
                       jv_range *out) {
    size_t c = jv_table_column_find(t, column);
    const char *s = jv_table_cell(t, row, c);
    double low;
    double high;
    if (!jv_number_read(s, &low, &s)) {
        return JV_ERR_UNKNOWN;
    }
    high = low;
    if (*s != '\0') {
        if (strncmp(s, " to ", 4) == 0) {
            s += 4;
        } else if (*s == '-') {
            s++;
        } else {
            return JV_ERR_UNKNOWN;
        }
        if (!jv_number_read(s, &high, &s) || *s != '\0') {
            return JV_ERR_UNKNOWN;
        }
    }
    *out =
        (jv_range){.low = low * scale,
                   .typical = sqrt(low * high) * scale,
                   .high = high * scale,
                   .source = jv_table_row_source(&t->rows[row], 0),
                   .confidence = jv_confidence_worse(t->rows[row].confidence, t->columns[c].limit),
                   .note = jv_table_cell(t, row, jv_table_column_find(t, "note"))};
    return JV_OK;
}

jv_status jv_look_range(const jv_table *t, size_t row, const char *low, const char *high,
                        double scale, jv_range *out) {
    jv_figure a;
    jv_figure b;
    jv_figure middle;
    jv_status status = jv_look_number(t, row, low, scale, &a);
    if (status == JV_OK) {
        status = jv_look_number(t, row, high, scale, &b);
    }
    if (status != JV_OK) {
        return status;
    }
    if (jv_look_number(t, row, "typical", scale, &middle) != JV_OK) {
        middle = a;
        middle.value = 0.5 * (a.value + b.value);
    }
    *out = (jv_range){.low = a.value,
                      .typical = middle.value,
                      .high = b.value,
                      .source = a.source,
                      .confidence = jv_confidence_worse(a.confidence, b.confidence),
                      .note = a.note};
    return JV_OK;
}

static char lower(char c) {
    return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
}

bool jv_look_same(const char *a, const char *b) {
    while (*a != '\0' && lower(*a) == lower(*b)) {
        a++;
        b++;
    }
    return *a == '\0' && *b == '\0';
}

size_t jv_look_name(const char *const *names, size_t n, const char *name) {
    size_t i = 0;
    while (i < n && !jv_look_same(names[i], name)) {
        i++;
    }
    return i;
}

/* Insertion keeps x rising whatever the order of the rows. */
static void insert(jv_curve *c, double x, double y) {
    size_t i = c->count++;
    while (i > 0 && c->x[i - 1] > x) {
        c->x[i] = c->x[i - 1];
        c->y[i] = c->y[i - 1];
        i--;
    }
    c->x[i] = x;
    c->y[i] = y;
}

jv_status jv_look_curve(const jv_table *t, const jv_wish *wishes, size_t n, const char *x,
                        double x_scale, const char *y, double y_scale, jv_curve *out) {
    jv_curve c = {.note = "", .confidence = JV_SOLID};
    size_t row = jv_look_row(t, wishes, n, 0);
    for (; row < t->row_count && c.count < JV_CURVE_POINTS;
         row = jv_look_row(t, wishes, n, row + 1)) {
        jv_figure fx;
        jv_figure fy;
        if (jv_look_number(t, row, x, x_scale, &fx) == JV_OK &&
            jv_look_number(t, row, y, y_scale, &fy) == JV_OK) {
            if (c.count == 0) {
                c.source = fy.source;
            }
            c.confidence = jv_confidence_worse(c.confidence, fy.confidence);
            insert(&c, fx.value, fy.value);
        }
    }
    if (c.count == 0) {
        return JV_ERR_UNKNOWN;
    }
    *out = c;
    return JV_OK;
}

double jv_curve_at(const jv_curve *c, double x) {
    if (c->count == 0) {
        return NAN;
    }
    if (x <= c->x[0]) {
        return c->y[0];
    }
    for (size_t i = 1; i < c->count; i++) {
        if (x <= c->x[i]) {
            double share = (x - c->x[i - 1]) / (c->x[i] - c->x[i - 1]);
            return c->y[i - 1] + share * (c->y[i] - c->y[i - 1]);
        }
    }
    return isnan(x) ? x : c->y[c->count - 1];
}

double jv_curve_slope(const jv_curve *c, double x) {
    for (size_t i = 1; i < c->count; i++) {
        if (x >= c->x[i - 1] && x < c->x[i]) {
            return (c->y[i] - c->y[i - 1]) / (c->x[i] - c->x[i - 1]);
        }
    }
    return 0.0;
}

double jv_curve_inverse(const jv_curve *c, double y) {
    if (c->count == 0) {
        return NAN;
    }
    if (y <= c->y[0]) {
        return c->x[0];
    }
    for (size_t i = 1; i < c->count; i++) {
        if (y <= c->y[i]) {
            double share = (y - c->y[i - 1]) / (c->y[i] - c->y[i - 1]);
            return c->x[i - 1] + share * (c->x[i] - c->x[i - 1]);
        }
    }
    return isnan(y) ? y : c->x[c->count - 1];
}
