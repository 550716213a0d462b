/* report.c - the page: its sections, and what they share. SPDX-License-Identifier: MIT */
#include "jackvolt/report.h"

#include "circuit/part_kind.h"
#include "jackvolt/version.h"
#include "render/drop_words.h"
#include "render/report_part.h"

#include <math.h>
#include <string.h>

enum { FULL = 1 << JV_REPORT_FULL, SHEET = 1 << JV_REPORT_SHEET, OWNER = 1 << JV_REPORT_OWNER };

/* One row adds a section; the order is that of the page. Cautions come first, sources last. */
static const jv_report_section sections[] = {
    {"cautions", "Before hands go on it", FULL | SHEET | OWNER, NULL, jv_section_cautions},
    {"found", "What was found", OWNER, jv_has_no_walk, jv_section_owner_found},
    {"found", "What was found", OWNER, jv_has_walk, jv_section_owner_walk},
    {"do-not", "What not to do", OWNER, NULL, jv_section_owner_not},
    {"call", "What to tell a technician", OWNER, NULL, jv_section_owner_call},
    {"verdict", "Verdict", FULL, NULL, jv_section_verdict},
    {"walk", "The walk at the vehicle", FULL, jv_has_walk, jv_section_walk},
    {"faults", "Which fault it may be", FULL, jv_has_finder, jv_section_faults},
    {"customer", "Record of the work", SHEET, jv_has_walk, jv_section_customer},
    {"circuit", "The circuit", FULL | SHEET, NULL, jv_section_drawing},
    {"stairs", "Where the volts go", FULL, jv_has_way, jv_section_stair},
    {"losses", "What each part takes", FULL, jv_has_way, jv_section_losses},
    {"watches", "What can stop the work", FULL, NULL, jv_section_watches},
    {"sequence", "In time", FULL, jv_has_sequence, jv_section_sequence},
    {"odds", "Odds of a trip", FULL, jv_has_scatter, jv_section_scatter},
    {"protection", "What guards each cable", FULL, jv_has_guard, jv_section_guard},
    {"sizing", "Cables and fuses to fit", FULL, jv_has_sizing, jv_section_sizing},
    {"review", "Design rules", FULL, jv_has_review, jv_section_review},
    {"remarks", "Worth knowing", FULL, jv_has_remarks, jv_section_remarks},
    {"points", "What a meter should read", SHEET, jv_has_points, jv_section_points},
    {"record", "Record", SHEET, jv_has_no_walk, jv_section_record},
    {"sources", "What these figures rest on", FULL | OWNER, NULL, jv_section_sources},
};

/* --- shared by the sections --- */

const char *jv_report_printf(jv_report_work *work, const char *format, ...) {
    jv_text text = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&text, format, args);
    va_end(args);
    const char *copy =
        text.failed ? NULL : jv_arena_copy(&work->arena, jv_text_str(&text), text.length);
    jv_text_clear(&text);
    if (!copy)
        work->page.failed = true;
    return copy ? copy : "";
}

const char *jv_report_print(jv_report_work *work, double value, jv_dim dim, int digits) {
    jv_text text = {0};
    if (!isnan(value))
        jv_quantity_print(&text, value, dim, work->units, digits);
    const char *copy = jv_report_printf(work, "%s", jv_text_str(&text));
    if (text.failed)
        work->page.failed = true;
    jv_text_clear(&text);
    return copy;
}

jv_tag *jv_report_table(jv_report_work *work, jv_tag *to, const char *caption,
                        const char *const *columns, size_t n) {
    jv_page *page = &work->page;
    jv_tag *box = jv_report_figure(work, to, caption);
    jv_tag *table = jv_tag_add(page, box, "table", NULL);
    jv_tag_text(page, table, "caption", NULL, caption);
    jv_tag *head = jv_tag_add(page, jv_tag_add(page, table, "thead", NULL), "tr", NULL);
    for (size_t i = 0; i < n; i++) {
        bool number = columns[i][0] == '#'; /* a column of figures */
        jv_tag *th = jv_tag_text(page, head, "th", number ? "number" : NULL, columns[i] + number);
        jv_tag_set(page, th, "scope", "col");
    }
    return jv_tag_add(page, table, "tbody", NULL);
}

jv_tag *jv_report_row(jv_report_work *work, jv_tag *body, const char *heading) {
    jv_tag *row = jv_tag_add(&work->page, body, "tr", NULL);
    jv_tag *th = jv_tag_text(&work->page, row, "th", NULL, heading);
    jv_tag_set(&work->page, th, "scope", "row");
    return row;
}

void jv_report_cell(jv_report_work *work, jv_tag *row, bool number, const char *text) {
    jv_tag_text(&work->page, row, "td", number ? "number" : NULL, text);
}

void jv_report_cellf(jv_report_work *work, jv_tag *row, bool number, const char *format, ...) {
    jv_text text = {0};
    va_list args;
    va_start(args, format);
    jv_text_vaddf(&text, format, args);
    va_end(args);
    jv_report_cell(work, row, number, jv_text_str(&text));
    if (text.failed)
        work->page.failed = true;
    jv_text_clear(&text);
}

void jv_report_quantity(jv_report_work *work, jv_tag *row, double value, jv_dim dim, int digits) {
    jv_report_cell(work, row, true, jv_report_print(work, value, dim, digits));
}

jv_tag *jv_report_figure(jv_report_work *work, jv_tag *to, const char *label) {
    jv_tag *box = jv_tag_add(&work->page, to, "section", "scroll");
    jv_tag_set(&work->page, box, "tabindex", "0");
    jv_tag_set(&work->page, box, "aria-label", label);
    return box;
}

/* "5.00 A" as given means "5 A". */
static const char *trimmed(jv_report_work *work, const char *text) {
    size_t number = strcspn(text, " "), end = number;
    if (memchr(text, '.', number)) {
        while (end && text[end - 1] == '0')
            end--;
        if (end && text[end - 1] == '.')
            end--;
    }
    return jv_report_printf(work, "%.*s%s", (int)end, text, text + number);
}

const char *jv_report_detail(jv_report_work *work, size_t part) {
    static const char *const telling[] = {"size",        "length",      "rating",       "capacity",
                                          "set_voltage", "rated_force", "rated_current"};
    enum { MOST = 2, DIGITS = 3 };
    const jv_part *p = &work->circuit->parts[part];
    const char *detail = "";
    size_t n = 0;
    for (size_t i = 0; i < sizeof telling / sizeof telling[0] && n < MOST; i++)
        for (unsigned k = 0; k < p->kind->n_keys && n < MOST; k++) {
            const jv_key *key = &p->kind->keys[k];
            const jv_slot *s = jv_part_slot(work->circuit, p, k);
            if (!s || strcmp(key->name, telling[i]) != 0)
                continue;
            const char *text = s->text;
            if (key->type == JV_KEY_QUANTITY)
                text = trimmed(work, jv_report_print(work, s->value.nominal, key->dim, DIGITS));
            detail = n++ ? jv_report_printf(work, "%s, %s", detail, text) : text;
        }
    return detail ? detail : "";
}

const char *jv_report_part_name(jv_report_work *work, size_t part) {
    return jv_report_printf(work, "%s (%s)", work->circuit->parts[part].name,
                            work->designators[part]);
}

size_t jv_report_base(const jv_drop_case *k, double *level_v) {
    const jv_drop_step *last = &k->steps[k->n_steps - 1];
    bool returns = last->side == JV_SIDE_RETURN;
    *level_v = returns ? last->level_v : 0.0;
    return returns ? last->to : k->steps[0].from;
}

/* --- the page --- */

const jv_drop_case *jv_report_case(const jv_drop *drop, const char *name) {
    const jv_drop_case *best = NULL;
    double least = INFINITY;
    for (size_t i = 0; i < drop->n_cases; i++) {
        const jv_drop_case *k = &drop->cases[i];
        if (name) {
            if (!strcmp(k->name, name))
                return k;
            continue;
        }
        const jv_drop_watch *w = jv_words_watch(k);
        double margin = !k->converged ? -INFINITY : w ? w->margin_v : INFINITY;
        bool sooner = best && k->running != best->running ? k->running : margin < least;
        if (!best || sooner) {
            best = k;
            least = margin;
        }
    }
    return best;
}

static const char *title_of(jv_report_work *work) {
    static const char *const kinds[] = {"report", "field sheet", "for the owner"};
    return jv_report_printf(work, "%s: %s", jv_circuit_name(work->circuit),
                            jv_is_record(work) ? "record of the work" : kinds[work->report->kind]);
}

static void write_head(jv_report_work *work, jv_tag *main) {
    const jv_report *r = work->report;
    jv_page *page = &work->page;
    jv_tag *head = jv_tag_add(page, main, "header", NULL);
    jv_tag_text(page, head, "p", "kind",
                r->kind == JV_REPORT_FULL    ? "jackvolt report"
                : jv_is_record(work)         ? "jackvolt, record of the work"
                : r->kind == JV_REPORT_SHEET ? "jackvolt field sheet"
                                             : "jackvolt, for the owner");
    jv_tag_text(page, head, "h1", NULL, jv_circuit_name(work->circuit));
    const char *comment = jv_circuit_comment(work->circuit);
    if (comment && r->kind == JV_REPORT_FULL)
        jv_tag_text(page, head, "p", NULL, comment);
    if (work->drawn && r->kind != JV_REPORT_OWNER && !jv_is_record(work))
        jv_tag_textf(page, head, "p", NULL, "Case shown: %s.", work->drawn->name);
    for (size_t i = 0; i < r->n_faults; i++)
        jv_tag_textf(page, head, "p", "fault", "Fault put in: %s.", r->faults[i]);
}

static bool stands_here(const jv_report_work *work, const jv_report_section *s) {
    return (s->kinds >> work->report->kind & 1) && (!s->applies || s->applies(work));
}

/* The way to each section, for a long page. */
static void write_links(jv_report_work *work, jv_tag *main) {
    jv_page *page = &work->page;
    if (work->report->kind != JV_REPORT_FULL)
        return;
    jv_tag *nav = jv_tag_add(page, main, "nav", NULL);
    jv_tag_set(page, nav, "aria-label", "Sections");
    jv_tag *list = jv_tag_add(page, nav, "ul", NULL);
    for (size_t i = 0; i < sizeof sections / sizeof sections[0]; i++) {
        if (!stands_here(work, &sections[i]))
            continue;
        jv_tag *link =
            jv_tag_text(page, jv_tag_add(page, list, "li", NULL), "a", NULL, sections[i].heading);
        jv_tag_setf(page, link, "href", "#%s", sections[i].id);
    }
}

static void write_sections(jv_report_work *work, jv_tag *main) {
    jv_page *page = &work->page;
    for (size_t i = 0; i < sizeof sections / sizeof sections[0]; i++) {
        const jv_report_section *s = &sections[i];
        if (!stands_here(work, s))
            continue;
        jv_tag *section = jv_tag_add(page, main, "section", NULL);
        jv_tag_set(page, section, "id", s->id);
        jv_tag_setf(page, section, "aria-labelledby", "%s-heading", s->id);
        jv_tag *heading = jv_tag_text(page, section, "h2", NULL, s->heading);
        jv_tag_setf(page, heading, "id", "%s-heading", s->id);
        s->write(work, section);
    }
}

/* Places for the meter along the way of the drawn case, in its order. */
static void number_points(jv_report_work *work) {
    size_t n = work->circuit->n_terminals;
    unsigned count = 0;
    if (work->report->kind != JV_REPORT_SHEET || !jv_has_points(work))
        return;
    work->points = jv_arena_alloc(&work->arena, n + 1, sizeof *work->points);
    if (!work->points) {
        work->page.failed = true;
        return;
    }
    for (size_t i = 0; i < work->drawn->n_steps; i++) {
        size_t ends[] = {work->drawn->steps[i].from, work->drawn->steps[i].to};
        for (size_t m = i ? 0 : 1; m < 2; m++)
            if (ends[m] < n && !work->points[ends[m]])
                work->points[ends[m]] = ++count;
    }
}

/* The case with its steps as a person follows them; NULL as it is given. */
static const jv_drop_case *with_steps(jv_report_work *work, const jv_drop *drop,
                                      const jv_drop_case *k) {
    jv_drop_case *copy = k ? jv_arena_alloc(&work->arena, 1, sizeof *copy) : NULL;
    jv_drop_step *steps = copy ? jv_arena_alloc(&work->arena, k->n_steps + 1, sizeof *steps) : NULL;
    if (!steps) {
        work->page.failed = work->page.failed || k;
        return k;
    }
    *copy = *k;
    copy->n_steps = jv_words_steps(drop, k, steps);
    copy->steps = steps;
    return copy;
}

jv_status jv_report_page(const jv_report *report, const jv_style *style, jv_text *out) {
    static const char *const body_class[] = {"full", "sheet", "owner"};
    jv_report_work work = {.report = report, .circuit = report->circuit, .units = style->units};
    work.drawn = jv_report_case(report->drop, report->drawn_case);
    if (!work.drawn && report->drawn_case)
        return JV_ERR_UNKNOWN;
    if (report->healthy && work.drawn)
        work.healthy = jv_report_case(report->healthy, work.drawn->name);
    work.designators = jv_designators(report->circuit, &work.arena);
    jv_page_begin(&work.page, title_of(&work), jv_report_css);
    if (!work.designators)
        work.page.failed = true;
    work.drawn = with_steps(&work, report->drop, work.drawn);
    work.healthy = with_steps(&work, report->healthy, work.healthy);
    number_points(&work);
    if (!work.page.failed) {
        bool wide = jv_is_record(&work) && jv_walk_kind_of(report->walk) == JV_WALK_SENSOR;
        jv_tag_set(&work.page, work.page.body, "class",
                   wide ? "sheet sensors" : body_class[report->kind]);
        jv_tag *main = jv_tag_add(&work.page, work.page.body, "main", NULL);
        write_head(&work, main);
        write_links(&work, main);
        write_sections(&work, main);
        jv_tag *foot = jv_tag_add(&work.page, work.page.body, "footer", NULL);
        jv_tag_textf(&work.page, foot, "p", NULL,
                     "Made by jackvolt %s. Local codes, the vehicle maker's instructions and "
                     "licensed practice come first; this page is an estimate from what was "
                     "entered and no certificate of safety.",
                     JV_VERSION);
    }
    jv_status status = jv_page_print(&work.page, out);
    jv_arena_clear(&work.arena);
    return status;
}
