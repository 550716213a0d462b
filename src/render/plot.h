/* plot.h - a curve over time in the terminal. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_RENDER_PLOT_H
#define JACKVOLT_RENDER_PLOT_H

#include "jackvolt/render.h"

typedef struct jv_plot {
    const char *title;
    const char *unit;
    const double *times, *values; /* n; times never fall */
    size_t n;
    double mark;   /* a level that is drawn across; NAN = none */
    size_t height; /* rows */
    bool from_zero;
} jv_plot;

/* Append the curve with its axes. Every sample of a column's time is in its stroke, so that a dip
 * of milliseconds still shows. Braille dots, or ASCII where the style asks for it. */
void jv_plot_print(const jv_plot *plot, const jv_style *style, jv_text *out);

#endif
