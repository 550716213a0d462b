/* waive_object.c - what a circuit file sets aside of the review. SPDX-License-Identifier: MIT */
#include "read/sections.h"
#include "read/value.h"

static jv_waiver *waiver_of(jv_reader *r) {
    return &r->circuit->waivers[r->circuit->n_waivers];
}

static void take_reason(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    const char *text = jv_read_text(r, from, key->name);
    waiver_of(r)->reason = text != NULL ? jv_reader_keep(r, text) : NULL;
}

static void take_name(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    const char *text = jv_read_text(r, from, key->name);
    waiver_of(r)->name = text != NULL ? jv_reader_keep(r, text) : NULL;
}

static bool digits(const char *s, size_t n) {
    for (size_t i = 0; i < n; i++) {
        if (s[i] < '0' || s[i] > '9') {
            return false;
        }
    }
    return true;
}

/* Of the Gregorian calendar, ISO 8601. */
static int days_of(int year, int month) {
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return days[month - 1] + (month == 2 && leap ? 1 : 0);
}

/* ISO 8601: 2026-11-25. */
static bool is_date(const char *s) {
    enum { YEAR = 4, MONTH_AT = 5, DAY_AT = 8, LENGTH = 10 };
    size_t n = 0;
    while (n <= LENGTH && s[n] != '\0') {
        n++;
    }
    if (n != LENGTH || !digits(s, YEAR) || s[YEAR] != '-' || !digits(s + MONTH_AT, 2) ||
        s[MONTH_AT + 2] != '-' || !digits(s + DAY_AT, 2)) {
        return false;
    }
    int year = 0;
    for (size_t i = 0; i < YEAR; i++) {
        year = 10 * year + s[i] - '0';
    }
    int month = 10 * (s[MONTH_AT] - '0') + s[MONTH_AT + 1] - '0';
    int day = 10 * (s[DAY_AT] - '0') + s[DAY_AT + 1] - '0';
    return month >= 1 && month <= 12 && day >= 1 && day <= days_of(year, month);
}

static void take_date(jv_reader *r, void *object, const jv_key *key, jv_source from) {
    (void)object;
    const char *text = jv_read_text(r, from, key->name);
    if (text == NULL) {
        return;
    }
    if (!is_date(text)) {
        jv_reader_fault(r, from, false, JV_CODE_KEY_TYPE, "Write year, month, day: \"2026-11-25\".",
                        "\"date\" cannot be \"%s\"", text);
        return;
    }
    waiver_of(r)->date = jv_reader_keep(r, text);
}

#define NEEDED_TEXT(name, help, take)                                                              \
    {                                                                                              \
        {name, JV_KEY_TEXT, JV_DIM_NUMBER, JV_NEEDED, 0, 0, NULL, NULL, NULL, help}, JV_SHAPE_KEY, \
            take                                                                                   \
    }

const jv_row jv_waiver_rows[] = {
    NEEDED_TEXT("reason", "why the rule is set aside", take_reason),
    NEEDED_TEXT("name", "who answers for it", take_name),
    NEEDED_TEXT("date", "when: year-month-day, 2026-11-25", take_date),
};
const size_t jv_waiver_rows_count = sizeof jv_waiver_rows / sizeof jv_waiver_rows[0];

static void read_waiver(jv_reader *r, jv_source object) {
    jv_reader_own(r, "waiver", object.node->key);
    if (object.node->key == NULL || !jv_form_is_object(r, object, "a waiver")) {
        return;
    }
    jv_waiver *w = waiver_of(r);
    w->key = jv_reader_keep(r, object.node->key);
    w->line = (uint32_t)jv_json_key_place(object.doc, object.node).line;
    jv_form_read(r, jv_waiver_rows, jv_waiver_rows_count, object, NULL);
    r->circuit->n_waivers++;
}

void jv_waivers_take(jv_reader *r, void *target, const jv_key *key, jv_source from) {
    (void)target;
    jv_reader_own(r, NULL, NULL);
    if (!jv_read_is(r, from, key->name, JV_JSON_OBJECT, "an object of waivers",
                    "Write {\"RULE at PART\": {\"reason\": \"...\", \"name\": \"...\", "
                    "\"date\": \"2026-11-25\"}}.")) {
        return;
    }
    r->circuit->waivers =
        jv_arena_alloc(&r->circuit->arena, from.node->length + 1, sizeof *r->circuit->waivers);
    if (r->circuit->waivers == NULL) {
        r->circuit->out_of_memory = true;
        return;
    }
    for (const jv_json_value *n = from.node->as.first; n != NULL; n = n->next) {
        read_waiver(r, jv_reader_at(from, n));
    }
    jv_reader_own(r, NULL, NULL);
}
