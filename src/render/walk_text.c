/* walk_text.c - a step on a screen, and the record on paper. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "jackvolt/walk.h"
#include "render/paint.h"
#include "render/text_table.h"

#include <math.h>
#include <string.h>

enum { INDENT = 2, BAR = 20, ROWS = 5, LABEL = 9 };
static const double percent = 100.0;

static void rule(jv_text *out, const jv_style *style) {
    jv_text_repeat(out, style->ascii ? "-" : "\xE2\x94\x80", style->width);
    jv_text_add(out, "\n");
}

static jv_tint tint_of(jv_signal signal) {
    return signal == JV_SIGNAL_DANGER    ? JV_TINT_BAD
           : signal == JV_SIGNAL_WARNING ? JV_TINT_UNSURE
                                         : JV_TINT_STRONG;
}

void jv_cautions_text(uint32_t care, uint32_t told, const jv_style *style, jv_text *out) {
    enum { MOST = 32 };
    const jv_precaution *list[MOST];
    size_t n = jv_precautions_of(care, list, MOST);
    for (size_t k = 0; k < n && k < MOST; k++) {
        const char *word = jv_signal_word(list[k]->signal);
        jv_text lines = {0}; /* wrapped without the colour, which takes no columns */
        jv_text_add(&lines, word);
        jv_text_repeat(&lines, " ", LABEL - strlen(word));
        jv_wrap(&lines, told & (uint32_t)list[k]->care ? list[k]->brief : list[k]->text, LABEL,
                style->width);
        jv_paint(out, style->colour, tint_of(list[k]->signal), word);
        jv_text_add(out, jv_text_str(&lines) + (lines.failed ? 0 : strlen(word)));
        out->failed |= lines.failed;
        jv_text_clear(&lines);
    }
}

/* --- the way between the probes --- */

static void one_hop(jv_text *out, const jv_hop *h, const jv_style *style) {
    const char *line = style->ascii ? "--" : "\xE2\x94\x80\xE2\x94\x80";
    jv_text_addf(out, " %s[ %s ]%s %s", line, h->part, line, h->to);
}

/* One line where it fits, else one part a line; the probes stand at the two ends. */
static void print_way(const jv_step *s, const jv_style *style, jv_text *out) {
    const char *down = style->ascii ? "v" : "\xE2\x96\xBC";
    jv_text line = {0};
    jv_text_add(out, "\n");
    if (!s->n_way) {
        jv_text_addf(out, "  red %s %s     black %s %s\n", down, s->red, down, s->black);
        return;
    }
    jv_text_add(&line, s->way[0].from);
    for (size_t k = 0; k < s->n_way; k++)
        one_hop(&line, &s->way[k], style);
    size_t columns = jv_text_columns(jv_text_str(&line));
    if (columns + INDENT <= style->width) {
        size_t end = jv_text_columns(s->black), gap = columns - end;
        jv_text_addf(out, "  %s red", down);
        jv_text_repeat(out, " ", gap > 5 ? gap - 5 : 1);
        jv_text_addf(out, "%s black\n  %s\n", down, jv_text_str(&line));
    } else {
        jv_text_addf(out, "  red   > %s\n", s->way[0].from);
        for (size_t k = 0; k < s->n_way; k++) {
            jv_text_addf(out, "            [ %s ]\n", s->way[k].part);
            jv_text_addf(out, k + 1 == s->n_way ? "  black > %s\n" : "          %s\n",
                         s->way[k].to);
        }
    }
    out->failed |= line.failed;
    jv_text_clear(&line);
}

/* --- what it should read --- */

static jv_check_kind kind_of(const jv_step *s) {
    return s->wants == JV_WANTS_AMPS   ? JV_CHECK_AMPS
           : s->wants == JV_WANTS_OHMS ? JV_CHECK_OHMS
                                       : JV_CHECK_VOLTS;
}

static void band_row(jv_text_table *t, const char *what, jv_check_kind kind, const jv_expected *x,
                     double probability) {
    jv_text cell = {0};
    jv_text_table_row(t);
    jv_text_table_cell(t, what, JV_TINT_NONE);
    jv_band_print(&cell, kind, x);
    jv_text_table_cell(t, jv_text_str(&cell), JV_TINT_NONE);
    jv_text_clear(&cell);
    if (!isnan(probability))
        jv_text_addf(&cell, "%.0f %%", percent * probability);
    jv_text_table_cell(t, jv_text_str(&cell), JV_TINT_NONE);
    t->failed |= cell.failed;
    jv_text_clear(&cell);
}

static void print_reads(const jv_step *s, const jv_style *style, jv_text *out) {
    jv_text_table t = {0};
    if (!s->has_healthy)
        return;
    jv_text_add(out, "\n");
    jv_text_table_column(&t, "Should read", JV_LEFT);
    jv_text_table_column(&t, "", JV_LEFT);
    jv_text_table_column(&t, s->n_leading ? "odds" : "", JV_RIGHT);
    band_row(&t, s->act == JV_ACT_PROOF ? "mended" : "sound", kind_of(s), &s->healthy, NAN);
    for (size_t k = 0; k < s->n_leading; k++)
        band_row(&t, s->leading[k].words, kind_of(s), &s->leading[k].reads,
                 s->leading[k].probability);
    jv_text_table_print(&t, style, INDENT, out);
}

static const char *question(jv_wants wants) {
    switch (wants) {
    case JV_WANTS_CHOICE:
        return "Which one? (its number)";
    case JV_WANTS_DONE:
        return "Write done when it is done.";
    case JV_WANTS_AMPS:
        return "What does it read, in amps?";
    case JV_WANTS_OHMS:
        return "What does it read, in ohms? (OL = open)";
    case JV_WANTS_MILLIVOLTS:
        return "What does it read, in millivolts?";
    case JV_WANTS_RATIO:
        return "Which share?";
    case JV_WANTS_VOLTS:
        return "What does it read, in volts? (mV: write 35 mV)";
    case JV_WANTS_NOTHING:
        break;
    }
    return "";
}

static void print_numbered(const char *const *list, size_t n, const char *mark,
                           const jv_style *style, jv_text *out) {
    enum { HANG = 6 };
    for (size_t k = 0; k < n; k++) {
        jv_text_addf(out, " %3zu%s ", k + 1, mark);
        jv_wrap(out, list[k], HANG, style->width);
    }
}

void jv_step_text(const jv_step *s, const jv_style *style, jv_text *out) {
    jv_text title = {0};
    rule(out, style);
    jv_text_addf(&title, "Step %zu. %s", s->number, s->title);
    if (s->minutes > 0.0)
        jv_text_addf(&title, " (about %.0f min", s->minutes);
    if (s->minutes > 0.0 && s->to_go > s->minutes)
        jv_text_addf(&title, "; %.0f min to a working vehicle)", s->to_go);
    else if (s->minutes > 0.0)
        jv_text_add(&title, ")");
    jv_wrap(out, jv_text_str(&title), 0, style->width);
    rule(out, style);
    jv_cautions_text(s->care, s->told, style, out);
    if (s->n_cautions)
        jv_text_add(out, "\n");
    if (s->act == JV_ACT_END)
        for (size_t k = 0; k < s->n_lines; k++)
            jv_wrap(out, s->lines[k], 0, style->width);
    else
        print_numbered(s->lines, s->n_lines, ".", style, out);
    if (s->red)
        print_way(s, style, out);
    print_reads(s, style, out);
    if (s->n_choices) {
        if (s->n_lines)
            jv_text_add(out, "\n");
        print_numbered(s->choices, s->n_choices, ")", style, out);
    }
    if (s->wants != JV_WANTS_NOTHING)
        jv_text_addf(out, "\n%s\n", question(s->wants));
    out->failed |= title.failed;
    jv_text_clear(&title);
}

/* --- odds as bars --- */

void jv_odds_text(const jv_finder *f, const jv_style *style, jv_text *out) {
    static const double worth = 0.005;
    size_t n, shown = 0;
    const jv_odds *odds = jv_finder_odds(f, &n);
    jv_text_table t = {0};
    jv_text cell = {0};
    jv_text_table_column(&t, "Odds, of the faults considered", JV_LEFT);
    jv_text_table_column(&t, "", JV_LEFT);
    jv_text_table_column(&t, "", JV_RIGHT);
    for (size_t k = 0; k < n && shown < ROWS; k++) {
        if (odds[k].probability < worth)
            break;
        shown++;
        jv_text_table_row(&t);
        jv_text_table_cell(&t, jv_finder_suspect(f, odds[k].suspect)->words, JV_TINT_NONE);
        jv_bar(&cell, odds[k].probability, BAR, style->ascii);
        jv_text_table_cell(&t, jv_text_str(&cell), JV_TINT_NONE);
        jv_text_clear(&cell);
        jv_text_addf(&cell, "%.0f %%", percent * odds[k].probability);
        jv_text_table_cell(&t, jv_text_str(&cell), JV_TINT_NONE);
        jv_text_clear(&cell);
    }
    jv_text_table_print(&t, style, INDENT, out);
}

void jv_meaning_text(const jv_walk *w, const jv_style *style, jv_text *out) {
    size_t n = jv_walk_answers(w);
    const jv_walk_entry *e = n ? jv_walk_entry_at(w, n - 1) : NULL;
    if (e && *e->meaning) {
        jv_text_add(out, "\n");
        jv_wrap(out, e->meaning, 0, style->width);
    }
    bool measured = e && (e->act == JV_ACT_VOLTS || e->act == JV_ACT_AMPS ||
                          e->act == JV_ACT_OHMS || e->act == JV_ACT_LOOK);
    if (measured) {
        jv_text_add(out, "\n");
        jv_odds_text(jv_walk_finder(w), style, out);
    }
    jv_text_add(out, "\n");
}

/* --- the record --- */

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

void jv_walk_text(const jv_walk *w, const jv_style *style, jv_text *out) {
    enum { HANG = 5 };
    rule(out, style);
    jv_text line = {0};
    jv_text_addf(&line, "Record of the %s walk: %s",
                 jv_walk_kind_of(w) == JV_WALK_SENSOR ? "sensor" : "sag",
                 jv_circuit_name(jv_walk_circuit(w)));
    jv_wrap(out, jv_text_str(&line), 0, style->width);
    jv_text_addf(out, "%s\n", end_words(w));
    jv_wrap(out, jv_walk_result(w), 0, style->width);
    if (jv_walk_is_dead(w))
        jv_wrap(out,
                "The power was left off. It stays off until something is repaired and a check for "
                "shorts has passed.",
                0, style->width);
    jv_text_add(out, "\n");
    for (size_t k = 0; !style->quiet && k < jv_walk_answers(w); k++) {
        const jv_walk_entry *e = jv_walk_entry_at(w, k);
        jv_text_clear(&line);
        jv_text_addf(&line, "%s%s%s%s: %s", e->title, *e->asked ? " (" : "", e->asked,
                     *e->asked ? ")" : "", e->words);
        jv_text_addf(out, "%3zu. ", k + 1);
        jv_wrap(out, jv_text_str(&line), HANG, style->width);
        if (*e->meaning)
            jv_wrap(out, e->meaning, HANG, style->width);
    }
    if (!style->quiet) {
        jv_text_add(out, "\n");
        jv_odds_text(jv_walk_finder(w), style, out);
        jv_text_add(out, "\n");
        jv_wrap(out, jv_care_preface(), 0, style->width);
    }
    out->failed |= line.failed;
    jv_text_clear(&line);
}
