/* symptom.c - symptoms in words, and whole files of evidence. SPDX-License-Identifier: MIT */
#include "jackvolt/evidence.h"
#include "study/evidence/scan.h"
#include "study/find/finder.h"

#include "circuit/kinds.h"
#include "circuit/part_kind.h"

#include <string.h>

static void take_when(jv_scan *s, size_t *loading) {
    *loading = JV_FIND_NONE;
    if (jv_scan_word(s, "at rest") || !jv_scan_word(s, "in"))
        return;
    long k = jv_scan_name(s, JV_NAME_CASE);
    if (k >= 0)
        *loading = (size_t)k;
}

static bool one_of(jv_scan *s, const char *there, const char *gone, bool *absent) {
    *absent = false;
    if (jv_scan_word(s, there))
        return true;
    *absent = true;
    return jv_scan_word(s, gone);
}

static void take_watch(jv_scan *s, long watch, jv_symptom *out) {
    out->kind = JV_SYMPTOM_TRIPS;
    out->subject = (size_t)watch;
    if (!one_of(s, "trips", "holds", &out->absent))
        jv_scan_fault(s, "write trips or holds behind a watch", "what \"%s\" does is missing",
                      s->c->watches[watch].name);
    take_when(s, &out->loading);
    if (!s->failed && s->c->watches[watch].state == JV_RUNNING && out->loading == JV_FIND_NONE)
        jv_scan_fault(s, "write: in CASE", "\"%s\" counts while jacks run: say in which case",
                      s->c->watches[watch].name);
}

/* The case with most motors that runs it. */
static size_t fullest(const jv_circuit *c, size_t part) {
    size_t best = JV_FIND_NONE;
    for (size_t k = 0; k < c->n_cases; k++)
        for (size_t i = 0; i < c->cases[k].n_runs; i++)
            if (c->cases[k].runs[i].part == part &&
                (best == JV_FIND_NONE || c->cases[k].n_runs > c->cases[best].n_runs))
                best = k;
    return best;
}

static void take_part(jv_scan *s, long part, jv_symptom *out) {
    const jv_part_kind *kind = s->c->parts[part].kind;
    out->subject = (size_t)part;
    if (kind == &jv_kind_hall) {
        out->kind = JV_SYMPTOM_SENSOR;
        if (!one_of(s, "lost", "works", &out->absent))
            jv_scan_fault(s, "write lost or works behind a sensor", "what \"%s\" does is missing",
                          s->c->parts[part].name);
        take_when(s, &out->loading);
        return;
    }
    if (!kind->is_motor) {
        jv_scan_fault(s, "a symptom is one of a watch, a jack, a pump or a sensor",
                      "\"%s\" is none of these", s->c->parts[part].name);
        return;
    }
    out->kind = JV_SYMPTOM_SLOW;
    if (!one_of(s, "slow", "not slow", &out->absent)) {
        out->kind = JV_SYMPTOM_STILL;
        if (!one_of(s, "still", "moves", &out->absent))
            jv_scan_fault(s, "write slow, not slow, still or moves behind a jack",
                          "what \"%s\" does is missing", s->c->parts[part].name);
    }
    take_when(s, &out->loading);
    if (out->loading == JV_FIND_NONE)
        out->loading = fullest(s->c, (size_t)part);
}

/* In the order of jv_hint. */
static const char *const hints[JV_HINTS] = {
    "happens cold",   "happens after minutes", "happens now and then", "changed battery",
    "changed wiring", "changed jack",          "changed weather",
};

static bool take_hint(jv_scan *s, jv_symptom *out) {
    for (size_t k = 0; k < JV_HINTS; k++)
        if (jv_scan_word(s, hints[k])) {
            out->kind = JV_SYMPTOM_HINT;
            out->subject = k;
            out->loading = JV_FIND_NONE;
            return true;
        }
    return false;
}

static void take_line(jv_scan *s, jv_symptom *out) {
    if (take_hint(s, out)) {
        /* nothing more */
    } else if (jv_scan_word(s, "all")) {
        out->kind = JV_SYMPTOM_ALL_SLOW;
        out->subject = JV_FIND_NONE;
        if (!one_of(s, "slow", "not slow", &out->absent))
            jv_scan_fault(s, "write: all slow in CASE", "what all do is missing");
        take_when(s, &out->loading);
        if (!s->failed && out->loading == JV_FIND_NONE)
            jv_scan_fault(s, "write: all slow in CASE", "the case is missing");
    } else {
        long watch = jv_scan_try(s, JV_NAME_WATCH);
        long part = watch < 0 ? jv_scan_try(s, JV_NAME_PART) : -1;
        if (watch >= 0)
            take_watch(s, watch, out);
        else if (part >= 0)
            take_part(s, part, out);
        else
            jv_scan_fault(
                s, "a symptom begins with the name of a watch, a jack or a sensor, or with all",
                "begins with no name of the circuit file");
    }
    if (!s->failed && !jv_scan_end(s))
        jv_scan_fault(s, NULL, "do not know what to do with \"%s\"", s->at);
}

jv_status jv_symptom_take(jv_finder *f, const jv_circuit *c, const char *text,
                          const jv_place *place, jv_diags *diags) {
    jv_scan s = {c, text, text, place, diags, JV_CODE_SYMPTOM_FORM, false};
    jv_symptom symptom;
    memset(&symptom, 0, sizeof symptom);
    take_line(&s, &symptom);
    if (s.failed)
        return JV_ERR_INPUT;
    jv_status status = jv_finder_add_symptom(f, &symptom);
    if (status == JV_ERR_RANGE) {
        jv_scan_fault(&s, NULL, "this symptom cannot be in that case");
        status = JV_ERR_INPUT;
    }
    return status;
}

static const char *does(const jv_symptom *s) {
    static const char *const words[][2] = {
        [JV_SYMPTOM_TRIPS] = {"trips", "holds"},      [JV_SYMPTOM_SLOW] = {"slow", "not slow"},
        [JV_SYMPTOM_ALL_SLOW] = {"slow", "not slow"}, [JV_SYMPTOM_STILL] = {"still", "moves"},
        [JV_SYMPTOM_SENSOR] = {"lost", "works"},      [JV_SYMPTOM_HINT] = {"", ""}};
    return words[s->kind][s->absent];
}

void jv_symptom_print(const jv_finder *f, size_t symptom, jv_text *out) {
    const jv_circuit *c = f->c;
    for (size_t k = 0; k < f->n_entries; k++) {
        const jv_symptom *s = &f->entries[k].symptom;
        if (f->entries[k].kind != JV_ENTRY_SYMPTOM || f->entries[k].proof || symptom-- > 0)
            continue;
        if (s->kind == JV_SYMPTOM_HINT) {
            jv_text_add(out, hints[s->subject]);
            return;
        }
        if (s->kind == JV_SYMPTOM_ALL_SLOW)
            jv_text_add(out, "all");
        else
            jv_text_addf(out, "\"%s\"",
                         s->kind == JV_SYMPTOM_TRIPS ? c->watches[s->subject].name
                                                     : c->parts[s->subject].name);
        jv_text_addf(out, " %s", does(s));
        if (s->loading == JV_FIND_NONE)
            jv_text_add(out, " at rest");
        else
            jv_text_addf(out, " in \"%s\"", c->cases[s->loading].name);
        return;
    }
}

/* --- files --- */

static bool is_reading(const char *line) {
    static const char *const words[] = {"volts", "amps", "ohms", "look"};
    line += strspn(line, " \t");
    for (size_t k = 0; k < sizeof words / sizeof words[0]; k++) {
        size_t n = strlen(words[k]);
        if (strncmp(line, words[k], n) == 0 && (line[n] == ' ' || line[n] == '\t'))
            return true;
    }
    return false;
}

jv_status jv_evidence_take(jv_finder *f, const jv_circuit *c, const char *text, size_t length,
                           const char *file, jv_diags *diags) {
    jv_status worst = JV_OK;
    const char *end = text + length;
    jv_place place = {file, NULL, 0, 1};
    while (text < end && worst != JV_ERR_MEMORY) {
        const char *stop = memchr(text, '\n', (size_t)(end - text));
        size_t n = (size_t)((stop ? stop : end) - text);
        place.line++;
        jv_text line = {0};
        jv_text_add_n(&line, text, n);
        while (line.length &&
               (line.data[line.length - 1] == '\r' || line.data[line.length - 1] == ' '))
            line.data[--line.length] = '\0';
        const char *s = jv_text_str(&line);
        s += strspn(s, " \t");
        jv_status status = JV_OK;
        if (line.failed)
            status = JV_ERR_MEMORY;
        else if (*s && *s != '#')
            status = is_reading(s) ? jv_reading_take(f, c, s, &place, diags)
                                   : jv_symptom_take(f, c, s, &place, diags);
        if (status != JV_OK)
            worst = status;
        jv_text_clear(&line);
        text = stop ? stop + 1 : end;
    }
    return worst;
}
