/* find_text.c - the fault finder for a person. SPDX-License-Identifier: MIT */
#include "jackvolt/evidence.h"
#include "jackvolt/render.h"
#include "render/find_out.h"
#include "render/paint.h"
#include "render/text_table.h"

#include <math.h>
#include <string.h>

enum { INDENT = 2, ROWS = 8, EXPLAINED = 3, BAR = 20 };
/* Columns that stand beside the words of each table, spaces between them included. */
enum { BESIDE_ODDS = 33, BESIDE_REASONS = 35, BESIDE_BANDS = 26, LEAST_WORDS = 20 };
static const double percent = 100.0;

/* Words cut into lines of a table's column. */
typedef struct words_lines {
    jv_text text;
    const char *next; /* "" at the end */
} words_lines;

static words_lines cut(const char *words, const jv_style *style, size_t beside) {
    words_lines l = {{0}, ""};
    size_t room = style->width > beside + LEAST_WORDS ? style->width - beside : LEAST_WORDS;
    jv_wrap(&l.text, words, 0, room);
    l.next = jv_text_str(&l.text);
    return l;
}

/* The next line as a cell. */
static void next_cell(jv_text_table *t, words_lines *l) {
    jv_text line = {0};
    size_t n = strcspn(l->next, "\n");
    jv_text_add_n(&line, l->next, n);
    l->next += n + (l->next[n] == '\n');
    jv_text_table_cell(t, jv_text_str(&line), JV_TINT_NONE);
    t->failed |= line.failed || l->text.failed;
    jv_text_clear(&line);
}

/* The lines that are left, each a row with `before` empty cells in front. */
static void rest_rows(jv_text_table *t, words_lines *l, size_t before) {
    while (*l->next) {
        jv_text_table_row(t);
        for (size_t k = 0; k < before; k++)
            jv_text_table_cell(t, NULL, JV_TINT_NONE);
        next_cell(t, l);
    }
    jv_text_clear(&l->text);
}

/* How many stand in the table: the likely ones, or all. */
static size_t count_ranked(const jv_odds *odds, size_t n, bool all) {
    size_t k = 0;
    while (k < n && (all || (k < ROWS && (!k || odds[k].probability >= JV_ODDS_LISTED))))
        k++;
    return k;
}

static void print_ranked(const jv_finder *f, bool all, const jv_style *style, jv_text *out) {
    size_t n;
    const jv_odds *odds = jv_finder_odds(f, &n);
    n = count_ranked(odds, n, all);
    jv_text_table t = {0};
    jv_text cell = {0};
    jv_text_table_column(&t, "", JV_RIGHT);
    jv_text_table_column(&t, "Of the faults considered", JV_LEFT);
    jv_text_table_column(&t, "odds", JV_LEFT);
    jv_text_table_column(&t, "", JV_RIGHT);
    for (size_t k = 0; k < n; k++) {
        jv_text_table_row(&t);
        jv_text_table_number(&t, (double)k + 1.0, 0);
        words_lines words = cut(jv_finder_suspect(f, odds[k].suspect)->words, style, BESIDE_ODDS);
        next_cell(&t, &words);
        jv_bar(&cell, odds[k].probability, BAR, style->ascii);
        jv_text_table_cell(&t, jv_text_str(&cell), JV_TINT_NONE);
        jv_text_clear(&cell);
        jv_text_addf(&cell, "%.0f %%", percent * odds[k].probability);
        jv_text_table_cell(&t, jv_text_str(&cell), JV_TINT_NONE);
        jv_text_clear(&cell);
        rest_rows(&t, &words, 1);
    }
    jv_text_table_print(&t, style, INDENT, out);
}

/* --- for and against --- */

static void reason_row(jv_text_table *t, jv_finder *f, const jv_reason *r, const jv_style *style) {
    const jv_check *v = jv_finder_check(f, r->check);
    jv_text cell = {0};
    jv_text_table_row(t);
    jv_text_addf(&cell, "%+.1f", fabs(r->for_it) < 0.05 ? 0.0 : r->for_it);
    jv_text_table_cell(t, jv_text_str(&cell), r->for_it < 0.0 ? JV_TINT_BAD : JV_TINT_GOOD);
    jv_text_clear(&cell);
    if (!v) {
        jv_symptom_print(f, r->symptom, &cell);
        words_lines seen = cut(jv_text_str(&cell), style, BESIDE_REASONS);
        jv_text_clear(&cell);
        next_cell(t, &seen);
        rest_rows(t, &seen, 1);
        return;
    }
    words_lines words = cut(v->text, style, BESIDE_REASONS);
    next_cell(t, &words);
    if (v->kind == JV_CHECK_LOOK)
        jv_text_add(&cell, r->value > 0.0 ? "looks bad" : "looks good");
    else
        jv_reading_print(&cell, v->kind, r->value);
    jv_text_table_cell(t, jv_text_str(&cell), JV_TINT_NONE);
    jv_text_clear(&cell);
    if (!isnan(r->expected))
        jv_reading_print(&cell, v->kind, r->expected);
    jv_text_table_cell(t, jv_text_str(&cell), JV_TINT_NONE);
    t->failed |= cell.failed;
    jv_text_clear(&cell);
    rest_rows(t, &words, 1);
}

static jv_status print_reasons(jv_finder *f, size_t suspect, const jv_style *style, jv_text *out) {
    const jv_reason *reasons;
    size_t n;
    jv_text_table t = {0};
    jv_status status = jv_finder_explain(f, suspect, &reasons, &n);
    if (status != JV_OK || n == 0)
        return status;
    jv_text title = {0};
    jv_text_addf(&title, "%s: what speaks for it (+) and against it (-), in bits",
                 jv_finder_suspect(f, suspect)->words);
    jv_text_add_char(out, '\n');
    jv_wrap(out, jv_text_str(&title), 0, style->width);
    out->failed |= title.failed;
    jv_text_clear(&title);
    jv_text_table_column(&t, "bits", JV_RIGHT);
    jv_text_table_column(&t, "evidence", JV_LEFT);
    jv_text_table_column(&t, "read", JV_RIGHT);
    jv_text_table_column(&t, "it would read", JV_RIGHT);
    for (size_t k = 0; k < n; k++)
        reason_row(&t, f, &reasons[k], style);
    jv_text_table_print(&t, style, INDENT, out);
    return JV_OK;
}

/* --- next --- */

static void expect_row(jv_text_table *t, const char *what, jv_check_kind kind, const jv_expected *x,
                       const jv_style *style) {
    jv_text band = {0};
    words_lines words = cut(what, style, BESIDE_BANDS);
    jv_text_table_row(t);
    next_cell(t, &words);
    jv_band_print(&band, kind, x);
    jv_text_table_cell(t, jv_text_str(&band), JV_TINT_NONE);
    t->failed |= band.failed;
    jv_text_clear(&band);
    rest_rows(t, &words, 0);
}

static void print_check(jv_finder *f, const jv_next *next, const jv_style *style, jv_text *out) {
    const jv_check *v = jv_finder_check(f, next->check);
    jv_text line = {0};
    jv_text_add(out, "\n");
    jv_cautions_text(v->care, ~(uint32_t)0, style, out);
    jv_text_addf(&line, "Next: %s (about %.0f minutes).", v->text, next->minutes);
    jv_wrap(out, jv_text_str(&line), 0, style->width);
    if (v->kind != JV_CHECK_LOOK) {
        jv_text_table t = {0};
        jv_text_table_column(&t, "It should read", JV_LEFT);
        jv_text_table_column(&t, "", JV_LEFT);
        jv_expected sound = jv_finder_expect(f, next->check, JV_FIND_NONE);
        expect_row(&t, "sound circuit", v->kind, &sound, style);
        for (size_t k = 0; k < next->n_leading; k++) {
            jv_expected x = jv_finder_expect(f, next->check, next->leading[k]);
            if (next->leading[k] + 1 < jv_finder_suspects(f))
                expect_row(&t, jv_finder_suspect(f, next->leading[k])->words, v->kind, &x, style);
        }
        jv_text_table_print(&t, style, INDENT, out);
    }
    out->failed |= line.failed;
    jv_text_clear(&line);
}

/* Suspects that no check here can tell from the one named, as a sentence. */
static void add_twins(jv_finder *f, const jv_closure *now, jv_text *line) {
    for (size_t k = 0; k < now->n_twins; k++)
        jv_text_addf(line, "%s%s", k ? "; " : " No check here can tell it from: ",
                     jv_finder_suspect(f, now->twins[k])->words);
    jv_text_add(line, now->n_twins ? "." : "");
}

static void print_repair(jv_finder *f, const jv_next *next, const jv_style *style, jv_text *out) {
    const jv_suspect *x = jv_finder_suspect(f, next->suspect);
    jv_closure now;
    jv_text line = {0};
    jv_text_add(out, "\n");
    jv_cautions_text(JV_CARE_SOURCES | JV_CARE_RINGS | JV_CARE_UNCOMMANDED | JV_CARE_FUSE |
                         JV_CARE_RESTORE,
                     ~(uint32_t)0, style, out);
    jv_text_addf(&line, "Found: %s. What mends it: %s (about %.0f minutes).", x->words, x->repair,
                 x->minutes);
    bool closed = jv_finder_closure(f, &now) == JV_OK;
    if (closed)
        add_twins(f, &now, &line);
    if (closed && now.proof != JV_FIND_NONE) {
        const jv_check *v = jv_finder_check(f, now.proof);
        jv_text_addf(&line, " Proved by: %s reads ", v->text);
        jv_band_print(&line, v->kind, &now.proof_reads);
        jv_text_add(&line, ".");
    }
    jv_wrap(out, jv_text_str(&line), 0, style->width);
    out->failed |= line.failed;
    jv_text_clear(&line);
}

static jv_status print_open(jv_finder *f, const jv_style *style, jv_text *out) {
    jv_closure now;
    jv_text line = {0};
    jv_status status = jv_finder_closure(f, &now);
    if (status != JV_OK)
        return status;
    const jv_check *v = jv_finder_check(f, now.odd_check);
    if (now.state == JV_FIND_UNEXPLAINED && v && v->kind != JV_CHECK_LOOK) {
        jv_text_addf(&line,
                     "No modelled fault explains the reading at %s; the best of them would read ",
                     v->text);
        jv_band_print(&line, v->kind, &now.odd_reads);
        jv_text_add(&line,
                    ". Check the meter and the probes and take it again, or compare the file "
                    "with the vehicle.");
    } else if (now.state == JV_FIND_UNEXPLAINED) {
        jv_text_add(&line,
                    "No modelled fault explains the evidence. Check the readings, or compare the "
                    "file with the vehicle.");
    } else {
        jv_text_add(&line, "No reading that is left tells more than it costs.");
        if (now.n_twins)
            jv_text_addf(&line, " Likeliest: %s.", jv_finder_suspect(f, now.suspect)->words);
        add_twins(f, &now, &line);
    }
    jv_text_add(out, "\n");
    jv_wrap(out, jv_text_str(&line), 0, style->width);
    out->failed |= line.failed;
    jv_text_clear(&line);
    return JV_OK;
}

static jv_status print_next(jv_finder *f, const jv_style *style, jv_text *out) {
    jv_next next;
    jv_status status = jv_finder_next(f, &next);
    if (status != JV_OK)
        return status;
    switch (next.kind) {
    case JV_NEXT_CHECK:
    case JV_NEXT_CONFIRM:
    case JV_NEXT_PROOF:
        print_check(f, &next, style, out);
        break;
    case JV_NEXT_REPAIR:
        print_repair(f, &next, style, out);
        break;
    case JV_NEXT_DONE:
    case JV_NEXT_OPEN:
        status = print_open(f, style, out);
        break;
    }
    jv_text_addf(out, "Expected minutes to a working vehicle: %.0f.\n", next.to_go);
    return status;
}

jv_status jv_find_text(jv_finder *f, const jv_circuit *c, size_t why, bool all,
                       const jv_style *style, jv_text *out) {
    size_t n;
    const jv_odds *odds = jv_finder_odds(f, &n);
    jv_status status = JV_OK;
    jv_text_addf(out, "%s\n\n", jv_circuit_name(c));
    print_ranked(f, all, style, out);
    /* What explains is worked out anew: the odds are copied first. */
    size_t top[EXPLAINED], n_top = 0;
    for (size_t k = 0; k < n && n_top < EXPLAINED && odds[k].probability >= JV_ODDS_LISTED; k++)
        if (odds[k].suspect + 1 < n)
            top[n_top++] = odds[k].suspect;
    if (why != JV_FIND_NONE)
        status = print_reasons(f, why, style, out);
    for (size_t k = 0; k < n_top && status == JV_OK && !style->quiet && why == JV_FIND_NONE; k++)
        status = print_reasons(f, top[k], style, out);
    return status == JV_OK ? print_next(f, style, out) : status;
}
