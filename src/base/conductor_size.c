/* conductor_size.c - read and print conductor sizes. SPDX-License-Identifier: MIT */
#include "base/plain.h"
#include "jackvolt/quantity.h"

#include <string.h>

#define SMALLEST_GAUGE 40  /* AWG and SAE: the thinnest strand that is sold as a wire */
#define LARGEST_GAUGE (-3) /* 4/0 */
#define LEAST_AREA 0.05    /* mm2 */
#define GREATEST_AREA 1e3  /* mm2 */

static const char SIZE_HINT[] = "write 6 AWG, 2/0, SAE 6 or 16 mm2";

/* A size as written: words in front of and behind the number. */
typedef struct parts {
    char before[8];
    char behind[8];
    size_t start; /* of the number */
    size_t end;
} parts;

/* Copies letters and '#' in small letters without blanks; false when there are more than fit. */
static bool take_word(const jv_plain *plain, size_t *at, char word[8]) {
    size_t n = 0;
    *at = jv_plain_skip_blanks(plain, *at);
    for (;; *at = jv_plain_skip_blanks(plain, *at + 1)) {
        const char c = plain->c[*at];
        /* The one digit that belongs to a word: mm2. "AWG6" is a word and a number. */
        const bool power = c == '2' && n >= 2 && word[n - 1] == 'm' && plain->c[*at - 1] != ' ';
        if (!jv_plain_is_letter(c) && c != '#' && !power) {
            break;
        }
        if (n + 1 == 8) {
            return false;
        }
        word[n++] = jv_plain_lower(c);
    }
    word[n] = '\0';
    return true;
}

static jv_status form_fault(const jv_plain *plain) {
    return jv_plain_fault(plain, JV_CODE_SIZE_FORM, 0, plain->length, "",
                          " is not a conductor size", SIZE_HINT);
}

static jv_status range_fault(const jv_plain *plain, const char *behind, const char *hint) {
    return jv_plain_fault(plain, JV_CODE_QUANTITY_RANGE, 0, plain->length, "", behind, hint);
}

/* The gauge written from start to end: "6", "2/0" -> -1, "00" -> -1. False when it is none. */
static bool read_gauge(const jv_plain *plain, const parts *p, int *gauge) {
    const int too_large = 1000; /* far outside the range, and far from overflow */
    const char *c = plain->c + p->start;
    const size_t length = p->end - p->start;
    int number = 0;
    size_t i = 0;
    for (; i < length && jv_plain_is_digit(c[i]); i++) {
        number = number < too_large ? number * 10 + (c[i] - '0') : number;
    }
    if (i == length && length > 0) {
        if (c[0] != '0') {
            *gauge = number;
            return true;
        }
        *gauge = 1 - (int)length; /* n zeros are n/0 */
        return number == 0;
    }
    *gauge = 1 - number;
    return i > 0 && c[0] != '0' && i + 2 == length && c[i] == '/' && c[i + 1] == '0';
}

static jv_status gauge_size(const jv_plain *plain, const parts *p, jv_size_system system,
                            jv_size *out) {
    int gauge;
    if (!read_gauge(plain, p, &gauge)) {
        return form_fault(plain);
    }
    if (gauge > SMALLEST_GAUGE || gauge < LARGEST_GAUGE) {
        return range_fault(plain, " is no gauge made", "gauges go from 40 to 4/0");
    }
    *out = (jv_size){.system = system, .gauge = gauge};
    return JV_OK;
}

static jv_status metric_size(const jv_plain *plain, const parts *p, jv_size *out) {
    double area;
    const char *end;
    if (!jv_number_read(plain->c + p->start, &area, &end) || end != plain->c + p->end) {
        return form_fault(plain);
    }
    if (!(area >= LEAST_AREA && area <= GREATEST_AREA)) {
        return range_fault(plain, " is no conductor area made", "areas go from 0.05 to 1000 mm2");
    }
    *out = (jv_size){.system = JV_SIZE_MM2, .area_mm2 = area};
    return JV_OK;
}

/* "00" and "2/0" are gauges by their look; a number alone may be AWG, SAE or mm2. */
static bool looks_like_aught(const jv_plain *plain, const parts *p) {
    const char *c = plain->c + p->start;
    return (c[0] == '0' && c[1] == '0') || memchr(c, '/', p->end - p->start) != NULL;
}

jv_status jv_size_read(const char *text, jv_size *out, jv_quantity_fault *fault) {
    jv_plain plain;
    parts p;
    size_t at = 0;
    const jv_status status = jv_plain_make(&plain, text, fault);
    if (status != JV_OK) {
        return status;
    }
    if (!take_word(&plain, &at, p.before)) {
        return form_fault(&plain);
    }
    p.start = at;
    while (jv_plain_is_digit(plain.c[at]) || plain.c[at] == '.' || plain.c[at] == '/') {
        at++;
    }
    p.end = at;
    if (p.end == p.start || !take_word(&plain, &at, p.behind) || at != plain.length) {
        return form_fault(&plain);
    }
    const char *before = p.before;
    const char *behind = p.behind;
    if (before[0] == '\0' && behind[0] == '\0' && !looks_like_aught(&plain, &p)) {
        return jv_plain_fault(&plain, JV_CODE_QUANTITY_BARE, p.start, p.end, "",
                              " alone may be AWG, SAE or mm2", SIZE_HINT);
    }
    if (before[0] == '\0' && (strcmp(behind, "mm2") == 0 || strcmp(behind, "sqmm") == 0)) {
        return metric_size(&plain, &p, out);
    }
    const bool awg_behind =
        strcmp(behind, "awg") == 0 || strcmp(behind, "ga") == 0 || strcmp(behind, "gauge") == 0;
    const bool awg_before = strcmp(before, "awg") == 0 || strcmp(before, "#") == 0;
    if ((before[0] == '\0' && (awg_behind || behind[0] == '\0')) ||
        (awg_before && (behind[0] == '\0' || (before[0] == '#' && awg_behind)))) {
        return gauge_size(&plain, &p, JV_SIZE_AWG, out);
    }
    if (strcmp(before, "sae") == 0 && behind[0] == '\0') {
        return gauge_size(&plain, &p, JV_SIZE_SAE, out);
    }
    return form_fault(&plain);
}

static void print_gauge(jv_text *out, int gauge) {
    if (gauge > 0) {
        jv_text_addf(out, "%d", gauge);
    } else {
        jv_text_addf(out, "%d/0", 1 - gauge);
    }
}

void jv_size_print(jv_text *out, const jv_size *size) {
    char area[32];
    switch (size->system) {
    case JV_SIZE_AWG:
        print_gauge(out, size->gauge);
        jv_text_add(out, " AWG");
        return;
    case JV_SIZE_SAE:
        jv_text_add(out, "SAE ");
        print_gauge(out, size->gauge);
        return;
    case JV_SIZE_MM2:
        jv_text_add(out, jv_number_shortest(size->area_mm2, area) ? area : "unknown");
        jv_text_add(out, " mm2");
        return;
    }
}
