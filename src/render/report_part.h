/* report_part.h - what the sections of a report share. SPDX-License-Identifier: MIT */
#ifndef RENDER_REPORT_PART_H
#define RENDER_REPORT_PART_H

#include "jackvolt/memory.h"
#include "jackvolt/report.h"
#include "render/drawing.h"
#include "render/page.h"

/* One page being written. */
typedef struct jv_report_work {
    const jv_report *report;
    const jv_circuit *circuit;
    const jv_drop_case *drawn;   /* the case that is shown in pictures */
    const jv_drop_case *healthy; /* the same without faults; NULL = none were put in */
    jv_units units;
    const char **designators; /* of each part */
    unsigned *points;         /* number of the terminal as a place for the meter, 0 = none;
                                 NULL = none has one */
    jv_arena arena;
    jv_page page;
} jv_report_work;

/* A section is a row of the table in report.c. `applies` tells whether there is anything to
 * show; NULL = always. `write` gets its <section>, with the heading in it; memory and tree
 * failures are kept in work->page. */
typedef struct jv_report_section {
    const char *id; /* also of the element */
    const char *heading;
    unsigned kinds; /* bits 1 << jv_report_kind: on which pages it stands */
    bool (*applies)(const jv_report_work *work);
    void (*write)(jv_report_work *work, jv_tag *section);
} jv_report_section;

/* Columns are "left" or "right". Cells follow row by row. */
jv_tag *jv_report_table(jv_report_work *work, jv_tag *to, const char *caption,
                        const char *const *columns, size_t n);
void jv_report_cell(jv_report_work *work, jv_tag *row, bool number, const char *text);
void jv_report_cellf(jv_report_work *work, jv_tag *row, bool number, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
/* First cell of a row: its heading. */
jv_tag *jv_report_row(jv_report_work *work, jv_tag *body, const char *heading);
void jv_report_quantity(jv_report_work *work, jv_tag *row, double value, jv_dim dim, int digits);
/* A value in a person's units, from the arena; "" when it is not known or memory is short. */
const char *jv_report_print(jv_report_work *work, double value, jv_dim dim, int digits);
const char *jv_report_printf(jv_report_work *work, const char *format, ...)
    __attribute__((format(printf, 2, 3)));
/* A figure that may be wider than a phone: it scrolls, by keyboard too. */
jv_tag *jv_report_figure(jv_report_work *work, jv_tag *to, const char *label);
/* What a person needs beside a part's name: "4 AWG, 16.0 ft", "60 A"; "" when nothing. */
const char *jv_report_detail(jv_report_work *work, size_t part);
/* The part by name and designator: "feed (W1)". */
const char *jv_report_part_name(jv_report_work *work, size_t part);

/* The terminal against which levels on the way are shown, the source's minus, and its own
 * level_v; jv_circuit_terminals() or more = inside a part. The case has a way. */
size_t jv_report_base(const jv_drop_case *k, double *level_v);

/* svg_faults.c: odds as bars, likeliest first; when: "after the walk". */
size_t jv_report_faults_shown(const jv_finder *f); /* how many are worth it */
void jv_report_faults(jv_report_work *work, jv_tag *section, const jv_finder *f, const char *when);
/* Signal word and text of a caution, and its list. */
jv_tag *jv_report_cautions(jv_report_work *work, jv_tag *section);
void jv_report_caution(jv_report_work *work, jv_tag *list, const char *word, const char *text);

/* svg_drawing.c, svg_stair.c, svg_time.c, svg_odds.c, svg_guard.c */
void jv_report_draw(jv_report_work *work, jv_tag *section, bool sensors);
void jv_report_stair(jv_report_work *work, jv_tag *section);
void jv_report_time(jv_report_work *work, jv_tag *section);
void jv_report_odds(jv_report_work *work, jv_tag *section, const jv_scatter_watch *w);
/* svg_guard.c: a device's plot. Wires that stand the same share a curve and its number. */
enum { JV_GUARD_CURVES = 4 };
typedef struct jv_guard_curve {
    const jv_review_wire *wire;         /* the first of them */
    const char *names;                  /* of all for which a line has room */
    size_t unnamed;                     /* of the others */
    double short_least_a, short_most_a; /* of all */
} jv_guard_curve;
/* The curves of a device that are drawn, weakest first; how many. */
size_t jv_guard_curves(jv_report_work *work, const jv_review_device *d, jv_guard_curve curves[]);
/* Number of a wire's curve, from 1; 0 = not drawn. */
size_t jv_guard_curve_of(const jv_review_wire *wire, const jv_guard_curve *curves, size_t n);
void jv_report_guard(jv_report_work *work, jv_tag *section, const jv_review_device *d,
                     const jv_guard_curve *curves, size_t n);
bool jv_is_source(const jv_circuit *c, size_t part);
bool jv_is_motor(const jv_circuit *c, size_t part);

/* sections */
void jv_section_cautions(jv_report_work *work, jv_tag *section);
void jv_section_verdict(jv_report_work *work, jv_tag *section);
void jv_section_drawing(jv_report_work *work, jv_tag *section);
void jv_section_stair(jv_report_work *work, jv_tag *section);
void jv_section_losses(jv_report_work *work, jv_tag *section);
void jv_section_watches(jv_report_work *work, jv_tag *section);
void jv_section_remarks(jv_report_work *work, jv_tag *section);
void jv_section_sources(jv_report_work *work, jv_tag *section);
void jv_section_points(jv_report_work *work, jv_tag *section);
void jv_section_record(jv_report_work *work, jv_tag *section);
void jv_section_owner_found(jv_report_work *work, jv_tag *section);
void jv_section_owner_not(jv_report_work *work, jv_tag *section);
void jv_section_owner_call(jv_report_work *work, jv_tag *section);
void jv_section_sequence(jv_report_work *work, jv_tag *section);
void jv_section_review(jv_report_work *work, jv_tag *section);
void jv_section_guard(jv_report_work *work, jv_tag *section);
void jv_section_scatter(jv_report_work *work, jv_tag *section);
bool jv_has_sequence(const jv_report_work *work);
bool jv_has_review(const jv_report_work *work);
void jv_section_sizing(jv_report_work *work, jv_tag *section);
void jv_section_faults(jv_report_work *work, jv_tag *section);
void jv_section_walk(jv_report_work *work, jv_tag *section);
void jv_section_customer(jv_report_work *work, jv_tag *section);
void jv_section_owner_walk(jv_report_work *work, jv_tag *section);
bool jv_has_sizing(const jv_report_work *work);
bool jv_has_finder(const jv_report_work *work);
bool jv_has_walk(const jv_report_work *work);
bool jv_is_record(const jv_report_work *work); /* the sheet after a walk */
bool jv_has_no_walk(const jv_report_work *work);
bool jv_has_points(const jv_report_work *work); /* a way, and no walk */
bool jv_has_guard(const jv_report_work *work);
bool jv_has_scatter(const jv_report_work *work);
bool jv_has_way(const jv_report_work *work);
bool jv_has_remarks(const jv_report_work *work);

extern const char *const jv_report_css[];

#endif
