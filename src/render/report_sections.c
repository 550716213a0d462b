/* report_sections.c - sections of the full report. SPDX-License-Identifier: MIT */
#include "circuit/part_kind.h"
#include "render/drop_words.h"
#include "render/report_part.h"

#include <math.h>
#include <string.h>

#define COUNT(a) (sizeof(a) / sizeof(a)[0])

static const double percent = 100.0;
/* Nothing finer is claimed of a check: the last digits hang on the machine. */
static const double exact = 1e-9;

static const char *tint_class(jv_tint tint) {
    switch (tint) {
    case JV_TINT_GOOD:
        return "good";
    case JV_TINT_BAD:
        return "bad";
    case JV_TINT_UNSURE:
        return "unsure";
    case JV_TINT_NONE:
    case JV_TINT_STRONG:
        break;
    }
    return "plain";
}

bool jv_has_way(const jv_report_work *work) {
    return work->drawn && work->drawn->converged && work->drawn->n_steps > 0 &&
           work->drawn->lost_v > 0.0;
}

bool jv_has_remarks(const jv_report_work *work) {
    return work->drawn && work->drawn->n_remarks > 0;
}

/* The sentence of the case that is drawn. */
static void write_drawn(jv_report_work *work, jv_tag *section) {
    const jv_drop_case *k = work->drawn;
    jv_page *page = &work->page;
    jv_tint tint;
    jv_text text = {0};
    const char *word = jv_words_verdict(k, jv_words_watch(k), &tint);
    jv_words_reason(work->report->drop, k, "see \"Worth knowing\"", &text);
    jv_tag *p =
        jv_tag_add(page, section, "p", jv_report_printf(work, "verdict %s", tint_class(tint)));
    jv_tag_textf(page, p, "strong", NULL, "%s", word);
    jv_tag_say(page, p, jv_report_printf(work, " in case \"%s\"%s", k->name, jv_text_str(&text)));
    if (text.failed)
        page->failed = true;
    jv_text_clear(&text);
}

void jv_section_verdict(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"Case", "Verdict", "#Margin", "#Sees", "#Limit", "Watch"};
    const jv_drop *drop = work->report->drop;
    if (!work->drawn) {
        jv_tag_text(&work->page, section, "p", NULL, "This circuit has no case.");
        return;
    }
    write_drawn(work, section);
    jv_tag *body = jv_report_table(work, section, "Every case, with the watch nearest to its limit",
                                   columns, COUNT(columns));
    for (size_t i = 0; i < drop->n_cases; i++) {
        const jv_drop_case *k = &drop->cases[i];
        const jv_drop_watch *w = jv_words_watch(k);
        jv_tint tint;
        const char *word = jv_words_verdict(k, w, &tint);
        jv_tag *row = jv_report_row(work, body, k->name);
        jv_tag *cell = jv_tag_add(&work->page, row, "td", NULL);
        jv_tag_text(&work->page, cell, "strong", tint_class(tint), word);
        if (!k->converged || !w) {
            jv_tag *rest = jv_tag_text(&work->page, row, "td", NULL,
                                       k->converged ? "no watch counts in this case" : k->trouble);
            jv_tag_set(&work->page, rest, "colspan", "4");
            continue;
        }
        jv_report_cellf(work, row, true, "%+.2f V", w->margin_v);
        jv_report_cellf(work, row, true, "%.2f V", jv_words_volts(w->seen_v));
        jv_report_cellf(work, row, true, "%.2f V", w->limit_v);
        jv_report_cellf(work, row, false, "%s%s", w->name, w->assumed ? " (assumed)" : "");
    }
}

void jv_section_drawing(jv_report_work *work, jv_tag *section) {
    jv_page *page = &work->page;
    bool sheet = work->report->kind == JV_REPORT_SHEET;
    if (!sheet)
        jv_tag_text(page, section, "p", NULL,
                    "Volts stand on the terminals, against the reference; amps and drop under each "
                    "part. 1, 2 and 3 mark the widest drops on the way to the load. Contacts are "
                    "drawn open, as symbols are, whatever they do in this case. Symbols follow IEC "
                    "60617, designators IEC 81346-2.");
    else if (!jv_is_record(work))
        jv_tag_text(page, section, "p", NULL,
                    "Numbers in circles are places for the meter, in the table below.");
    else if (jv_walk_named(work->report->walk))
        jv_tag_text(page, section, "p", NULL, "The part that was named carries a 1.");
    bool sensors =
        sheet && jv_is_record(work) && jv_walk_kind_of(work->report->walk) == JV_WALK_SENSOR;
    jv_report_draw(work, section, sensors);
    if (!sheet)
        jv_report_draw(work, section, true);
}

void jv_section_stair(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"From", "Part", "To", "#Drop", "#Amps", "#Level after"};
    static const char *const both[] = {"From",  "Part",         "To",      "#Drop",
                                       "#Amps", "#Level after", "#Healthy"};
    const jv_drop_case *k = work->drawn, *h = work->healthy;
    const jv_circuit *c = work->circuit;
    jv_tag_textf(&work->page, section, "p", NULL,
                 "%.2f V at the source unloaded, %.2f V at \"%s\", %.2f V lost on the way.",
                 k->source_v, k->load_v, c->parts[k->load].name, k->lost_v);
    jv_report_stair(work, section);
    jv_tag *body = jv_report_table(work, section, "Each step on the way, out and back",
                                   h ? both : columns, h ? COUNT(both) : COUNT(columns));
    double foot;
    size_t base = jv_report_base(k, &foot);
    for (size_t i = 0; i < k->n_steps; i++) {
        const jv_drop_step *s = &k->steps[i];
        const char *from = jv_circuit_terminal_name(c, s->from);
        const char *to = jv_circuit_terminal_name(c, s->to);
        jv_tag *row = jv_report_row(work, body, from ? from : "inside");
        jv_report_cell(work, row, false, jv_report_part_name(work, s->part));
        jv_report_cell(work, row, false, to ? to : "inside");
        jv_report_cellf(work, row, true, "%.3f V", s->drop_v + 0.0);
        jv_report_quantity(work, row, s->current_a, JV_DIM_CURRENT, 3);
        jv_report_cellf(work, row, true, "%.2f V", jv_words_volts(s->level_v - foot));
        if (h && h->converged && to && base < c->n_terminals)
            jv_report_cellf(work, row, true, "%.2f V",
                            jv_words_volts(h->terminal_v[s->to] - h->terminal_v[base]));
        else if (h)
            jv_report_cell(work, row, true, "");
    }
}

/* Steps of one part on one side in one row, widest first, and the sum of each side. */
static void write_losses(jv_report_work *work, jv_tag *body) {
    const jv_drop_case *k = work->drawn;
    jv_loss *losses = jv_arena_alloc(&work->arena, k->n_steps + 1, sizeof *losses);
    if (!losses) {
        work->page.failed = true;
        return;
    }
    size_t n = jv_words_losses(k, losses);
    for (size_t i = 0; i < n;) {
        size_t end = i;
        double sum = 0.0;
        while (end < n && losses[end].side == losses[i].side)
            sum += losses[end++].drop_v;
        jv_tag *row = jv_report_row(work, body, jv_words_side(losses[i].side));
        jv_tag_set(&work->page, row, "class", "sum");
        jv_report_cellf(work, row, true, "%.3f V", sum + 0.0);
        jv_report_cellf(work, row, true, "%.0f %%", percent * sum / k->lost_v);
        for (size_t m = 0; m < 3; m++)
            jv_report_cell(work, row, true, "");
        for (; i < end; i++) {
            const jv_drop_part *d = &k->parts[losses[i].part];
            row = jv_report_row(work, body, jv_report_part_name(work, losses[i].part));
            jv_report_cellf(work, row, true, "%.3f V", losses[i].drop_v + 0.0);
            jv_report_cellf(work, row, true, "%.0f %%", percent * losses[i].drop_v / k->lost_v);
            jv_report_quantity(work, row, losses[i].current_a, JV_DIM_CURRENT, 3);
            jv_report_quantity(work, row, d->resistance_ohm, JV_DIM_RESISTANCE, 3);
            jv_report_quantity(work, row, d->temperature_c, JV_DIM_TEMPERATURE, 2);
        }
    }
}

static void write_parts(jv_report_work *work, jv_tag *body) {
    const jv_drop_case *k = work->drawn;
    for (size_t i = 0; i < work->circuit->n_parts; i++) {
        const jv_drop_part *d = &k->parts[i];
        double amps = isnan(d->current_a) || jv_words_amps(d->current_a) > 0.0 ? d->current_a : 0.0;
        jv_tag *row = jv_report_row(work, body, work->designators[i]);
        jv_report_cell(work, row, false, work->circuit->parts[i].name);
        jv_report_cell(work, row, false, jv_circuit_part_kind(work->circuit, i));
        jv_report_cell(work, row, false, jv_report_detail(work, i));
        jv_report_cell(work, row, true,
                       isnan(d->drop_v) ? "" : jv_report_printf(work, "%.3f V", d->drop_v + 0.0));
        jv_report_quantity(work, row, amps, JV_DIM_CURRENT, 3);
        const char *note = d->stalled ? "stalled" : "";
        if (!d->stalled && !isnan(d->speed_share))
            note = jv_report_printf(work, "%.0f %% of rated speed", percent * d->speed_share);
        jv_report_cell(work, row, false, note);
    }
}

void jv_section_losses(jv_report_work *work, jv_tag *section) {
    static const char *const loss_columns[] = {"Part",  "#Volts", "#Share of what is lost",
                                               "#Amps", "#Ohms",  "#Warm"};
    static const char *const part_columns[] = {"",      "Name",  "Kind", "Size",
                                               "#Drop", "#Amps", "Motor"};
    jv_tag *body = jv_report_table(work, section, "On the way to the load, widest first",
                                   loss_columns, COUNT(loss_columns));
    write_losses(work, body);
    static const char *const named[] = {"Mark", "Name", "Kind", "Size", "#Drop", "#Amps", "Motor"};
    (void)part_columns;
    body = jv_report_table(work, section,
                           "Every part; amps and drop are positive from a to b, from plus to minus",
                           named, COUNT(named));
    write_parts(work, body);
}

void jv_section_watches(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"Watch",   "Verdict",
                                          "#Sees",   "#Limit",
                                          "#Margin", "What lies between here and its limit"};
    const jv_drop_case *k = work->drawn;
    if (!k || !k->n_watches) {
        jv_tag_text(&work->page, section, "p", NULL, "The circuit has no watch.");
        return;
    }
    jv_tag *body =
        jv_report_table(work, section, jv_report_printf(work, "Watches in case \"%s\"", k->name),
                        columns, COUNT(columns));
    for (size_t i = 0; i < k->n_watches; i++) {
        const jv_drop_watch *w = &k->watches[i];
        bool trips = w->verdict == JV_TRIPS, counts = w->verdict != JV_NOT_WATCHED;
        jv_text levers = {0};
        if (w->verdict == JV_VERDICT_UNKNOWN && !isnan(w->seen_v)) {
            jv_text_add(&levers, "Not known whether it trips: ");
            jv_words_doubt(w, &levers);
            jv_text_add(&levers, ". ");
        }
        if (counts && !isnan(w->seen_v))
            jv_words_levers(w, &levers);
        if (w->assumed)
            jv_text_addf(&levers, "%sLimit assumed (%s): look up the vehicle's own.",
                         levers.length ? " " : "", w->basis);
        jv_tag *row = jv_report_row(work, body, w->name);
        jv_tag *cell = jv_tag_add(&work->page, row, "td", NULL);
        jv_tag_text(&work->page, cell, "strong",
                    trips    ? "bad"
                    : counts ? "good"
                             : "plain",
                    trips                          ? "TRIPS"
                    : w->verdict == JV_HOLDS       ? "holds"
                    : w->verdict == JV_NOT_WATCHED ? "does not count in this case"
                                                   : "unknown");
        jv_report_cellf(work, row, true, "%.2f V", jv_words_volts(w->seen_v));
        jv_report_cellf(work, row, true, "%.2f V", w->limit_v);
        jv_report_cellf(work, row, true, "%+.2f V", w->margin_v);
        jv_report_cell(work, row, false, jv_text_str(&levers));
        if (levers.failed)
            work->page.failed = true;
        jv_text_clear(&levers);
    }
}

void jv_section_remarks(jv_report_work *work, jv_tag *section) {
    const jv_drop_case *k = work->drawn;
    jv_tag *list = jv_tag_add(&work->page, section, "ul", NULL);
    for (int serious = 1; serious >= 0; serious--)
        for (size_t i = 0; i < k->n_remarks; i++) {
            const jv_drop_remark *r = &k->remarks[i];
            if (r->serious != (serious == 1))
                continue;
            jv_tag *item = jv_tag_add(&work->page, list, "li", serious ? "bad" : NULL);
            if (serious)
                jv_tag_text(&work->page, item, "strong", NULL, "Serious: ");
            const char *part =
                r->part < work->circuit->n_parts
                    ? jv_report_printf(work, "%s ", jv_report_part_name(work, r->part))
                    : "";
            jv_tag_say(&work->page, item, jv_report_printf(work, "%s%s.", part, r->text));
        }
}

/* --- sources --- */

static const char *value_text(jv_report_work *work, const jv_key *key, const jv_slot *s) {
    enum { DIGITS = 3 };
    bool quantity = key->type == JV_KEY_QUANTITY || key->type == JV_KEY_POINTS;
    if (!quantity)
        return s->text ? s->text : "";
    const jv_value *v = &s->value;
    if (v->spread == JV_EXACT)
        return jv_report_print(work, v->nominal, key->dim, DIGITS);
    return jv_report_printf(work, "%s .. %s", jv_report_print(work, v->low, key->dim, DIGITS),
                            jv_report_print(work, v->high, key->dim, DIGITS));
}

static size_t write_assumed(jv_report_work *work, jv_tag *body) {
    const jv_circuit *c = work->circuit;
    size_t n = 0;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        for (uint32_t m = 0; m < p->n_slots; m++) {
            const jv_slot *s = &c->slots[p->first_slot + m];
            const jv_key *key = &p->kind->keys[s->key];
            if (s->origin == JV_GIVEN)
                continue;
            n++;
            jv_tag *row = jv_report_row(work, body, jv_report_part_name(work, i));
            jv_report_cell(work, row, false, key->name);
            jv_report_cell(work, row, false, value_text(work, key, s));
            const char *basis = s->basis ? s->basis : key->basis;
            jv_report_cell(work, row, false,
                           s->origin == JV_SET ? "changed for this run"
                           : basis             ? basis
                                               : "no source known");
        }
    }
    return n;
}

void jv_section_sources(jv_report_work *work, jv_tag *section) {
    static const char *const columns[] = {"Part", "Figure", "Value", "Where it comes from"};
    jv_page *page = &work->page;
    const jv_drop_case *k = work->drawn;
    bool owner = work->report->kind == JV_REPORT_OWNER;
    jv_tag_text(page, section, "p", NULL,
                owner ? "Figures that the circuit file does not give are assumed; the full report "
                        "lists them. Ranges count by their middle."
                      : "Everything not listed here stands in the circuit file. Ranges count by "
                        "their middle in the pictures above.");
    if (!owner) {
        jv_tag *body = jv_report_table(work, section, "Assumed, or changed for this run", columns,
                                       COUNT(columns));
        if (!write_assumed(work, body)) {
            jv_tag *row = jv_report_row(work, body, "none");
            for (size_t i = 1; i < COUNT(columns); i++)
                jv_report_cell(work, row, false, "");
        }
    }
    jv_tag_text(
        page, section, "p", NULL,
        "A figure from memory, from common practice or by judgement never decides a pass or "
        "a fail; where no better one is known, the verdict says so.");
    if (k && k->converged && !owner)
        jv_tag_textf(page, section, "p", NULL,
                     "Checked: currents at each terminal sum to zero within %.0e A, power within "
                     "%.0e W.",
                     fmax(k->residual_a, exact), fmax(k->power_error_w, exact));
}
