/* report_sizing.c - the sizes that hold, with their cut list. SPDX-License-Identifier: MIT */
#include "render/report_part.h"

#include <math.h>

#define COUNT(a) (sizeof(a) / sizeof(a)[0])

enum { DIGITS = 3 };

bool jv_has_sizing(const jv_report_work *work) {
    return work->report->sizing != NULL;
}

static const char *size_text(jv_report_work *work, const jv_size *size) {
    jv_text text = {0};
    jv_size_print(&text, size);
    const char *copy = jv_report_printf(work, "%s", jv_text_str(&text));
    work->page.failed |= text.failed;
    jv_text_clear(&text);
    return copy;
}

static void write_cut_list(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"Cut list", "#Was",       "#Fit",
                                          "#Length",  "Colour",     "Terminals",
                                          "#Mass",    "#Most amps", "#Carries for good",
                                          "Fuse"};
    const jv_sizing *s = work->report->sizing;
    jv_tag *body = jv_report_table(work, section,
                                   "Lengths are of each conductor, as the file gives them: leave "
                                   "some to strip and crimp",
                                   columns, COUNT(columns));
    for (size_t i = 0; i < s->n_runs; i++) {
        const jv_size_run *r = &s->runs[i];
        jv_tag *row = jv_report_row(work, body, r->name);
        jv_report_cell(work, row, true, size_text(work, &r->was));
        jv_tag *cell = jv_tag_add(&work->page, row, "td", "number");
        jv_tag_text(&work->page, cell, "strong", NULL, size_text(work, &r->size));
        jv_report_quantity(work, row, r->length_m, JV_DIM_LENGTH, DIGITS);
        jv_report_cell(work, row, false, r->colour ? r->colour : "");
        jv_report_cell(work, row, false, r->terminals ? r->terminals : "");
        jv_report_quantity(work, row, r->mass_kg, JV_DIM_MASS, DIGITS);
        jv_report_quantity(work, row, r->current_a, JV_DIM_CURRENT, DIGITS);
        jv_report_quantity(work, row, r->carries_a, JV_DIM_CURRENT, DIGITS);
        jv_report_cell(work, row, false, r->fuse ? r->fuse : "");
    }
    jv_tag_textf(&work->page, section, "p", NULL, "Metal of all pieces: %s, before %s.",
                 jv_report_print(work, s->copper_kg, JV_DIM_MASS, DIGITS),
                 jv_report_print(work, s->was_kg, JV_DIM_MASS, DIGITS));
}

static void write_fuses(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {
        "Fuse", "#Was", "#Fit", "#Runs at", "#Thinnest cable carries", "Note"};
    const jv_sizing *s = work->report->sizing;
    if (!s->n_fuses)
        return;
    jv_tag *body = jv_report_table(work, section,
                                   "Fuses, none above what the thinnest cable behind it carries",
                                   columns, COUNT(columns));
    for (size_t i = 0; i < s->n_fuses; i++) {
        const jv_size_fuse *f = &s->fuses[i];
        jv_tag *row = jv_report_row(work, body, f->name);
        jv_report_quantity(work, row, f->was_a, JV_DIM_CURRENT, DIGITS);
        jv_report_quantity(work, row, f->rating_a, JV_DIM_CURRENT, DIGITS);
        jv_report_quantity(work, row, f->most_a, JV_DIM_CURRENT, DIGITS);
        jv_report_quantity(work, row, isfinite(f->carries_a) ? f->carries_a : NAN, JV_DIM_CURRENT,
                           DIGITS);
        jv_report_cell(work, row, false, f->note);
    }
}

static void write_proof(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {
        "Reading that proves it", "Case", "#Expect", "#From", "#To", "#Limit", "#Before, worst"};
    const jv_sizing *s = work->report->sizing;
    if (!s->n_watches)
        return;
    jv_tag *body = jv_report_table(work, section,
                                   "Volts where the watch looks, while the case runs: a reading "
                                   "below \"from\" wants a bad joint looked for",
                                   columns, COUNT(columns));
    for (size_t i = 0; i < s->n_watches; i++) {
        const jv_size_watch *w = &s->watches[i];
        jv_tag *row = jv_report_row(work, body, w->name);
        jv_report_cell(work, row, false, w->loading);
        jv_report_cellf(work, row, true, "%.2f V", w->nominal_v);
        jv_report_cellf(work, row, true, "%.2f V", w->worst_v);
        jv_report_cellf(work, row, true, "%.2f V", w->best_v);
        jv_report_cellf(work, row, true, "%.2f V", w->limit_v);
        jv_report_cell(work, row, true,
                       isfinite(w->before_v) ? jv_report_printf(work, "%.2f V", w->before_v) : "");
    }
}

static void write_neighbours(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"One size down or up", "#Down",
                                          "What happens",        "#Up",
                                          "#More metal",         "#A watch gains"};
    const jv_sizing *s = work->report->sizing;
    jv_tag *body =
        jv_report_table(work, section, "The neighbours of each size", columns, COUNT(columns));
    for (size_t i = 0; i < s->n_runs; i++) {
        const jv_size_run *r = &s->runs[i];
        jv_tag *row = jv_report_row(work, body, r->name);
        jv_report_cell(work, row, true, r->has_down ? size_text(work, &r->down) : "");
        jv_report_cell(work, row, false,
                       !r->has_down    ? "the thinnest there is"
                       : r->down_fails ? r->down_fails
                                       : "holds as well");
        jv_report_cell(work, row, true, r->has_up ? size_text(work, &r->up) : "");
        jv_report_quantity(work, row, r->has_up ? r->up_kg : NAN, JV_DIM_MASS, DIGITS);
        jv_report_cell(work, row, true,
                       r->has_up ? jv_report_printf(work, "%.2f V", fmax(r->up_v, 0.0)) : "");
    }
}

static void write_misses(jv_report_work *work, jv_tag *section) {
    const jv_sizing *s = work->report->sizing;
    jv_tag *list = jv_tag_add(&work->page, section, "ul", NULL);
    for (size_t i = 0; i < s->n_misses; i++) {
        const jv_size_miss *m = &s->misses[i];
        jv_tag_textf(&work->page, list, "li", NULL, "%s%s%s%s: %s.", m->part,
                     m->loading ? ", case \"" : "", m->loading ? m->loading : "",
                     m->loading ? "\"" : "", m->what);
    }
}

/* What the sized circuit still fails, and the changes to make. */
static void write_rest(jv_report_work *work, jv_tag *section) {
    const jv_sizing *s = work->report->sizing;
    jv_page *page = &work->page;
    jv_tag_textf(page, section, "p", NULL, "Review of the sized circuit: %zu fail, %zu unknown.",
                 s->review_failed, s->review_unknown);
    jv_tag *list = s->n_still || s->n_sets ? jv_tag_add(page, section, "ul", NULL) : NULL;
    for (size_t i = 0; i < s->n_still; i++)
        jv_tag_textf(page, list, "li", "bad", "still fails: %s", s->still[i]);
    for (size_t i = 0; i < s->n_sets; i++)
        jv_tag_textf(page, list, "li", NULL, "change: %s", s->sets[i]);
}

void jv_section_sizing(jv_report_work *work, jv_tag *section) {
    static const char *const proofs[] = {
        "No choice of less metal holds: proved by branch and bound.",
        ("Nothing lighter was found; that nothing lighter holds is proved only if a thicker cable "
         "is never worse."),
        "No choice of sizes holds."};
    const jv_sizing *s = work->report->sizing;
    bool good = s->possible && !s->review_failed;
    jv_tag_text(&work->page, section, "p",
                !s->possible ? "verdict bad"
                : good       ? "verdict good"
                             : "verdict unsure",
                proofs[s->possible ? s->proof : JV_SIZE_NONE]);
    if (!s->possible) {
        write_misses(work, section);
        return;
    }
    write_cut_list(work, section);
    write_fuses(work, section);
    write_proof(work, section);
    write_neighbours(work, section);
    write_rest(work, section);
}
