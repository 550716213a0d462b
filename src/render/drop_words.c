/* drop_words.c - sentences about the steady study. SPDX-License-Identifier: MIT */
#include "render/drop_words.h"

#include <math.h>
#include <stdlib.h>

static const double percent = 100.0;

static int wider_first(const void *a, const void *b) {
    const jv_loss *x = a, *y = b;
    if (x->side != y->side)
        return (int)x->side - (int)y->side;
    if (x->drop_v != y->drop_v)
        return x->drop_v < y->drop_v ? 1 : -1;
    return x->part < y->part ? -1 : 1;
}

size_t jv_words_losses(const jv_drop_case *k, jv_loss *losses) {
    size_t n = 0;
    for (size_t i = 0; i < k->n_steps; i++) {
        const jv_drop_step *s = &k->steps[i];
        size_t m = 0;
        while (m < n && (losses[m].part != s->part || losses[m].side != s->side))
            m++;
        if (m == n) {
            losses[n].part = s->part;
            losses[n].side = s->side;
            losses[n].drop_v = losses[n].current_a = 0.0;
            n++;
        }
        losses[m].drop_v += s->drop_v;
        losses[m].current_a = fmax(losses[m].current_a, s->current_a);
    }
    qsort(losses, n, sizeof *losses, wider_first);
    return n;
}

size_t jv_words_steps(const jv_drop *drop, const jv_drop_case *k, jv_drop_step *steps) {
    size_t n = 0, inside = jv_circuit_terminals(drop->circuit);
    for (size_t i = 0; i < k->n_steps; i++) {
        const jv_drop_step *s = &k->steps[i];
        jv_drop_step *last = n ? &steps[n - 1] : NULL;
        if (!last || last->to < inside || last->part != s->part || last->side != s->side) {
            steps[n++] = *s;
            continue;
        }
        last->to = s->to;
        last->drop_v += s->drop_v;
        last->level_v = s->level_v;
    }
    return n;
}

const char *jv_words_side(jv_side side) {
    switch (side) {
    case JV_SIDE_SOURCE:
        return "inside the source";
    case JV_SIDE_PLUS:
        return "plus side";
    case JV_SIDE_BETWEEN:
        return "between sources";
    case JV_SIDE_RETURN:
        return "return side";
    case JV_SIDE_NONE:
        break;
    }
    return "";
}

/* "4.1 mohm more in the feed", or NULL text when out of reach. */
static void lever(jv_text *out, bool *any, double value, jv_dim dim, const char *more,
                  const char *less) {
    if (isnan(value))
        return;
    if (*any)
        jv_text_add(out, "; or ");
    *any = true;
    if (dim == JV_DIM_RATIO)
        jv_text_addf(out, "%.0f %%", percent * fabs(value));
    else
        jv_quantity_print(out, fabs(value), dim, JV_UNITS_SI, 2);
    jv_text_addf(out, " %s", value >= 0.0 ? more : less);
}

void jv_words_levers(const jv_drop_watch *w, jv_text *out) {
    jv_text line = {0};
    bool any = false, trips = w->margin_v < 0.0;
    jv_text_add(&line, trips ? "To hold it takes one of: " : "It trips with one of: ");
    lever(&line, &any, w->levers.feed_ohm, JV_DIM_RESISTANCE, "more in the feed",
          "less in the feed");
    lever(&line, &any, w->levers.return_ohm, JV_DIM_RESISTANCE, "more in the return",
          "less in the return");
    lever(&line, &any, w->levers.charge, JV_DIM_RATIO, "of full charge less",
          "of full charge more");
    lever(&line, &any, w->levers.load, JV_DIM_RATIO, "more motor current", "less motor current");
    jv_text_add(&line, ".");
    if (!any) {
        jv_text_clear(&line);
        jv_text_add(&line, trips
                               ? "No single change of feed, return, charge or load makes it hold."
                               : "No single change of feed, return, charge or load that was tried "
                                 "brings it to its limit.");
    }
    jv_text_add(out, jv_text_str(&line));
    if (line.failed)
        out->failed = true;
    jv_text_clear(&line);
}

/* Why a watch that sees volts has no verdict. */
void jv_words_doubt(const jv_drop_watch *w, jv_text *line) {
    jv_text_addf(
        line,
        "by ohms that nobody gave it may be %.2f V to %.2f V: give or measure what is assumed",
        jv_words_volts(w->doubt_low_v), jv_words_volts(w->doubt_high_v));
}

size_t jv_words_worst(const jv_drop *drop, const jv_drop_case *k) {
    size_t worst = jv_circuit_parts(drop->circuit);
    for (size_t i = 0; i < jv_circuit_parts(drop->circuit); i++)
        if (!isnan(k->parts[i].share) &&
            (worst == jv_circuit_parts(drop->circuit) || k->parts[i].share > k->parts[worst].share))
            worst = i;
    return worst;
}

/* A trip weighs more than a doubt, a doubt more than what holds. */
static int weight_of(const jv_drop_watch *w) {
    return w->verdict == JV_TRIPS ? 2 : w->verdict == JV_VERDICT_UNKNOWN ? 1 : 0;
}

/* The watch nearest to, or farthest below, its limit among those that weigh most. */
const jv_drop_watch *jv_words_watch(const jv_drop_case *k) {
    const jv_drop_watch *best = NULL;
    for (size_t i = 0; i < k->n_watches; i++) {
        const jv_drop_watch *w = &k->watches[i];
        if (w->verdict == JV_NOT_WATCHED || isnan(w->margin_v))
            continue;
        if (!best || weight_of(w) > weight_of(best) ||
            (weight_of(w) == weight_of(best) && w->margin_v < best->margin_v))
            best = w;
    }
    return best;
}

/* A source that gives nothing explains everything else. */
static void add_source_trouble(const jv_drop *drop, const jv_drop_case *k, jv_text *line) {
    for (size_t i = 0; i < k->n_remarks && k->converged; i++) {
        const jv_drop_remark *r = &k->remarks[i];
        if (r->serious && r->part < jv_circuit_parts(drop->circuit) &&
            !isnan(k->parts[r->part].open_circuit_v))
            jv_text_addf(line, " \"%s\" %s.", jv_circuit_part_name(drop->circuit, r->part),
                         r->text);
    }
}

const char *jv_words_verdict(const jv_drop_case *k, const jv_drop_watch *w, jv_tint *tint) {
    *tint = JV_TINT_BAD;
    if (!k->converged)
        return "NO ANSWER";
    if (w && w->verdict == JV_TRIPS)
        return "TRIPS";
    *tint = JV_TINT_UNSURE;
    if (w && w->verdict == JV_VERDICT_UNKNOWN)
        return "UNKNOWN";
    *tint = k->finding ? JV_TINT_UNSURE : w ? JV_TINT_GOOD : JV_TINT_NONE;
    if (w)
        return k->finding ? "HOLDS, BUT" : "HOLDS";
    return k->finding ? "LOOK" : "NOT WATCHED";
}

size_t jv_words_trips(const jv_drop_case *k) {
    size_t n = 0;
    for (size_t i = 0; i < k->n_watches; i++)
        n += k->watches[i].verdict == JV_TRIPS;
    return n;
}

static void add_reason(const jv_drop_case *k, const jv_drop_watch *w, const char *see,
                       jv_text *line) {
    if (!k->converged)
        jv_text_addf(line, ": %s.", k->trouble);
    else if (w && w->verdict == JV_TRIPS) {
        jv_text_addf(line, ": \"%s\" sees %.2f V, %.2f V below its limit of %.2f V%s.", w->name,
                     jv_words_volts(w->seen_v), -w->margin_v, w->limit_v,
                     w->assumed ? " (assumed)" : "");
        size_t more = jv_words_trips(k) - 1;
        if (more)
            jv_text_addf(line, " %zu more %s.", more, more == 1 ? "trips" : "trip");
    } else if (w && w->verdict == JV_VERDICT_UNKNOWN) {
        jv_text_addf(line, ": \"%s\" sees %.2f V, its limit is %.2f V%s, but ", w->name,
                     jv_words_volts(w->seen_v), w->limit_v, w->assumed ? " (assumed)" : "");
        jv_words_doubt(w, line);
        jv_text_add(line, ".");
    } else if (w)
        jv_text_addf(line, ": \"%s\" sees %.2f V, %.2f V above its limit of %.2f V%s%s%s%s",
                     w->name, jv_words_volts(w->seen_v), w->margin_v, w->limit_v,
                     w->assumed ? " (assumed)" : "", k->finding ? "; " : "", k->finding ? see : "",
                     ".");
    else
        jv_text_addf(line, ": %s.", k->finding ? see : "no watch counts in this case");
}

void jv_words_reason(const jv_drop *drop, const jv_drop_case *k, const char *see, jv_text *out) {
    size_t worst = jv_words_worst(drop, k);
    add_reason(k, jv_words_watch(k), see, out);
    if (k->converged && k->running && worst < jv_circuit_parts(drop->circuit))
        jv_text_addf(out, " Most is lost in \"%s\": %.0f %%.",
                     jv_circuit_part_name(drop->circuit, worst), percent * k->parts[worst].share);
    add_source_trouble(drop, k, out);
}
