/* test_report_guard.c - the plots of fuses and their cables. SPDX-License-Identifier: MIT */
#include "jackvolt/drop.h"
#include "jackvolt/read.h"
#include "jackvolt/report.h"
#include "tests/support/close.h"
#include "tests/support/page.h"

#include <cjson/cJSON.h>
#include <dirent.h>
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

typedef struct reviewed {
    jv_circuit *circuit;
    jv_drop *drop;
    jv_review *review;
    jv_text text;
    read_page page;
    cJSON *json; /* of jackvolt review */
} reviewed;

static void open_page(reviewed *r, jv_circuit *c) {
    jv_style style = {0};
    jv_text json = {0};
    memset(r, 0, sizeof *r);
    r->circuit = c;
    assert_int_equal(jv_drop_run(c, NULL, &r->drop), JV_OK);
    assert_int_equal(jv_review_run(c, &r->review), JV_OK);
    jv_report report = {.circuit = c, .drop = r->drop, .review = r->review};
    assert_int_equal(jv_report_page(&report, &style, &r->text), JV_OK);
    page_read(&r->page, &r->text);
    jv_review_entry entry = {.path = "test", .circuit = c, .review = r->review};
    jv_review_batch batch = {&entry, 1};
    assert_int_equal(jv_review_batch_json(&batch, &json), JV_OK);
    r->json = cJSON_Parse(jv_text_str(&json));
    assert_non_null(r->json);
    jv_text_clear(&json);
}

static void close_page(reviewed *r) {
    cJSON_Delete(r->json);
    page_free(&r->page);
    jv_text_clear(&r->text);
    jv_review_free(&r->review);
    jv_drop_free(&r->drop);
    jv_circuit_free(&r->circuit);
}

static const cJSON *get(const cJSON *object, const char *key) {
    const cJSON *value = cJSON_GetObjectItemCaseSensitive(object, key);
    if (!value)
        print_message("no \"%s\"\n", key);
    assert_non_null(value);
    return value;
}

/* --- the page against the JSON --- */

/* A cell of figures, rounded, against the JSON; words stand where the JSON has null or 0. */
static void assert_cell(const read_page *p, const char *path, const cJSON *figure) {
    static const double s_per_h = 3600.0, three_digits = 0.0051, half_an_amp = 0.5001;
    char *cell = page_text(p, path), *unit;
    double value = strtod(cell, &unit);
    if (unit == cell) {
        if (!cJSON_IsNull(figure) && !(figure->valuedouble <= 0.0))
            print_message("%s: \"%s\"\n", path, cell);
        assert_true(*cell && (cJSON_IsNull(figure) || figure->valuedouble <= 0.0));
    } else {
        bool amps = !strcmp(unit, " A");
        value *= !strcmp(unit, " h") ? s_per_h : 1.0;
        assert_true(amps || !strcmp(unit, " s") || !strcmp(unit, " h"));
        assert_true(cJSON_IsNumber(figure));
        assert_close(value, figure->valuedouble, amps ? 0.0 : three_digits,
                     amps ? half_an_amp : 0.0);
    }
    xmlFree(cell);
}

static void row_path(char *path, const char *caption, const char *device, const char *row,
                     int cell) {
    snprintf(path, PATH_ROOM,
             "string(//h:section[@id='protection']//h:table[h:caption = concat('%s', '\"%s\"', "
             "'%s')]//h:tr[h:th='%s']/h:td[%d])",
             caption, device,
             !strncmp(caption, "When", 4)     ? " opens a current that lasts"
             : !strncmp(caption, "Cables", 6) ? " guards"
                                              : "",
             row, cell);
}

static size_t compare_points(const reviewed *r, const cJSON *device) {
    const cJSON *point;
    double rating = get(device, "rating_A")->valuedouble;
    size_t n = 0;
    char path[PATH_ROOM], percent[32];
    cJSON_ArrayForEach(point, get(device, "opens")) {
        double amps = get(point, "current_A")->valuedouble;
        snprintf(percent, sizeof percent, "%.4g %%", 100.0 * amps / rating);
        row_path(path, "When ", device->string, percent, 1);
        assert_cell(&r->page, path, get(point, "current_A"));
        row_path(path, "When ", device->string, percent, 2);
        assert_cell(&r->page, path, get(point, "least_s"));
        row_path(path, "When ", device->string, percent, 3);
        assert_cell(&r->page, path, get(point, "greatest_s"));
        n++;
    }
    return n;
}

static void compare_cables(const reviewed *r, const cJSON *device) {
    static const struct {
        int cell;
        const char *key;
    } columns[] = {{2, "carries_A"}, {4, "closest_A"}, {5, "opens_s"}, {6, "stands_s"}};
    const cJSON *cable;
    char path[PATH_ROOM], count[PATH_ROOM];
    int n = 0;
    cJSON_ArrayForEach(cable, get(device, "cables")) {
        n++;
        for (size_t i = 0; i < sizeof columns / sizeof columns[0]; i++) {
            row_path(path, "Cables that ", device->string, cable->string, columns[i].cell);
            if (columns[i].cell > 2 && cJSON_IsNull(get(cable, "closest_A")))
                continue;
            assert_cell(&r->page, path, get(cable, columns[i].key));
        }
    }
    snprintf(count, sizeof count,
             "count(//h:section[@id='protection']//h:table[h:caption = concat('Cables that ', "
             "'\"%s\"', ' guards')]//h:tbody/h:tr)",
             device->string);
    assert_true(page_number(&r->page, count) == n);
}

static void compare_flows(const reviewed *r, const cJSON *device) {
    static const struct {
        const char *row, *key;
    } rows[] = {{"rating", "rating_A"},
                {"running", "running_A"},
                {"held fast", "held_fast_A"},
                {"at first", "start_A"}};
    char path[PATH_ROOM];
    for (size_t i = 0; i < sizeof rows / sizeof rows[0]; i++) {
        row_path(path, "Currents of ", device->string, rows[i].row, 1);
        char *cell = page_text(&r->page, path);
        assert_int_equal(*cell == 0, cJSON_IsNull(get(device, rows[i].key)));
        if (*cell)
            assert_cell(&r->page, path, get(device, rows[i].key));
        xmlFree(cell);
    }
}

/* What the plot is drawn from is what the rules judged by, to the last bit. */
static size_t compare_rules(const cJSON *json, const cJSON *device) {
    const cJSON *row;
    size_t n = 0;
    cJSON_ArrayForEach(row, get(json, "rules")) {
        const char *rule = get(row, "rule")->valuestring, *part = get(row, "part")->valuestring;
        const cJSON *cable = cJSON_GetObjectItemCaseSensitive(get(device, "cables"), part);
        const cJSON *figure = get(row, "figure"), *limit = get(row, "limit");
        const char *unit = get(row, "unit")->valuestring;
        if (cable && !strcmp(rule, "fuse-fits-cable")) {
            assert_true(cJSON_Compare(figure, get(device, "rating_A"), true));
            assert_true(cJSON_Compare(limit, get(cable, "carries_A"), true));
        } else if (cable && !strcmp(rule, "cable-outlives-fuse")) {
            assert_true(cJSON_Compare(figure, get(cable, "stands_s"), true));
            assert_true(cJSON_Compare(limit, get(cable, "opens_s"), true));
        } else if (cable && !strcmp(rule, "short-opens-fuse") &&
                   !cJSON_IsNull(get(cable, "short_least_A"))) {
            assert_true(cJSON_Compare(figure, get(cable, "short_least_A"), true));
            assert_true(cJSON_Compare(limit, get(device, "must_open_A"), true));
        } else if (!strcmp(part, device->string) && !strcmp(rule, "fuse-lasting") &&
                   !strcmp(unit, "A")) {
            assert_true(cJSON_Compare(figure, get(device, "running_A"), true));
        } else if (!strcmp(part, device->string) && !strcmp(rule, "fuse-inrush")) {
            assert_true(cJSON_Compare(figure, get(device, "start_A"), true));
        } else {
            continue;
        }
        n++;
    }
    return n;
}

static void figures_equal_those_of_the_review(void **state) {
    (void)state;
    DIR *dir = opendir("circuits");
    assert_non_null(dir);
    size_t devices = 0, points = 0, rules = 0;
    for (const struct dirent *e; (e = readdir(dir)) != NULL;) {
        char path[PATH_ROOM];
        jv_diags d = {0};
        jv_circuit *c = NULL;
        reviewed r;
        if (!strstr(e->d_name, ".json"))
            continue;
        snprintf(path, sizeof path, "circuits/%s", e->d_name);
        assert_int_equal(jv_circuit_read_file(path, NULL, &d, &c), JV_OK);
        jv_diags_clear(&d);
        open_page(&r, c);
        const cJSON *device;
        cJSON_ArrayForEach(device, get(r.json, "devices")) {
            devices++;
            points += compare_points(&r, device);
            compare_cables(&r, device);
            compare_flows(&r, device);
            rules += compare_rules(r.json, device);
        }
        assert_true(page_number(&r.page, "count(//h:section[@id='protection']//s:svg)") ==
                    (double)cJSON_GetArraySize(get(r.json, "devices")));
        close_page(&r);
    }
    closedir(dir);
    assert_true(devices >= 12 && points >= 40 && rules >= 60);
}

/* --- the plot itself --- */

static const char guarded[] =
    "{\"circuit\": \"guarded\", \"parts\": {"
    "\"b\": {\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", \"open_circuit\": \"12 V\","
    " \"resistance\": \"20 mohm\"},"
    "\"f\": {\"is\": \"fuse\", \"a\": \"p\", \"b\": \"q\", \"rating\": \"20 A\", \"resistance\": "
    "\"0 ohm\", \"curve\": [[135, 0.75, 600], [200, 0.2, 5], [400, 0.1, 0.5]]%s},"
    "\"c\": {\"is\": \"cable\", \"a\": \"q\", \"b\": \"r\", \"size\": \"12 AWG\", \"length\": "
    "\"10 ft\", \"insulation\": \"%s\"},"
    "\"l\": {\"is\": \"load\", \"plus\": \"r\", \"minus\": \"m\", \"current\": \"10 A\"}},"
    "\"cases\": {\"on\": {}}}";

static void open_guarded(reviewed *r, const char *source, const char *insulation) {
    char text[1200];
    jv_diags d = {0};
    jv_circuit *c = NULL;
    snprintf(text, sizeof text, guarded, source, insulation);
    jv_status status = jv_circuit_read_text(text, strlen(text), "test", NULL, &d, &c);
    jv_diags_clear(&d);
    assert_int_equal(status, JV_OK);
    open_page(r, c);
}

/* Where a tick of an axis stands. */
static double tick(const reviewed *r, const char *text, const char *axis) {
    char path[PATH_ROOM];
    snprintf(path, sizeof path,
             "number(//h:section[@id='protection']//s:text[@class='tick'][. = '%s']/@%s)", text,
             axis);
    double at = page_number(&r->page, path);
    assert_true(!isnan(at));
    return at;
}

/* By hand: 40 A is 200 % of 20 A, where the file says 0.2 s to 5 s. On logarithmic axes 40 A
 * stands at log(40/20) / log(50/20) of the way from 20 A to 50 A, 5 s at log 5 / log 10 of
 * the way from 1 s to 10 s (whose words stand 3.5 units below their lines). */
static void points_stand_where_their_figures_say(void **state) {
    (void)state;
    reviewed r;
    char expected[64];
    open_guarded(&r, ", \"curve_source\": \"a sheet\"", "SXL");
    double x20 = tick(&r, "20 A", "x"), x50 = tick(&r, "50 A", "x");
    double y1 = tick(&r, "1 s", "y") - 3.5, y10 = tick(&r, "10 s", "y") - 3.5;
    double x = x20 + (x50 - x20) * log(2.0) / log(2.5), y = y1 + (y10 - y1) * log10(5.0);
    assert_true(x50 > x20 && y10 < y1);
    char *path = page_text(&r.page, "string(//s:path[@class='line-opens']/@d)");
    bool found = false;
    for (const char *at = path; *at && !found;) {
        char *end;
        at += strcspn(at, "0123456789");
        double px = strtod(at, &end);
        if (end == at)
            break;
        at = end;
        double py = strtod(at, &end);
        at = end;
        found = fabs(px - x) < 0.2 && fabs(py - y) < 0.2;
    }
    if (!found)
        print_message("%.1f %.1f is not in %s\n", x, y, path);
    assert_true(found);
    xmlFree(path);
    /* The rating stands at its own tick. */
    snprintf(expected, sizeof expected, "count(//s:line[@class='line-at'][@x1='%.1f'])", x20);
    assert_true(page_number(&r.page, expected) >= 1.0);
    close_page(&r);
}

static void figures_of_a_curve_of_ones_own(void **state) {
    (void)state;
    reviewed r;
    char path[PATH_ROOM];
    open_guarded(&r, ", \"curve_source\": \"a sheet\"", "SXL");
    row_path(path, "When ", "f", "200 %", 1);
    page_assert_text(&r.page, path, "40.0 A");
    row_path(path, "When ", "f", "200 %", 2);
    page_assert_text(&r.page, path, "0.2 s");
    row_path(path, "When ", "f", "200 %", 3);
    page_assert_text(&r.page, path, "5 s");
    row_path(path, "When ", "f", "135 %", 1);
    page_assert_text(&r.page, path, "27.0 A");
    row_path(path, "When ", "f", "135 %", 3);
    page_assert_text(&r.page, path, "600 s");
    row_path(path, "Currents of ", "f", "running", 1);
    page_assert_text(&r.page, path, "10.0 A");
    close_page(&r);
}

/* A curve without its source counts as from memory: broken lines, and words that say so. */
static void what_is_from_memory_is_drawn_and_named_so(void **state) {
    (void)state;
    static const char weak[] = "count(//s:path[@class='line-opens line-weak'])",
                      named[] = "count(//h:section[@id='protection']//s:text[contains(., 'open "
                                "by here (from memory)')])",
                      cell[] = "count(//h:section[@id='protection']//h:td[. = 'from memory: a "
                               "hint only'])";
    reviewed r;
    open_guarded(&r, "", "SXL");
    assert_true(page_number(&r.page, weak) == 1.0);
    assert_true(page_number(&r.page, named) == 1.0);
    assert_true(page_number(&r.page, cell) >= 3.0);
    close_page(&r);
    open_guarded(&r, ", \"curve_source\": \"a sheet\"", "SXL");
    assert_true(page_number(&r.page, weak) == 0.0);
    assert_true(page_number(&r.page, named) == 0.0);
    close_page(&r);
}

/* Nothing is drawn outside the frame, however far the figures go. */
static void the_plot_stays_inside_its_frame(void **state) {
    (void)state;
    reviewed r;
    open_guarded(&r, "", "SXL");
    double wide = page_number(&r.page, "number(//h:section[@id='protection']//s:svg/@width)");
    double high = page_number(&r.page, "number(//h:section[@id='protection']//s:svg/@height)");
    xmlXPathObject *o =
        xmlXPathEval((const xmlChar *)"//h:section[@id='protection']//s:path/@d", r.page.paths);
    assert_true(o && o->nodesetval && o->nodesetval->nodeNr >= 3);
    for (int i = 0; i < o->nodesetval->nodeNr; i++) {
        char *d = (char *)xmlNodeGetContent(o->nodesetval->nodeTab[i]);
        bool is_x = true;
        for (char *at = d; *(at += strcspn(at, "-0123456789"));) {
            double value = strtod(at, &at);
            assert_true(value >= 0.0 && value <= (is_x ? wide : high));
            is_x = !is_x;
        }
        xmlFree(d);
    }
    xmlXPathFreeObject(o);
    close_page(&r);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(figures_equal_those_of_the_review),
        cmocka_unit_test(points_stand_where_their_figures_say),
        cmocka_unit_test(figures_of_a_curve_of_ones_own),
        cmocka_unit_test(what_is_from_memory_is_drawn_and_named_so),
        cmocka_unit_test(the_plot_stays_inside_its_frame),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
