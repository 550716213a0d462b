/* review_files.c - many files at once, each judged by itself. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L /* sysconf */
#include "jackvolt/memory.h"
#include "jackvolt/review.h"

#include <pthread.h>
#include <stdatomic.h>
#include <unistd.h>

enum { MOST_THREADS = 64 };

typedef struct jv_line { /* of files to be judged */
    jv_review_entry *entries;
    size_t n;
    const jv_read_options *options;
    atomic_size_t next;
} jv_line;

static void judge(jv_review_entry *e, const jv_read_options *options) {
    e->status = jv_circuit_read_file(e->path, options, &e->diags, &e->circuit);
    if (e->status == JV_OK)
        e->status = jv_review_run(e->circuit, &e->review);
}

static void *work(void *line) {
    jv_line *l = line;
    size_t i;
    while ((i = atomic_fetch_add(&l->next, 1)) < l->n)
        judge(&l->entries[i], l->options);
    return NULL;
}

static unsigned threads_of_machine(void) {
    long n = sysconf(_SC_NPROCESSORS_ONLN);
    return n > 0 ? (unsigned)n : 1;
}

jv_status jv_review_files(const char *const *paths, size_t n, const jv_read_options *options,
                          unsigned threads, jv_review_batch *out) {
    jv_line line = {.n = n, .options = options};
    line.entries = jv_zalloc(n + 1, sizeof *line.entries);
    if (!line.entries)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < n; i++)
        line.entries[i].path = paths[i];
    atomic_init(&line.next, 0);
    if (threads == 0)
        threads = threads_of_machine();
    if (threads > MOST_THREADS)
        threads = MOST_THREADS;
    if (threads > n)
        threads = (unsigned)n;
    /* The caller works too; a thread that cannot be started leaves its share to the others. */
    pthread_t started[MOST_THREADS];
    unsigned running = 0;
    while (running + 1 < threads && pthread_create(&started[running], NULL, work, &line) == 0)
        running++;
    work(&line);
    for (unsigned i = 0; i < running; i++)
        pthread_join(started[i], NULL);
    out->entries = line.entries;
    out->n = n;
    return JV_OK;
}

void jv_review_batch_free(jv_review_batch *batch) {
    for (size_t i = 0; i < batch->n; i++) {
        jv_review_free(&batch->entries[i].review);
        jv_circuit_free(&batch->entries[i].circuit);
        jv_diags_clear(&batch->entries[i].diags);
    }
    jv_free(batch->entries);
    batch->entries = NULL;
    batch->n = 0;
}
