/* svg.c - strokes and texts of the drawings. SPDX-License-Identifier: MIT */
#include "render/svg.h"

#include "jackvolt/text.h"

void jv_svg_line(jv_page *page, jv_tag *to, const char *class_name, double x1, double y1, double x2,
                 double y2) {
    if (x1 == x2 && y1 == y2)
        return;
    jv_tag *t = jv_tag_add(page, to, "line", class_name);
    jv_tag_setf(page, t, "x1", "%.1f", x1);
    jv_tag_setf(page, t, "y1", "%.1f", y1);
    jv_tag_setf(page, t, "x2", "%.1f", x2);
    jv_tag_setf(page, t, "y2", "%.1f", y2);
}

jv_tag *jv_svg_rect(jv_page *page, jv_tag *to, const char *class_name, double x, double y,
                    double width, double height) {
    jv_tag *t = jv_tag_add(page, to, "rect", class_name);
    jv_tag_setf(page, t, "x", "%.1f", x);
    jv_tag_setf(page, t, "y", "%.1f", y);
    jv_tag_setf(page, t, "width", "%.1f", width);
    jv_tag_setf(page, t, "height", "%.1f", height);
    return t;
}

jv_tag *jv_svg_circle(jv_page *page, jv_tag *to, const char *class_name, double x, double y,
                      double radius) {
    jv_tag *t = jv_tag_add(page, to, "circle", class_name);
    jv_tag_setf(page, t, "cx", "%.1f", x);
    jv_tag_setf(page, t, "cy", "%.1f", y);
    jv_tag_setf(page, t, "r", "%.1f", radius);
    return t;
}

jv_tag *jv_svg_path(jv_page *page, jv_tag *to, const char *class_name, const char *d) {
    jv_tag *t = jv_tag_add(page, to, "path", class_name);
    jv_tag_set(page, t, "d", d);
    return t;
}

jv_tag *jv_svg_text(jv_page *page, jv_tag *to, const char *class_name, double x, double y,
                    const char *anchor, const char *text) {
    jv_tag *t = jv_tag_text(page, to, "text", class_name, text);
    jv_tag_setf(page, t, "x", "%.1f", x);
    jv_tag_setf(page, t, "y", "%.1f", y);
    jv_tag_set(page, t, "text-anchor", anchor);
    return t;
}

double jv_svg_text_width(const char *text, double height) {
    static const double mean = 0.56; /* of the height, for common sans serif faces */
    return mean * height * (double)jv_text_columns(text);
}
