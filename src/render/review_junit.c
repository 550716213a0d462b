/* review_junit.c - reviews as JUnit XML, for build servers. SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"

#include <libxml/tree.h>

/* There is no standard; this is what build servers agree on: <testsuites>, one <testsuite> a
 * file, one <testcase> a row with <failure>, <skipped> (unknown or waived) or <error> in it.
 * libxml2 escapes; characters that XML 1.0 does not know were refused by the reader. */

static const xmlChar *x(const char *s) {
    return (const xmlChar *)s;
}

static xmlNode *child(xmlNode *parent, const char *name, bool *failed) {
    xmlNode *n = parent ? xmlNewChild(parent, NULL, x(name), NULL) : NULL;
    *failed = *failed || !n;
    return n;
}

static void set(xmlNode *n, const char *name, const char *value, bool *failed) {
    if (!n || !xmlNewProp(n, x(name), x(value)))
        *failed = true;
}

static void set_count(xmlNode *n, const char *name, size_t value, bool *failed) {
    jv_text digits = {0};
    jv_text_addf(&digits, "%zu", value);
    set(n, name, jv_text_str(&digits), failed);
    *failed = *failed || digits.failed;
    jv_text_clear(&digits);
}

static void add_outcome(xmlNode *test, const jv_review_row *row, bool *failed) {
    if (row->verdict == JV_RULE_PASS)
        return;
    bool fails = row->verdict == JV_RULE_FAIL;
    jv_text message = {0};
    if (row->verdict == JV_RULE_WAIVED)
        jv_text_addf(&message, "waived by %s on %s: %s; it would be %s: ", row->waiver_name,
                     row->waiver_date, row->waiver_reason,
                     jv_rule_verdict_word(row->without_waiver));
    jv_text_add(&message, row->reason);
    if (row->look_in)
        jv_text_addf(&message, "; look in: %s", row->look_in);
    xmlNode *o = child(test, fails ? "failure" : "skipped", failed);
    set(o, "message", jv_text_str(&message), failed);
    if (fails)
        set(o, "type", row->rule->id, failed);
    *failed = *failed || message.failed;
    jv_text_clear(&message);
}

static void add_test(xmlNode *suite, const jv_review_row *row, bool *failed) {
    xmlNode *test = child(suite, "testcase", failed);
    jv_text name = {0};
    jv_text_add(&name, row->part);
    if (row->loading)
        jv_text_addf(&name, ", case %s", row->loading);
    set(test, "classname", row->rule->id, failed);
    set(test, "name", jv_text_str(&name), failed);
    set(test, "time", "0", failed);
    *failed = *failed || name.failed;
    jv_text_clear(&name);
    add_outcome(test, row, failed);
}

static void set_counts(xmlNode *n, size_t tests, size_t failures, size_t errors, size_t skipped,
                       bool *failed) {
    set_count(n, "tests", tests, failed);
    set_count(n, "failures", failures, failed);
    set_count(n, "errors", errors, failed);
    set_count(n, "skipped", skipped, failed);
    set(n, "time", "0", failed);
}

static void add_suite(xmlNode *root, const jv_review_entry *e, bool *failed) {
    xmlNode *suite = child(root, "testsuite", failed);
    set(suite, "name", e->path, failed);
    if (e->review) {
        const jv_review *r = e->review;
        set_counts(suite, r->n_rows, r->failed, 0, r->unknown + r->waived, failed);
        for (size_t i = 0; i < r->n_rows; i++)
            add_test(suite, &r->rows[i], failed);
        return;
    }
    set_counts(suite, 1, 0, 1, 0, failed);
    xmlNode *test = child(suite, "testcase", failed);
    set(test, "classname", "read", failed);
    set(test, "name", e->path, failed);
    set(test, "time", "0", failed);
    xmlNode *error = child(test, "error", failed);
    set(error, "message", e->diags.count ? e->diags.items[0].message : jv_status_text(e->status),
        failed);
    set(error, "type", "passed over", failed);
}

static void count_all(const jv_review_batch *batch, xmlNode *root, bool *failed) {
    size_t tests = 0, failures = 0, errors = 0, skipped = 0;
    for (size_t i = 0; i < batch->n; i++) {
        const jv_review *r = batch->entries[i].review;
        tests += r ? r->n_rows : 1;
        failures += r ? r->failed : 0;
        errors += r ? 0 : 1;
        skipped += r ? r->unknown + r->waived : 0;
    }
    set_counts(root, tests, failures, errors, skipped, failed);
}

jv_status jv_review_batch_junit(const jv_review_batch *batch, jv_text *out) {
    bool failed = false;
    xmlDoc *doc = xmlNewDoc(x("1.0"));
    xmlNode *root = doc ? xmlNewDocNode(doc, NULL, x("testsuites"), NULL) : NULL;
    if (root)
        xmlDocSetRootElement(doc, root);
    set(root, "name", "jackvolt review", &failed);
    count_all(batch, root, &failed);
    for (size_t i = 0; i < batch->n && !failed; i++)
        add_suite(root, &batch->entries[i], &failed);
    xmlChar *text = NULL;
    int length = 0;
    if (!failed)
        xmlDocDumpFormatMemoryEnc(doc, &text, &length, "UTF-8", 1);
    if (text)
        jv_text_add_n(out, (const char *)text, (size_t)length);
    else
        failed = true;
    xmlFree(text);
    xmlFreeDoc(doc);
    return failed || out->failed ? JV_ERR_MEMORY : JV_OK;
}
