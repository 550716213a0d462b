/* svg.h - strokes, symbols and plots of the drawings. SPDX-License-Identifier: MIT */
#ifndef RENDER_SVG_H
#define RENDER_SVG_H

#include "render/drawing.h"
#include "render/page.h"

/* Coordinates in units of the drawing, y downwards. Colours and widths of strokes come from
 * the page's style by class, so that one drawing serves light, dark and paper. */

void jv_svg_line(jv_page *page, jv_tag *to, const char *class_name, double x1, double y1, double x2,
                 double y2);
jv_tag *jv_svg_rect(jv_page *page, jv_tag *to, const char *class_name, double x, double y,
                    double width, double height);
jv_tag *jv_svg_circle(jv_page *page, jv_tag *to, const char *class_name, double x, double y,
                      double radius);
jv_tag *jv_svg_path(jv_page *page, jv_tag *to, const char *class_name, const char *d);
/* anchor: "start", "middle" or "end"; the base line is at y. */
jv_tag *jv_svg_text(jv_page *page, jv_tag *to, const char *class_name, double x, double y,
                    const char *anchor, const char *text);
/* Width of a text of a height, in units: what a common sans serif takes, rather more. */
double jv_svg_text_width(const char *text, double height);

/* Half of what a symbol takes along its line. */
double jv_symbol_half(jv_symbol symbol);
/* A symbol by IEC 60617, its centre at x, y; lying on its line, or standing across. */
void jv_symbol_draw(jv_page *page, jv_tag *to, jv_symbol symbol, bool standing, double x, double y);

#endif
