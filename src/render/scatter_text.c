/* scatter_text.c - worst case and odds for a person. SPDX-License-Identifier: MIT */
#include "jackvolt/memory.h"
#include "jackvolt/render.h"
#include "render/text_table.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double percent = 100.0;
/* Shares below this go into one line. */
static const double shown_share = 0.01;
enum { DIGITS = 3, INDENT = 2, BAR = 24, SHOWN = 8 };

static double shown_v(double volts) {
    return fabs(volts) < 0.005 ? 0.0 : volts;
}

/* A share in percent with as many digits as it bears: 0.0042 %, 1.3 %, 98.5 %. */
static void add_percent(jv_text *out, double share) {
    double p = percent * share;
    if (p == 0.0 || p == percent)
        jv_text_addf(out, "%.0f %%", p);
    else if (p < 0.1 || p > 99.9)
        jv_text_addf(out, p < 0.1 ? "%.2g %%" : "%.3f %%", p);
    else
        jv_text_addf(out, "%.1f %%", p);
}

/* "1,000,000" */
static void add_count(jv_text *out, uint64_t n) {
    char digits[32];
    size_t k = sizeof digits, since = 0;
    do {
        if (since && since % 3 == 0)
            digits[--k] = ',';
        digits[--k] = (char)('0' + n % 10);
        n /= 10;
        since++;
    } while (n);
    jv_text_add_n(out, digits + k, sizeof digits - k);
}

static void wrap(jv_text *out, jv_text *line, size_t indent, const jv_style *style) {
    jv_wrap(out, jv_text_str(line), indent, style->width);
    out->failed |= line->failed;
    jv_text_clear(line);
}

/* --- verdicts --- */

static const char *verdict_of(const jv_scatter_watch *w, jv_tint *tint) {
    /* Words for odds: below one in twenty "seldom", to nineteen in twenty "often" (judgement). */
    static const double seldom = 0.05, nearly_always = 0.95;
    *tint = JV_TINT_BAD;
    if (isnan(w->trip_probability))
        return "NO ANSWER";
    if (w->trip_probability > nearly_always)
        return "TRIPS";
    if (w->trip_probability > seldom)
        return "OFTEN TRIPS";
    *tint = JV_TINT_UNSURE;
    if (w->trips)
        return "SELDOM TRIPS";
    if (w->unsolved)
        return "NOT ALL SOLVED";
    if (w->worst.found && w->worst.margin_v < 0.0)
        return "CAN TRIP";
    *tint = JV_TINT_GOOD;
    return "HOLDS";
}

static void print_odds(const jv_scatter *s, const jv_scatter_watch *w, const jv_style *style,
                       jv_text *out) {
    jv_text line = {0};
    jv_tint tint;
    const char *word = verdict_of(w, &tint);
    jv_text_addf(out, "\"%s\", limit %.2f V%s%s%s\n", w->name, w->limit_v,
                 w->assumed ? ", assumed (" : "", w->assumed && w->basis ? w->basis : "",
                 w->assumed ? ")" : "");
    jv_paint(out, style->colour, tint, word);
    if (isnan(w->trip_probability)) {
        jv_text_add(&line, ": no draw has an operating point.");
    } else if (w->trips) {
        jv_text_add(&line, ": in ");
        add_percent(&line, w->trip_probability);
        jv_text_add(&line, " of the draws (95 % interval ");
        add_percent(&line, w->low95);
        jv_text_add(&line, " to ");
        add_percent(&line, w->high95);
        jv_text_add(&line, ").");
    } else {
        jv_text_add(&line, ": no trip in ");
        add_count(&line, s->draws - w->unsolved);
        jv_text_add(&line, " draws (95 % interval: at most ");
        add_percent(&line, w->high95);
        jv_text_add(&line, ").");
    }
    if (w->unsolved) {
        jv_text_add(&line, " ");
        add_count(&line, w->unsolved);
        jv_text_add(&line, " draws have no operating point: they count as holding at one end of "
                           "the interval and as trips at the other.");
    }
    wrap(out, &line, INDENT, style);
}

/* --- worst case --- */

static void add_value(jv_text *line, const jv_scatter_quantity *q, double value,
                      const jv_style *style) {
    if (q->dim == JV_DIM_NUMBER)
        jv_text_addf(line, "%.3g", value);
    else
        jv_quantity_print(line, value, q->dim, style->units, DIGITS);
}

static void print_worst(const jv_scatter_watch *w, const jv_style *style, jv_text *out) {
    const jv_scatter_worst *worst = &w->worst;
    jv_text line = {0};
    if (!worst->at)
        return;
    if (!worst->found) {
        jv_text_add(&line, "Worst case: unknown. With the quantities at the ends where their "
                           "sensitivities lead, there is no operating point.");
    } else {
        jv_text_addf(&line, "Worst case: %.2f V, %.2f V %s the limit. ", shown_v(worst->seen_v),
                     fabs(worst->margin_v), worst->margin_v < 0.0 ? "below" : "above");
        if (worst->proved)
            jv_text_addf(&line,
                         "Nothing worse at %zu points between, and each quantity pulls one way "
                         "at all of them.",
                         worst->tried);
        else
            jv_text_addf(&line,
                         "Not proved: of %zu points between, some were worse, had no operating "
                         "point, or a quantity pulled the other way there. The lowest is shown.",
                         worst->tried);
    }
    wrap(out, &line, INDENT, style);
}

/* --- contributions --- */

typedef struct jv_ranked {
    size_t quantity;
    double share;
} jv_ranked;

static int larger_first(const void *a, const void *b) {
    const jv_ranked *x = a, *y = b;
    if (x->share != y->share)
        return x->share < y->share ? 1 : -1;
    return x->quantity < y->quantity ? -1 : 1;
}

static void cell(jv_text_table *t, jv_text *text) {
    jv_text_table_cell(t, jv_text_str(text), JV_TINT_NONE);
    t->failed |= text->failed;
    jv_text_clear(text);
}

/* The last of a row: line ends carry no spaces. */
static void bar_cell(jv_text_table *t, double share, const jv_style *style) {
    jv_text text = {0};
    jv_bar(&text, share, BAR, style->ascii);
    while (text.length && text.data[text.length - 1] == ' ')
        text.data[--text.length] = '\0';
    cell(t, &text);
}

/* at: where the worst case has it; may be empty. */
static void share_row(jv_text_table *t, const char *name, double share, jv_text *at,
                      const jv_style *style) {
    jv_text text = {0};
    jv_text_table_row(t);
    jv_text_table_cell(t, name, JV_TINT_NONE);
    cell(t, at);
    jv_text_addf(&text, "%.0f %%", percent * share);
    cell(t, &text);
    bar_cell(t, share, style);
}

static void quantity_row(jv_text_table *t, const jv_scatter *s, const jv_scatter_watch *w,
                         const jv_ranked *r, const jv_style *style) {
    const jv_scatter_quantity *q = &s->quantities[r->quantity];
    jv_text text = {0}, at = {0};
    if (q->parts > 1)
        jv_text_addf(&text, "%s (shared by %zu)", q->name, q->parts);
    if (w->worst.found)
        add_value(&at, q, w->worst.at[r->quantity], style);
    share_row(t, q->parts > 1 ? jv_text_str(&text) : q->name, r->share, &at, style);
    t->failed |= text.failed;
    jv_text_clear(&text);
}

static void print_shares(const jv_scatter *s, const jv_scatter_watch *w, const jv_style *style,
                         jv_text *out) {
    jv_ranked *ranked = jv_alloc(s->n_quantities + 1, sizeof *ranked);
    if (!ranked) {
        out->failed = true;
        return;
    }
    for (size_t q = 0; q < s->n_quantities; q++) {
        ranked[q].quantity = q;
        ranked[q].share = w->share[q];
    }
    qsort(ranked, s->n_quantities, sizeof *ranked, larger_first);
    jv_text_table t = {0};
    jv_text_table_column(&t, "What it hangs on", JV_LEFT);
    jv_text_table_column(&t, w->worst.found ? "worst at" : "", JV_LEFT);
    jv_text_table_column(&t, "share", JV_RIGHT);
    jv_text_table_column(&t, "", JV_LEFT);
    size_t shown = 0;
    double others = 0.0;
    for (; shown < s->n_quantities && shown < SHOWN && ranked[shown].share >= shown_share; shown++)
        quantity_row(&t, s, w, &ranked[shown], style);
    for (size_t q = shown; q < s->n_quantities; q++)
        others += ranked[q].share;
    jv_text text = {0}, nowhere = {0};
    jv_text_addf(&text, "%zu others", s->n_quantities - shown);
    if (shown < s->n_quantities)
        share_row(&t, jv_text_str(&text), others, &nowhere, style);
    share_row(&t, "only several together", w->rest, &nowhere, style);
    jv_text_add(out, "\n");
    jv_text_table_print(&t, style, INDENT, out);
    out->failed |= text.failed;
    jv_text_clear(&text);
    jv_free(ranked);
}

/* --- histogram --- */

static size_t bin_at(double volts) {
    double place = (volts - JV_SCATTER_LEAST_V) / JV_SCATTER_BIN_V;
    return (size_t)fmin(fmax(place, 0.0), JV_SCATTER_BINS - 1.0);
}

/* Steps of 1, 2 or 5 times a power of ten, about `rows` of them. */
static double step_for(double width, double rows) {
    double step = pow(10.0, floor(log10(fmax(width, 10.0 * JV_SCATTER_BIN_V) / rows)));
    static const double steps[] = {1.0, 2.0, 5.0};
    for (size_t k = 0; k < sizeof steps / sizeof steps[0]; k++)
        if (width / (step * steps[k]) <= rows)
            return step * steps[k];
    return 10.0 * step;
}

static uint64_t count_between(const jv_scatter_watch *w, double low, double high) {
    uint64_t sum = 0;
    size_t end = bin_at(high);
    for (size_t k = bin_at(low); k < end; k++)
        sum += w->bins[k];
    return sum;
}

/* The volts that a draw must have had to be drawn. */
static bool find_ends(const jv_scatter_watch *w, double *low, double *high) {
    size_t first = 0, last = JV_SCATTER_BINS;
    while (first < JV_SCATTER_BINS && !w->bins[first])
        first++;
    while (last > first && !w->bins[last - 1])
        last--;
    *low = JV_SCATTER_LEAST_V + (double)first * JV_SCATTER_BIN_V;
    *high = JV_SCATTER_LEAST_V + (double)last * JV_SCATTER_BIN_V;
    return last > first;
}

static void print_histogram(const jv_scatter *s, const jv_scatter_watch *w, const jv_style *style,
                            jv_text *out) {
    enum { ROWS = 10 };
    double low, high, solved = (double)(s->draws - w->unsolved);
    uint64_t most = 1;
    if (!find_ends(w, &low, &high))
        return;
    double step = step_for(high - low, ROWS), start = floor(low / step);
    size_t rows = (size_t)(ceil(high / step) - start);
    for (size_t k = 0; k < rows; k++) {
        uint64_t n = count_between(w, (start + (double)k) * step, (start + (double)k + 1.0) * step);
        most = n > most ? n : most;
    }
    jv_text_table t = {0};
    jv_text_table_column(&t, "Volts seen", JV_RIGHT);
    jv_text_table_column(&t, "draws", JV_RIGHT);
    jv_text_table_column(&t, "", JV_LEFT);
    jv_text_table_column(&t, "", JV_LEFT);
    for (size_t k = 0; k < rows; k++) {
        double from = (start + (double)k) * step, to = (start + (double)k + 1.0) * step;
        uint64_t n = count_between(w, from, to);
        jv_text text = {0};
        jv_text_table_row(&t);
        jv_text_addf(&text, step < 0.01 ? "%.3f V" : "%.2f V", from + 0.0);
        cell(&t, &text);
        add_percent(&text, (double)n / solved);
        cell(&t, &text);
        bool here = w->limit_v >= from && w->limit_v < to;
        jv_text_table_cell(&t, here ? "limit" : "", JV_TINT_STRONG);
        bar_cell(&t, (double)n / (double)most, style);
    }
    jv_text_add(out, "\n");
    jv_text_table_print(&t, style, INDENT, out);
}

static void print_volts(const jv_scatter_watch *w, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    if (isnan(w->p50_v))
        return;
    if (!isnan(w->nominal_v))
        jv_text_addf(&line, "%.2f V with nothing varied. ", shown_v(w->nominal_v));
    jv_text_addf(&line,
                 "Of a hundred draws one is below %.2f V, half are below %.2f V, one is "
                 "above %.2f V.",
                 shown_v(w->p1_v), shown_v(w->p50_v), shown_v(w->p99_v));
    wrap(out, &line, INDENT, style);
}

static void print_watch(const jv_scatter *s, const jv_scatter_watch *w, const jv_style *style,
                        jv_text *out) {
    jv_text_add(out, "\n");
    print_odds(s, w, style, out);
    if (style->quiet)
        return;
    jv_text_repeat(out, " ", INDENT);
    print_volts(w, style, out);
    jv_text_repeat(out, " ", INDENT);
    print_worst(w, style, out);
    if (w->share)
        print_shares(s, w, style, out);
    print_histogram(s, w, style, out);
}

static void print_head(const jv_scatter *s, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    jv_text_addf(&line, "%s%scase \"%s\": ", s->circuit, *s->circuit ? ", " : "", s->case_name);
    add_count(&line, s->draws);
    jv_text_addf(&line, " draws of %zu quantities that have a spread, seed %llu.", s->n_quantities,
                 (unsigned long long)s->seed);
    wrap(out, &line, 0, style);
    if (!s->interrupted)
        return;
    jv_text_add(&line, "STOPPED EARLY: this is the answer of the draws so far, of ");
    add_count(&line, s->asked);
    jv_text_add(&line, " asked for.");
    wrap(out, &line, 0, style);
}

void jv_scatter_text(const jv_scatter *s, const jv_style *style, jv_text *out) {
    size_t counted = 0;
    print_head(s, style, out);
    for (size_t k = 0; k < s->n_watches; k++) {
        if (!s->watches[k].counts)
            continue;
        counted++;
        print_watch(s, &s->watches[k], style, out);
    }
    if (!counted)
        jv_text_add(out, "No watch counts in this case.\n");
    if (style->quiet || !counted)
        return;
    jv_text line = {0};
    jv_text_add(&line, "Steady volts: how long a limit may be passed is not looked at. The worst "
                       "case takes the ends of a range, and two standard deviations of \"+/-\" "
                       "and \"*/\". A share is of the variance of the volts.");
    jv_text_add(out, "\n");
    wrap(out, &line, 0, style);
}
