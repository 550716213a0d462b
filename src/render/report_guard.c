/* report_guard.c - the section of fuses and the cables that they guard. SPDX-License-Identifier:
 * MIT
 */
#include "render/report_part.h"

#include <math.h>
#include <string.h>

#define COUNT(a) (sizeof(a) / sizeof(a)[0])

static const double percent = 100.0;
static const double s_per_h = 3600.0, many_h = 3.0, many_s = 100.0; /* where the form changes */

bool jv_has_guard(const jv_report_work *work) {
    return work->report->review && work->report->review->n_devices > 0;
}

/* 0 and infinity have a meaning of their own. */
static const char *seconds(jv_report_work *work, double s, const char *none, const char *endless) {
    if (isnan(s))
        return "not known";
    if (s <= 0.0)
        return none;
    if (isinf(s))
        return endless;
    return s >= many_h * s_per_h ? jv_report_printf(work, "%.3g h", s / s_per_h)
           : s >= many_s         ? jv_report_printf(work, "%.0f s", s)
                                 : jv_report_printf(work, "%.3g s", s);
}

/* Two decimals below 10 A, where a tenth is much. */
static const char *amps_text(jv_report_work *work, double amps) {
    static const double few_a = 10.0;
    return jv_report_printf(work, amps < few_a ? "%.2f A" : "%.1f A", amps);
}

static const char *trust(jv_confidence c) {
    return c == JV_SOLID    ? "read in a text"
           : c == JV_USABLE ? "second-hand: may warn"
                            : "from memory: a hint only";
}

/* What the device does at each point of its curve, and how long the cables stand it. */
static void write_points(jv_report_work *work, jv_tag *section, const jv_review_device *d,
                         const jv_guard_curve *curves, size_t n) {
    enum { MOST = 5 + JV_GUARD_CURVES };
    const char *columns[MOST] = {"Of its rating", "#Current", "#Not before", "#Open by", "Figures"};
    size_t k = 5;
    for (size_t i = 0; i < n; i++)
        columns[k++] = jv_report_printf(work, "#Cable %zu stands it", i + 1);
    jv_tag *body =
        jv_report_table(work, section,
                        jv_report_printf(work, "When \"%s\" opens a current that lasts", d->part),
                        columns, k);
    for (size_t i = 0; i < d->curve.count; i++) {
        const jv_time_point *p = &d->curve.points[i];
        jv_tag *row =
            jv_report_row(work, body, jv_report_printf(work, "%.4g %%", percent * p->fraction));
        jv_report_cell(work, row, true, amps_text(work, p->fraction * d->rating_a));
        jv_report_cell(work, row, true, seconds(work, p->least_s, "not known", "for good"));
        jv_report_cell(work, row, true, seconds(work, p->greatest_s, "at once", "need not open"));
        jv_report_cell(work, row, false, trust(p->confidence));
        for (size_t m = 0; m < n; m++)
            jv_report_cell(work, row, true,
                           seconds(work, curves[m].wire->at_points[i], "not at all", "for good"));
    }
}

static void flow(jv_report_work *work, jv_tag *body, const char *what, double amps,
                 const char *when) {
    if (isnan(amps))
        return;
    jv_tag *row = jv_report_row(work, body, what);
    jv_report_cell(work, row, true, amps_text(work, amps));
    jv_report_cell(work, row, false, when);
}

static void write_flows(jv_report_work *work, jv_tag *section, const jv_review_device *d) {
    static const char *const columns[] = {"What flows", "#Current", "When"};
    jv_tag *body =
        jv_report_table(work, section, jv_report_printf(work, "Currents of \"%s\"", d->part),
                        columns, COUNT(columns));
    flow(work, body, "rating", d->rating_a, "");
    flow(work, body, "must open from", isfinite(d->must_open_a) ? d->must_open_a : NAN,
         "below it, it may never open");
    flow(work, body, "running", d->running_a,
         d->running_case
             ? jv_report_printf(work, "\"%s\", loads at their high end", d->running_case)
             : "");
    flow(work, body, "held fast", d->stall_a,
         d->stall_motor
             ? jv_report_printf(work, "\"%s\", the others run, strongest source", d->stall_motor)
             : "");
    flow(work, body, "at first", d->inrush_a,
         d->inrush_case ? jv_report_printf(work,
                                           "\"%s\", all motors at rest; how long it lasts is not "
                                           "known here",
                                           d->inrush_case)
                        : "");
}

/* How the device and each cable get on, and what the rules say. */
static void write_wires(jv_report_work *work, jv_tag *section, const jv_review_device *d,
                        const jv_guard_curve *curves, size_t n) {
    static const char *const columns[] = {"Cable",      "#Curve",      "#Carries for good",
                                          "#Short",     "#Closest at", "#Device opens by",
                                          "#It stands", "Its limit"};
    jv_tag *body =
        jv_report_table(work, section, jv_report_printf(work, "Cables that \"%s\" guards", d->part),
                        columns, COUNT(columns));
    for (size_t i = 0; i < d->n_wires; i++) {
        const jv_review_wire *wire = &d->wires[i];
        size_t number = jv_guard_curve_of(wire, curves, n);
        jv_tag *row = jv_report_row(work, body, wire->part);
        jv_report_cell(work, row, true, number ? jv_report_printf(work, "%zu", number) : "");
        jv_report_cellf(work, row, true, "%.0f A", wire->carries_a);
        jv_report_cell(work, row, true,
                       isnan(wire->short_least_a)
                           ? jv_report_printf(work, "to %.0f A", wire->short_most_a)
                           : jv_report_printf(work, "%.0f to %.0f A", wire->short_least_a,
                                              wire->short_most_a));
        jv_report_cell(work, row, true,
                       isnan(wire->closest_a) ? ""
                                              : jv_report_printf(work, "%.0f A", wire->closest_a));
        jv_report_cell(work, row, true, seconds(work, wire->opens_s, "at once", "need not open"));
        jv_report_cell(work, row, true, seconds(work, wire->stands_s, "not at all", "for good"));
        jv_report_cell(work, row, false, trust(wire->confidence));
    }
}

/* A rule about the device or one of the cables that it guards? */
static bool concerns(const jv_review_row *row, const jv_review_device *d) {
    static const char *const about[] = {"fuse-", "cable-outlives-fuse", "short-opens-fuse",
                                        "breaker-type"};
    bool of_fuse = false, here = row->part && !strcmp(row->part, d->part);
    for (size_t k = 0; k < COUNT(about); k++)
        of_fuse = of_fuse || !strncmp(row->rule->id, about[k], strlen(about[k]));
    for (size_t k = 0; k < d->n_wires && !here; k++)
        here = row->part && !strcmp(row->part, d->wires[k].part);
    return of_fuse && here;
}

/* Those that do not pass, the parts of one rule and verdict together. */
static void write_rules(jv_report_work *work, jv_tag *section, const jv_review_device *d) {
    static const char *const classes[] = {"bad", "unsure", "plain", "good"};
    const jv_review *r = work->report->review;
    const jv_review_row *before = NULL;
    jv_page *page = &work->page;
    jv_tag *list = NULL, *item = NULL;
    for (size_t i = 0; i < r->n_rows; i++) {
        const jv_review_row *row = &r->rows[i];
        if (row->verdict == JV_RULE_PASS || !concerns(row, d))
            continue;
        if (!list)
            list = jv_tag_add(page, section, "ul", NULL);
        if (before && before->rule == row->rule && before->verdict == row->verdict) {
            jv_tag_say(page, item, jv_report_printf(work, "; %s", row->part));
            continue;
        }
        before = row;
        item = jv_tag_add(page, list, "li", NULL);
        jv_tag_text(page, item, "strong", classes[row->verdict],
                    jv_rule_verdict_word(row->verdict));
        jv_tag_say(page, item, jv_report_printf(work, " %s: %s", row->rule->id, row->part));
    }
    if (!list)
        jv_tag_text(page, section, "p", NULL,
                    d->n_wires ? "Every rule of it and of its cables passes."
                               : "Every rule of it passes.");
    else
        jv_tag_text(page, section, "p", NULL, "Why stands under \"Design rules\".");
}

void jv_section_guard(jv_report_work *work, jv_tag *section) {
    const jv_review *r = work->report->review;
    jv_page *page = &work->page;
    jv_tag_text(page, section, "p", NULL,
                "A cable is guarded where its curve lies above and to the right of \"open by "
                "here\": the fuse is open before the cable is too hot. What runs must stay left of "
                "\"not before here\". A fuse is never made larger than what the thinnest cable "
                "behind it carries. Opening times hold in air of 20 to 25 degC; in warmer air a "
                "fuse opens sooner.");
    for (size_t i = 0; i < r->n_devices; i++) {
        const jv_review_device *d = &r->devices[i];
        jv_guard_curve curves[JV_GUARD_CURVES];
        size_t n = jv_guard_curves(work, d, curves);
        jv_tag *part = jv_tag_add(page, section, "section", "device");
        jv_tag_textf(page, part, "h3", NULL, "%s, %.4g A", d->part, d->rating_a);
        if (!d->known)
            jv_tag_text(page, part, "p", NULL,
                        "When it opens is not known: the file gives neither its style nor its own "
                        "curve.");
        if (!d->n_wires)
            jv_tag_text(page, part, "p", NULL,
                        "No cable of the file that carries current in a case depends on it.");
        write_rules(work, part, d);
        jv_report_guard(work, part, d, curves, n);
        if (d->known)
            write_points(work, part, d, curves, n);
        write_flows(work, part, d);
        if (d->n_wires)
            write_wires(work, part, d, curves, n);
    }
}
