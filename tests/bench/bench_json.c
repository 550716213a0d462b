/* bench_json.c - time and memory of reading a 50 MB circuit file. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L
#include <cjson/cJSON.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "jackvolt/memory.h"
#include "read/json.h"

static const size_t TARGET_BYTES = 50000000;
static const double MB = 1e6;

/* A hook that knows how much is held and what the most was: block sizes stand before them. */
typedef struct meter {
    size_t held;
    size_t peak;
} meter;

static void *metered_resize(void *ctx, void *block, size_t size) {
    meter *m = ctx;
    max_align_t *head = block != NULL ? (max_align_t *)block - 1 : NULL;
    size_t old = head != NULL ? *(size_t *)(void *)head : 0;
    if (size == 0) {
        m->held -= old;
        free(head);
        return NULL;
    }
    max_align_t *fresh = realloc(head, size + sizeof *head);
    if (fresh == NULL) {
        return NULL;
    }
    *(size_t *)(void *)fresh = size;
    m->held += size - old;
    m->peak = m->held > m->peak ? m->held : m->peak;
    return fresh + 1;
}

static double now(void) {
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

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

static int read_once(const char *name, const jv_text *t, meter *m) {
    jv_diags d = {0};
    jv_json_doc doc;
    m->peak = m->held;
    const size_t before = m->held;
    const double start = now();
    const jv_status status = jv_json_read(t->data, t->length, NULL, NULL, &d, &doc);
    const double seconds = now() - start;
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
    meter m = {0, 0};
    const jv_memory_hook hook = {metered_resize, &m};
    jv_memory_set_hook(&hook);
    jv_text t = {0};
    make_circuit(&t);
    int wrong = read_once("circuit file", &t, &m);

    const double start = now();
    cJSON *other = cJSON_ParseWithLength(t.data, t.length);
    printf("json: %-22s %5.1f MB %6.3f s\n", "the same with cJSON", (double)t.length / MB,
           now() - start);
    cJSON_Delete(other);
    jv_text_clear(&t);

    jv_text_add(&t, "[0");
    jv_text_repeat(&t, ",0", TARGET_BYTES / 2 - 2); /* as many nodes as fit */
    jv_text_add(&t, "]");
    wrong += read_once("worst: [0,0,0,...]", &t, &m);
    jv_text_clear(&t);
    return wrong;
}
