/* report_walk.c - the odds of faults, a walk, and the record that a customer gets.
 * SPDX-License-Identifier: MIT */
#include "render/find_out.h"
#include "render/report_part.h"

#include <math.h>
#include <string.h>

#define COUNT(a) (sizeof(a) / sizeof(a)[0])

static const double percent = 100.0;

bool jv_has_walk(const jv_report_work *work) {
    return work->report->walk != NULL;
}

bool jv_has_no_walk(const jv_report_work *work) {
    return !work->report->walk;
}

bool jv_is_record(const jv_report_work *work) {
    return work->report->walk && work->report->kind == JV_REPORT_SHEET;
}

bool jv_has_points(const jv_report_work *work) {
    return jv_has_way(work) && !work->report->walk;
}

bool jv_has_finder(const jv_report_work *work) {
    return work->report->finder != NULL;
}

/* --- odds --- */

size_t jv_report_faults_shown(const jv_finder *f) {
    enum { MOST = 8 };
    size_t n, shown = 0;
    const jv_odds *odds = jv_finder_odds(f, &n);
    while (shown < n && shown < MOST && (!shown || odds[shown].probability >= JV_ODDS_LISTED))
        shown++;
    return shown;
}

static void write_odds(jv_report_work *work, jv_tag *section, const jv_finder *f,
                       const char *when) {
    static const char *const columns[] = {"Of the faults considered", "#Odds", "What mends it",
                                          "#Minutes"};
    size_t n, shown = jv_report_faults_shown(f);
    const jv_odds *odds = jv_finder_odds(f, &n);
    jv_report_faults(work, section, f, when);
    jv_tag *body = jv_report_table(
        work, section,
        jv_report_printf(
            work, "Faults %s, likeliest first; no part is named before its own reading", when),
        columns, COUNT(columns));
    for (size_t i = 0; i < shown; i++) {
        const jv_suspect *s = jv_finder_suspect(f, odds[i].suspect);
        bool none = s->part[0] == JV_FIND_NONE;
        jv_tag *row = jv_report_row(work, body, s->words);
        jv_report_cellf(work, row, true, "%.1f %%", percent * odds[i].probability);
        jv_report_cell(work, row, false, none || !s->repair ? "" : s->repair);
        jv_report_cell(work, row, true, none ? "" : jv_report_printf(work, "%.0f", s->minutes));
    }
}

static const char *band(jv_report_work *work, jv_check_kind kind, const jv_expected *x) {
    jv_text text = {0};
    jv_band_print(&text, kind, x);
    const char *copy = jv_report_printf(work, "%s", jv_text_str(&text));
    work->page.failed |= text.failed;
    jv_text_clear(&text);
    return copy;
}

static void write_care(jv_report_work *work, jv_tag *section, uint32_t care) {
    enum { MOST = 32 };
    const jv_precaution *list[MOST];
    size_t n = jv_precautions_of(care, list, MOST);
    jv_tag *to = n ? jv_report_cautions(work, section) : NULL;
    for (size_t i = 0; i < n && i < MOST; i++)
        jv_report_caution(work, to, jv_signal_word(list[i]->signal), list[i]->text);
}

/* The cautions of a check, then the check, then what it should read. */
static void write_check(jv_report_work *work, jv_tag *section, const jv_next *next) {
    static const char *const columns[] = {"It should read", "#Reading"};
    const jv_finder *f = work->report->finder;
    const jv_check *v = jv_finder_check(f, next->check);
    write_care(work, section, v->care);
    jv_tag_textf(&work->page, section, "p", "verdict unsure", "Next: %s, about %.0f min.", v->text,
                 next->minutes);
    if (v->kind == JV_CHECK_LOOK)
        return;
    jv_tag *body = jv_report_table(work, section, v->text, columns, COUNT(columns));
    jv_expected x = jv_finder_expect(f, next->check, JV_FIND_NONE);
    jv_report_cell(work, jv_report_row(work, body, "sound circuit"), true, band(work, v->kind, &x));
    for (size_t i = 0; i < next->n_leading; i++) {
        if (next->leading[i] + 1 >= jv_finder_suspects(f))
            continue;
        x = jv_finder_expect(f, next->check, next->leading[i]);
        jv_tag *row = jv_report_row(work, body, jv_finder_suspect(f, next->leading[i])->words);
        jv_report_cell(work, row, true, band(work, v->kind, &x));
    }
}

static void write_repair(jv_report_work *work, jv_tag *section, const jv_next *next) {
    const jv_suspect *s = jv_finder_suspect(work->report->finder, next->suspect);
    write_care(work, section,
               JV_CARE_SOURCES | JV_CARE_RINGS | JV_CARE_UNCOMMANDED | JV_CARE_FUSE |
                   JV_CARE_RESTORE);
    jv_tag_textf(&work->page, section, "p", "verdict bad",
                 "Found: %s. What mends it: %s, about %.0f min.", s->words, s->repair, s->minutes);
}

void jv_section_faults(jv_report_work *work, jv_tag *section) {
    jv_finder *f = work->report->finder;
    jv_next next;
    write_odds(work, section, f, "by these readings");
    if (jv_finder_next(f, &next) != JV_OK) {
        work->page.failed = true;
        return;
    }
    if (next.kind == JV_NEXT_CHECK || next.kind == JV_NEXT_CONFIRM || next.kind == JV_NEXT_PROOF)
        write_check(work, section, &next);
    else if (next.kind == JV_NEXT_REPAIR)
        write_repair(work, section, &next);
    else
        jv_tag_text(&work->page, section, "p", NULL,
                    "No reading that is left tells more than it costs.");
    jv_tag_textf(&work->page, section, "p", NULL, "Expected minutes to a working vehicle: %.0f.",
                 next.to_go);
}

/* --- the walk --- */

static const char *end_class(const jv_walk *w) {
    return jv_walk_ended(w) == JV_WALK_PROVED ? "verdict good" : "verdict bad";
}

static const char *end_words(const jv_walk *w) {
    switch (jv_walk_ended(w)) {
    case JV_WALK_PROVED:
        return "REPAIRED AND PROVED";
    case JV_WALK_HANDED_ON:
        return "OPEN, handed on";
    case JV_WALK_GOES_ON:
        break;
    }
    return "NOT FINISHED";
}

static void write_end(jv_report_work *work, jv_tag *section) {
    const jv_walk *w = work->report->walk;
    jv_page *page = &work->page;
    jv_tag *p = jv_tag_add(page, section, "p", end_class(w));
    jv_tag_text(page, p, "strong", NULL, end_words(w));
    if (*jv_walk_result(w))
        jv_tag_say(page, p, jv_report_printf(work, ": %s", jv_walk_result(w)));
    if (jv_walk_is_dead(w))
        jv_tag_text(page, section, "p", NULL,
                    "The power was left off. It stays off until something is repaired and a check "
                    "for shorts has passed.");
}

void jv_section_walk(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"Step", "Probes", "Answer", "What it meant"};
    const jv_walk *w = work->report->walk;
    write_end(work, section);
    if (work->report->meter)
        jv_tag_textf(&work->page, section, "p", NULL, "Meter: %s.", work->report->meter);
    jv_tag *body = jv_report_table(work, section,
                                   jv_walk_kind_of(w) == JV_WALK_SENSOR
                                       ? "Record of the sensor walk, step by step"
                                       : "Record of the sag walk, step by step",
                                   columns, COUNT(columns));
    for (size_t i = 0; i < jv_walk_answers(w); i++) {
        const jv_walk_entry *e = jv_walk_entry_at(w, i);
        jv_tag *row = jv_report_row(work, body, jv_report_printf(work, "%zu. %s", i + 1, e->title));
        jv_report_cell(work, row, false, e->asked);
        jv_report_cell(work, row, false, e->words);
        jv_report_cell(work, row, false, e->meaning);
    }
    write_odds(work, section, jv_walk_finder(w), "after the walk");
}

/* --- the record --- */

static bool measures(const jv_walk_entry *e) {
    return e->act == JV_ACT_VOLTS || e->act == JV_ACT_AMPS || e->act == JV_ACT_OHMS ||
           e->act == JV_ACT_LOOK || e->act == JV_ACT_LOCATE;
}

/* The answer of the last repair that was done; the count of answers when there is none. */
static size_t repaired_at(const jv_walk *w) {
    size_t n = jv_walk_answers(w);
    for (size_t i = n; i-- > 0;)
        if (jv_walk_entry_at(w, i)->act == JV_ACT_REPAIR)
            return i;
    return n;
}

/* A title behind its first words: "Proof of the repair: Volts at ..". */
static const char *reading_of(const char *title) {
    const char *colon = strstr(title, ": ");
    return colon && !strncmp(title, "Proof", 5) ? colon + 2 : title;
}

static void entry(jv_report_work *work, jv_tag *list, const char *what, const char *text) {
    jv_tag_text(&work->page, list, "dt", NULL, what);
    jv_tag_text(&work->page, list, "dd", NULL, text);
}

/* What was told before the first reading, in one paragraph. */
static void write_complaint(jv_report_work *work, jv_tag *list) {
    const jv_walk *w = work->report->walk;
    jv_text text = {0};
    for (size_t i = 0; i < jv_walk_answers(w); i++) {
        const jv_walk_entry *e = jv_walk_entry_at(w, i);
        if (measures(e))
            break;
        if (e->act != JV_ACT_ANSWER)
            continue;
        jv_text_addf(&text, "%s%s %s", text.length ? " " : "", e->title, e->words);
        jv_text_add_char(&text, '.');
    }
    entry(work, list, "Complaint", jv_text_str(&text));
    work->page.failed |= text.failed;
    jv_text_clear(&text);
}

static void write_cause(jv_report_work *work, jv_tag *list) {
    const jv_walk *w = work->report->walk;
    const jv_suspect *named = jv_walk_named(w);
    size_t repair = repaired_at(w), n = jv_walk_answers(w);
    bool proved = jv_walk_ended(w) == JV_WALK_PROVED;
    if (named)
        entry(work, list, "Cause",
              jv_report_printf(work, "%s%s.", named->words,
                               proved ? "; its own reading was taken, and the repair proved" : ""));
    else
        entry(work, list, "Cause", "not named");
    if (named && repair < n)
        entry(work, list, "Correction",
              jv_report_printf(work, "%s: %s.", named->repair, jv_walk_entry_at(w, repair)->words));
    else if (named)
        entry(work, list, "Correction",
              jv_report_printf(work, "not done yet; what mends it: %s.", named->repair));
    else
        entry(work, list, "Correction", "none");
    if (*jv_walk_result(w))
        entry(work, list, "Result", jv_walk_result(w));
}

static void write_box(jv_report_work *work, jv_tag *row) {
    jv_tag *cell = jv_tag_add(&work->page, row, "td", NULL);
    jv_tag_set(&work->page, jv_tag_add(&work->page, cell, "span", "box"), "aria-hidden", "true");
}

/* Was this reading shown in the row of an earlier one? */
static bool shown_before(const jv_walk *w, size_t i) {
    for (size_t k = 0; k < i; k++) {
        const jv_walk_entry *e = jv_walk_entry_at(w, k), *now = jv_walk_entry_at(w, i);
        if ((measures(e) || e->act == JV_ACT_PROOF) &&
            !strcmp(reading_of(e->title), reading_of(now->title)))
            return true;
    }
    return false;
}

/* A row for each place: what it read last before the repair, and last after it. */
static void write_readings(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"Reading", "Probes", "#Before", "#After", "Amps then"};
    const jv_walk *w = work->report->walk;
    size_t n = jv_walk_answers(w), repair = repaired_at(w);
    jv_tag *body =
        jv_report_table(work, section, "Readings before and after", columns, COUNT(columns));
    for (size_t i = 0; i < n; i++) {
        const jv_walk_entry *e = jv_walk_entry_at(w, i);
        if ((!measures(e) && e->act != JV_ACT_PROOF) || shown_before(w, i))
            continue;
        const char *before = "", *after = "";
        for (size_t k = i; k < n; k++) {
            const jv_walk_entry *other = jv_walk_entry_at(w, k);
            if ((!measures(other) && other->act != JV_ACT_PROOF) ||
                strcmp(reading_of(other->title), reading_of(e->title)) != 0)
                continue;
            *(k < repair ? &before : &after) = other->words;
        }
        jv_tag *row = jv_report_row(work, body, reading_of(e->title));
        jv_report_cell(work, row, false, e->asked);
        jv_report_cell(work, row, true, before);
        if (*after || e->act == JV_ACT_OHMS || e->act == JV_ACT_LOOK)
            jv_report_cell(work, row, true, after);
        else
            write_box(work, row);
        if (e->act == JV_ACT_AMPS || e->act == JV_ACT_OHMS || e->act == JV_ACT_LOOK)
            jv_report_cell(work, row, false, "");
        else
            write_box(work, row);
    }
}

/* What a person still writes in by hand. */
void jv_section_customer(jv_report_work *work, jv_tag *section) {
    static const char *const lines[] = {"Parts fitted, size and fuse",
                                        "Temperature",
                                        "Battery charge, hours rested",
                                        "Vehicle, date",
                                        "Done by, signed",
                                        "Customer, signed"};
    jv_page *page = &work->page;
    jv_tag *p = jv_tag_add(page, section, "p", end_class(work->report->walk));
    jv_tag_text(page, p, "strong", NULL, end_words(work->report->walk));
    if (jv_walk_is_dead(work->report->walk))
        jv_tag_say(page, p, ". The power was left off.");
    jv_tag *list = jv_tag_add(page, section, "dl", NULL);
    write_complaint(work, list);
    write_cause(work, list);
    write_readings(work, section);
    jv_tag *grid = jv_tag_add(page, section, "div", "lines");
    if (work->report->meter)
        jv_tag_textf(page, grid, "p", NULL, "Meter: %s", work->report->meter);
    else
        jv_tag_text(page, grid, "p", NULL, "Meter, leads:");
    for (size_t i = 0; i < COUNT(lines); i++)
        jv_tag_textf(page, grid, "p", NULL, "%s:", lines[i]);
}

/* --- for the owner --- */

void jv_section_owner_walk(jv_report_work *work, jv_tag *section) {
    const jv_walk *w = work->report->walk;
    const jv_suspect *named = jv_walk_named(w);
    jv_page *page = &work->page;
    bool proved = jv_walk_ended(w) == JV_WALK_PROVED;
    jv_tag *p = jv_tag_add(page, section, "p", end_class(w));
    jv_tag_text(page, p, "strong", NULL,
                proved  ? "Found and mended."
                : named ? "Found, and not yet proved mended."
                        : "Not found yet.");
    if (named)
        jv_tag_say(page, p, jv_report_printf(work, " %s.", named->words));
    if (named && proved)
        jv_tag_textf(page, section, "p", NULL, "What was done: %s.", named->repair);
    else if (named)
        jv_tag_textf(page, section, "p", NULL, "What mends it: %s.", named->repair);
    if (*jv_walk_result(w))
        jv_tag_textf(page, section, "p", NULL, "%s", jv_walk_result(w));
    if (jv_walk_is_dead(w))
        jv_tag_text(page, section, "p", NULL,
                    "The power was left off. Do not switch it on: a technician checks for shorts "
                    "first.");
}
