/* test_json.c - the JSON reader: every fault at its place, and no false ones.
 * SPDX-License-Identifier: MIT
 *
 * Lines and columns are counted by hand in the texts beside them. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

#include "read/json.h"
#include "tests/support/failing.h"

#define MOST_FAULTS 8

typedef struct fault {
    jv_code code;
    size_t line;
    size_t column;
    const char *says; /* part of the message */
} fault;

typedef struct fault_case {
    const char *text;
    fault faults[MOST_FAULTS]; /* up to the first code 0 */
    bool no_tree;              /* the structure is lost */
} fault_case;

#define SYNTAX JV_CODE_JSON_SYNTAX

/* clang-format off: one case a line */
static const fault_case cases[] = {
    /* commas */
    {"{\"a\": 1 \"b\": 2}", {{SYNTAX, 1, 8, "no comma behind the member"}}, false},
    {"{\"a\": 1\n \"b\": 2}", {{SYNTAX, 1, 8, "no comma"}}, false},
    {"[1 2]", {{SYNTAX, 1, 3, "no comma behind the entry"}}, false},
    {"[true null]", {{SYNTAX, 1, 6, "no comma"}}, false},
    {"[[1] {}]", {{SYNTAX, 1, 5, "no comma"}}, false},
    {"{\"a\": 1 b: 2}", {{SYNTAX, 1, 8, "no comma"}, {SYNTAX, 1, 9, "without quotes"}}, false},
    {"{\"a\": 1; \"b\": 2}", {{SYNTAX, 1, 8, "; where a comma"}}, false},
    {"{\"a\": 1,}", {{SYNTAX, 1, 8, "comma behind the last member"}}, false},
    {"[1,\n]", {{SYNTAX, 1, 3, "comma behind the last entry"}}, false},
    {"[1,,2]", {{SYNTAX, 1, 4, "two commas"}}, false},
    {"[1,,,]", {{SYNTAX, 1, 4, "two commas"}}, false},
    {"{,\"a\": 1}", {{SYNTAX, 1, 2, "comma before anything"}}, false},
    /* colons */
    {"{\"a\" 1}", {{SYNTAX, 1, 5, "no colon"}}, false},
    {"{\"a\" \"b\"}", {{SYNTAX, 1, 5, "no colon"}}, false},
    {"{\"a\" = 1}", {{SYNTAX, 1, 6, "= where a colon"}}, false},
    {"{\"a\" => 1}", {{SYNTAX, 1, 6, "= where a colon"}}, false},
    {"{\"a\":: 1}", {{SYNTAX, 1, 6, "colon too many"}}, false},
    {"{: 1}", {{SYNTAX, 1, 2, "colon without a key"}}, true},
    {"{\"a\": \"b\": 1}", {{SYNTAX, 1, 10, "colon behind a value"}}, true},
    {"[\"a\": 1, \"b\": 2]", {{SYNTAX, 1, 5, "a key in a list"}}, true},
    {"\"a\": 1", {{SYNTAX, 1, 1, "without {"}}, true},
    /* quotes */
    {"{'a': 'b'}", {{SYNTAX, 1, 2, "single quotes"}, {SYNTAX, 1, 7, "single quotes"}}, false},
    {"{\"a\": `b'}", {{SYNTAX, 1, 7, "other quotation marks"}}, false},
    /* U+201C .. U+201D; a character counts as one column */
    {"{\"a\": \xe2\x80\x9c\xce\xa9\xe2\x80\x9d, b: 1}",
     {{SYNTAX, 1, 7, "other quotation marks"}, {SYNTAX, 1, 12, "key b"}},
     false},
    {"{a: 1}", {{SYNTAX, 1, 2, "key a stands without quotes"}}, false},
    {"{main fuse: 1}", {{SYNTAX, 1, 2, "key main fuse stands"}}, false},
    {"{a\": 1}", {{SYNTAX, 1, 2, "key a stands without quotes"}}, false},
    {"{\"a: 1, \"b\": 2}", {{SYNTAX, 1, 2, "no closing quote"}}, false},
    {"{\"a: 1,\n\"b\": 2}", {{SYNTAX, 1, 2, "no closing quote"}}, false},
    {"{\"a\": \"foo,\n\"b\": 2}", {{SYNTAX, 1, 7, "no closing quote"}}, false},
    {"{\"a\": \"foo, \"b\": 2}", {{SYNTAX, 1, 7, "no closing quote"}}, false},
    {"{\"a\": \"foo}\n", {{SYNTAX, 1, 7, "no closing quote"}}, false},
    {"{\"a\": [\"see [1]],\n\"b\": 2}", {{SYNTAX, 1, 8, "no closing quote"}}, false},
    {"{\"a\": \"foo", {{SYNTAX, 1, 7, "no closing quote"}}, true},
    {"{\"a\": foo\"}", {{SYNTAX, 1, 7, "foo has no opening quote"}}, false},
    {"{\"a\": 24\", \"b\": 1}", {{SYNTAX, 1, 7, "24 has no opening quote"}}, false},
    {"{\"a\": \"5\" pipe\", \"b\": 1}", {{SYNTAX, 1, 9, "ends at this quote"}}, false},
    {"{\"a\": \"say \"hi\" now\"}", {{SYNTAX, 1, 12, "ends at this quote"}}, false},
    {"{\"a\": \"one\ntwo\", \"b\": 1}", {{SYNTAX, 1, 11, "line ends inside a string"}}, false},
    {"{\"a\": 24 ft, \"b\": #6 AWG}",
     {{SYNTAX, 1, 7, "24 ft stands without quotes"}, {SYNTAX, 1, 19, "#6 AWG stands"}},
     false},
    {"{\"is\": battery}", {{SYNTAX, 1, 8, "battery stands without quotes"}}, false},
    {"{\"a\": \"x\" foo, \"b\": 1}", {{SYNTAX, 1, 11, "foo stands behind a value"}}, false},
    /* escapes and control characters */
    {"{\"a\": \"C:\\x\"}", {{SYNTAX, 1, 10, "bad escape \\x"}}, false},
    {"[\"\\u12g4\"]", {{SYNTAX, 1, 3, "four hex digits"}}, false},
    {"[\"\\ud834 x\"]", {{SYNTAX, 1, 3, "surrogate"}}, false},
    {"[\"\\udd1e\"]", {{SYNTAX, 1, 3, "surrogate"}}, false},
    {"[\"\\u0000\"]", {{SYNTAX, 1, 3, "u0000"}}, false},
    {"[\"a\tb\"]", {{SYNTAX, 1, 4, "control character U+0009"}}, false},
    {"[1,\f2]", {{SYNTAX, 1, 4, "space of another kind"}}, false},
    {"[1,\xc2\xa0"
     "2]",
     {{SYNTAX, 1, 4, "space of another kind"}},
     false},
    /* numbers */
    {"[012]", {{SYNTAX, 1, 2, "leading zero"}}, false},
    {"[-012]", {{SYNTAX, 1, 2, "leading zero"}}, false},
    {"[+1]", {{SYNTAX, 1, 2, "plus sign"}}, false},
    {"[0x1F]", {{SYNTAX, 1, 2, "hexadecimal"}}, false},
    {"[1.]", {{SYNTAX, 1, 2, "behind the point"}}, false},
    {"[.5]", {{SYNTAX, 1, 2, "before the point"}}, false},
    {"[1e]", {{SYNTAX, 1, 2, "exponent"}}, false},
    {"[1.2.3]", {{SYNTAX, 1, 2, "not a decimal number"}}, false},
    {"[1_000]", {{SYNTAX, 1, 2, "underscore"}}, false},
    {"[-]", {{SYNTAX, 1, 2, "no digits"}}, false},
    {"[NaN, Infinity,\n-Infinity]",
     {{SYNTAX, 1, 2, "NaN"}, {SYNTAX, 1, 7, "Infinity"}, {SYNTAX, 2, 1, "-Infinity"}},
     false},
    {"[1e999]", {{SYNTAX, 1, 2, "too large"}}, false},
    {"[True, None]", {{SYNTAX, 1, 2, "True"}, {SYNTAX, 1, 8, "None"}}, false},
    /* comments */
    {"// one\n// two\n[1]", {{SYNTAX, 1, 1, "no comments"}}, false},
    {"[1, # one\n2 /* two */]",
     {{SYNTAX, 1, 5, "no comments"}, {SYNTAX, 2, 3, "no comments"}},
     false},
    {"[1 /* open", {{SYNTAX, 1, 4, "has no end"}}, true},
    /* brackets */
    {"{\"a\": 1", {{SYNTAX, 1, 8, "{ of line 1, column 1 is not closed"}}, true},
    {"[1, 2\n\n", {{SYNTAX, 1, 6, "[ of line 1, column 1 is not closed"}}, true},
    {"{\n  \"a\": {\n    \"b\": 1,\n  \"c\": 2\n}\n",
     {{SYNTAX, 5, 2, "{ of line 2, column 8"}},
     true},
    {"{\"a\": [1, 2}", {{SYNTAX, 1, 12, "[ of line 1, column 7 is not closed"}}, true},
    {"{\"a\": [1, 2}, \"b\": 3}", {{SYNTAX, 1, 12, "} closes the ["}}, true},
    {"{\"a\": [1, 2}, 3], \"b\": 1}", {{SYNTAX, 1, 12, "one } too many"}}, true},
    {"{\"a\": [1, 2, \"b\": 3}", {{SYNTAX, 1, 14, "[ of line 1, column 7 is not closed"}}, true},
    {"{\"a\": {\"b\": 1}}, \"c\": 2}", {{SYNTAX, 1, 15, "closes the whole document"}}, true},
    {"{\"a\": 1}}", {{SYNTAX, 1, 9, "behind the end of the document"}}, true},
    {"{\"a\": 1} x", {{SYNTAX, 1, 10, "behind the end of the document"}}, true},
    {"]", {{SYNTAX, 1, 1, "before anything"}}, true},
    /* members */
    {"{\"a\": , \"b\": 1}", {{SYNTAX, 1, 6, "key \"a\" has no value"}}, false},
    {"{\"a\", \"b\": 1}", {{SYNTAX, 1, 5, "key \"a\" has no value"}}, false},
    {"{\"a\"}", {{SYNTAX, 1, 5, "key \"a\" has no value"}}, false},
    {"{{\"a\": 1}}", {{SYNTAX, 1, 2, "value without a key"}}, true},
    {"{foo}", {{SYNTAX, 1, 2, "foo is not a member"}}, true},
    {"{\"a\": 1,5}", {{SYNTAX, 1, 9, "5 is not a member"}}, true},
    {"{\"a\": 1,\n\"b\": 2,\n\"a\": 3}",
     {{JV_CODE_JSON_DUPLICATE, 3, 1, "first on line 1"}},
     false},
    {"{\"\\u0061\": 1, \"a\": 3}", {{JV_CODE_JSON_DUPLICATE, 1, 15, "\"a\" stands twice"}}, false},
    /* bytes */
    {"{\n\"a\": \"20 \xb0"
     "C\"\n}",
     {{JV_CODE_JSON_UTF8, 2, 10, "byte 0xB0"}},
     false},
    {"[\"\xed\xa0\x80\"]", {{JV_CODE_JSON_UTF8, 1, 3, "byte 0xED"}}, false}, /* a surrogate */
    {"[\"\xc0\x80\"]", {{JV_CODE_JSON_UTF8, 1, 3, "byte 0xC0"}}, false},     /* too long a form */
    {"", {{JV_CODE_JSON_EMPTY, 0, 0, "empty"}}, true},
    {" \n\t\r\n", {{JV_CODE_JSON_EMPTY, 0, 0, "blanks"}}, true},
    {"\xef\xbb\xbf", {{JV_CODE_JSON_EMPTY, 0, 0, "empty"}}, true},
    {"\xff\xfe{", {{JV_CODE_JSON_UTF8, 0, 0, "UTF-16"}}, true},
    {"\x01\x02\x03\x04\x05\x06", {{JV_CODE_JSON_BINARY, 0, 0, "no text"}}, true},
    /* many: five of five kinds in one file, nothing made up in between */
    {"{\n  \"a\": 012,\n  b: \"x\",\n  \"c\" 3,\n  \"d\": 'y'\n  \"e\": [1,]\n}",
     {{SYNTAX, 2, 8, "leading zero"},
      {SYNTAX, 3, 3, "key b"},
      {SYNTAX, 4, 6, "no colon"},
      {SYNTAX, 5, 8, "single quotes"},
      {SYNTAX, 5, 11, "no comma"},
      {SYNTAX, 6, 10, "comma behind the last"}},
     false},
    {"{\"p\": {\"b\": 1 \"c\" 2, 'd': 3, e: 4,}, \"f\": 05}",
     {{SYNTAX, 1, 14, "no comma"},
      {SYNTAX, 1, 18, "no colon"},
      {SYNTAX, 1, 22, "single quotes"},
      {SYNTAX, 1, 30, "key e"},
      {SYNTAX, 1, 34, "comma behind the last"},
      {SYNTAX, 1, 43, "leading zero"}},
     false},
    {"{\"a\": \"one,\n \"b\": [1, 2},\n \"c\": /* ? */ yes,\n \"d\": \"\\q\",\n \"e\": 5.\n}",
     {{SYNTAX, 1, 7, "no closing quote"},
      {SYNTAX, 2, 12, "} closes the ["},
      {SYNTAX, 3, 7, "no comments"},
      {SYNTAX, 3, 15, "yes"},
      {SYNTAX, 4, 8, "bad escape"},
      {SYNTAX, 5, 7, "behind the point"}},
     true},
};
/* clang-format on */

static void show(const char *text, const jv_diags *d) {
    jv_text out = {0};
    jv_diags_print(d, &out);
    print_error("in: %s\n%s", text, jv_text_str(&out));
    jv_text_clear(&out);
}

static bool as_expected(const fault_case *c, const jv_diags *d) {
    size_t n = 0;
    for (; n < MOST_FAULTS && c->faults[n].says != NULL; n++) {
        const fault *f = &c->faults[n];
        if (n >= d->count) {
            return false;
        }
        const jv_diag *got = &d->items[n];
        if (got->code != f->code || got->place.line != f->line || got->place.column != f->column ||
            strstr(got->message, f->says) == NULL || strcmp(got->place.file, "t.json") != 0) {
            return false;
        }
        if (got->hint == NULL || (f->line > 0 && got->source_line == NULL)) {
            return false;
        }
    }
    return n == d->errors && n == d->count;
}

static void each_fault_at_its_place_and_no_other(void **state) {
    (void)state;
    size_t wrong = 0;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jv_diags d = {0};
        jv_json_doc doc;
        jv_status status =
            jv_json_read(cases[i].text, strlen(cases[i].text), "t.json", NULL, &d, &doc);
        if (status != JV_ERR_INPUT || (doc.root == NULL) != cases[i].no_tree ||
            !as_expected(&cases[i], &d)) {
            print_error("tree: %s ", doc.root != NULL ? "yes" : "no");
            show(cases[i].text, &d);
            wrong++;
        }
        jv_json_doc_clear(&doc);
        jv_diags_clear(&d);
    }
    assert_int_equal(wrong, 0);
}

static jv_status read_text(const char *text, jv_diags *d, jv_json_doc *doc) {
    return jv_json_read(text, strlen(text), "t.json", NULL, d, doc);
}

static void faults_carry_pointer_line_and_hint(void **state) {
    (void)state;
    jv_diags d = {0};
    jv_json_doc doc;
    jv_text out = {0};
    assert_int_equal(read_text("{\"a/b\": [true,\n\t{\"~\": 012}]}", &d, &doc), JV_ERR_INPUT);
    jv_diags_print(&d, &out);
    assert_string_equal(jv_text_str(&out),
                        "t.json:2:8: error E101: bad number 012: a leading zero\n"
                        "  at /a~1b/1/~0\n"
                        "    \t{\"~\": 012}]}\n"
                        "    \t      ^\n"
                        "  hint: leave the leading zero out\n");
    jv_text_clear(&out);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
}

static void long_lines_are_shown_only_where_the_caret_reaches(void **state) {
    (void)state;
    char text[1000];
    memset(text, ' ', sizeof text);
    memcpy(text, "[01,", 4);
    memcpy(text + 990, "02]", 3);
    jv_diags d = {0};
    jv_json_doc doc;
    assert_int_equal(jv_json_read(text, sizeof text, NULL, NULL, &d, &doc), JV_ERR_INPUT);
    assert_int_equal(d.count, 2);
    assert_non_null(d.items[0].source_line);
    assert_int_equal(d.items[1].place.column, 991);
    assert_null(d.items[1].source_line);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
}

static void mended_values_can_still_be_checked(void **state) {
    (void)state;
    jv_diags d = {0};
    jv_json_doc doc;
    const char *text =
        "{'size': 6 AWG, \"on\": yes, 'n': 'it\\'s', \"bad\": 012, \"q\": \"x,\n \"r\": 1,}";
    assert_int_equal(read_text(text, &d, &doc), JV_ERR_INPUT);
    assert_string_equal(jv_json_member(doc.root, "size")->as.string, "6 AWG");
    assert_true(jv_json_member(doc.root, "on")->as.boolean);
    assert_string_equal(jv_json_member(doc.root, "q")->as.string, "x");
    assert_int_equal(jv_json_member(doc.root, "bad")->type, JV_JSON_BAD);
    assert_int_equal(jv_json_member(doc.root, "r")->type, JV_JSON_NUMBER);
    assert_int_equal(doc.root->length, 6);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
}

static void values_members_and_places(void **state) {
    (void)state;
    /* A byte order mark is no column. U+00E9 is one column; U+1D11E comes as a pair. */
    const char *text =
        "\xef\xbb\xbf{\"\xc3\xa9\": -0.25e1, \"s\": \"\\u00e9\\ud834\\udd1e\\n\\/\",\r\n"
        "  \"list\": [true, false, null, {}],\n  \"\": \"\"}";
    jv_diags d = {0};
    jv_json_doc doc;
    assert_int_equal(read_text(text, &d, &doc), JV_OK);
    assert_int_equal(d.count, 0);
    assert_int_equal(doc.nodes, 9);
    const jv_json_value *number = jv_json_member(doc.root, "\xc3\xa9");
    assert_true(number->as.number == -2.5);
    assert_memory_equal(doc.text + number->offset, "-0.25e1", number->length);
    const jv_json_value *s = jv_json_member(doc.root, "s");
    assert_string_equal(s->as.string, "\xc3\xa9\xf0\x9d\x84\x9e\n/");
    assert_int_equal(s->length, strlen(s->as.string));
    assert_int_equal(jv_json_place(&doc, s).line, 1);
    assert_int_equal(jv_json_place(&doc, s).column, 21);
    assert_int_equal(jv_json_key_place(&doc, s).column, 16);
    const jv_json_value *list = jv_json_member(doc.root, "list");
    assert_int_equal(list->length, 4);
    assert_true(list->as.first->as.boolean);
    assert_false(list->as.first->next->as.boolean);
    const jv_json_value *empty = list->as.first->next->next->next;
    assert_int_equal(empty->type, JV_JSON_OBJECT);
    assert_null(empty->next);
    assert_null(empty->as.first);
    assert_int_equal(jv_json_place(&doc, empty).line, 2);
    assert_int_equal(jv_json_place(&doc, empty).column, 31);
    jv_text pointer = {0};
    jv_json_pointer(&doc, empty, &pointer);
    assert_string_equal(jv_text_str(&pointer), "/list/3");
    jv_text_clear(&pointer);
    jv_json_pointer(&doc, jv_json_member(doc.root, ""), &pointer);
    assert_string_equal(jv_text_str(&pointer), "/");
    jv_text_clear(&pointer);
    jv_json_pointer(&doc, doc.root, &pointer);
    assert_string_equal(jv_text_str(&pointer), "");
    jv_text_clear(&pointer);
    assert_null(jv_json_member(doc.root, "none"));
    assert_null(jv_json_member(list, "s"));
    assert_null(jv_json_member(NULL, "s"));
    jv_json_doc_clear(&doc);
    assert_null(doc.root);
}

static void a_later_fault_is_shown_at_its_node(void **state) {
    (void)state;
    jv_diags d = {0};
    jv_json_doc doc;
    jv_text out = {0};
    assert_int_equal(read_text("{\"parts\": {\n  \"feed\": {\"length\": -2}}}", &d, &doc), JV_OK);
    const jv_json_value *feed = jv_json_member(jv_json_member(doc.root, "parts"), "feed");
    jv_json_fault(&doc, feed, true, &d, JV_CODE_JSON_DUPLICATE, NULL, "part %s", "feed");
    jv_json_fault(&doc, feed->as.first, false, &d, JV_CODE_QUANTITY_RANGE, "above 0 m",
                  "length is %d m", -2);
    jv_diags_print(&d, &out);
    assert_string_equal(jv_text_str(&out), "t.json:2:3: error E104: part feed\n"
                                           "  at /parts/feed\n"
                                           "      \"feed\": {\"length\": -2}}}\n"
                                           "      ^\n"
                                           "t.json:2:22: error E204: length is -2 m\n"
                                           "  at /parts/feed/length\n"
                                           "      \"feed\": {\"length\": -2}}}\n"
                                           "                         ^\n"
                                           "  hint: above 0 m\n");
    jv_text_clear(&out);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
}

static void a_text_need_not_end_in_a_zero(void **state) {
    (void)state;
    static const char digits[] = {'1', '2', '3', '4', '5', '6', '7', '8', '9', '0', '1',
                                  '2', '3', '4', '5', '6', '7', '8', 'e', '-', '1', '8'};
    for (size_t n = 1; n <= sizeof digits; n++) {
        char block[sizeof digits];
        memcpy(block, digits, n);
        jv_diags d = {0};
        jv_json_doc doc;
        jv_status status = jv_json_read(block, n, NULL, NULL, &d, &doc);
        bool whole = n != 19 && n != 20; /* "e" and "e-" lack their digits */
        assert_int_equal(status, whole ? JV_OK : JV_ERR_INPUT);
        jv_json_doc_clear(&doc);
        jv_diags_clear(&d);
    }
}

/* n times open, then n times close. */
static void nest(jv_text *t, size_t n, bool closed) {
    jv_text_add(t, "{\"a\": ");
    jv_text_repeat(t, "[", n);
    jv_text_repeat(t, "]", closed ? n : 0);
    jv_text_add(t, closed ? ", \"b\": 012}" : "");
}

static void too_deep_is_one_fault_and_reading_goes_on(void **state) {
    (void)state;
    jv_text t = {0};
    nest(&t, 1000, true);
    jv_diags d = {0};
    jv_json_doc doc;
    assert_int_equal(jv_json_read(t.data, t.length, NULL, NULL, &d, &doc), JV_ERR_INPUT);
    assert_int_equal(d.count, 2);
    assert_int_equal(d.items[0].code, JV_CODE_JSON_DEPTH);
    assert_int_equal(d.items[0].place.column, 70); /* level 65: behind "{"a": " and 63 others */
    assert_int_equal(d.items[1].code, SYNTAX);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    jv_text_clear(&t);

    nest(&t, 1000000, false);
    assert_int_equal(jv_json_read(t.data, t.length, NULL, NULL, &d, &doc), JV_ERR_INPUT);
    assert_int_equal(d.errors, 1);
    assert_int_equal(d.items[0].code, JV_CODE_JSON_DEPTH);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    jv_text_clear(&t);

    nest(&t, 63, true);
    jv_text_add(&t, " ");
    t.data[t.length - 5] = '1'; /* 012 becomes 112 */
    assert_int_equal(jv_json_read(t.data, t.length, NULL, NULL, &d, &doc), JV_OK);
    jv_json_doc_clear(&doc);
    const jv_json_options shallow = {.max_depth = 63};
    assert_int_equal(jv_json_read(t.data, t.length, NULL, &shallow, &d, &doc), JV_ERR_INPUT);
    assert_int_equal(d.items[0].code, JV_CODE_JSON_DEPTH);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    jv_text_clear(&t);
}

static void rubbish_and_large_texts_are_refused_in_one_message(void **state) {
    (void)state;
    char rubbish[3000];
    uint32_t x = 1;
    for (size_t i = 0; i < sizeof rubbish; i++) {
        x = x * 1664525U + 1013904223U;
        rubbish[i] = (char)(x >> 24);
    }
    jv_diags d = {0};
    jv_json_doc doc;
    assert_int_equal(jv_json_read(rubbish, sizeof rubbish, NULL, NULL, &d, &doc), JV_ERR_INPUT);
    assert_int_equal(d.errors, 1);
    assert_int_equal(d.items[0].code, JV_CODE_JSON_BINARY);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    assert_int_equal(jv_json_read("{\"a\":\0 1}", 9, NULL, NULL, &d, &doc), JV_ERR_INPUT);
    assert_int_equal(d.errors, 1);
    assert_int_equal(d.items[0].code, JV_CODE_JSON_BINARY);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    const jv_json_options small = {.max_bytes = 3};
    assert_int_equal(jv_json_read("[12]", 4, NULL, &small, &d, &doc), JV_ERR_INPUT);
    assert_int_equal(d.errors, 1);
    assert_int_equal(d.items[0].code, JV_CODE_JSON_TOO_LARGE);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
}

static void many_faults_stop_the_search(void **state) {
    (void)state;
    jv_text t = {0};
    jv_text_add_char(&t, '[');
    jv_text_repeat(&t, "01,\n", 100000);
    jv_text_add(&t, "1]");
    jv_diags d = {0};
    jv_json_doc doc;
    assert_int_equal(jv_json_read(t.data, t.length, NULL, NULL, &d, &doc), JV_ERR_INPUT);
    assert_int_equal(d.count, JV_DIAG_LIMIT);
    assert_int_equal(d.errors, JV_DIAG_LIMIT + 1);
    assert_null(doc.root);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    jv_text_clear(&t);
}

static void large_objects_find_their_duplicates(void **state) {
    (void)state;
    enum { MEMBERS = 100000 };
    jv_text t = {0};
    jv_text_add(&t, "{");
    for (int i = 0; i < MEMBERS; i++) {
        jv_text_addf(&t, "\"part %d\": %d,\n", i, i);
    }
    jv_text_add(&t, "\"part 77\": 0}"); /* line MEMBERS + 1; first on line 78 */
    jv_diags d = {0};
    jv_json_doc doc;
    assert_int_equal(jv_json_read(t.data, t.length, NULL, NULL, &d, &doc), JV_ERR_INPUT);
    assert_int_equal(d.errors, 1);
    assert_int_equal(d.items[0].code, JV_CODE_JSON_DUPLICATE);
    assert_int_equal(d.items[0].place.line, MEMBERS + 1);
    assert_non_null(strstr(d.items[0].message, "first on line 78"));
    assert_int_equal(doc.root->length, MEMBERS + 1);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    jv_text_clear(&t);
}

/* Every n-th allocation fails in turn: always a clean error, and nothing is lost. */
static void fail_each(const char *text, size_t length, jv_status expected) {
    for (size_t n = 1;; n++) {
        failing_start(n);
        jv_diags d = {0};
        jv_json_doc doc;
        jv_status status = jv_json_read(text, length, "t.json", NULL, &d, &doc);
        bool reached = failing_calls() >= n;
        assert_int_equal(status, reached ? JV_ERR_MEMORY : expected);
        assert_true(!reached || doc.root == NULL);
        jv_json_doc_clear(&doc);
        jv_diags_clear(&d);
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
        if (!reached) {
            return;
        }
    }
}

static void every_failed_allocation_is_a_clean_error(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        fail_each(cases[i].text, strlen(cases[i].text), JV_ERR_INPUT);
    }
    jv_text t = {0};
    jv_text_add(&t, "{");
    for (int i = 0; i < 200; i++) {
        jv_text_addf(&t, "\"key %d\": [%d.1234567890123456789, \"a\\n%d\"],\n", i, i, i);
    }
    jv_text_add(&t, "\"long\": \"");
    jv_text_repeat(&t, "0123456789", 2000);
    jv_text_add(&t, "\"}");
    fail_each(t.data, t.length, JV_OK);
    jv_text_clear(&t);
}

static void beyond_the_limit_faults_are_only_counted(void **state) {
    (void)state;
    jv_diags d = {0};
    jv_json_doc doc;
    assert_int_equal(read_text("[1]", &d, &doc), JV_OK);
    for (int i = 0; i < JV_DIAG_LIMIT + 5; i++) {
        jv_json_fault(&doc, doc.root->as.first, false, &d, JV_CODE_QUANTITY_BARE, NULL, "%d", i);
    }
    assert_int_equal(d.count, JV_DIAG_LIMIT);
    assert_int_equal(d.errors, JV_DIAG_LIMIT + 5);
    assert_string_equal(d.items[JV_DIAG_LIMIT - 1].place.pointer, "/0");
    assert_int_equal(jv_json_place_at(&doc, 99).column, 4); /* behind the end */
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
}

static void kinds_of_values_have_names(void **state) {
    (void)state;
    static const char *const names[] = {"null",   "true or false", "a number",      "a string",
                                        "a list", "an object",     "a faulty value"};
    for (int type = JV_JSON_NULL; type <= JV_JSON_BAD; type++) {
        assert_string_equal(jv_json_type_name((jv_json_type)type), names[type]);
    }
}

static void a_node_is_small(void **state) {
    (void)state;
    assert_true(sizeof(jv_json_value) <= 40);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_fault_at_its_place_and_no_other),
        cmocka_unit_test(faults_carry_pointer_line_and_hint),
        cmocka_unit_test(long_lines_are_shown_only_where_the_caret_reaches),
        cmocka_unit_test(mended_values_can_still_be_checked),
        cmocka_unit_test(values_members_and_places),
        cmocka_unit_test(a_later_fault_is_shown_at_its_node),
        cmocka_unit_test(a_text_need_not_end_in_a_zero),
        cmocka_unit_test(too_deep_is_one_fault_and_reading_goes_on),
        cmocka_unit_test(rubbish_and_large_texts_are_refused_in_one_message),
        cmocka_unit_test(many_faults_stop_the_search),
        cmocka_unit_test(large_objects_find_their_duplicates),
        cmocka_unit_test(every_failed_allocation_is_a_clean_error),
        cmocka_unit_test(beyond_the_limit_faults_are_only_counted),
        cmocka_unit_test(kinds_of_values_have_names),
        cmocka_unit_test(a_node_is_small),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
