/* test_report_walk.c - sizing, odds of faults and walks on the page, against their JSON.
 * SPDX-License-Identifier: MIT */
#include "jackvolt/drop.h"
#include "jackvolt/evidence.h"
#include "jackvolt/read.h"
#include "jackvolt/report.h"
#include "tests/support/close.h"
#include "tests/support/failing.h"
#include "tests/support/page.h"

#include <cjson/cJSON.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

enum { PATH_ROOM = 400 };

/* A walk of the manual, to its end: docs/walks/sag.txt. */
static const char *const sag[] = {"1",    "1",    "1",      "1",       "1",    "1",
                                  "1",    "done", "1.81 V", "1.0 mV",  "done", "0.00 V",
                                  "done", "OL",   "done",   "10.99 V", "1"};
enum { SAG = sizeof sag / sizeof sag[0] };

typedef struct bench {
    jv_circuit *circuit;
    jv_drop *drop;
    jv_report report;
    jv_text text;
    read_page page;
} bench;

static void open_bench(bench *b, const char *name) {
    char path[PATH_ROOM];
    jv_diags d = {0};
    memset(b, 0, sizeof *b);
    snprintf(path, sizeof path, "circuits/%s", name);
    assert_int_equal(jv_circuit_read_file(path, NULL, &d, &b->circuit), JV_OK);
    assert_int_equal(jv_drop_run(b->circuit, NULL, &b->drop), JV_OK);
    b->report.circuit = b->circuit;
    b->report.drop = b->drop;
    jv_diags_clear(&d);
}

static void write_page(bench *b, jv_report_kind kind) {
    jv_style style = {0};
    b->report.kind = kind;
    assert_int_equal(jv_report_page(&b->report, &style, &b->text), JV_OK);
    page_read(&b->page, &b->text);
}

static void drop_page(bench *b) {
    page_free(&b->page);
    jv_text_clear(&b->text);
}

static void close_bench(bench *b) {
    jv_drop_free(&b->drop);
    jv_circuit_free(&b->circuit);
}

static jv_walk *walk(const bench *b, size_t answers) {
    jv_walk_options how = {.kind = JV_WALK_SAG};
    jv_walk *w = NULL;
    assert_int_equal(jv_walk_new(b->circuit, &how, &w), JV_OK);
    for (size_t i = 0; i < answers; i++) {
        jv_text problem = {0};
        assert_int_equal(jv_walk_answer(w, sag[i], &problem), JV_OK);
        jv_text_clear(&problem);
    }
    return w;
}

static const cJSON *get(const cJSON *object, const char *key) {
    const cJSON *value = cJSON_GetObjectItemCaseSensitive(object, key);
    assert_non_null(value);
    return value;
}

static cJSON *parse(jv_text *json) {
    cJSON *parsed = cJSON_Parse(jv_text_str(json));
    assert_non_null(parsed);
    jv_text_clear(json);
    return parsed;
}

static cJSON *walk_json(const jv_walk *w) {
    jv_text json = {0};
    assert_int_equal(jv_walk_json(w, &json), JV_OK);
    return parse(&json);
}

static const char *text_or_empty(const cJSON *object, const char *key) {
    const cJSON *value = cJSON_GetObjectItemCaseSensitive(object, key);
    return cJSON_IsString(value) ? value->valuestring : "";
}

/* A row of a section by its table (its number among all) and its own number. */
static void cell_path(char *path, const char *section, int table, int row, const char *cell) {
    snprintf(path, PATH_ROOM, "string((//h:section[@id='%s']//h:table)[%d]/h:tbody/h:tr[%d]/h:%s)",
             section, table, row, cell);
}

static void assert_cell(const bench *b, const char *section, int table, int row, const char *cell,
                        const char *expected) {
    char path[PATH_ROOM];
    cell_path(path, section, table, row, cell);
    page_assert_text(&b->page, path, expected);
}

/* The number of a cell, and what stands behind it. */
static double cell_number(const bench *b, const char *section, int table, int row,
                          const char *cell) {
    char path[PATH_ROOM];
    cell_path(path, section, table, row, cell);
    char *text = page_text(&b->page, path), *end;
    double value = strtod(text, &end);
    assert_true(end != text);
    xmlFree(text);
    return value;
}

/* --- odds --- */

/* Table of odds, its number in the section. */
static void compare_odds(const bench *b, const char *section, int table, const cJSON *faults) {
    const cJSON *fault;
    int row = 0;
    cJSON_ArrayForEach(fault, faults) {
        enum { MOST = 8 };
        if (++row > MOST)
            break;
        assert_cell(b, section, table, row, "th", get(fault, "fault")->valuestring);
        assert_close(cell_number(b, section, table, row, "td[1]"),
                     100.0 * get(fault, "probability")->valuedouble, 0.0, 0.0501);
    }
    assert_true(row > 0);
    /* A bar for each row, as long as its odds say. */
    char path[PATH_ROOM];
    snprintf(path, sizeof path, "count(//h:section[@id='%s']//s:rect[@class='bar'])", section);
    double bars = page_number(&b->page, path);
    snprintf(path, sizeof path, "count((//h:section[@id='%s']//h:table)[%d]/h:tbody/h:tr)", section,
             table);
    assert_true(bars == page_number(&b->page, path));
    double first, unit = cell_number(b, section, table, 1, "td[1]");
    snprintf(path, sizeof path, "number((//h:section[@id='%s']//s:rect)[1]/@width)", section);
    first = page_number(&b->page, path);
    for (int i = 2; i <= (int)bars; i++) {
        snprintf(path, sizeof path, "number((//h:section[@id='%s']//s:rect)[%d]/@width)", section,
                 i);
        double share = cell_number(b, section, table, i, "td[1]") / unit;
        assert_close(page_number(&b->page, path), first * share, 0.0, 2.0);
    }
}

static void odds_equal_those_of_find(void **state) {
    (void)state;
    static const char *const lines[] = {"volts post+ post- in lifting = 11.9 V",
                                        "volts ctl- post- in lifting = 1.8 V"};
    bench b;
    jv_find_options how = {0};
    jv_diags d = {0};
    jv_text json = {0};
    const jv_place place = {.file = "test"};
    open_bench(&b, "small-trailer.json");
    assert_int_equal(jv_finder_new(b.circuit, &how, &b.report.finder), JV_OK);
    for (size_t i = 0; i < 2; i++)
        assert_int_equal(jv_reading_take(b.report.finder, b.circuit, lines[i], &place, &d), JV_OK);
    write_page(&b, JV_REPORT_FULL);
    assert_int_equal(jv_find_json(b.report.finder, b.circuit, JV_FIND_NONE, false, &json), JV_OK);
    cJSON *of = parse(&json);
    compare_odds(&b, "faults", 1, get(of, "faults"));
    /* The next reading, and its cautions before it. */
    const cJSON *next = get(of, "next");
    char *text = page_text(&b.page, "string(//h:section[@id='faults']/h:p[1])");
    assert_non_null(strstr(text, get(next, "check")->valuestring));
    xmlFree(text);
    assert_true(page_number(&b.page, "count(//h:section[@id='faults']/h:ul[@class='cautions']/"
                                     "following-sibling::h:p[starts-with(., 'Next')])") == 1.0);
    assert_true(page_number(&b.page, "count(//h:section[@id='faults']//h:li)") ==
                (double)cJSON_GetArraySize(get(next, "cautions")));
    cJSON_Delete(of);
    drop_page(&b);
    jv_finder_free(&b.report.finder);
    jv_diags_clear(&d);
    close_bench(&b);
}

/* --- walks --- */

static void a_walk_stands_on_the_page_step_by_step(void **state) {
    (void)state;
    bench b;
    open_bench(&b, "small-trailer.json");
    jv_walk *w = walk(&b, SAG);
    b.report.walk = w;
    cJSON *json = walk_json(w);
    write_page(&b, JV_REPORT_FULL);
    page_assert_text(&b.page, "string(//h:section[@id='walk']/h:p[1]/h:strong)",
                     "REPAIRED AND PROVED");
    const cJSON *step;
    int row = 0;
    cJSON_ArrayForEach(step, get(json, "steps")) {
        char title[PATH_ROOM];
        row++;
        snprintf(title, sizeof title, "%d. %s", row, get(step, "title")->valuestring);
        assert_cell(&b, "walk", 1, row, "th", title);
        assert_cell(&b, "walk", 1, row, "td[1]", text_or_empty(step, "probes"));
        assert_cell(&b, "walk", 1, row, "td[2]", get(step, "answer")->valuestring);
        assert_cell(&b, "walk", 1, row, "td[3]", text_or_empty(step, "meaning"));
    }
    assert_int_equal(row, SAG);
    compare_odds(&b, "walk", 2, get(json, "faults"));
    cJSON_Delete(json);
    drop_page(&b);
    jv_walk_free(&w);
    close_bench(&b);
}

static void assert_entry(const bench *b, const char *name, const char *holds) {
    char path[PATH_ROOM];
    snprintf(path, sizeof path,
             "string(//h:section[@id='customer']//h:dt[. = '%s']/following-sibling::h:dd[1])",
             name);
    char *text = page_text(&b->page, path);
    if (!strstr(text, holds))
        print_message("%s: %s\n", name, text);
    assert_non_null(strstr(text, holds));
    xmlFree(text);
}

/* What the customer gets: complaint, cause, correction, readings, room to sign. */
static void the_sheet_after_a_walk_is_the_record(void **state) {
    (void)state;
    static const char *const lines[] = {"Meter: plain one, leads 0.1 ohm",
                                        "Parts fitted, size and fuse:", "Temperature:",
                                        "Done by, signed:", "Customer, signed:"};
    bench b;
    open_bench(&b, "small-trailer.json");
    jv_walk *w = walk(&b, SAG);
    b.report.walk = w;
    b.report.meter = "plain one, leads 0.1 ohm";
    write_page(&b, JV_REPORT_SHEET);
    page_assert_text(&b.page, "string(//h:main/h:section[1]/@id)", "cautions");
    assert_entry(&b, "Complaint", "\"low-voltage stop\" stops everything while jacks run");
    assert_entry(&b, "Cause", "minus clamp: added resistance");
    assert_entry(&b, "Correction", "clean to bright metal, refit and tighten: done.");
    assert_entry(&b, "Result", "mended");
    /* Read before the repair at the clamp; after it at the controller. */
    page_assert_text(&b.page,
                     "string(//h:section[@id='customer']//h:tr[h:th='Volts at \"minus clamp\", "
                     "running \"lifting\"']/h:td[2])",
                     "1.81 V");
    page_assert_text(&b.page,
                     "string(//h:section[@id='customer']//h:tr[h:th='Volts at \"controller\", "
                     "running \"lifting\"']/h:td[3])",
                     "10.99 V");
    page_assert_text(&b.page,
                     "string(//h:section[@id='customer']//h:tr[h:th='Volts at \"controller\", "
                     "running \"lifting\"']/h:td[2])",
                     "");
    for (size_t i = 0; i < sizeof lines / sizeof lines[0]; i++) {
        char path[PATH_ROOM];
        snprintf(path, sizeof path, "count(//h:section[@id='customer']/h:div/h:p[. = '%s'])",
                 lines[i]);
        assert_true(page_number(&b.page, path) == 1.0);
    }
    /* The part is marked in the drawing, and no place for the meter is asked for. */
    assert_true(page_number(&b.page, "count(//h:section[@id='circuit']//s:g[@class='worst'])") ==
                1.0);
    assert_true(page_number(&b.page, "count(//h:section[@id='points' or @id='record'])") == 0.0);
    drop_page(&b);
    jv_walk_free(&w);
    close_bench(&b);
}

/* Power off, nothing mended yet: the record and the owner's page say so. */
static void an_open_walk_claims_no_repair(void **state) {
    (void)state;
    enum { PROVED_DEAD = 12 };
    bench b;
    open_bench(&b, "small-trailer.json");
    jv_walk *w = walk(&b, PROVED_DEAD);
    b.report.walk = w;
    write_page(&b, JV_REPORT_SHEET);
    page_assert_text(&b.page, "string(//h:section[@id='customer']/h:p[1])",
                     "NOT FINISHED. The power was left off.");
    assert_true(page_number(&b.page, "count(//h:dd[contains(., 'done.')])") == 0.0);
    drop_page(&b);
    write_page(&b, JV_REPORT_OWNER);
    assert_true(page_number(&b.page, "count(//h:section[@id='found'])") == 1.0);
    assert_true(page_number(&b.page, "count(//h:section[@id='found'][contains(., 'mended.')])") ==
                (jv_walk_named(w) ? 1.0 : 0.0));
    assert_true(page_number(&b.page, "count(//h:section[@id='found'][contains(., 'Found and "
                                     "mended')])") == 0.0);
    assert_true(page_number(&b.page, "count(//h:section[@id='found'][contains(., 'Do not switch "
                                     "it on')])") == 1.0);
    drop_page(&b);
    jv_walk_free(&w);
    close_bench(&b);
}

static void the_owner_reads_what_was_mended(void **state) {
    (void)state;
    bench b;
    open_bench(&b, "small-trailer.json");
    jv_walk *w = walk(&b, SAG);
    b.report.walk = w;
    write_page(&b, JV_REPORT_OWNER);
    page_assert_text(&b.page, "string(//h:section[@id='found']/h:p[1])",
                     "Found and mended. minus clamp: added resistance.");
    drop_page(&b);
    jv_walk_free(&w);
    close_bench(&b);
}

/* --- sizing --- */

static void sizes_equal_those_of_size(void **state) {
    (void)state;
    static const double g_per_kg = 1000.0;
    bench b;
    jv_sizing *sizing = NULL;
    jv_diags d = {0};
    jv_text json = {0};
    open_bench(&b, "thin-feed.json");
    assert_int_equal(jv_size_find(b.circuit, NULL, &d, &sizing), JV_OK);
    b.report.sizing = sizing;
    write_page(&b, JV_REPORT_FULL);
    assert_int_equal(jv_size_json(sizing, &json), JV_OK);
    cJSON *of = parse(&json);
    const cJSON *run, *fuse, *watch, *in_case;
    int row = 0;
    cJSON_ArrayForEach(run, get(of, "runs")) {
        char path[PATH_ROOM];
        row++;
        assert_cell(&b, "sizing", 1, row, "th", run->string);
        assert_cell(&b, "sizing", 1, row, "td[1]", get(run, "was")->valuestring);
        assert_cell(&b, "sizing", 1, row, "td[2]", get(run, "size")->valuestring);
        assert_close(cell_number(&b, "sizing", 1, row, "td[3]"),
                     get(run, "conductor_m")->valuedouble, 0.006, 0.0);
        cell_path(path, "sizing", 1, row, "td[6]");
        char *mass = page_text(&b.page, path);
        double kg = strtod(mass, NULL) / (strstr(mass, " g") ? g_per_kg : 1.0);
        xmlFree(mass);
        assert_close(kg, get(run, "mass_kg")->valuedouble, 0.006, 0.0);
        assert_close(cell_number(&b, "sizing", 1, row, "td[8]"), get(run, "carries_A")->valuedouble,
                     0.006, 0.0);
    }
    assert_int_equal(row, 6);
    row = 0;
    cJSON_ArrayForEach(fuse, get(of, "fuses")) {
        assert_cell(&b, "sizing", 2, ++row, "th", fuse->string);
        assert_close(cell_number(&b, "sizing", 2, row, "td[2]"), get(fuse, "rating_A")->valuedouble,
                     0.006, 0.0);
    }
    assert_int_equal(row, 1);
    row = 0;
    cJSON_ArrayForEach(watch, get(of, "watches")) cJSON_ArrayForEach(in_case, watch) {
        char path[PATH_ROOM];
        row++;
        static const struct {
            int cell;
            const char *key;
        } volts[] = {{2, "nominal_V"}, {3, "worst_V"}, {4, "best_V"}, {5, "limit_V"}};
        for (size_t i = 0; i < sizeof volts / sizeof volts[0]; i++) {
            snprintf(path, sizeof path,
                     "string((//h:section[@id='sizing']//h:table)[3]/h:tbody/h:tr[h:th='%s' and "
                     "h:td[1]='%s']/h:td[%d])",
                     watch->string, in_case->string, volts[i].cell);
            char *cell = page_text(&b.page, path);
            assert_close(strtod(cell, NULL), get(in_case, volts[i].key)->valuedouble, 0.0, 0.00501);
            xmlFree(cell);
        }
    }
    assert_true(row > 0);
    cJSON_Delete(of);
    drop_page(&b);
    jv_sizing_free(&sizing);
    jv_diags_clear(&d);
    close_bench(&b);
}

/* --- memory --- */

static void every_failed_allocation_is_an_error(void **state) {
    (void)state;
    bench b;
    jv_find_options how = {0};
    jv_diags d = {0};
    jv_sizing *sizing = NULL;
    jv_style style = {0};
    open_bench(&b, "small-trailer.json");
    jv_walk *w = walk(&b, SAG);
    jv_review *review = NULL;
    assert_int_equal(jv_review_run(b.circuit, &review), JV_OK);
    assert_int_equal(jv_size_find(b.circuit, NULL, &d, &sizing), JV_OK);
    assert_int_equal(jv_finder_new(b.circuit, &how, &b.report.finder), JV_OK);
    b.report.walk = w;
    b.report.sizing = sizing;
    b.report.review = review;
    jv_next next; /* what is worked out once stays in the finder */
    assert_int_equal(jv_finder_next(b.report.finder, &next), JV_OK);
    for (size_t n = 1;; n += 1 + n / 10) {
        jv_text out = {0};
        failing_start(n);
        jv_status status = jv_report_page(&b.report, &style, &out);
        bool all_done = failing_calls() < n;
        failing_stop();
        jv_text_clear(&out);
        assert_int_equal(status, all_done ? JV_OK : JV_ERR_MEMORY);
        if (all_done)
            break;
    }
    jv_finder_free(&b.report.finder);
    jv_sizing_free(&sizing);
    jv_review_free(&review);
    jv_walk_free(&w);
    jv_diags_clear(&d);
    close_bench(&b);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(odds_equal_those_of_find),
        cmocka_unit_test(a_walk_stands_on_the_page_step_by_step),
        cmocka_unit_test(the_sheet_after_a_walk_is_the_record),
        cmocka_unit_test(an_open_walk_claims_no_repair),
        cmocka_unit_test(the_owner_reads_what_was_mended),
        cmocka_unit_test(sizes_equal_those_of_size),
        cmocka_unit_test(every_failed_allocation_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
