/* find_json.c - the fault finder for scripts. SPDX-License-Identifier: MIT */
#include "jackvolt/evidence.h"
#include "jackvolt/render.h"
#include "render/find_out.h"

#include <math.h>

/* As `--fault` writes it, and how bad it is taken to be. */
static void add_severity(jv_json *j, jv_json_node *o, const jv_suspect *x) {
    jv_json_text(j, o, "way", x->way[0]);
    if (!(x->low > 0.0))
        return;
    jv_json_number(j, o, "severity_low", x->low, NULL);
    jv_json_number(j, o, "severity_high", x->high, NULL);
}

void jv_odds_json(jv_json *j, jv_json_node *root, const jv_circuit *c, const jv_finder *f,
                  bool all) {
    size_t n;
    const jv_odds *odds = jv_finder_odds(f, &n);
    jv_json_node *list = jv_json_array(j, root, "faults");
    for (size_t k = 0; k < n; k++) {
        const jv_suspect *x = jv_finder_suspect(f, odds[k].suspect);
        if (k && !all && odds[k].probability < JV_ODDS_LISTED)
            break;
        jv_json_node *o = jv_json_object(j, list, NULL);
        jv_json_text(j, o, "fault", x->words);
        if (x->n)
            jv_json_text(j, o, "part", jv_circuit_part_name(c, x->part[0]));
        else
            jv_json_null(j, o, "part", "none of the faults considered");
        if (x->n == 2)
            jv_json_text(j, o, "second_part", jv_circuit_part_name(c, x->part[1]));
        jv_json_number(j, o, "probability", odds[k].probability, NULL);
        if (x->n == 1)
            add_severity(j, o, x);
        if (x->n)
            jv_json_text(j, o, "repair", x->repair);
    }
}

static const char *next_word(jv_next_kind kind) {
    static const char *const words[] = {"check", "confirm", "repair", "proof", "done", "open"};
    return words[kind];
}

static void add_band(jv_json *j, jv_json_node *parent, const char *key, const jv_expected *x) {
    static const char open_circuit[] = "overload: open";
    jv_json_node *o = jv_json_object(j, parent, key);
    jv_json_number(j, o, "value", x->value, open_circuit);
    jv_json_number(j, o, "low", x->low, open_circuit);
    jv_json_number(j, o, "high", x->high, open_circuit);
}

static const char *unit_of(jv_check_kind kind) {
    static const char *const units[] = {"V", "A", "ohm", "1 = bad"};
    return units[kind];
}

static void add_check(jv_json *j, jv_json_node *o, jv_finder *f, const jv_circuit *c,
                      const jv_next *next) {
    const jv_check *v = jv_finder_check(f, next->check);
    jv_json_text(j, o, "check", v->text);
    jv_json_node *probes = jv_json_array(j, o, "probes");
    if (v->plus != JV_FIND_NONE) {
        jv_json_text(j, probes, NULL, jv_circuit_terminal_name(c, v->plus));
        jv_json_text(j, probes, NULL, jv_circuit_terminal_name(c, v->minus));
    }
    jv_json_text(j, o, "unit", unit_of(v->kind));
    jv_json_node *expect = jv_json_object(j, o, "expect");
    if (v->kind != JV_CHECK_LOOK) {
        jv_expected sound = jv_finder_expect(f, next->check, JV_FIND_NONE);
        add_band(j, expect, "sound", &sound);
        for (size_t k = 0; k < next->n_leading; k++) {
            jv_expected x = jv_finder_expect(f, next->check, next->leading[k]);
            if (next->leading[k] + 1 < jv_finder_suspects(f))
                add_band(j, expect, jv_finder_suspect(f, next->leading[k])->words, &x);
        }
    }
    jv_json_node *cautions = jv_json_array(j, o, "cautions");
    enum { MOST = 32 };
    const jv_precaution *list[MOST];
    size_t n = jv_precautions_of(v->care, list, MOST);
    for (size_t k = 0; k < n && k < MOST; k++) {
        jv_json_node *w = jv_json_object(j, cautions, NULL);
        jv_json_text(j, w, "signal", jv_signal_word(list[k]->signal));
        jv_json_text(j, w, "text", list[k]->text);
    }
}

static void add_next(jv_json *j, jv_json_node *root, jv_finder *f, const jv_circuit *c,
                     const jv_next *next) {
    jv_json_node *o = jv_json_object(j, root, "next");
    jv_json_text(j, o, "do", next_word(next->kind));
    bool reads =
        next->kind == JV_NEXT_CHECK || next->kind == JV_NEXT_CONFIRM || next->kind == JV_NEXT_PROOF;
    if (reads && jv_finder_check(f, next->check))
        add_check(j, o, f, c, next);
    const jv_suspect *x = jv_finder_suspect(f, next->suspect);
    jv_closure now;
    bool closed = jv_finder_closure(f, &now) == JV_OK;
    if (closed && now.n_twins) { /* suspects that no check here can tell from it */
        jv_json_node *list = jv_json_array(j, o, "cannot_be_told_from");
        for (size_t k = 0; k < now.n_twins; k++)
            jv_json_text(j, list, NULL, jv_finder_suspect(f, now.twins[k])->words);
    }
    if (next->kind == JV_NEXT_REPAIR && x) {
        jv_json_text(j, o, "fault", x->words);
        jv_json_text(j, o, "repair", x->repair);
        if (closed && now.proof != JV_FIND_NONE) {
            jv_json_text(j, o, "proof", jv_finder_check(f, now.proof)->text);
            add_band(j, o, "proof_reads", &now.proof_reads);
        }
    }
    jv_json_number(j, o, "minutes", next->minutes, NULL);
}

static void add_why(jv_json *j, jv_json_node *root, jv_finder *f, size_t why) {
    const jv_reason *reasons;
    size_t n;
    if (why == JV_FIND_NONE || jv_finder_explain(f, why, &reasons, &n) != JV_OK)
        return;
    jv_json_node *o = jv_json_object(j, root, "why");
    jv_json_text(j, o, "fault", jv_finder_suspect(f, why)->words);
    jv_json_node *list = jv_json_array(j, o, "evidence");
    for (size_t k = 0; k < n; k++) {
        jv_json_node *e = jv_json_object(j, list, NULL);
        const jv_check *v = jv_finder_check(f, reasons[k].check);
        if (v) {
            jv_json_text(j, e, "check", v->text);
            jv_json_number(j, e, "read", reasons[k].value, "overload: open");
            jv_json_number(j, e, "expected", reasons[k].expected, "not known, or open");
            jv_json_number(j, e, "sd", reasons[k].sd, "not known");
        } else {
            jv_text words = {0};
            jv_symptom_print(f, reasons[k].symptom, &words);
            jv_json_number(j, e, "symptom", (double)reasons[k].symptom + 1.0, NULL);
            jv_json_text(j, e, "words", jv_text_str(&words));
            j->failed |= words.failed;
            jv_text_clear(&words);
        }
        jv_json_number(j, e, "bits", reasons[k].for_it, NULL);
        jv_json_number(j, e, "probability_after", reasons[k].odds_after, NULL);
    }
}

jv_status jv_find_json(jv_finder *f, const jv_circuit *c, size_t why, bool all, jv_text *out) {
    jv_json j;
    jv_next next;
    jv_status status = jv_finder_next(f, &next);
    if (status != JV_OK)
        return status;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "circuit", jv_circuit_name(c));
    jv_odds_json(&j, root, c, f, all);
    add_next(&j, root, f, c, &next);
    jv_json_number(&j, root, "expected_minutes", next.to_go, NULL);
    add_why(&j, root, f, why);
    return jv_json_print(&j, out);
}
