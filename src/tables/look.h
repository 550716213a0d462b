/* look.h - what the typed lookups share. SPDX-License-Identifier: MIT */
#ifndef JV_TABLES_LOOK_H
#define JV_TABLES_LOOK_H

#include "tables/rows.h"

/* A wish: the cell of that column equals text. */
typedef struct jv_wish {
    const char *column;
    const char *text;
} jv_wish;

/* First row at or behind `from` that meets all n wishes; row_count when none does. */
size_t jv_look_row(const jv_table *t, const jv_wish *wishes, size_t n, size_t from);
/* The number in that column times scale (the way to SI); JV_ERR_UNKNOWN without one. */
jv_status jv_look_number(const jv_table *t, size_t row, const char *column, double scale,
                         jv_figure *out);
/* A cell such as "5-8", "650 to 850" or "195": its ends times scale, and the geometric mean. */
jv_status jv_look_span(const jv_table *t, size_t row, const char *column, double scale,
                       jv_range *out);
/* Columns "low", "high" and, where it is filled, "typical" (else the middle). */
jv_status jv_look_range(const jv_table *t, size_t row, const char *low, const char *high,
                        double scale, jv_range *out);
/* Equal but for the case of ASCII letters. */
bool jv_look_same(const char *a, const char *b);
/* Index of a name in a list of n (ASCII case ignored); n when it is not there. */
size_t jv_look_name(const char *const *names, size_t n, const char *name);
/* Curve (x, y) of all rows that meet the wishes, sorted by rising x; at most
 * JV_CURVE_POINTS of them. Source of the first row, the worst confidence of all. */
jv_status jv_look_curve(const jv_table *t, const jv_wish *wishes, size_t n, const char *x,
                        double x_scale, const char *y, double y_scale, jv_curve *out);

#endif
