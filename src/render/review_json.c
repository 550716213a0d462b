/* review_json.c - reviews as JSON and as SARIF 2.1.0 (OASIS). SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"
#include "jackvolt/version.h"
#include "render/cautions.h"
#include "render/json_out.h"

#include <math.h>
#include <string.h>

static void add_number(jv_json *j, jv_json_node *node, const char *key, double value) {
    jv_json_number(j, node, key, value,
                   isnan(value) ? "no such figure" : "without end: it may last for ever");
}

static void add_text_or_null(jv_json *j, jv_json_node *node, const char *key, const char *text) {
    if (text)
        jv_json_text(j, node, key, text);
    else
        jv_json_null(j, node, key, NULL);
}

static void add_row(jv_json *j, jv_json_node *list, const jv_review_row *row) {
    jv_json_node *o = jv_json_object(j, list, NULL);
    jv_json_text(j, o, "rule", row->rule->id);
    jv_json_text(j, o, "part", row->part);
    add_text_or_null(j, o, "case", row->loading);
    add_number(j, o, "figure", row->figure);
    add_number(j, o, "limit", row->limit);
    jv_json_text(j, o, "unit", row->unit);
    jv_json_text(j, o, "limit_is", row->limit_is_least ? "least" : "most");
    jv_json_text(j, o, "verdict", jv_rule_verdict_word(row->verdict));
    jv_json_text(j, o, "source", row->rule->source);
    jv_json_text(j, o, "clause", row->rule->clause);
    jv_json_text(j, o, "statement", row->rule->statement);
    jv_json_text(j, o, "basis", row->basis);
    jv_json_text(j, o, "reason", row->reason);
    jv_json_text(j, o, "confidence", jv_confidence_word(row->confidence));
    add_text_or_null(j, o, "look_in", row->look_in);
    if (row->waiver_reason) {
        jv_json_node *w = jv_json_object(j, o, "waiver");
        jv_json_text(j, w, "reason", row->waiver_reason);
        jv_json_text(j, w, "name", row->waiver_name);
        jv_json_text(j, w, "date", row->waiver_date);
        jv_json_text(j, w, "instead_of", jv_rule_verdict_word(row->without_waiver));
    }
}

static void add_wire(jv_json *j, jv_json_node *cables, const jv_review_device *d,
                     const jv_review_wire *wire) {
    jv_json_node *o = jv_json_object(j, cables, wire->part);
    add_number(j, o, "carries_A", wire->carries_a);
    jv_json_text(j, o, "confidence", jv_confidence_word(wire->confidence));
    add_number(j, o, "short_least_A", wire->short_least_a);
    add_number(j, o, "short_most_A", wire->short_most_a);
    add_number(j, o, "short_opens_s", wire->short_opens_s);
    add_number(j, o, "closest_A", wire->closest_a);
    add_number(j, o, "opens_s", wire->opens_s);
    add_number(j, o, "stands_s", wire->stands_s);
    jv_json_node *at = jv_json_array(j, o, "stands_at_points_s");
    for (size_t i = 0; i < d->curve.count; i++)
        add_number(j, at, NULL, wire->at_points[i]);
}

/* What a picture of each fuse and its cables is drawn from. */
static void add_devices(jv_json *j, jv_json_node *parent, const jv_review *r) {
    jv_json_node *devices = jv_json_object(j, parent, "devices");
    for (size_t i = 0; i < r->n_devices; i++) {
        const jv_review_device *d = &r->devices[i];
        jv_json_node *o = jv_json_object(j, devices, d->part);
        add_number(j, o, "rating_A", d->rating_a);
        add_number(j, o, "must_open_A", d->must_open_a);
        add_number(j, o, "running_A", d->running_a);
        add_text_or_null(j, o, "running_case", d->running_case);
        add_number(j, o, "held_fast_A", d->stall_a);
        add_text_or_null(j, o, "held_fast", d->stall_motor);
        add_number(j, o, "start_A", d->inrush_a);
        add_text_or_null(j, o, "start_case", d->inrush_case);
        jv_json_node *points = jv_json_array(j, o, "opens");
        for (size_t k = 0; k < d->curve.count; k++) {
            const jv_time_point *p = &d->curve.points[k];
            jv_json_node *point = jv_json_object(j, points, NULL);
            add_number(j, point, "current_A", p->fraction * d->rating_a);
            add_number(j, point, "least_s", p->least_s);
            add_number(j, point, "greatest_s", p->greatest_s);
            jv_json_text(j, point, "confidence", jv_confidence_word(p->confidence));
        }
        jv_json_node *cables = jv_json_object(j, o, "cables");
        for (size_t k = 0; k < d->n_wires; k++)
            add_wire(j, cables, d, &d->wires[k]);
    }
}

static void add_review(jv_json *j, jv_json_node *o, const jv_review *r) {
    jv_json_text(j, o, "circuit", r->circuit);
    add_text_or_null(j, o, "file", r->file);
    jv_json_text(j, o, "sha256", r->sha256);
    add_text_or_null(j, o, "revision", r->revision);
    jv_json_number(j, o, "changes", (double)r->changes, NULL);
    jv_json_text(j, o, "caution", jv_caution_codes);
    jv_json_node *list = jv_json_array(j, o, "rules");
    for (size_t i = 0; i < r->n_rows; i++)
        add_row(j, list, &r->rows[i]);
    add_devices(j, o, r);
    jv_json_node *idle = jv_json_array(j, o, "idle_waivers");
    for (size_t i = 0; i < r->n_idle; i++)
        jv_json_text(j, idle, NULL, r->idle_waivers[i]);
    jv_json_number(j, o, "failed", (double)r->failed, NULL);
    jv_json_number(j, o, "unknown", (double)r->unknown, NULL);
    jv_json_number(j, o, "waived", (double)r->waived, NULL);
    jv_json_number(j, o, "passed", (double)r->passed, NULL);
}

jv_status jv_review_batch_json(const jv_review_batch *batch, jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    if (batch->n == 1 && batch->entries[0].review) {
        add_review(&j, root, batch->entries[0].review);
        return jv_json_print(&j, out);
    }
    size_t failed = 0, over = 0;
    jv_json_node *files = jv_json_array(&j, root, "files");
    for (size_t i = 0; i < batch->n; i++) {
        const jv_review_entry *e = &batch->entries[i];
        jv_json_node *o = jv_json_object(&j, files, NULL);
        if (e->review) {
            add_review(&j, o, e->review);
            failed += e->review->failed;
            continue;
        }
        over++;
        jv_json_text(&j, o, "file", e->path);
        jv_json_text(&j, o, "passed_over",
                     e->diags.count ? e->diags.items[0].message : jv_status_text(e->status));
    }
    jv_json_number(&j, root, "failed", (double)failed, NULL);
    jv_json_number(&j, root, "passed_over", (double)over, NULL);
    return jv_json_print(&j, out);
}

/* ---- SARIF ---- */

static void add_message(jv_json *j, jv_json_node *parent, const char *key, const char *text) {
    jv_json_text(j, jv_json_object(j, parent, key), "text", text);
}

static void add_rules(jv_json *j, jv_json_node *driver) {
    jv_json_node *rules = jv_json_array(j, driver, "rules");
    for (size_t i = 0; i < jv_review_rule_count(); i++) {
        const jv_review_rule *rule = jv_review_rule_at(i);
        jv_json_node *o = jv_json_object(j, rules, NULL);
        jv_json_text(j, o, "id", rule->id);
        add_message(j, o, "shortDescription", rule->statement);
        jv_text help = {0};
        jv_text_addf(&help, "Source: %s%s%s. %s", rule->source, *rule->clause ? ", " : "",
                     rule->clause, jv_caution_codes);
        add_message(j, o, "help", jv_text_str(&help));
        j->failed |= help.failed;
        jv_text_clear(&help);
    }
}

/* A path as a URI reference (RFC 3986): what is not unreserved or a slash is escaped. */
static void add_uri(jv_json *j, jv_json_node *parent, const char *path) {
    static const char plain[] = "-._~/";
    jv_text uri = {0};
    for (const char *c = path; *c; c++) {
        bool letter = (*c >= 'a' && *c <= 'z') || (*c >= 'A' && *c <= 'Z');
        if (letter || (*c >= '0' && *c <= '9') || strchr(plain, *c))
            jv_text_add_char(&uri, *c);
        else
            jv_text_addf(&uri, "%%%02X", (unsigned)(unsigned char)*c);
    }
    jv_json_text(j, parent, "uri", jv_text_str(&uri));
    j->failed |= uri.failed;
    jv_text_clear(&uri);
}

static size_t rule_index(const jv_review_rule *rule) {
    size_t i = 0;
    while (i < jv_review_rule_count() && jv_review_rule_at(i) != rule)
        i++;
    return i;
}

static void add_location(jv_json *j, jv_json_node *result, const jv_review_row *row,
                         const char *path, size_t artifact) {
    jv_json_node *l = jv_json_object(j, jv_json_array(j, result, "locations"), NULL);
    jv_json_node *physical = jv_json_object(j, l, "physicalLocation");
    jv_json_node *where = jv_json_object(j, physical, "artifactLocation");
    add_uri(j, where, path);
    jv_json_number(j, where, "index", (double)artifact, NULL);
    if (row->line)
        jv_json_number(j, jv_json_object(j, physical, "region"), "startLine", (double)row->line,
                       NULL);
    jv_json_node *logical = jv_json_object(j, jv_json_array(j, l, "logicalLocations"), NULL);
    jv_json_text(j, logical, "fullyQualifiedName", row->part);
}

/* kind and level: 3.27.9 and 3.27.10; anything but a failure has level "none". */
static void add_result(jv_json *j, jv_json_node *results, const jv_review_row *row,
                       const char *path, size_t artifact) {
    static const char *const kinds[] = {"fail", "open", NULL, "pass"};
    jv_rule_verdict v = row->without_waiver;
    jv_json_node *o = jv_json_object(j, results, NULL);
    jv_json_text(j, o, "ruleId", row->rule->id);
    jv_json_number(j, o, "ruleIndex", (double)rule_index(row->rule), NULL);
    jv_json_text(j, o, "kind", kinds[v]);
    jv_json_text(j, o, "level", v == JV_RULE_FAIL ? "error" : "none");
    jv_text text = {0};
    jv_text_addf(&text, "%s: %s.", row->part, row->reason);
    if (row->look_in)
        jv_text_addf(&text, " Look in: %s.", row->look_in);
    add_message(j, o, "message", jv_text_str(&text));
    j->failed |= text.failed;
    jv_text_clear(&text);
    add_location(j, o, row, path, artifact);
    if (row->waiver_reason) {
        jv_json_node *s = jv_json_object(j, jv_json_array(j, o, "suppressions"), NULL);
        jv_json_text(j, s, "kind", "inSource");
        jv_json_text(j, s, "status", "accepted");
        jv_text why = {0};
        jv_text_addf(&why, "%s (%s, %s)", row->waiver_reason, row->waiver_name, row->waiver_date);
        jv_json_text(j, s, "justification", jv_text_str(&why));
        j->failed |= why.failed;
        jv_text_clear(&why);
    }
    jv_json_node *p = jv_json_object(j, o, "properties");
    if (isfinite(row->figure))
        jv_json_number(j, p, "figure", row->figure, NULL);
    if (isfinite(row->limit))
        jv_json_number(j, p, "limit", row->limit, NULL);
    jv_json_text(j, p, "unit", row->unit);
    jv_json_text(j, p, "basis", row->basis);
    if (row->loading)
        jv_json_text(j, p, "case", row->loading);
}

static void add_artifacts(jv_json *j, jv_json_node *run, const jv_review_batch *batch) {
    jv_json_node *artifacts = jv_json_array(j, run, "artifacts");
    for (size_t i = 0; i < batch->n; i++) {
        const jv_review_entry *e = &batch->entries[i];
        jv_json_node *a = jv_json_object(j, artifacts, NULL);
        add_uri(j, jv_json_object(j, a, "location"), e->path);
        if (e->review && *e->review->sha256)
            jv_json_text(j, jv_json_object(j, a, "hashes"), "sha-256", e->review->sha256);
    }
}

/* Files passed over show as notifications of the run. */
static void add_invocation(jv_json *j, jv_json_node *run, const jv_review_batch *batch) {
    jv_json_node *o = jv_json_object(j, jv_json_array(j, run, "invocations"), NULL);
    bool all = true;
    for (size_t i = 0; i < batch->n; i++)
        all = all && batch->entries[i].review;
    jv_json_bool(j, o, "executionSuccessful", all);
    if (all)
        return;
    jv_json_node *list = jv_json_array(j, o, "toolExecutionNotifications");
    for (size_t i = 0; i < batch->n; i++) {
        const jv_review_entry *e = &batch->entries[i];
        if (e->review)
            continue;
        jv_json_node *n = jv_json_object(j, list, NULL);
        jv_json_text(j, n, "level", "error");
        add_message(j, n, "message",
                    e->diags.count ? e->diags.items[0].message : jv_status_text(e->status));
        jv_json_node *l = jv_json_object(j, jv_json_array(j, n, "locations"), NULL);
        jv_json_node *physical = jv_json_object(j, l, "physicalLocation");
        add_uri(j, jv_json_object(j, physical, "artifactLocation"), e->path);
    }
}

jv_status jv_review_batch_sarif(const jv_review_batch *batch, jv_text *out) {
    jv_json j;
    jv_json_node *root = jv_json_begin(&j);
    jv_json_text(&j, root, "$schema",
                 "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/"
                 "sarif-schema-2.1.0.json");
    jv_json_text(&j, root, "version", "2.1.0");
    jv_json_node *run = jv_json_object(&j, jv_json_array(&j, root, "runs"), NULL);
    jv_json_node *driver = jv_json_object(&j, jv_json_object(&j, run, "tool"), "driver");
    jv_json_text(&j, driver, "name", "jackvolt");
    jv_json_text(&j, driver, "version", JV_VERSION);
    add_rules(&j, driver);
    add_invocation(&j, run, batch);
    add_artifacts(&j, run, batch);
    jv_json_node *results = jv_json_array(&j, run, "results");
    for (size_t i = 0; i < batch->n; i++) {
        const jv_review_entry *e = &batch->entries[i];
        for (size_t k = 0; e->review && k < e->review->n_rows; k++)
            add_result(&j, results, &e->review->rows[k], e->path, i);
    }
    return jv_json_print(&j, out);
}
