/* report_studies.c - sections of the studies beyond the steady one. SPDX-License-Identifier: MIT */
#include "circuit/part_kind.h"
#include "render/report_part.h"

#include <math.h>

#define COUNT(a) (sizeof(a) / sizeof(a)[0])

static const double percent = 100.0;

bool jv_is_source(const jv_circuit *c, size_t part) {
    return c->parts[part].kind->is_source;
}

bool jv_is_motor(const jv_circuit *c, size_t part) {
    return c->parts[part].kind->is_motor;
}

static void cell_word(jv_report_work *work, jv_tag *row, const char *class_name, const char *word) {
    jv_tag *cell = jv_tag_add(&work->page, row, "td", NULL);
    jv_tag_text(&work->page, cell, "strong", class_name, word);
}

/* --- the sequence --- */

bool jv_has_sequence(const jv_report_work *work) {
    return work->report->sequence != NULL;
}

static void write_events(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"#Time", "What happened", ""};
    const jv_sequence *q = work->report->sequence;
    jv_tag *body = jv_report_table(work, section, "What happened, and when", columns, 2);
    size_t n = 0;
    for (size_t i = 0; i < q->n_events; i++) {
        const jv_sequence_event *e = &q->events[i];
        jv_tag *row = jv_tag_add(&work->page, body, "tr", NULL);
        jv_report_cellf(work, row, true, "%.3f s", e->t_s);
        jv_tag *cell = jv_tag_add(&work->page, row, "td", NULL);
        if (e->serious)
            jv_tag_textf(&work->page, cell, "strong", "bad", "%zu. Serious: ", ++n);
        jv_tag_say(&work->page, cell, e->text);
    }
}

static void write_watched(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {
        "Watch", "Verdict",        "#Limit",           "#Lowest",
        "#At",   "#For its dwell", "#A display shows", "#Time under"};
    const jv_sequence *q = work->report->sequence;
    jv_tag *body = jv_report_table(work, section, "What each watch saw", columns, COUNT(columns));
    for (size_t i = 0; i < q->n_watches; i++) {
        const jv_sequence_watch *w = &q->watches[i];
        bool counts = !isnan(w->lowest_v);
        jv_tag *row = jv_report_row(work, body, w->name);
        cell_word(work, row,
                  w->trips ? "bad"
                  : counts ? "good"
                           : "plain",
                  w->trips ? "TRIPS"
                  : counts ? "holds"
                           : "never counts");
        jv_report_cellf(work, row, true, "%.2f V", w->limit_v);
        if (!counts) {
            for (size_t k = 0; k < 5; k++)
                jv_report_cell(work, row, true, "");
            continue;
        }
        jv_report_cellf(work, row, true, "%.2f V", w->lowest_v);
        jv_report_cellf(work, row, true, "%.3f s", w->at_s);
        jv_report_cellf(work, row, true, "%.2f V", w->held_lowest_v);
        jv_report_cellf(work, row, true, "%.2f V", w->shown_lowest_v);
        jv_report_cellf(work, row, true, "%.3f s", w->under_s);
    }
}

void jv_section_sequence(jv_report_work *work, jv_tag *section) {
    const jv_sequence *q = work->report->sequence;
    jv_page *page = &work->page;
    jv_tag_textf(page, section, "p", q->finding ? "verdict bad" : "verdict good", "%s%s: %s",
                 q->name, q->generic ? " (assumed: the file has none)" : "", q->end);
    jv_report_time(work, section);
    write_events(work, section);
    write_watched(work, section);
    const char *cut = jv_sequence_search_text(q);
    if (!q->n_cures && !cut)
        return;
    jv_tag_text(page, section, "h3", NULL, "What it would take");
    if (cut)
        jv_tag_text(page, section, "p", NULL, cut);
    jv_tag *list = q->n_cures ? jv_tag_add(page, section, "ul", NULL) : NULL;
    for (size_t i = 0; i < q->n_cures; i++)
        jv_tag_text(page, list, "li", NULL, q->cures[i].text);
}

/* --- the review --- */

bool jv_has_review(const jv_report_work *work) {
    return work->report->review != NULL;
}

static const char *figure_text(jv_report_work *work, double figure, const char *unit) {
    return isnan(figure) ? "" : jv_report_printf(work, "%.4g %s", figure, unit);
}

void jv_section_review(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"Rule",   "Part", "Verdict", "#Figure",
                                          "#Limit", "Why",  "Source"};
    static const char *const classes[] = {"bad", "unsure", "plain", "good"};
    const jv_review *r = work->report->review;
    jv_tag_textf(&work->page, section, "p", r->failed ? "verdict bad" : "verdict good",
                 "%zu failed, %zu unknown, %zu waived, %zu passed.", r->failed, r->unknown,
                 r->waived, r->passed);
    jv_tag *body =
        jv_report_table(work, section, "Design rules, worst first", columns, COUNT(columns));
    for (size_t i = 0; i < r->n_rows; i++) {
        const jv_review_row *row = &r->rows[i];
        jv_tag *tr = jv_report_row(work, body, row->rule->id);
        jv_report_cell(work, tr, false, row->part ? row->part : "");
        cell_word(work, tr, classes[row->verdict], jv_rule_verdict_word(row->verdict));
        jv_report_cell(work, tr, true, figure_text(work, row->figure, row->unit));
        jv_report_cell(work, tr, true, figure_text(work, row->limit, row->unit));
        jv_report_cell(work, tr, false, row->reason ? row->reason : "");
        jv_report_cellf(work, tr, false, "%s %s", row->rule->source, row->rule->clause);
    }
}

/* --- odds --- */

bool jv_has_scatter(const jv_report_work *work) {
    return work->report->scatter != NULL;
}

void jv_section_scatter(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"Watch", "#Limit", "#Odds of a trip", "#95 % interval",
                                          "#1 %",  "#50 %",  "#99 %",           "#Worst case"};
    const jv_scatter *s = work->report->scatter;
    jv_tag_textf(&work->page, section, "p", NULL,
                 "Case \"%s\", %llu draws of all spreads of the file, seed %llu.", s->case_name,
                 (unsigned long long)s->draws, (unsigned long long)s->seed);
    for (size_t i = 0; i < s->n_watches; i++)
        if (s->watches[i].counts && s->watches[i].bins)
            jv_report_odds(work, section, &s->watches[i]);
    jv_tag *body =
        jv_report_table(work, section, "Volts that each watch may see", columns, COUNT(columns));
    for (size_t i = 0; i < s->n_watches; i++) {
        const jv_scatter_watch *w = &s->watches[i];
        jv_tag *row = jv_report_row(work, body, w->name);
        if (!w->counts) {
            jv_tag *cell = jv_tag_text(&work->page, row, "td", NULL, "does not count in this case");
            jv_tag_set(&work->page, cell, "colspan", "7");
            continue;
        }
        jv_report_cellf(work, row, true, "%.2f V", w->limit_v);
        jv_report_cellf(work, row, true, "%.2f %%", percent * w->trip_probability);
        jv_report_cellf(work, row, true, "%.2f to %.2f %%", percent * w->low95,
                        percent * w->high95);
        jv_report_cellf(work, row, true, "%.2f V", w->p1_v);
        jv_report_cellf(work, row, true, "%.2f V", w->p50_v);
        jv_report_cellf(work, row, true, "%.2f V", w->p99_v);
        jv_report_cell(work, row, true,
                       w->worst.found ? jv_report_printf(work, "%.2f V", w->worst.seen_v) : "");
    }
}
