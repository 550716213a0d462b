/* bench_size.c - six runs of twelve sizes, proved the least. SPDX-License-Identifier: MIT */
#include <stdio.h>
#include <string.h>

#include "jackvolt/conductor.h"
#include "jackvolt/memory.h"
#include "jackvolt/read.h"
#include "jackvolt/review.h"
#include "jackvolt/size.h"
#include "tests/bench/metered.h"

/* The bar: proved in less than this, s. */
static const double most_s = 1.0;

static const char text[] =
    "{\"circuit\": \"six runs\", \"parts\": {"
    "\"battery\": {\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", \"open_circuit\": "
    "\"12.4 V .. 12.7 V\", \"resistance\": \"6 mohm .. 10 mohm\"},"
    "\"fuse\": {\"is\": \"fuse\", \"a\": \"p\", \"b\": \"f\", \"rating\": \"80 A\", \"style\": "
    "\"blade E\"},"
    "\"feed\": {\"is\": \"cable\", \"a\": \"f\", \"b\": \"x\", \"size\": \"8 AWG\", \"length\": "
    "\"22 ft +/- 5 %\", \"insulation\": \"SGX\"},"
    "\"return\": {\"is\": \"cable\", \"a\": \"y\", \"b\": \"m\", \"size\": \"8 AWG\", \"length\": "
    "\"22 ft +/- 5 %\", \"insulation\": \"SGX\"},"
    "\"left\": {\"is\": \"cable\", \"a\": \"x\", \"b\": \"l+\", \"size\": \"10 AWG\", \"length\": "
    "\"6 ft\", "
    "\"insulation\": \"SGX\"},"
    "\"left back\": {\"is\": \"cable\", \"a\": \"l-\", \"b\": \"y\", \"size\": \"10 AWG\", "
    "\"length\": "
    "\"6 ft\", \"insulation\": \"SGX\"},"
    "\"right\": {\"is\": \"cable\", \"a\": \"x\", \"b\": \"r+\", \"size\": \"10 AWG\", \"length\": "
    "\"11 ft\", "
    "\"insulation\": \"SGX\"},"
    "\"right back\": {\"is\": \"cable\", \"a\": \"r-\", \"b\": \"y\", \"size\": \"10 AWG\", "
    "\"length\": "
    "\"11 ft\", \"insulation\": \"SGX\"},"
    "\"left jack\": {\"is\": \"jack\", \"plus\": \"l+\", \"minus\": \"l-\", \"rated_force\": "
    "\"2000 lbf\", "
    "\"rated_current\": \"26 A\", \"no_load_current\": \"4 A\", \"stall_current\": \"90 A\"},"
    "\"right jack\": {\"is\": \"jack\", \"plus\": \"r+\", \"minus\": \"r-\", \"rated_force\": "
    "\"2000 lbf\", "
    "\"rated_current\": \"26 A\", \"no_load_current\": \"4 A\", \"stall_current\": \"90 A\"}},"
    "\"watches\": {\"low\": {\"at\": [\"x\", \"y\"], \"below\": \"10.5 V\"}},"
    "\"cases\": {\"both\": {\"lift\": {\"left jack\": \"24 A .. 27 A\", \"right jack\": \"24 A .. "
    "27 A\"}},"
    "\"left\": {\"lift\": {\"left jack\": \"rated\"}}}}";

int main(void) {
    static const int gauges[] = {16, 14, 12, 10, 8, 6, 4, 2, 1, 0, -1, -2};
    enum { SIZES = sizeof gauges / sizeof gauges[0] };
    jv_price prices[SIZES];
    /* Twelve sizes to choose from, at a price that goes with the metal. */
    for (size_t i = 0; i < SIZES; i++) {
        prices[i].size = (jv_size){JV_SIZE_AWG, gauges[i], 0};
        prices[i].per_m = 10 * jv_awg_area_mm2(gauges[i]);
    }
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_sizing *s = NULL;
    const jv_size_options how = {.prices = prices, .n_prices = SIZES};
    if (jv_circuit_read_text(text, strlen(text), "six runs", NULL, &d, &c) != JV_OK)
        return 1;
    double start = metered_now();
    jv_status status = jv_size_find(c, &how, &d, &s);
    double seconds = metered_now() - start;
    bool proved = status == JV_OK && s->possible && s->proof == JV_SIZE_PROVED;
    if (status == JV_OK)
        printf("size: %zu runs x %d sizes  %.3f s, %zu nodes, %s (bar: %.0f s, proved)\n",
               s->n_runs, (int)SIZES, seconds, s->nodes, proved ? "proved the least" : "not proved",
               most_s);
    jv_review *r = NULL;
    start = metered_now();
    if (jv_review_run(c, &r) == JV_OK)
        printf("review: %zu rows  %.3f s\n", r->n_rows, metered_now() - start);
    jv_review_free(&r);
    jv_sizing_free(&s);
    jv_circuit_free(&c);
    jv_diags_clear(&d);
    return proved && seconds < most_s ? 0 : 1;
}
