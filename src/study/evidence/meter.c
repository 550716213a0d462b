/* meter.c - meters and suspects in words. SPDX-License-Identifier: MIT */
#include "jackvolt/evidence.h"
#include "jackvolt/quantity.h"

#include <string.h>

enum { MOST_BYTES = 120 };

typedef struct jv_meter_scan {
    jv_diags *diags;
    const char *whole;
    bool failed;
} jv_meter_scan;

static void fault(jv_meter_scan *s, const char *hint, const char *what, const char *piece) {
    static const jv_place place = {.file = "--meter"};
    s->failed = true;
    jv_diag_add(s->diags, JV_ERROR, JV_CODE_METER_FORM, &place, hint, "'%s': %s", piece, what);
}

static bool skip_word(const char **at, const char *word) {
    size_t n = strlen(word);
    *at += strspn(*at, " \t");
    if (strncmp(*at, word, n) != 0)
        return false;
    *at += n;
    return true;
}

/* "0.5 % + 3 x 10 mV": percent of the reading, counts, one count. */
static void take_range(jv_meter_scan *s, const char *piece, const char *at, jv_dim dim,
                       jv_meter_range *range) {
    static const char form[] = "write for example: volts 0.5 % + 3 x 10 mV";
    double percent, counts;
    jv_value step;
    at += strspn(at, " \t");
    if (!jv_number_read(at, &percent, &at) || !skip_word(&at, "%") || !skip_word(&at, "+")) {
        fault(s, form, "percent of the reading is missing", piece);
        return;
    }
    at += strspn(at, " \t");
    if (!jv_number_read(at, &counts, &at) || !skip_word(&at, "x")) {
        fault(s, form, "the counts are missing", piece);
        return;
    }
    at += strspn(at, " \t");
    if (jv_quantity_read(at, dim, &step, NULL) != JV_OK || !(step.nominal > 0.0)) {
        fault(s, form, "one count, with its unit, is missing", piece);
        return;
    }
    if (percent < 0.0 || counts < 0.0) {
        fault(s, form, "an error cannot be negative", piece);
        return;
    }
    /* A finer display has a smaller range, of as many counts. */
    if (range->full_scale > 0.0 && range->step > 0.0)
        range->full_scale *= step.nominal / range->step;
    range->percent = percent;
    range->counts = counts;
    range->step = step.nominal;
}

static void take_piece(jv_meter_scan *s, const char *piece, jv_meter *m, bool *no_clamp,
                       bool *no_ohms) {
    const char *at = piece;
    jv_value v;
    if (strcmp(piece, "peak hold") == 0)
        m->peak_hold = true;
    else if (strcmp(piece, "no clamp") == 0)
        *no_clamp = true;
    else if (strcmp(piece, "no ohms") == 0)
        *no_ohms = true;
    else if (skip_word(&at, "volts "))
        take_range(s, piece, at, JV_DIM_VOLTAGE, &m->volts);
    else if (skip_word(&at, "millivolts "))
        take_range(s, piece, at, JV_DIM_VOLTAGE, &m->millivolts);
    else if (skip_word(&at, "ohms "))
        take_range(s, piece, at, JV_DIM_RESISTANCE, &m->ohms);
    else if (skip_word(&at, "amps "))
        take_range(s, piece, at, JV_DIM_CURRENT, &m->amps);
    else if (skip_word(&at, "leads ")) {
        at += strspn(at, " \t");
        if (jv_quantity_read(at, JV_DIM_RESISTANCE, &v, NULL) == JV_OK && v.nominal >= 0.0)
            m->lead_ohm = v.nominal;
        else
            fault(s, "write for example: leads 0.2 ohm", "the ohms of the leads are missing",
                  piece);
    } else {
        fault(s, "it knows: volts, millivolts, ohms, amps, leads, peak hold, no clamp, no ohms",
              "not understood", piece);
    }
}

jv_status jv_meter_take(const char *text, jv_meter *meter, bool *no_clamp, bool *no_ohms,
                        jv_diags *diags) {
    jv_meter_scan s = {diags, text, false};
    while (*text) {
        char piece[MOST_BYTES + 1];
        size_t n = strcspn(text, ";"), used = 0;
        const char *from = text;
        text += n + (text[n] == ';');
        while (used < n && (from[used] == ' ' || from[used] == '\t'))
            used++;
        from += used;
        n -= used;
        while (n && (from[n - 1] == ' ' || from[n - 1] == '\t'))
            n--;
        if (!n)
            continue;
        if (n > MOST_BYTES)
            n = MOST_BYTES;
        memcpy(piece, from, n);
        piece[n] = '\0';
        take_piece(&s, piece, meter, no_clamp, no_ohms);
    }
    return s.failed ? JV_ERR_INPUT : JV_OK;
}

/* --- suspects --- */

size_t jv_suspect_take(const jv_finder *f, const char *text, jv_diags *diags) {
    static const jv_place place = {.file = "--why"};
    enum { FAR = 30 };
    size_t found = JV_FIND_NONE, hits = 0, near = JV_FIND_NONE, least = FAR + 1;
    for (size_t k = 0; k < jv_finder_suspects(f); k++) {
        const char *words = jv_finder_suspect(f, k)->words;
        if (strcmp(words, text) == 0)
            return k;
        if (strstr(words, text) && jv_finder_suspect(f, k)->n < 2) {
            found = k;
            hits++;
        }
        size_t d = jv_text_distance(text, words, FAR);
        if (d < least) {
            least = d;
            near = k;
        }
    }
    if (hits == 1)
        return found;
    jv_text hint = {0};
    if (hits > 1)
        jv_text_addf(&hint, "for example \"%s\"", jv_finder_suspect(f, found)->words);
    else if (near != JV_FIND_NONE)
        jv_text_addf(&hint, "did you mean \"%s\"?", jv_finder_suspect(f, near)->words);
    jv_diag_add(diags, JV_ERROR, JV_CODE_FAULT_FORM, &place, jv_text_str(&hint),
                hits > 1 ? "'%s' fits several faults"
                         : "no fault that is considered is called '%s'",
                text);
    jv_text_clear(&hint);
    return JV_FIND_NONE;
}
