/* fuzz_harness.c - any bytes as a harness file, with a side file behind "\n--with ".
 * SPDX-License-Identifier: MIT */
#include "jackvolt/harness.h"
#include "jackvolt/read.h"
#include "jackvolt/render.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void require(bool holds) {
    if (!holds) {
        abort();
    }
}

static const char mark[] = "\n--with ";
enum { MARK = sizeof mark - 1 };

/* Where the last mark starts; size when there is none. */
static size_t find_mark(const uint8_t *data, size_t size) {
    for (size_t i = size; i >= MARK; i--) {
        if (memcmp(data + i - MARK, mark, MARK) == 0) {
            return i - MARK;
        }
    }
    return size;
}

/* Every index leads somewhere, every name is there. */
static void check_harness(const jv_harness_parts *p) {
    for (size_t i = 0; i < p->n_wires; i++) {
        const jv_harness_wire *w = &p->wires[i];
        require(w->name != NULL && (w->from == JV_HARNESS_NONE || w->from < p->n_points) &&
                (w->to == JV_HARNESS_NONE || w->to < p->n_points));
        require(!(w->length_m <= 0.0) && !(w->area_m2 <= 0.0));
    }
    for (size_t i = 0; i < p->n_points; i++) {
        require(p->points[i].joint <= i && p->points[i].connector < p->n_connectors);
        require(p->points[p->points[i].joint].joint == p->points[i].joint);
    }
    for (size_t i = 0; i < p->n_mates; i++) {
        require(p->mates[i].from < p->n_points && p->mates[i].to < p->n_points);
        require(p->mates[i].part[0] != '\0');
    }
}

/* What is written is JSON that the reader of circuit files takes, or names the faults of. */
static void check_circuit(const jv_harness_plan *plan) {
    jv_text out = {0}, remarks = {0};
    jv_style style = {0};
    require(jv_harness_circuit(plan, &out) == JV_OK);
    jv_harness_remarks(plan, &style, &remarks);
    jv_diags d = {0};
    jv_circuit *circuit = NULL;
    jv_circuit_read_text(jv_text_str(&out), out.length, "made", NULL, &d, &circuit);
    for (size_t i = 0; i < d.count; i++) {
        require(d.items[i].code != JV_CODE_JSON_SYNTAX && d.items[i].code != JV_CODE_JSON_UTF8);
    }
    jv_circuit_free(&circuit);
    jv_diags_clear(&d);
    jv_text_clear(&out);
    jv_text_clear(&remarks);
}

static void check_plan(const jv_harness *h, const char *side_text, size_t length) {
    jv_diags d = {0};
    jv_harness_side *side = NULL;
    jv_harness_plan *plan = NULL;
    if (length > 0 && jv_harness_side_read_text(side_text, length, "side", &d, &side) != JV_OK) {
        require(d.errors > 0);
    }
    if (jv_harness_plan_make(h, side, &d, &plan) == JV_OK) {
        check_circuit(plan);
    } else {
        require(d.errors > 0);
    }
    jv_harness_plan_free(&plan);
    jv_harness_side_free(&side);
    jv_diags_clear(&d);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    size_t end = find_mark(data, size);
    const char *text = (const char *)data;
    jv_diags d = {0};
    jv_harness *h = NULL;
    if (jv_harness_read_text(text, end, "fuzz", &d, &h) == JV_OK) {
        jv_text list = {0}, json = {0};
        jv_style style = {0};
        check_harness(jv_harness_content(h));
        jv_harness_list_text(h, &style, &list);
        require(list.length > 0 && jv_harness_list_json(h, &json) == JV_OK);
        jv_text_clear(&list);
        jv_text_clear(&json);
        check_plan(h, end < size ? text + end + MARK : "", end < size ? size - end - MARK : 0);
    } else {
        require(d.errors > 0 && h == NULL);
    }
    jv_harness_free(&h);
    jv_diags_clear(&d);
    return 0;
}
