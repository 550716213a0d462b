/* test_review_forms.c - what review writes for build servers. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cjson/cJSON.h>
#include <libxml/parser.h>
#include <libxml/tree.h>
#include <math.h>
#include <cmocka.h>

#include "jackvolt/read.h"
#include "jackvolt/render.h"
#include "jackvolt/review.h"
#include "tests/support/close.h"
#include "tests/support/review_circuit.h"

static void batch_of(jv_review_batch *b, jv_review_entry entries[2]) {
    static const char *const sets[] = {"feed.metal=aluminium", "feed.insulation=SGR"};
    memset(entries, 0, 2 * sizeof *entries);
    entries[0].path = "a circuit.json";
    entries[0].circuit = review_circuit("", review_waivers, sets, 2);
    assert_int_equal(jv_review_run(entries[0].circuit, &entries[0].review), JV_OK);
    entries[1].path = "bad.json";
    entries[1].status = JV_ERR_INPUT;
    jv_diag_add(&entries[1].diags, JV_ERROR, JV_CODE_JSON_SYNTAX, NULL, NULL,
                "broken <here> & there");
    b->entries = entries;
    b->n = 2;
}

static void batch_clear(jv_review_entry entries[2]) {
    jv_review_free(&entries[0].review);
    jv_circuit_free(&entries[0].circuit);
    jv_diags_clear(&entries[1].diags);
}

static const cJSON *member(const cJSON *o, const char *key) {
    const cJSON *m = cJSON_GetObjectItemCaseSensitive(o, key);
    assert_non_null(m);
    return m;
}

/* OASIS SARIF 2.1.0: 3.13 log, 3.14 run, 3.18 tool, 3.19.23 rules, 3.27 results: ruleId and
 * ruleIndex agree, kind other than "fail" has level "none", suppressions, artifact hashes. */
static void sarif_has_the_structure_of_the_standard(void **state) {
    (void)state;
    jv_review_entry entries[2];
    jv_review_batch batch;
    batch_of(&batch, entries);
    jv_text t = {0};
    assert_int_equal(jv_review_batch_sarif(&batch, &t), JV_OK);
    cJSON *log = cJSON_Parse(jv_text_str(&t));
    assert_non_null(log);
    assert_string_equal(member(log, "version")->valuestring, "2.1.0");
    const cJSON *run = cJSON_GetArrayItem(member(log, "runs"), 0);
    const cJSON *driver = member(member(run, "tool"), "driver");
    assert_string_equal(member(driver, "name")->valuestring, "jackvolt");
    const cJSON *rules = member(driver, "rules"), *result;
    assert_int_equal(cJSON_GetArraySize(rules), jv_review_rule_count());
    assert_int_equal(cJSON_GetArraySize(member(run, "artifacts")), 2);
    const cJSON *artifact = cJSON_GetArrayItem(member(run, "artifacts"), 0);
    assert_string_equal(member(member(artifact, "location"), "uri")->valuestring,
                        "a%20circuit.json");
    assert_string_equal(member(member(artifact, "hashes"), "sha-256")->valuestring,
                        entries[0].review->sha256);
    const cJSON *invocation = cJSON_GetArrayItem(member(run, "invocations"), 0);
    assert_true(cJSON_IsFalse(member(invocation, "executionSuccessful")));
    const cJSON *results = member(run, "results");
    assert_int_equal(cJSON_GetArraySize(results), entries[0].review->n_rows);
    size_t kinds[3] = {0}, suppressed = 0;
    cJSON_ArrayForEach(result, results) {
        int index = member(result, "ruleIndex")->valueint;
        assert_string_equal(member(cJSON_GetArrayItem(rules, index), "id")->valuestring,
                            member(result, "ruleId")->valuestring);
        const char *kind = member(result, "kind")->valuestring;
        const char *level = member(result, "level")->valuestring;
        kinds[0] += strcmp(kind, "fail") == 0;
        kinds[1] += strcmp(kind, "open") == 0;
        kinds[2] += strcmp(kind, "pass") == 0;
        assert_string_equal(level, strcmp(kind, "fail") == 0 ? "error" : "none");
        assert_true(strlen(member(member(result, "message"), "text")->valuestring) > 0);
        const cJSON *where = cJSON_GetArrayItem(member(result, "locations"), 0);
        assert_int_equal(member(member(member(where, "physicalLocation"), "artifactLocation"),
                                "index")
                             ->valueint,
                         0);
        suppressed += cJSON_GetObjectItemCaseSensitive(result, "suppressions") != NULL;
    }
    assert_int_equal(kinds[0], entries[0].review->failed + 1); /* the waived one is a fail too */
    assert_int_equal(kinds[0] + kinds[1] + kinds[2], entries[0].review->n_rows);
    assert_int_equal(suppressed, 1);
    cJSON_Delete(log);
    jv_text_clear(&t);
    batch_clear(entries);
}

static int attribute(const xmlNode *n, const char *name) {
    xmlChar *text = xmlGetProp(n, (const xmlChar *)name);
    assert_non_null(text);
    double value = NAN;
    assert_true(jv_number_read((const char *)text, &value, NULL));
    xmlFree(text);
    return (int)value;
}

static const xmlNode *first_element(const xmlNode *parent) {
    const xmlNode *n = parent->children;
    while (n && n->type != XML_ELEMENT_NODE)
        n = n->next;
    return n;
}

/* The form that build servers read: counts of a suite are those of its cases. */
static void junit_counts_its_cases(void **state) {
    (void)state;
    jv_review_entry entries[2];
    jv_review_batch batch;
    batch_of(&batch, entries);
    jv_text t = {0};
    assert_int_equal(jv_review_batch_junit(&batch, &t), JV_OK);
    xmlDoc *doc = xmlReadMemory(jv_text_str(&t), (int)t.length, "junit.xml", NULL, XML_PARSE_NONET);
    assert_non_null(doc);
    const xmlNode *root = xmlDocGetRootElement(doc);
    assert_string_equal((const char *)root->name, "testsuites");
    int suites = 0, all = 0, all_failures = 0, all_errors = 0;
    for (const xmlNode *s = root->children; s; s = s->next) {
        if (s->type != XML_ELEMENT_NODE)
            continue;
        int tests = 0, failures = 0, errors = 0, skipped = 0;
        for (const xmlNode *k = s->children; k; k = k->next) {
            if (k->type != XML_ELEMENT_NODE)
                continue;
            assert_string_equal((const char *)k->name, "testcase");
            const xmlNode *o = first_element(k);
            tests++;
            failures += o && strcmp((const char *)o->name, "failure") == 0;
            errors += o && strcmp((const char *)o->name, "error") == 0;
            skipped += o && strcmp((const char *)o->name, "skipped") == 0;
        }
        assert_int_equal(attribute(s, "tests"), tests);
        assert_int_equal(attribute(s, "failures"), failures);
        assert_int_equal(attribute(s, "errors"), errors);
        assert_int_equal(attribute(s, "skipped"), skipped);
        suites++;
        all += tests;
        all_failures += failures;
        all_errors += errors;
    }
    assert_int_equal(suites, 2);
    assert_int_equal(attribute(root, "tests"), all);
    assert_int_equal(attribute(root, "failures"), all_failures);
    assert_int_equal(all_failures, entries[0].review->failed);
    assert_int_equal(all_errors, 1);
    xmlFreeDoc(doc);
    jv_text_clear(&t);
    batch_clear(entries);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sarif_has_the_structure_of_the_standard),
        cmocka_unit_test(junit_counts_its_cases),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
