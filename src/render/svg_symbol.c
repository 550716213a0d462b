/* svg_symbol.c - circuit symbols after IEC 60617. SPDX-License-Identifier: MIT */
#include "render/svg.h"

/* Shapes follow IEC 60617, which gives no sizes; the proportions are this project's. */
static const double half_long = 13.0, half_high = 5.0; /* fuses and loads, 2.6 : 1 */
static const double radius = 14.0;                     /* motors */

double jv_symbol_half(jv_symbol symbol) {
    switch (symbol) {
    case JV_SYMBOL_WIRE:
    case JV_SYMBOL_FUSE:
    case JV_SYMBOL_LOAD:
    case JV_SYMBOL_COIL:
        return half_long;
    case JV_SYMBOL_JOINT:
        return 3.0;
    case JV_SYMBOL_BREAKER:
    case JV_SYMBOL_CONTACT:
        return 10.0;
    case JV_SYMBOL_PLUG:
        return 9.0;
    case JV_SYMBOL_FRAME:
        return 8.0;
    case JV_SYMBOL_BATTERY:
        return 9.0;
    case JV_SYMBOL_SUPPLY:
    case JV_SYMBOL_BOX:
    case JV_SYMBOL_SENSOR:
        return 12.0;
    case JV_SYMBOL_MOTOR:
        return radius;
    case JV_SYMBOL_CHANNEL:
        break;
    }
    return 0.0;
}

static void pathf(jv_page *page, jv_tag *to, const char *class_name, const char *format, double x,
                  double y) {
    jv_text d = {0};
    jv_text_addf(&d, "M%.1f %.1f%s", x, y, format);
    jv_svg_path(page, to, class_name, jv_text_str(&d));
    if (d.failed)
        page->failed = true;
    jv_text_clear(&d);
}

/* Make contact, drawn open as the standard wants: the blade rises from the fixed point. */
static void contact(jv_page *page, jv_tag *to, double x, double y, bool breaker) {
    pathf(page, to, "ink", " l18 -9", x - 10.0, y);
    jv_svg_circle(page, to, "dot", x - 10.0, y, 1.6);
    if (breaker)
        pathf(page, to, "ink", " l6 6 m0 -6 l-6 6", x + 7.0, y - 3.0);
    else
        jv_svg_circle(page, to, "shape", x + 8.0, y, 2.0);
}

/* Two cells: long stroke plus, short stroke minus; the plus sign beside the upper one. */
static void battery(jv_page *page, jv_tag *to, double x, double y) {
    pathf(page, to, "ink", " h24", x - 12.0, y - 9.0);
    pathf(page, to, "ink heavy", " h12", x - 6.0, y - 3.0);
    pathf(page, to, "ink", " h24", x - 12.0, y + 3.0);
    pathf(page, to, "ink heavy", " h12", x - 6.0, y + 9.0);
    jv_svg_text(page, to, "mark", x - 14.0, y - 11.0, "middle", "+");
}

static void motor(jv_page *page, jv_tag *to, double x, double y) {
    jv_svg_circle(page, to, "shape", x, y, radius);
    jv_svg_text(page, to, "letter", x, y + 2.5, "middle", "M");
    pathf(page, to, "ink", " h10", x - 5.0, y + 6.0);
    pathf(page, to, "ink dashed", " h10", x - 5.0, y + 9.0);
}

static void box(jv_page *page, jv_tag *to, double x, double y, const char *letter) {
    jv_svg_rect(page, to, "shape", x - 12.0, y - 12.0, 24.0, 24.0);
    jv_svg_text(page, to, "letter", x, y + 4.0, "middle", letter);
}

static void upright(jv_page *page, jv_tag *to, double x, double y) {
    jv_svg_rect(page, to, "shape", x - half_high, y - half_long, 2 * half_high, 2 * half_long);
}

static void lying(jv_page *page, jv_tag *to, double x, double y) {
    jv_svg_rect(page, to, "shape", x - half_long, y - half_high, 2 * half_long, 2 * half_high);
}

static void coil(jv_page *page, jv_tag *to, double x, double y) {
    jv_svg_rect(page, to, "shape", x - half_long, y - 7.0, 2 * half_long, 14.0);
    jv_svg_line(page, to, "ink", x, y - half_long, x, y - 7.0);
    jv_svg_line(page, to, "ink", x, y + 7.0, x, y + half_long);
}

/* On its line: the ends are at x - half and x + half. */
static void draw_lying(jv_page *page, jv_tag *to, jv_symbol symbol, double x, double y) {
    switch (symbol) {
    case JV_SYMBOL_FUSE:
        lying(page, to, x, y);
        pathf(page, to, "ink", " h26", x - half_long, y);
        break;
    case JV_SYMBOL_LOAD:
    case JV_SYMBOL_COIL:
        lying(page, to, x, y);
        break;
    case JV_SYMBOL_BREAKER:
    case JV_SYMBOL_CONTACT:
        contact(page, to, x, y, symbol == JV_SYMBOL_BREAKER);
        break;
    case JV_SYMBOL_PLUG: /* pin in its socket */
        pathf(page, to, "fill", " v-3 h7 a3 3 0 0 1 0 6 h-7 z", x - 9.0, y);
        pathf(page, to, "ink", " a6 6 0 0 0 0 12", x + 6.0, y - 6.0);
        pathf(page, to, "ink", " h3", x + 6.0, y);
        break;
    case JV_SYMBOL_JOINT:
        jv_svg_circle(page, to, "fill", x, y, 3.2);
        break;
    case JV_SYMBOL_FRAME: /* chassis */
        pathf(page, to, "ink", " h16 m-16 0 v0 m8 0 v6 m-7 0 h14", x - 8.0, y);
        pathf(page, to, "ink", " l-3 5 m7 -5 l-3 5 m7 -5 l-3 5", x - 5.0, y + 6.0);
        break;
    case JV_SYMBOL_MOTOR:
        motor(page, to, x, y);
        break;
    case JV_SYMBOL_WIRE:
        break;
    default:
        box(page, to, x, y, symbol == JV_SYMBOL_SENSOR ? "H" : "U");
    }
}

void jv_symbol_draw(jv_page *page, jv_tag *to, jv_symbol symbol, bool standing, double x,
                    double y) {
    if (!standing) {
        draw_lying(page, to, symbol, x, y);
        return;
    }
    switch (symbol) {
    case JV_SYMBOL_BATTERY:
        battery(page, to, x, y);
        break;
    case JV_SYMBOL_MOTOR:
        motor(page, to, x, y);
        break;
    case JV_SYMBOL_COIL:
        coil(page, to, x, y);
        break;
    case JV_SYMBOL_SENSOR:
        box(page, to, x, y, "H");
        break;
    case JV_SYMBOL_SUPPLY: /* direct current on both sides of a converter */
        jv_svg_rect(page, to, "shape", x - 12.0, y - 12.0, 24.0, 24.0);
        pathf(page, to, "ink", " l24 -24", x - 12.0, y + 12.0);
        pathf(page, to, "ink", " h8", x - 9.0, y - 6.0);
        pathf(page, to, "ink", " h8", x + 1.0, y + 6.0);
        break;
    case JV_SYMBOL_BOX:
    case JV_SYMBOL_CHANNEL:
        box(page, to, x, y, "U");
        break;
    default: /* a load, or a conductor that stands between two sides */
        upright(page, to, x, y);
    }
}
