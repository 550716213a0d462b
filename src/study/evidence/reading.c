/* reading.c - readings in words. SPDX-License-Identifier: MIT */
#include "jackvolt/evidence.h"
#include "study/evidence/scan.h"

#include "circuit/kinds.h"
#include "circuit/part_kind.h"
#include "jackvolt/quantity.h"

#include <math.h>
#include <string.h>

enum { MOST_OFF = 32, VALUE_BYTES = 120 };

typedef struct jv_said {
    jv_check check;
    size_t off[MOST_OFF];
    size_t n_off;
    double value;
    bool over;
} jv_said;

/* --- pieces of a line --- */

static void take_when(jv_scan *s, jv_said *said) {
    if (jv_scan_word(s, "at rest") || s->failed)
        return;
    if (!jv_scan_word(s, "in"))
        return;
    long k = jv_scan_name(s, JV_NAME_CASE);
    if (k < 0)
        return;
    if (!s->c->cases[k].n_runs)
        return; /* a case that runs nothing is at rest */
    said->check.setup = JV_SETUP_RUN;
    said->check.loading = (size_t)k;
}

static void take_without(jv_scan *s, jv_said *said) {
    if (!jv_scan_word(s, "without"))
        return;
    do {
        long part = jv_scan_name(s, JV_NAME_PART);
        if (part < 0)
            return;
        if (said->n_off == MOST_OFF) {
            jv_scan_fault(s, NULL, "more than %d parts are unplugged", (int)MOST_OFF);
            return;
        }
        said->off[said->n_off++] = (size_t)part;
    } while (jv_scan_word(s, ","));
}

static void across_pin(jv_scan *s, const jv_part *p, jv_said *said) {
    size_t n = 0;
    const jv_slot *pins = jv_part_entries(s->c, p, 0, &n);
    if (!jv_scan_word(s, "pin")) {
        jv_scan_fault(s, "write: across \"NAME\" pin PIN", "\"%s\" has %zu pins: say which",
                      p->name, n);
        return;
    }
    for (size_t k = 0; k < n; k++)
        if (jv_scan_word(s, pins[k].text)) {
            said->check.plus = (size_t)pins[k].index;
            said->check.minus = (size_t)pins[k].second;
            return;
        }
    jv_scan_fault(s, NULL, "\"%s\" has no such pin", p->name);
}

static void take_across(jv_scan *s, jv_said *said) {
    long part = jv_scan_name(s, JV_NAME_PART);
    if (part < 0)
        return;
    const jv_part *p = &s->c->parts[part];
    said->check.part = (size_t)part;
    if (p->kind == &jv_kind_connector) {
        across_pin(s, p, said);
        return;
    }
    int32_t a = -1, b = -1;
    if (p->kind->n_keys > 1 && p->kind->keys[0].type == JV_KEY_TERMINAL &&
        p->kind->keys[1].type == JV_KEY_TERMINAL) {
        a = jv_part_terminal(s->c, p, 0);
        b = jv_part_terminal(s->c, p, 1);
    }
    if (a < 0 || b < 0) {
        jv_scan_fault(s, "name the two terminals instead", "\"%s\" has not just two ends", p->name);
        return;
    }
    said->check.plus = (size_t)a;
    said->check.minus = (size_t)b;
}

static void take_probes(jv_scan *s, jv_said *said) {
    if (jv_scan_word(s, "across")) {
        take_across(s, said);
        return;
    }
    long plus = jv_scan_name(s, JV_NAME_TERMINAL);
    long minus = plus >= 0 ? jv_scan_name(s, JV_NAME_TERMINAL) : -1;
    if (minus < 0)
        return;
    if (plus == minus)
        jv_scan_fault(s, NULL, "both probes are at \"%s\"", s->c->terminals[plus]);
    said->check.plus = (size_t)plus;
    said->check.minus = (size_t)minus;
}

static bool is_over(const char *s) {
    return strcmp(s, "OL") == 0 || strcmp(s, "ol") == 0 || strcmp(s, "no beep") == 0 ||
           strcmp(s, "open") == 0;
}

/* The text behind "=", without blanks at its ends. */
static bool take_value_text(jv_scan *s, char out[VALUE_BYTES + 1]) {
    if (!jv_scan_word(s, "=")) {
        jv_scan_fault(s, "write = and the value at the end: = 9.6 V", "\"%s\" is not understood",
                      s->at);
        return false;
    }
    while (*s->at == ' ' || *s->at == '\t')
        s->at++;
    size_t n = strlen(s->at);
    while (n && (s->at[n - 1] == ' ' || s->at[n - 1] == '\t' || s->at[n - 1] == '\r'))
        n--;
    if (!n || n > VALUE_BYTES) {
        jv_scan_fault(s, NULL, n ? "the value is too long" : "the value is missing");
        return false;
    }
    memcpy(out, s->at, n);
    out[n] = '\0';
    return true;
}

static void take_value(jv_scan *s, jv_dim dim, jv_said *said) {
    char text[VALUE_BYTES + 1];
    jv_quantity_fault fault;
    jv_value v;
    if (!take_value_text(s, text))
        return;
    if (dim == JV_DIM_RESISTANCE && is_over(text)) {
        said->over = true;
        return;
    }
    if (jv_quantity_read(text, dim, &v, &fault) != JV_OK) {
        jv_scan_fault(s, fault.hint, "%s", fault.message);
        return;
    }
    if (v.spread != JV_EXACT)
        jv_scan_fault(s, NULL, "a reading is one value, as the meter shows it");
    said->value = v.nominal;
}

static void take_look(jv_scan *s, jv_said *said) {
    char text[VALUE_BYTES + 1];
    long part = jv_scan_name(s, JV_NAME_PART);
    if (part < 0 || !take_value_text(s, text))
        return;
    said->check.kind = JV_CHECK_LOOK;
    said->check.part = (size_t)part;
    if (strcmp(text, "bad") == 0)
        said->value = 1.0;
    else if (strcmp(text, "good") != 0)
        jv_scan_fault(s, NULL, "a look is good or bad, got \"%s\"", text);
}

static void take_line(jv_scan *s, jv_said *said) {
    jv_check *v = &said->check;
    v->loading = v->plus = v->minus = v->part = JV_FIND_NONE;
    v->setup = JV_SETUP_REST;
    if (jv_scan_word(s, "volts")) {
        v->kind = JV_CHECK_VOLTS;
        take_probes(s, said);
        take_when(s, said);
        take_without(s, said);
        take_value(s, JV_DIM_VOLTAGE, said);
    } else if (jv_scan_word(s, "amps")) {
        v->kind = JV_CHECK_AMPS;
        long part = jv_scan_name(s, JV_NAME_PART);
        v->part = part >= 0 ? (size_t)part : JV_FIND_NONE;
        take_when(s, said);
        take_value(s, JV_DIM_CURRENT, said);
    } else if (jv_scan_word(s, "ohms")) {
        v->kind = JV_CHECK_OHMS;
        v->setup = JV_SETUP_ISOLATED;
        take_probes(s, said);
        take_without(s, said);
        take_value(s, JV_DIM_RESISTANCE, said);
    } else if (jv_scan_word(s, "look")) {
        take_look(s, said);
    } else {
        jv_scan_fault(s, "a reading begins with volts, amps, ohms or look",
                      "begins with no word "
                      "that is known");
    }
}

/* --- to the finder --- */

/* What is off in every reading at rest: sources that would hide a battery. */
static const jv_check *plain_rest(const jv_finder *f) {
    const jv_check *best = NULL;
    for (size_t k = 0; k < jv_finder_checks(f); k++) {
        const jv_check *v = jv_finder_check(f, k);
        if (v->setup != JV_SETUP_REST || v->kind != JV_CHECK_VOLTS || v->part == JV_FIND_NONE)
            continue;
        bool sources = v->n_off > 0;
        (void)sources;
        if (!best || v->n_off < best->n_off)
            best = v;
    }
    return best;
}

static jv_status find(jv_finder *f, jv_said *said, size_t *check, bool *turned) {
    jv_check *v = &said->check;
    const jv_check *rest = plain_rest(f);
    v->off = said->off;
    v->n_off = said->n_off;
    if (v->kind == JV_CHECK_LOOK || v->setup != JV_SETUP_REST || said->n_off || !rest)
        return jv_finder_find_check(f, v, check, turned);
    v->off = rest->off;
    v->n_off = rest->n_off;
    return jv_finder_find_check(f, v, check, turned);
}

jv_status jv_reading_take(jv_finder *f, const jv_circuit *c, const char *text,
                          const jv_place *place, jv_diags *diags) {
    jv_scan s = {c, text, text, place, diags, JV_CODE_READING_FORM, false};
    jv_said said;
    size_t check;
    bool turned = false;
    memset(&said, 0, sizeof said);
    take_line(&s, &said);
    if (s.failed)
        return JV_ERR_INPUT;
    jv_status status = find(f, &said, &check, &turned);
    if (status == JV_OK)
        status = jv_finder_add_reading(f, check, turned ? -said.value : said.value, said.over);
    if (status == JV_ERR_RANGE) {
        jv_scan_fault(&s,
                      said.check.kind == JV_CHECK_AMPS
                          ? "a clamp goes round a battery, a supply or a motor"
                          : "check the value, the range of the meter and the case",
                      "this reading cannot be");
        status = JV_ERR_INPUT;
    }
    return status;
}
