/* sequence_text.c - a run in time for a person. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "jackvolt/sequence.h"
#include "render/plot.h"
#include "render/text_table.h"

#include <math.h>
#include <string.h>

static const double percent = 100.0;
static const double noticed = 1e-3; /* of a fuse's way to opening */
enum { INDENT = 2, PLOT_ROWS = 8, STORY = 4, DIGITS = 3 };

static void cell(jv_text_table *t, jv_text *text, jv_tint tint) {
    jv_text_table_cell(t, jv_text_str(text), tint);
    if (text->failed)
        t->failed = true;
    jv_text_clear(text);
}

static void cell_v(jv_text_table *t, double volts) {
    jv_text text = {0};
    if (isnan(volts))
        jv_text_add(&text, "-");
    else
        jv_text_addf(&text, "%.2f V", volts + 0.0);
    cell(t, &text, JV_TINT_NONE);
}

static void cell_q(jv_text_table *t, double value, jv_dim dim, jv_units units, int digits) {
    jv_text text = {0};
    if (isnan(value))
        jv_text_add(&text, "-");
    else
        jv_quantity_print(&text, value, dim, units, digits);
    cell(t, &text, JV_TINT_NONE);
}

static void wrapped(jv_text *out, jv_text *line, size_t indent, const jv_style *style) {
    jv_wrap(out, jv_text_str(line), indent, style->width);
    if (line->failed)
        out->failed = true;
    jv_text_clear(line);
}

static const jv_sequence_watch *first_trip(const jv_sequence *s) {
    const jv_sequence_watch *best = NULL;
    for (size_t k = 0; k < s->n_watches; k++)
        if (s->watches[k].trips && (!best || s->watches[k].first_trip_s < best->first_trip_s))
            best = &s->watches[k];
    return best;
}

/* --- verdict --- */

static void add_cause(const jv_sequence *s, const jv_sequence_watch *w, jv_text *line) {
    const jv_sequence_cause *c = &w->cause;
    const char *widest = jv_circuit_part_name(s->circuit, c->widest);
    double lost = c->source_v + c->plus_v + c->return_v;
    if (!widest || !(lost > 0.0))
        return;
    jv_text_addf(line,
                 " Of the %.2f V that were lost at %.0f A, %.0f %% went in the source, %.0f %% on "
                 "the plus side, %.0f %% on the return side; most in \"%s\": %.0f %%.",
                 lost, c->current_a, percent * c->source_v / lost, percent * c->plus_v / lost,
                 percent * c->return_v / lost, widest, percent * c->widest_v / lost);
}

/* The first serious event, when no watch tripped. */
static const jv_sequence_event *first_serious(const jv_sequence *s) {
    for (size_t k = 0; k < s->n_events; k++)
        if (s->events[k].serious)
            return &s->events[k];
    return NULL;
}

/* The nearest to its limit, for its dwell; one that counts while motors run before one at rest. */
static const jv_sequence_watch *nearest(const jv_sequence *s) {
    const jv_sequence_watch *best = NULL;
    for (int pass = 0; pass < 2 && !best; pass++)
        for (size_t k = 0; k < s->n_watches; k++) {
            const jv_sequence_watch *w = &s->watches[k];
            if (isnan(w->held_lowest_v) || w->at_rest != (pass == 1))
                continue;
            if (!best || w->held_lowest_v - w->limit_v < best->held_lowest_v - best->limit_v)
                best = w;
        }
    return best;
}

/* What came under its limit for less than its dwell was close, too. */
static void add_dips(const jv_sequence *s, jv_text *line) {
    for (size_t k = 0; k < s->n_watches; k++) {
        const jv_sequence_watch *w = &s->watches[k];
        if (w->trips || !(w->longest_under_s > 0.0) || !(w->held_for_s > 0.0))
            continue;
        jv_text_addf(line, " \"%s\" was under its limit for %.0f ms at most and waits %.0f ms.",
                     w->name, fmax(1e3 * w->longest_under_s, 1.0), 1e3 * w->held_for_s);
    }
}

static void print_verdict(const jv_sequence *s, const jv_style *style, jv_text *out) {
    jv_text line = {0};
    const jv_sequence_watch *w = first_trip(s);
    const jv_sequence_event *e = first_serious(s);
    if (w) {
        jv_paint(out, style->colour, JV_TINT_BAD, "TRIPS");
        jv_text_addf(&line, ": \"%s\" at %.3f s, in \"%s\": %.2f V, under its %slimit of %.2f V",
                     w->name, w->first_trip_s,
                     w->cause.step < s->n_steps ? s->steps[w->cause.step] : "the end",
                     w->cause.seen_v, w->assumed ? "assumed " : "", w->limit_v);
        if (w->held_for_s > 0.0)
            jv_text_addf(&line, " for %g ms", 1e3 * w->held_for_s);
        jv_text_add(&line, ".");
        add_cause(s, w, &line);
    } else if (s->finding && e) {
        jv_paint(out, style->colour, JV_TINT_UNSURE, "LOOK");
        jv_text_addf(&line, ": at %.3f s %s.", e->t_s, e->text);
    } else {
        const jv_sequence_watch *near = nearest(s);
        bool whole = s->stop == JV_STOP_DONE;
        jv_paint(out, style->colour, whole ? JV_TINT_GOOD : JV_TINT_UNSURE,
                 whole ? "HOLDS" : "STOPPED, held so far");
        jv_text_addf(&line, ": %s after %.1f s.", s->end, s->end_s);
        if (near)
            jv_text_addf(
                &line,
                " Nearest to its limit is \"%s\": no lower than %.2f V for %s, %.2f V above "
                "its %slimit of %.2f V.",
                near->name, near->held_lowest_v, near->held_for_s > 0.0 ? "its dwell" : "a moment",
                near->held_lowest_v - near->limit_v, near->assumed ? "assumed " : "",
                near->limit_v);
        add_dips(s, &line);
    }
    wrapped(out, &line, 0, style);
}

/* --- story --- */

static void print_story(const jv_sequence *s, const jv_style *style, jv_text *out) {
    jv_text_add(out, "\nWhat happened\n");
    for (size_t k = 0; k < s->n_events; k++) {
        const jv_sequence_event *e = &s->events[k];
        jv_text line = {0};
        jv_text_addf(out, "%9.3f s %s ", e->t_s, e->serious ? "!" : " ");
        if (e->what == JV_STEP_STARTS)
            jv_text_addf(&line, "[%s]", e->text);
        else if (e->what == JV_ENDS)
            jv_text_addf(&line, "the end: %s", e->text);
        else
            jv_text_add(&line, e->text);
        if (e->weak)
            jv_text_add(&line, " (not sure: see the figures' source)");
        wrapped(out, &line, 14, style);
    }
}

/* --- tables --- */

static void cell_under(jv_text_table *t, double seconds) {
    jv_text text = {0};
    if (!(seconds > 0.0))
        jv_text_add(&text, "-");
    else if (seconds < 1.0)
        jv_text_addf(&text, "%.0f ms", fmax(1e3 * seconds, 1.0));
    else
        jv_text_addf(&text, "%.1f s", seconds);
    cell(t, &text, JV_TINT_NONE);
}

static void print_watches(const jv_sequence *s, const jv_style *style, jv_text *out) {
    jv_text_table t = {0};
    bool assumed = false;
    static const char *const heads[] = {"Watch", "limit", "lowest", "at",
                                        "held",  "shown", "under",  "trips"};
    for (size_t k = 0; k < sizeof heads / sizeof heads[0]; k++)
        jv_text_table_column(&t, heads[k], k ? JV_RIGHT : JV_LEFT);
    for (size_t k = 0; k < s->n_watches; k++) {
        const jv_sequence_watch *w = &s->watches[k];
        jv_text text = {0};
        jv_text_table_row(&t);
        jv_text_addf(&text, "%s%s", w->name, w->assumed ? " *" : "");
        assumed = assumed || w->assumed;
        cell(&t, &text, JV_TINT_NONE);
        cell_v(&t, w->limit_v);
        cell_v(&t, w->lowest_v);
        if (isnan(w->at_s))
            jv_text_add(&text, "-");
        else
            jv_text_addf(&text, "%.2f s", w->at_s);
        cell(&t, &text, JV_TINT_NONE);
        cell_v(&t, w->held_lowest_v);
        cell_v(&t, w->shown_lowest_v);
        cell_under(&t, w->under_s);
        jv_text_add(&text, w->trips ? "TRIPS" : isnan(w->lowest_v) ? "unused" : "holds");
        cell(&t, &text, w->trips ? JV_TINT_BAD : JV_TINT_NONE);
    }
    jv_text_add(out, "\n");
    jv_text_table_print(&t, style, INDENT, out);
    jv_text note = {0};
    jv_text_add(&note, "held: no lower than this for its whole dwell; shown: the lowest that a "
                       "display would have shown; under: time under the limit");
    if (assumed)
        jv_text_add(&note, "; *: the file gives no limit, this one is assumed");
    jv_text_repeat(out, " ", INDENT);
    wrapped(out, &note, INDENT, style);
}

/* Columns that say something of one of the motors at least. */
typedef struct jv_motor_columns {
    size_t motors;
    bool limits, travel, pulses;
} jv_motor_columns;

static bool has_run(const jv_sequence_part *p) {
    return !isnan(p->runs_s) && p->runs_s > 0.0;
}

static jv_motor_columns motor_columns(const jv_sequence *s) {
    jv_motor_columns found = {0};
    for (size_t i = 0; i < jv_circuit_parts(s->circuit); i++) {
        const jv_sequence_part *p = &s->parts[i];
        if (!has_run(p))
            continue;
        found.motors++;
        found.limits = found.limits || !isnan(p->limit_s);
        found.travel = found.travel || !isnan(p->travel_m);
        found.pulses = found.pulses || !isnan(p->lost_pulses);
    }
    return found;
}

static void print_motor(const jv_sequence *s, size_t i, const jv_motor_columns *columns,
                        jv_text_table *t, jv_units units) {
    static const double least_m = 0.5e-3; /* less than this is no way to go */
    const jv_sequence_part *p = &s->parts[i];
    jv_text text = {0};
    jv_text_table_row(t);
    jv_text_table_cell(t, jv_circuit_part_name(s->circuit, i), JV_TINT_NONE);
    jv_text_addf(&text, p->runs_s < 1.0 ? "%.2f s" : "%.1f s", p->runs_s);
    cell(t, &text, JV_TINT_NONE);
    if (columns->limits) {
        if (isnan(p->limit_s))
            jv_text_add(&text, "-");
        else
            jv_text_addf(&text, "%.0f s", p->limit_s);
        cell(t, &text, JV_TINT_NONE);
    }
    if (columns->travel && fabs(p->travel_m) < least_m)
        jv_text_table_cell(t, "0", JV_TINT_NONE);
    else if (columns->travel)
        cell_q(t, p->travel_m, JV_DIM_LENGTH, units, 2);
    cell_q(t, p->peak_a, JV_DIM_CURRENT, units, DIGITS);
    cell_q(t, p->hottest_c, JV_DIM_TEMPERATURE, units, 2);
    if (!columns->pulses)
        return;
    if (isnan(p->lost_pulses))
        jv_text_add(&text, "-");
    else
        jv_text_addf(&text, "%.0f of %.0f", p->lost_pulses, p->pulses + p->lost_pulses);
    cell(t, &text, JV_TINT_NONE);
}

static void print_motors(const jv_sequence *s, const jv_style *style, jv_text *out) {
    jv_motor_columns columns = motor_columns(s);
    jv_text_table t = {0};
    if (!columns.motors)
        return;
    jv_text_table_column(&t, "Jacks and pumps", JV_LEFT);
    jv_text_table_column(&t, "ran", JV_RIGHT);
    if (columns.limits)
        jv_text_table_column(&t, "allowed", JV_RIGHT);
    if (columns.travel)
        jv_text_table_column(&t, "moved", JV_RIGHT);
    jv_text_table_column(&t, "peak", JV_RIGHT);
    jv_text_table_column(&t, "winding", JV_RIGHT);
    if (columns.pulses)
        jv_text_table_column(&t, "pulses lost", JV_RIGHT);
    for (size_t i = 0; i < jv_circuit_parts(s->circuit); i++)
        if (has_run(&s->parts[i]))
            print_motor(s, i, &columns, &t, style->units);
    jv_text_add(out, "\n");
    jv_text_table_print(&t, style, INDENT, out);
}

static bool is_fuse(const jv_sequence *s, size_t i) {
    const char *kind = jv_circuit_part_kind(s->circuit, i);
    return strcmp(kind, "fuse") == 0 || strcmp(kind, "breaker") == 0;
}

static void print_fuse(const jv_sequence *s, size_t i, const jv_style *style, jv_text *out) {
    const jv_sequence_part *p = &s->parts[i];
    const char *name = jv_circuit_part_name(s->circuit, i);
    jv_text line = {0};
    if (p->open_at_end)
        jv_text_addf(&line, "\"%s\" is open.", name);
    else if (!isnan(p->opens_s)) /* a breaker that closes by itself */
        jv_text_addf(&line, "\"%s\" has opened and is closed again.", name);
    else if (p->used_early < 1.0)
        jv_text_addf(&line, "\"%s\" came %.1f %% of its way to opening at most.", name,
                     percent * p->used_early);
    else
        jv_text_addf(&line,
                     "\"%s\" may have opened; by the latest time of its band it came %.0f %% "
                     "of the way.",
                     name, percent * p->used_late);
    if (p->weak_times)
        jv_text_add(&line, " Its times are from memory: a hint.");
    jv_text_add(out, "- ");
    wrapped(out, &line, INDENT, style);
}

/* Those of which the same is said, in one line. */
static void print_fuses_alike(const jv_sequence *s, bool known, const char *what,
                              const jv_style *style, jv_text *out) {
    jv_text line = {0};
    for (size_t i = 0; i < jv_circuit_parts(s->circuit); i++) {
        const jv_sequence_part *p = &s->parts[i];
        if (is_fuse(s, i) && !isnan(p->used_early) == known &&
            (!known || (p->used_early < noticed && isnan(p->opens_s))))
            jv_text_addf(&line, "%s\"%s\"", line.length ? ", " : "",
                         jv_circuit_part_name(s->circuit, i));
    }
    if (line.length) {
        jv_text_addf(&line, ": %s", what);
        jv_text_add(out, "- ");
    }
    if (line.length)
        wrapped(out, &line, INDENT, style);
    jv_text_clear(&line);
}

/* Every fuse and breaker: what state it is left in. */
static void print_fuses(const jv_sequence *s, const jv_style *style, jv_text *out) {
    for (size_t i = 0; i < jv_circuit_parts(s->circuit); i++)
        if (s->parts[i].used_early >= noticed || !isnan(s->parts[i].opens_s))
            print_fuse(s, i, style, out);
    print_fuses_alike(s, true, "did not move towards opening.", style, out);
    print_fuses_alike(s, false, "no times are known of its kind, so nothing is said of it.", style,
                      out);
}

static void print_batteries(const jv_sequence *s, const jv_style *style, jv_text *out) {
    static const double coulomb_per_ah = 3600.0;
    for (size_t i = 0; i < jv_circuit_parts(s->circuit); i++) {
        const jv_sequence_part *p = &s->parts[i];
        if (isnan(p->charge_end))
            continue;
        jv_text line = {0};
        double gave = -p->charge_as / coulomb_per_ah;
        jv_text_addf(&line, "\"%s\" %s %.2f Ah: its charge went from %.1f %% to %.1f %%.",
                     jv_circuit_part_name(s->circuit, i), gave < 0.0 ? "took in" : "gave",
                     fabs(gave), percent * p->charge_start, percent * p->charge_end);
        jv_text_add(out, "- ");
        wrapped(out, &line, INDENT, style);
    }
}

static void add_heat(jv_text *line, double joule) {
    static const double kilo = 1000.0;
    if (joule < kilo)
        jv_text_addf(line, "%.0f J", joule + 0.0);
    else
        jv_text_addf(line, "%.1f kJ", joule / kilo);
}

/* The conductor that warmed most and the one that took most heat. */
static void print_heat(const jv_sequence *s, const jv_style *style, jv_text *out) {
    size_t n = jv_circuit_parts(s->circuit), hottest = n, most = n;
    static const double just_more = 1.0 + 1e-6; /* of two that are alike the first is named */
    double motors = 0.0, cables = 0.0;
    for (size_t i = 0; i < n; i++) {
        const jv_sequence_part *p = &s->parts[i];
        bool motor = !isnan(p->runs_s);
        if (!isnan(p->heat_j))
            *(motor ? &motors : &cables) += p->heat_j;
        if (motor || isnan(p->heat_j))
            continue;
        if (most == n || p->heat_j > just_more * s->parts[most].heat_j)
            most = i;
        if (!isnan(p->hottest_c) &&
            (hottest == n || p->hottest_c > just_more * s->parts[hottest].hottest_c))
            hottest = i;
    }
    jv_text line = {0};
    jv_text_add(&line, "Heat: ");
    add_heat(&line, motors);
    jv_text_add(&line, " in the motors, ");
    add_heat(&line, cables);
    jv_text_add(&line, " in cables and joints");
    if (most < n)
        jv_text_addf(&line, ", most of it in \"%s\"", jv_circuit_part_name(s->circuit, most));
    if (hottest < n) {
        jv_text_addf(&line, "; the warmest is \"%s\", ", jv_circuit_part_name(s->circuit, hottest));
        jv_quantity_print(&line, s->parts[hottest].hottest_c, JV_DIM_TEMPERATURE, style->units, 2);
    }
    jv_text_add(&line, ".");
    jv_text_add(out, "- ");
    wrapped(out, &line, INDENT, style);
}

static void print_cures(const jv_sequence *s, const jv_style *style, jv_text *out) {
    const char *cut = jv_sequence_search_text(s);
    if (s->n_cures)
        jv_text_add(out, "\nWhat it would take, one of:\n");
    else if (cut)
        jv_text_add(out, "\n");
    for (size_t pass = 0; pass < 2; pass++)
        for (size_t k = 0; k < s->n_cures; k++) {
            const jv_sequence_cure *c = &s->cures[k];
            jv_text line = {0};
            bool helps = !isnan(c->amount);
            if (helps != (pass == 0))
                continue;
            jv_text_add(&line, c->text);
            jv_text_add(out, helps ? "  + " : "  - ");
            wrapped(out, &line, 4, style);
        }
    jv_text line = {0};
    if (!cut)
        return;
    jv_text_addf(&line, "%s%s", cut, s->n_cures ? " There may be more." : "");
    jv_text_repeat(out, " ", INDENT);
    wrapped(out, &line, INDENT, style);
}

/* --- plots --- */

/* The watch that matters: the one that trips first, else the nearest to its limit. */
static const jv_sequence_watch *plotted(const jv_sequence *s) {
    const jv_sequence_watch *w = first_trip(s);
    return w ? w : nearest(s);
}

static double largest(const jv_sequence *s, const jv_trace *t) {
    double most = 0.0;
    for (size_t i = 0; i < s->n_samples; i++)
        if (fabs(t->values[i]) > most)
            most = fabs(t->values[i]);
    return most;
}

/* The amps of the source that gives or takes most. */
static const jv_trace *main_source(const jv_sequence *s) {
    const jv_trace *best = NULL;
    for (size_t k = 0; k < s->n_traces; k++) {
        const jv_trace *t = &s->traces[k];
        if (strcmp(t->unit, "A") == 0 && t->source && (!best || largest(s, t) > largest(s, best)))
            best = t;
    }
    return best;
}

static void print_plot(const jv_sequence *s, const jv_trace *t, double mark, const char *what,
                       const char *note, const jv_style *style, jv_text *out) {
    jv_text title = {0};
    jv_plot plot = {.unit = t->unit,
                    .times = s->times,
                    .values = t->values,
                    .n = s->n_samples,
                    .mark = mark,
                    .height = PLOT_ROWS,
                    .from_zero = isnan(mark)};
    jv_text_addf(&title, "\n%s \"%s\"%s", what, t->name, note);
    plot.title = jv_text_str(&title);
    jv_plot_print(&plot, style, out);
    if (title.failed)
        out->failed = true;
    jv_text_clear(&title);
}

static void print_plots(const jv_sequence *s, const jv_style *style, jv_text *out) {
    const jv_sequence_watch *w = plotted(s);
    const jv_trace *amps = main_source(s);
    for (size_t k = 0; k < s->n_traces; k++) {
        const jv_trace *t = &s->traces[k];
        if (!w || t->source || strcmp(t->unit, "V") != 0 || strcmp(t->name, w->name) != 0)
            continue;
        print_plot(s, t, w->limit_v, "Volts at", " (dotted: its limit)", style, out);
        break;
    }
    if (amps)
        print_plot(s, amps, NAN, "Amps of", "", style, out);
}

/* What is said behind the name: "NAME: what". */
static const char *said(const char *sentence, size_t *name) {
    const char *colon = strstr(sentence, ": ");
    *name = colon ? (size_t)(colon - sentence) : 0;
    return colon ? colon + 2 : sentence;
}

/* The same said of several parts is said once. */
static void print_one_assumed(const jv_sequence *s, size_t k, const jv_style *style, jv_text *out) {
    size_t name, other;
    const char *what = said(s->assumed[k], &name);
    for (size_t i = 0; i < k; i++)
        if (strcmp(said(s->assumed[i], &other), what) == 0)
            return;
    jv_text line = {0};
    jv_text_add_n(&line, s->assumed[k], name);
    for (size_t i = k + 1; i < s->n_assumed; i++)
        if (strcmp(said(s->assumed[i], &other), what) == 0) {
            jv_text_add(&line, ", ");
            jv_text_add_n(&line, s->assumed[i], other);
        }
    jv_text_addf(&line, ": %s", what);
    jv_text_add(out, "- ");
    wrapped(out, &line, INDENT, style);
}

static void print_assumed(const jv_sequence *s, const jv_style *style, jv_text *out) {
    if (!s->n_assumed && !s->generic)
        return;
    jv_text_add(out, "\nTaken for granted\n");
    if (s->generic) {
        static const double beyond_m = 0.020; /* as generic.c has it */
        jv_text line = {0};
        jv_text_add(&line, "the file has no sequence: jacks lift in pairs until their load is on "
                           "and ");
        jv_quantity_print(&line, beyond_m, JV_DIM_LENGTH, style->units, 2);
        jv_text_add(&line, " more, or for 20 s; pumps run 15 s (general practice, judgement)");
        jv_text_add(out, "- ");
        wrapped(out, &line, INDENT, style);
    }
    for (size_t k = 0; k < s->n_assumed; k++)
        print_one_assumed(s, k, style, out);
}

/* The sums of charge and energy tell whether the run can be believed. */
static void print_balance(const jv_sequence *s, const jv_style *style, jv_text *out) {
    static const double promised = 1e-6;
    double worst = fmax(s->balance.charge_error, s->balance.energy_error);
    jv_text line = {0};
    if (worst <= promised)
        jv_text_add(&line, "Charge and energy add up to a millionth or better.");
    else
        jv_text_addf(&line, "Charge and energy add up to %.0e only.", worst);
    jv_text_add(out, "- ");
    wrapped(out, &line, INDENT, style);
}

void jv_sequence_text(const jv_sequence *s, const jv_style *style, jv_text *out) {
    jv_text head = {0};
    jv_text_addf(&head, "%s: %s", jv_circuit_name(s->circuit), s->name);
    wrapped(out, &head, 0, style);
    print_verdict(s, style, out);
    if (style->quiet)
        return;
    print_plots(s, style, out);
    print_story(s, style, out);
    print_watches(s, style, out);
    print_cures(s, style, out);
    print_motors(s, style, out);
    jv_text_add(out, "\n");
    print_batteries(s, style, out);
    print_heat(s, style, out);
    print_fuses(s, style, out);
    print_balance(s, style, out);
    print_assumed(s, style, out);
}
