/* bench_json.c - time and memory of reading a 50 MB circuit file. SPDX-License-Identifier: MIT */
#include <cjson/cJSON.h>
#include <stdio.h>

#include "jackvolt/memory.h"
#include "jackvolt/text.h"
#include "read/json.h"
#include "tests/bench/metered.h"

static const size_t TARGET_BYTES = 50000000;
static const double MB = 1e6;

static void make_circuit(jv_text *t) {
    jv_text_add(t, "{\n  \"circuit\": \"large\",\n  \"parts\": {\n");
    for (unsigned i = 0; t->length < TARGET_BYTES; i++) {
        jv_text_addf(t,
                     "    \"feed %u\": {\"is\": \"cable\", \"a\": \"n%u\", \"b\": \"n%u\", "
                     "\"size\": \"6 AWG\", \"length\": \"%u.%u ft\"},\n",
                     i, i, i + 1, i % 40, i % 10);
    }
    jv_text_add(t, "    \"end\": {\"is\": \"load\", \"resistance\": \"2 ohm\"}\n  }\n}\n");
}

static int read_once(const char *name, const jv_text *t, metered *m) {
    jv_diags d = {0};
    jv_json_doc doc;
    metered_start(m);
    const size_t before = m->held;
    const double start = metered_now();
    const jv_status status = jv_json_read(t->data, t->length, NULL, NULL, &d, &doc);
    const double seconds = metered_now() - start;
    printf("json: %-22s %5.1f MB %6.3f s %6.0f MB/s %9zu nodes %5.1f byte/node, peak %6.1f MB with "
           "the text\n",
           name, (double)t->length / MB, seconds, (double)t->length / MB / seconds, doc.nodes,
           (double)doc.arena.total / (double)doc.nodes,
           (double)(m->peak - before + t->length) / MB);
    jv_json_doc_clear(&doc);
    jv_diags_clear(&d);
    return status == JV_OK && m->held == before ? 0 : 1;
}

int main(void) {
    metered m;
    metered_hook(&m);
    jv_text t = {0};
    make_circuit(&t);
    int wrong = read_once("circuit file", &t, &m);

    const double start = metered_now();
    cJSON *other = cJSON_ParseWithLength(t.data, t.length);
    printf("json: %-22s %5.1f MB %6.3f s\n", "the same with cJSON", (double)t.length / MB,
           metered_now() - start);
    cJSON_Delete(other);
    jv_text_clear(&t);

    jv_text_add(&t, "[0");
    jv_text_repeat(&t, ",0", TARGET_BYTES / 2 - 2); /* as many nodes as fit */
    jv_text_add(&t, "]");
    wrong += read_once("worst: [0,0,0,...]", &t, &m);
    jv_text_clear(&t);
    return wrong;
}
