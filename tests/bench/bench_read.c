/* bench_read.c - time and memory of reading circuit files, by their number of parts.
 * SPDX-License-Identifier: MIT */
#include <stdio.h>
#include <string.h>

#include "jackvolt/circuit.h"
#include "jackvolt/read.h"
#include "tests/bench/metered.h"

/* The bars: under 1 kB a part once read, a peak under 1 GB for a file of 50 MB. */
static const double MOST_BYTES_A_PART = 1000.0;
static const double MOST_PEAK_MB = 1000.0;
static const double MB = 1e6;
static const double MICRO = 1e-6;
enum { RUNS = 3 };

/* A chain of n cables from a battery to a lamp, as people write them, with a comment of `pad`. */
static void write_chain(jv_text *t, size_t n, size_t pad) {
    jv_text_add(t, "{\n  \"circuit\": \"chain\",\n  \"parts\": {\n"
                   "    \"battery\": {\"is\": \"battery\", \"plus\": \"n0\", \"minus\": \"m\", "
                   "\"chemistry\": \"agm\", \"capacity\": \"100 Ah\", \"charge\": \"80 %\"},\n");
    for (size_t i = 0; i < n; i++) {
        jv_text_addf(t,
                     "    \"feed %zu\": {\"is\": \"cable\", \"a\": \"n%zu\", \"b\": \"n%zu\", "
                     "\"size\": \"6 AWG\", \"length\": \"%zu.5 ft +/- 5 %%\", \"insulation\": "
                     "\"SGX\", \"surroundings\": {\"air\": \"95 degF\"}, \"comment\": \"",
                     i, i, i + 1, 1 + i % 20);
        jv_text_repeat(t, "x", pad);
        jv_text_add(t, "\"},\n");
    }
    jv_text_addf(t,
                 "    \"lamp\": {\"is\": \"load\", \"plus\": \"n%zu\", \"minus\": \"m\", "
                 "\"current\": \"2 A\"}\n  }\n}\n",
                 n);
}

/* Reads it a few times; gives the microseconds a part of the best run, or -1. */
static double read_chain(metered *m, size_t n, size_t pad) {
    jv_text t = {0};
    write_chain(&t, n, pad);
    size_t before = m->held;
    double best = 1e9;
    double bytes = 0.0;
    metered_start(m);
    for (int run = 0; run < RUNS; run++) {
        jv_diags d = {0};
        jv_circuit *c = NULL;
        double start = metered_now();
        jv_status status = jv_circuit_read_text(t.data, t.length, "chain.json", NULL, &d, &c);
        double seconds = metered_now() - start;
        best = seconds < best ? seconds : best;
        if (status == JV_OK) {
            bytes = (double)(m->held - before) / (double)jv_circuit_parts(c);
        }
        jv_circuit_free(&c);
        jv_diags_clear(&d);
        if (status != JV_OK) {
            jv_text_clear(&t);
            return -1.0;
        }
    }
    double peak = (double)(m->peak - before + t.length) / MB;
    printf("read: %6zu parts %5.1f MB %7.3f s %6.2f us/part %5.0f byte/part once read, peak %6.1f "
           "MB with the text\n",
           n, (double)t.length / MB, best, best / MICRO / (double)n, bytes, peak);
    jv_text_clear(&t);
    bool holds = bytes < MOST_BYTES_A_PART && peak < MOST_PEAK_MB;
    if (!holds) {
        printf("read: more memory than %.0f byte a part or %.0f MB\n", MOST_BYTES_A_PART,
               MOST_PEAK_MB);
    }
    return holds ? best / MICRO / (double)n : -1.0;
}

int main(void) {
    static const size_t sizes[] = {100, 1000, 10000, 100000};
    metered m;
    metered_hook(&m);
    for (size_t i = 0; i < sizeof sizes / sizeof sizes[0]; i++) {
        if (read_chain(&m, sizes[i], 0) < 0.0) {
            return 1;
        }
    }
    enum { LARGE_PARTS = 100000, LARGE_PAD = 310 }; /* 50 MB */
    return read_chain(&m, LARGE_PARTS, LARGE_PAD) < 0.0;
}
