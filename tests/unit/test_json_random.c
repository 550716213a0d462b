/* test_json_random.c - the JSON reader against cJSON, and against faults put in at random.
 * SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cjson/cJSON.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

#include "read/json.h"

enum { DOCUMENTS = 2000, DAMAGED = 20000, NUMBERS = 20000, FAULTY = 1000 };

/* xorshift64*, Vigna, "An experimental exploration of Marsaglia's xorshift generators", 2016. */
static uint64_t seed;

static uint32_t draw(uint32_t below) {
    seed ^= seed >> 12;
    seed ^= seed << 25;
    seed ^= seed >> 27;
    return (uint32_t)((seed * UINT64_C(2685821657736338717)) >> 33) % below;
}

/* --- random documents --- */

static void add_space(jv_text *t) {
    static const char *const spaces[] = {"", "", "", " ", "\n", "\t ", "\r\n  "};
    jv_text_add(t, spaces[draw(7)]);
}

static void add_number(jv_text *t) {
    jv_text_add(t, draw(3) == 0 ? "-" : "");
    if (draw(4) == 0) {
        jv_text_add_char(t, '0');
    } else {
        jv_text_addf(t, "%u", 1 + draw(9));
        for (uint32_t n = draw(draw(4) == 0 ? 25 : 4); n > 0; n--) {
            jv_text_addf(t, "%u", draw(10));
        }
    }
    if (draw(2) == 0) {
        jv_text_add_char(t, '.');
        for (uint32_t n = 1 + draw(draw(4) == 0 ? 20 : 4); n > 0; n--) {
            jv_text_addf(t, "%u", draw(10));
        }
    }
    if (draw(3) == 0) {
        static const char *const exponents[] = {"e", "E", "e+", "E-", "e-"};
        jv_text_addf(t, "%s%u", exponents[draw(5)], draw(draw(3) == 0 ? 280 : 25));
    }
}

static void add_string(jv_text *t, int unique) {
    static const char *const pieces[] = {
        "feed", "\\n", "\\u00e9", "\xc3\xa9", "\\\\",         "\\\"", " ",      "\\ud834\\udd1e",
        "/",    "\\/", "\\u20AC", "24 ft",    "\xe2\x84\xa6", "~",    "{[,:]}", "\xf0\x9f\x94\xa7",
        "\\t",  "'",   "// no",   "#"};
    jv_text_add_char(t, '"');
    for (uint32_t n = draw(5); n > 0; n--) {
        jv_text_add(t, pieces[draw(20)]);
    }
    if (unique >= 0) { /* no two keys of an object may be equal */
        jv_text_addf(t, "%d", unique);
    }
    jv_text_add_char(t, '"');
}

static void add_value(jv_text *t, int depth) {
    uint32_t kind = draw(depth > 0 ? 9 : 5);
    add_space(t);
    if (kind <= 1) {
        add_number(t);
    } else if (kind <= 3) {
        add_string(t, -1);
    } else if (kind == 4) {
        static const char *const words[] = {"true", "false", "null"};
        jv_text_add(t, words[draw(3)]);
    } else {
        bool object = kind >= 7;
        int n = (int)draw(draw(20) == 0 ? 40 : 6);
        jv_text_add_char(t, object ? '{' : '[');
        for (int i = 0; i < n; i++) {
            jv_text_add(t, i > 0 ? "," : "");
            if (object) {
                add_space(t);
                add_string(t, i);
                add_space(t);
                jv_text_add_char(t, ':');
            }
            add_value(t, depth - 1);
        }
        add_space(t);
        jv_text_add_char(t, object ? '}' : ']');
    }
    add_space(t);
}

/* --- comparison --- */

static void check_place(const jv_json_doc *doc, jv_place place, size_t offset) {
    size_t line = 1;
    size_t column = 1;
    for (size_t i = 0; i < offset; i++) {
        bool starts = ((unsigned char)doc->text[i] & 0xc0) != 0x80;
        line += doc->text[i] == '\n';
        column = doc->text[i] == '\n' ? 1 : column + starts;
    }
    assert_int_equal(place.line, line);
    assert_int_equal(place.column, column);
}

static void check_pointer(const jv_json_doc *doc, const jv_json_value *node, const jv_text *path) {
    jv_text got = {0};
    jv_json_pointer(doc, node, &got);
    assert_string_equal(jv_text_str(&got), jv_text_str(path));
    jv_text_clear(&got);
}

static void escape_step(jv_text *path, const char *key) {
    jv_text_add_char(path, '/');
    for (; *key != '\0'; key++) {
        jv_text_add_n(path,
                      *key == '~'   ? "~0"
                      : *key == '/' ? "~1"
                                    : key,
                      *key == '~' || *key == '/' ? 2 : 1);
    }
}

static void compare(const jv_json_doc *doc, const jv_json_value *ours, const cJSON *other,
                    const jv_text *path) {
    char first = doc->text[ours->offset];
    check_place(doc, jv_json_place(doc, ours), ours->offset);
    check_pointer(doc, ours, path);
    switch (ours->type) {
    case JV_JSON_NULL:
        assert_true(cJSON_IsNull(other) && first == 'n');
        return;
    case JV_JSON_BOOL:
        assert_true(cJSON_IsBool(other) && cJSON_IsTrue(other) == ours->as.boolean);
        assert_int_equal(first, ours->as.boolean ? 't' : 'f');
        return;
    case JV_JSON_NUMBER:
        assert_true(cJSON_IsNumber(other) && other->valuedouble == ours->as.number);
        return;
    case JV_JSON_STRING:
        assert_true(cJSON_IsString(other) && first == '"');
        assert_string_equal(other->valuestring, ours->as.string);
        assert_int_equal(strlen(ours->as.string), ours->length);
        return;
    default:
        break;
    }
    bool object = ours->type == JV_JSON_OBJECT;
    assert_true(object ? cJSON_IsObject(other) : cJSON_IsArray(other));
    assert_int_equal(first, object ? '{' : '[');
    assert_int_equal(ours->length, cJSON_GetArraySize(other));
    const cJSON *theirs = other->child;
    size_t index = 0;
    for (const jv_json_value *c = ours->as.first; c != NULL; c = c->next, theirs = theirs->next) {
        jv_text step = {0};
        jv_text_add(&step, jv_text_str(path));
        if (object) {
            assert_string_equal(c->key, theirs->string);
            assert_int_equal(doc->text[c->key_offset], '"');
            check_place(doc, jv_json_key_place(doc, c), c->key_offset);
            escape_step(&step, c->key);
        } else {
            assert_null(c->key);
            jv_text_addf(&step, "/%zu", index);
        }
        compare(doc, c, theirs, &step);
        jv_text_clear(&step);
        index++;
    }
    assert_null(theirs);
}

/* What we accept cJSON accepts, with equal values. Returns whether we accept it. */
static bool agrees(const char *text, size_t length) {
    jv_diags d = {0};
    jv_json_doc doc;
    jv_status status = jv_json_read(text, length, NULL, NULL, &d, &doc);
    assert_true(status == JV_OK || (status == JV_ERR_INPUT && d.errors > 0));
    if (status == JV_OK) {
        const char *end = NULL;
        cJSON *other = cJSON_ParseWithLengthOpts(text, length, &end, false);
        assert_non_null(other);
        while (end < text + length && strchr(" \t\r\n", *end) != NULL) {
            end++;
        }
        assert_ptr_equal(end, text + length);
        jv_text path = {0};
        compare(&doc, doc.root, other, &path);
        jv_text_clear(&path);
        cJSON_Delete(other);
    }
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    return status == JV_OK;
}

static void random_documents_read_as_cjson_reads_them(void **state) {
    (void)state;
    seed = 20251;
    size_t bytes = 0;
    for (int i = 0; i < DOCUMENTS; i++) {
        jv_text t = {0};
        add_value(&t, i % 6);
        assert_true(agrees(t.data, t.length));
        bytes += t.length;
        jv_text_clear(&t);
    }
    assert_true(bytes > (size_t)50 * DOCUMENTS); /* the documents are not trivial */
}

static void damaged_documents_are_refused_or_read_alike(void **state) {
    (void)state;
    static const char marks[] = "{}[]\",:'\\/#-+.eE0123456789 \n\ttfnu\xc3\xa9";
    seed = 20252;
    size_t accepted = 0;
    for (int i = 0; i < DAMAGED; i++) {
        jv_text t = {0};
        add_value(&t, 3);
        for (uint32_t n = 1 + draw(3); n > 0 && t.length > 1; n--) {
            uint32_t at = draw((uint32_t)t.length);
            if (draw(2) == 0) {
                t.data[at] = marks[draw(sizeof marks - 1)];
            } else {
                memmove(t.data + at, t.data + at + 1, t.length - at);
                t.length--;
            }
        }
        accepted += agrees(t.data, t.length);
        jv_text_clear(&t);
    }
    assert_in_range(accepted, DAMAGED / 100, DAMAGED / 2); /* both branches are reached */
}

static void numbers_come_back_as_they_were_written(void **state) {
    (void)state;
    seed = 20253;
    for (int i = 0; i < NUMBERS; i++) {
        uint64_t bits = (uint64_t)draw(UINT32_C(1) << 31) << 33 ^
                        (uint64_t)draw(UINT32_C(1) << 31) << 16 ^ draw(1U << 16);
        double value;
        memcpy(&value, &bits, sizeof value);
        char digits[32];
        if (!jv_number_shortest(value, digits)) {
            continue; /* infinite or not a number */
        }
        jv_diags d = {0};
        jv_json_doc doc;
        assert_int_equal(jv_json_read(digits, strlen(digits), NULL, NULL, &d, &doc), JV_OK);
        assert_true(doc.root->as.number == value);
        assert_int_equal(doc.root->length, strlen(digits));
        jv_json_doc_clear(&doc);
    }
}

/* --- faults put in at random --- */

/* A line of an object and what is said of it. The number in it makes its key unique. */
static const struct {
    const char *line;
    const char *says; /* NULL: a sound line */
} lines[] = {
    {"  \"key %d\": \"24 ft\",", NULL},
    {"  \"key %d\": {\"a\": [1, 2.5e3, true], \"b\": \"x, y: {z\"},", NULL},
    {"  \"key %d\": [],", NULL},
    {"  \"key %d\" \"24 ft\",", "no colon"},
    {"  \"key %d\": \"24 ft\"", "no comma"},
    {"  \"key %d\": {\"a\": 1 \"b\": 2},", "no comma"},
    {"  \"key %d\": {\"a\": 1,},", "comma behind the last"},
    {"  \"key %d\": [1, 2,],", "comma behind the last"},
    {"  'key %d': 1,", "single quotes"},
    {"  key %d: 1,", "without quotes"},
    {"  key %d\": 1,", "without quotes"},
    {"  \"key %d: 1,", "no closing quote"},
    {"  \"key %d\": \"24 ft,", "no closing quote"},
    {"  \"key %d\": 24 ft\",", "no opening quote"},
    {"  \"key %d\": 24 ft,", "without quotes"},
    {"  \"key %d\": 1, // why", "no comments"},
    {"  /* why */ \"key %d\": 1,", "no comments"},
    {"  \"key %d\": 1, # why", "no comments"},
    {"  \"key %d\": \"a\\qb\",", "bad escape"},
    {"  \"key %d\": \"a\tb\",", "control character"},
    {"  \"key %d\": 007,", "leading zero"},
    {"  \"key %d\": {\"a\": +1},", "plus sign"},
    {"  \"key %d\": [0x10, 1],", "hexadecimal"},
    {"  \"key %d\": 1.,", "behind the point"},
    {"  \"key %d\": NaN,", "NaN"},
    {"  \"key %d\": yes,", "yes"},
    {"  \"key %d\": ,", "no value"},
    {"  \"key %d\",", "no value"},
    {"  \"key %d\": 1,,", "two commas"},
    {"  \"key %d\": [1, 2},", "closes the ["},
    {"  \"key %d\": {\"a\": 1],", "closes the {"},
    {"  \"key %d\": {\"a\": 1, \"a\": 2},", "stands twice"},
    {"  \"key %d\": \"2\" pipe\",", "ends at this quote"},
};

enum { SOUND = 3, KINDS = sizeof lines / sizeof lines[0], LINES = 12 };

/* Line i + 2 of the text holds lines[kind[i]]. One message for each faulty line, on that
 * line, and none for the others. */
static bool one_message_a_fault(const char *text, const uint32_t kind[LINES]) {
    jv_diags d = {0};
    jv_json_doc doc;
    bool right = jv_json_read(text, strlen(text), "t.json", NULL, &d, &doc) != JV_ERR_MEMORY;
    size_t n = 0;
    for (size_t i = 0; i < LINES; i++) {
        const char *says = lines[kind[i]].says;
        if (says != NULL) {
            right = right && n < d.count && d.items[n].place.line == i + 2 &&
                    strstr(d.items[n].message, says) != NULL;
            n++;
        }
    }
    right = right && n == d.errors;
    if (!right) {
        jv_text out = {0};
        jv_diags_print(&d, &out);
        fprintf(stderr, "in:\n%s\n%s", text, jv_text_str(&out));
        jv_text_clear(&out);
    }
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    return right;
}

static void each_of_many_faults_gives_one_message(void **state) {
    (void)state;
    seed = 20254;
    size_t wrong = 0;
    for (int i = 0; i < FAULTY && wrong < 3; i++) {
        jv_text t = {0};
        uint32_t kind[LINES];
        jv_text_add(&t, "{\n");
        for (int k = 0; k < LINES; k++) {
            kind[k] = draw(2) == 0 ? draw(SOUND) : SOUND + draw(KINDS - SOUND);
            const char *line = lines[kind[k]].line;
            const char *number = strstr(line, "%d");
            jv_text_add_n(&t, line, (size_t)(number - line));
            jv_text_addf(&t, "%d%s\n", k, number + 2);
        }
        jv_text_add(&t, "  \"last\": 0\n}\n");
        wrong += !one_message_a_fault(jv_text_str(&t), kind);
        jv_text_clear(&t);
    }
    assert_int_equal(wrong, 0);
}

/* What costs a step too many for each byte would take hours here, and fuzzing shows it
 * only on small inputs. */
static void no_rubbish_takes_long(void **state) {
    (void)state;
    static const struct {
        const char *start;
        const char *again;
        const char *end;
    } texts[] = {
        {"[\"a", "\n", "x\"]"},   {"[\"a", "\n b: ,", "\"]"},
        {"[\"", "[", "]]]],,,,"}, {"[\"[", ",", "\n\"]"},
        {"{\"a", ":", "\" 1}"},   {"{\"a\": \"b\" c", "\\\" ", "\n}"},
        {"[1", " 1", "]"},        {"[", "}", "]"},
        {"{", "[", "}"},          {"", "[\n", ""},
        {"[", "[\n]\n,", "]"},    {"[", "// x\n/* */", "]"},
        {"{", "\"a\",", "}"},     {"{", "a ", "}"},
        {"[", "\xc2\xa0", "]"},   {"[\"\xb0", "\xb0\n", "\"]"},
        {"[1", "0", "]"},         {"[0.", "0", "1]"},
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        jv_text t = {0};
        jv_text_add(&t, texts[i].start);
        jv_text_repeat(&t, texts[i].again, 500000);
        jv_text_add(&t, texts[i].end);
        jv_diags d = {0};
        jv_json_doc doc;
        jv_status status = jv_json_read(t.data, t.length, NULL, NULL, &d, &doc);
        assert_true(status == JV_ERR_INPUT ? d.errors > 0 : status == JV_OK);
        jv_json_doc_clear(&doc);
        jv_diags_clear(&d);
        jv_text_clear(&t);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(random_documents_read_as_cjson_reads_them),
        cmocka_unit_test(damaged_documents_are_refused_or_read_alike),
        cmocka_unit_test(numbers_come_back_as_they_were_written),
        cmocka_unit_test(each_of_many_faults_gives_one_message),
        cmocka_unit_test(no_rubbish_takes_long),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
