/* test_report.c - pages with pictures. SPDX-License-Identifier: MIT */
#include "jackvolt/drop.h"
#include "jackvolt/read.h"
#include "jackvolt/report.h"
#include "tests/support/failing.h"
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

enum { PATH_ROOM = 300, MOST_CIRCUITS = 64 };

/* --- a page, read as XML --- */

typedef struct page {
    jv_circuit *circuit;
    jv_drop *drop, *healthy;
    jv_text text;
    read_page read;
} page;

static jv_circuit *read_text(const char *text) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_status status = jv_circuit_read_text(text, strlen(text), "test", NULL, &d, &c);
    if (status != JV_OK) {
        jv_text why = {0};
        jv_diags_print(&d, &why);
        print_message("%s", jv_text_str(&why));
        jv_text_clear(&why);
    }
    jv_diags_clear(&d);
    assert_int_equal(status, JV_OK);
    return c;
}

static jv_circuit *read_file(const char *name) {
    char path[PATH_ROOM];
    jv_diags d = {0};
    jv_circuit *c = NULL;
    snprintf(path, sizeof path, "circuits/%s", name);
    assert_int_equal(jv_circuit_read_file(path, NULL, &d, &c), JV_OK);
    jv_diags_clear(&d);
    return c;
}

static void parse(page *p) {
    page_read(&p->read, &p->text);
}

/* Takes the circuit over. fault, case: may be NULL. */
static void make(page *p, jv_circuit *c, jv_report_kind kind, const char *fault,
                 const char *drawn) {
    jv_faults *faults = NULL;
    jv_diags d = {0};
    memset(p, 0, sizeof *p);
    p->circuit = c;
    if (fault) {
        faults = jv_faults_new();
        assert_int_equal(jv_faults_add(faults, c, fault, &d), JV_OK);
    }
    jv_drop_options how = {NULL, faults, false};
    assert_int_equal(jv_drop_run(c, &how, &p->drop), JV_OK);
    how.faults = NULL;
    if (fault)
        assert_int_equal(jv_drop_run(c, &how, &p->healthy), JV_OK);
    jv_report report = {.kind = kind,
                        .circuit = c,
                        .drop = p->drop,
                        .healthy = p->healthy,
                        .drawn_case = drawn,
                        .faults = &fault,
                        .n_faults = fault ? 1 : 0};
    jv_style style = {0};
    assert_int_equal(jv_report_page(&report, &style, &p->text), JV_OK);
    jv_faults_free(&faults);
    jv_diags_clear(&d);
    parse(p);
}

static void drop_page(page *p) {
    page_free(&p->read);
    jv_text_clear(&p->text);
    jv_drop_free(&p->drop);
    jv_drop_free(&p->healthy);
    jv_circuit_free(&p->circuit);
}

static double number_of(const page *p, const char *path) {
    return page_number(&p->read, path);
}

static char *text_of(const page *p, const char *path) {
    return page_text(&p->read, path);
}

static void assert_text(const page *p, const char *path, const char *expected) {
    page_assert_text(&p->read, path, expected);
}

static size_t list_circuits(char names[][PATH_ROOM]) {
    DIR *dir = opendir("circuits");
    size_t n = 0;
    assert_non_null(dir);
    for (const struct dirent *e; (e = readdir(dir)) != NULL;)
        if (strstr(e->d_name, ".json") && n < MOST_CIRCUITS)
            snprintf(names[n++], PATH_ROOM, "%s", e->d_name);
    closedir(dir);
    assert_true(n >= 10);
    return n;
}

/* --- form --- */

static void check_form(const page *p, jv_report_kind kind) {
    assert_true(number_of(p, "count(/h:html/h:head/h:title)") == 1.0);
    assert_true(number_of(p, "count(//h:h1)") == 1.0);
    /* Nothing from outside, and nothing that runs. */
    assert_true(number_of(p, "count(//h:script | //h:link | //h:iframe | //h:img | //@src)") ==
                0.0);
    assert_true(number_of(p, "count(//@href[not(starts-with(., '#'))])") == 0.0);
    assert_true(number_of(p, "count(//@*[starts-with(name(), 'on')])") == 0.0);
    assert_null(strstr(p->text.data, "url("));
    /* A browser that reads the page as HTML takes no references in a style. */
    assert_true(number_of(p, "count(//h:style[contains(., '<') or contains(., '>') or "
                             "contains(., '&')])") == 0.0);
    /* Each way leads to its place, no mark twice. */
    assert_true(number_of(p, "count(//@href[not(substring-after(., '#') = //@id)])") == 0.0);
    assert_true(number_of(p, "count(//*[@id][@id = preceding::*/@id])") == 0.0);
    /* Who does not see a drawing gets its name and what it shows. */
    assert_true(number_of(p, "count(//s:svg[not(@role = 'img') or not(s:title) or not(s:desc) or "
                             "s:title = '' or s:desc = ''])") == 0.0);
    assert_true(number_of(p, "count(//s:svg[not(@aria-labelledby = concat(s:title/@id, ' ', "
                             "s:desc/@id))])") == 0.0);
    assert_true(number_of(p, "count(//*[@aria-labelledby][not(contains(@aria-labelledby, ' "
                             "'))][not(@aria-labelledby = //@id)])") == 0.0);
    assert_true(number_of(p, "count(//h:th[not(@scope)])") == 0.0);
    /* Cautions come before everything else; the law comes last. */
    assert_text(p, "string(//h:main/h:section[1]/@id)", "cautions");
    assert_true(number_of(p, "count(//h:main/h:section[1]//h:li)") >= 4.0);
    assert_true(number_of(p, "count(//h:section[@id = 'cautions']/preceding::s:svg)") == 0.0);
    assert_true(number_of(p, "count(//h:footer[contains(., 'Local codes')])") == 1.0);
    if (kind != JV_REPORT_SHEET)
        assert_text(p, "string(//h:main/h:section[last()]/@id)", "sources");
}

static void every_page_is_sound_and_stands_alone(void **state) {
    (void)state;
    char names[MOST_CIRCUITS][PATH_ROOM];
    size_t n = list_circuits(names);
    for (size_t i = 0; i < n; i++)
        for (int kind = JV_REPORT_FULL; kind <= JV_REPORT_OWNER; kind++) {
            page p;
            make(&p, read_file(names[i]), (jv_report_kind)kind, NULL, NULL);
            check_form(&p, (jv_report_kind)kind);
            drop_page(&p);
        }
}

/* --- figures --- */

/* A cell as it must read: rounded from the figure of the JSON. */
static void assert_rounded(const char *cell, const cJSON *figure, int places, const char *what) {
    double value = strtod(cell, NULL);
    double half = 0.5000001 * pow(10.0, -places);
    if (!cJSON_IsNumber(figure) || !(fabs(value - figure->valuedouble) <= half)) {
        print_message("%s: the page says %s, the JSON %.9g\n", what, cell,
                      cJSON_IsNumber(figure) ? figure->valuedouble : NAN);
        fail();
    }
}

static const cJSON *get(const cJSON *object, const char *key) {
    return cJSON_GetObjectItemCaseSensitive(object, key);
}

static cJSON *json_of(const page *p) {
    jv_text text = {0};
    assert_int_equal(jv_drop_json(p->drop, &text), JV_OK);
    cJSON *json = cJSON_Parse(jv_text_str(&text));
    jv_text_clear(&text);
    assert_non_null(json);
    return json;
}

static void compare_cases(const page *p, const cJSON *json) {
    const cJSON *k;
    size_t compared = 0;
    cJSON_ArrayForEach(k, get(json, "cases")) {
        char path[PATH_ROOM];
        size_t row = ++compared;
        snprintf(path, sizeof path, "string(//h:section[@id='verdict']//h:tbody/h:tr[%zu]/h:th)",
                 row);
        assert_text(p, path, get(k, "case")->valuestring);
        snprintf(path, sizeof path, "string(//h:section[@id='verdict']//h:tbody/h:tr[%zu]/h:td[5])",
                 row);
        char *watch = text_of(p, path);
        char *assumed = strstr(watch, " (assumed)");
        if (assumed)
            *assumed = 0;
        const cJSON *w = get(get(k, "watches"), watch);
        if (*watch) {
            static const char *const keys[] = {"margin_V", "seen_V", "limit_V"};
            assert_non_null(w);
            for (int i = 0; i < 3; i++) {
                snprintf(path, sizeof path,
                         "string(//h:section[@id='verdict']//h:tbody/h:tr[%zu]/h:td[%d])", row,
                         i + 2);
                char *cell = text_of(p, path);
                assert_rounded(cell, get(w, keys[i]), 2, keys[i]);
                xmlFree(cell);
            }
        }
        xmlFree(watch);
    }
    assert_true(compared > 0);
}

/* The case that the page says it draws. */
static const cJSON *drawn_case(const page *p, const cJSON *json) {
    char *name = text_of(p, "substring-before(substring-after(//h:header, 'Case shown: '), '.')");
    const cJSON *k, *found = NULL;
    cJSON_ArrayForEach(k, get(json, "cases")) if (!strcmp(get(k, "case")->valuestring, name))
        found = k;
    xmlFree(name);
    assert_non_null(found);
    return found;
}

/* Volts of a terminal stand in the drawings beside its name. */
static size_t compare_volts(const page *p, const cJSON *terminals) {
    xmlXPathObject *o =
        xmlXPathEval((const xmlChar *)"//s:g[s:title][s:text/@class='volts']", p->read.paths);
    assert_non_null(o);
    size_t n = o->nodesetval ? (size_t)o->nodesetval->nodeNr : 0;
    for (size_t i = 0; i < n; i++) {
        char *name = NULL, *volts = NULL;
        for (xmlNode *c = o->nodesetval->nodeTab[i]->children; c; c = c->next) {
            if (!strcmp((const char *)c->name, "title"))
                name = (char *)xmlNodeGetContent(c);
            if (!strcmp((const char *)c->name, "text"))
                volts = (char *)xmlNodeGetContent(c);
        }
        assert_rounded(volts, get(terminals, name), 2, name);
        xmlFree(name);
        xmlFree(volts);
    }
    xmlXPathFreeObject(o);
    return n;
}

/* Steps that end inside a part are one row with the step that leaves it. */
static void compare_steps(const page *p, const cJSON *steps) {
    const cJSON *s;
    size_t row = 0;
    cJSON *sum = cJSON_CreateNumber(0.0);
    cJSON_ArrayForEach(s, steps) {
        char path[PATH_ROOM];
        cJSON_SetNumberValue(sum, sum->valuedouble + get(s, "drop_V")->valuedouble);
        if (!get(s, "to"))
            continue;
        row++;
        snprintf(path, sizeof path, "string(//h:section[@id='stairs']//h:tbody/h:tr[%zu]/h:td[3])",
                 row);
        char *cell = text_of(p, path);
        assert_rounded(cell, sum, 3, "drop of a step");
        xmlFree(cell);
        cJSON_SetNumberValue(sum, 0.0);
        snprintf(path, sizeof path, "string(//h:section[@id='stairs']//h:tbody/h:tr[%zu]/h:td[1])",
                 row);
        cell = text_of(p, path);
        const char *part = get(s, "part")->valuestring;
        assert_memory_equal(cell, part, strlen(part));
        xmlFree(cell);
        snprintf(path, sizeof path, "string(//h:section[@id='stairs']//h:tbody/h:tr[%zu]/h:td[2])",
                 row);
        assert_text(p, path, get(s, "to")->valuestring);
    }
    cJSON_Delete(sum);
    assert_true(number_of(p, "count(//h:section[@id='stairs']//h:tbody/h:tr)") == (double)row);
}

static void compare_parts(const page *p, const cJSON *parts) {
    static const char rows[] = "//h:section[@id='losses']/h:section[last()]//h:tbody/h:tr";
    const cJSON *part;
    size_t row = 0;
    cJSON_ArrayForEach(part, parts) {
        char path[PATH_ROOM];
        row++;
        snprintf(path, sizeof path, "string(%s[%zu]/h:td[1])", rows, row);
        assert_text(p, path, part->string);
        snprintf(path, sizeof path, "string(%s[%zu]/h:td[4])", rows, row);
        char *cell = text_of(p, path);
        if (cJSON_IsNumber(get(part, "drop_V")))
            assert_rounded(cell, get(part, "drop_V"), 3, part->string);
        else
            assert_string_equal(cell, "");
        xmlFree(cell);
    }
}

static void figures_equal_those_of_the_json(void **state) {
    (void)state;
    char names[MOST_CIRCUITS][PATH_ROOM];
    size_t n = list_circuits(names), volts = 0;
    for (size_t i = 0; i < n; i++) {
        page p;
        make(&p, read_file(names[i]), JV_REPORT_FULL, NULL, NULL);
        cJSON *json = json_of(&p);
        const cJSON *k = drawn_case(&p, json);
        compare_cases(&p, json);
        volts += compare_volts(&p, get(k, "terminals"));
        if (number_of(&p, "count(//h:section[@id='stairs'])") == 1.0) {
            compare_steps(&p, get(get(k, "way"), "steps"));
            compare_parts(&p, get(k, "parts"));
        }
        cJSON_Delete(json);
        drop_page(&p);
    }
    assert_true(volts > 200);
}

/* Every part of a circuit is in one of its drawings: each has a mark, and the drawings name it. */
static void every_part_is_drawn(void **state) {
    (void)state;
    char names[MOST_CIRCUITS][PATH_ROOM];
    size_t n = list_circuits(names);
    for (size_t i = 0; i < n; i++) {
        page p;
        make(&p, read_file(names[i]), JV_REPORT_FULL, NULL, NULL);
        for (size_t k = 0; k < jv_circuit_parts(p.circuit); k++) {
            char path[PATH_ROOM];
            snprintf(path, sizeof path, "count(//s:g/s:title[substring-after(., ', ') = \"%s\"])",
                     jv_circuit_part_name(p.circuit, k));
            if (number_of(&p, path) < 1.0) {
                print_message("%s: \"%s\" is not drawn\n", names[i],
                              jv_circuit_part_name(p.circuit, k));
                fail();
            }
        }
        drop_page(&p);
    }
}

/* --- odd circuits --- */

static const char tiny[] =
    "{\"circuit\": \"%s\", \"parts\": {"
    "\"b\": {\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", \"open_circuit\": \"12 V\","
    " \"resistance\": \"20 mohm\"},"
    "\"c\": {\"is\": \"cable\", \"a\": \"p\", \"b\": \"q\", \"resistance\": \"80 mohm\"},"
    "\"l\": {\"is\": \"load\", \"plus\": \"q\", \"minus\": \"m\", \"resistance\": \"1.1 ohm\"}},"
    "\"watches\": {\"w\": {\"at\": [\"q\", \"m\"], \"below\": \"11.5 V\"}},"
    "\"cases\": {\"on\": {}}}";

static jv_circuit *tiny_circuit(const char *name) {
    char text[1000];
    snprintf(text, sizeof text, tiny, name);
    return read_text(text);
}

/* By hand: 12 V over 20 mohm + 80 mohm + 1.1 ohm is 10 A; 0.2 V inside, 0.8 V in the cable,
 * 11 V at the load, 0.5 V below the limit of 11.5 V. */
static void a_circuit_worked_out_by_hand(void **state) {
    (void)state;
    page p;
    make(&p, tiny_circuit("tiny"), JV_REPORT_FULL, NULL, "on");
    assert_text(&p, "string(//h:section[@id='verdict']//h:tbody/h:tr[1]/h:td[1])", "TRIPS");
    assert_text(&p, "string(//h:section[@id='verdict']//h:tbody/h:tr[1]/h:td[2])", "-0.50 V");
    assert_text(&p, "string(//h:section[@id='stairs']//h:tbody/h:tr[1]/h:td[3])", "0.200 V");
    assert_text(&p, "string(//h:section[@id='stairs']//h:tbody/h:tr[2]/h:td[3])", "0.800 V");
    assert_text(&p, "string(//h:section[@id='stairs']//h:tbody/h:tr[2]/h:td[4])", "10.0 A");
    assert_text(&p, "string(//h:section[@id='stairs']//h:tbody/h:tr[2]/h:td[5])", "11.00 V");
    assert_text(&p, "string(//s:g[s:title = 'q']/s:text)", "11.00 V");
    assert_text(&p, "string(//s:g[s:title = 'p']/s:text)", "11.80 V");
    assert_text(&p, "string(//h:section[@id='losses']//h:tr[h:th = 'c (W1)']/h:td[2])", "80 %");
    drop_page(&p);
}

static void a_fault_stands_beside_the_healthy_circuit(void **state) {
    (void)state;
    page p;
    make(&p, tiny_circuit("tiny"), JV_REPORT_FULL, "c: 1.2 ohm added", NULL);
    /* By hand: 12 V over 2.4 ohm is 5 A; 6.4 V in the cable, 5.5 V at the load. */
    assert_text(&p, "string(//h:section[@id='stairs']//h:tbody/h:tr[2]/h:td[5])", "5.50 V");
    assert_text(&p, "string(//h:section[@id='stairs']//h:tbody/h:tr[2]/h:td[6])", "11.00 V");
    assert_true(number_of(&p, "count(//s:path[@class='line-healthy'])") == 1.0);
    assert_text(&p, "string(//h:header/h:p[@class='fault'])", "Fault put in: c: 1.2 ohm added.");
    drop_page(&p);
}

static void markup_and_what_xml_cannot_hold_in_names_do_no_harm(void **state) {
    (void)state;
    page p;
    make(&p, tiny_circuit("<script>alert(1)</script> & \\\"x\\\" ]]> \\uFFFF\\uFFFE end"),
         JV_REPORT_FULL, NULL, NULL);
    assert_text(&p, "string(//h:h1)",
                "<script>alert(1)</script> & \"x\" ]]> \xEF\xBF\xBD\xEF\xBF\xBD end");
    check_form(&p, JV_REPORT_FULL);
    drop_page(&p);
}

static void a_case_that_is_not_there_is_refused(void **state) {
    (void)state;
    jv_circuit *c = tiny_circuit("tiny");
    jv_drop *drop = NULL;
    jv_text out = {0};
    jv_style style = {0};
    assert_int_equal(jv_drop_run(c, NULL, &drop), JV_OK);
    jv_report report = {.circuit = c, .drop = drop, .drawn_case = "off"};
    assert_int_equal(jv_report_page(&report, &style, &out), JV_ERR_UNKNOWN);
    assert_int_equal(out.length, 0);
    jv_text_clear(&out);
    jv_drop_free(&drop);
    jv_circuit_free(&c);
}

/* Two hundred parts in a row, and more than a page holds: neither breaks the page. */
static void long_circuits_are_drawn_or_said_to_be_too_long(void **state) {
    (void)state;
    static const size_t lengths[] = {200, 2000};
    for (size_t m = 0; m < 2; m++) {
        jv_text text = {0};
        jv_text_add(&text, "{\"circuit\": \"long\", \"parts\": {\"b\": {\"is\": \"battery\", "
                           "\"plus\": \"n0\", \"minus\": \"m\", \"open_circuit\": \"12 V\", "
                           "\"resistance\": \"1 mohm\"},");
        for (size_t i = 0; i < lengths[m]; i++)
            jv_text_addf(&text,
                         "\"c%zu\": {\"is\": \"cable\", \"a\": \"n%zu\", \"b\": \"n%zu\", "
                         "\"resistance\": \"1 mohm\"},",
                         i, i, i + 1);
        jv_text_addf(&text,
                     "\"l\": {\"is\": \"load\", \"plus\": \"n%zu\", \"minus\": \"m\", "
                     "\"resistance\": \"1 ohm\"}}}",
                     lengths[m]);
        page p;
        make(&p, read_text(jv_text_str(&text)), JV_REPORT_FULL, NULL, NULL);
        bool drawn = number_of(&p, "count(//h:section[@id='circuit']//s:svg)") > 0.0;
        assert_int_equal(drawn, m == 0);
        assert_true(drawn || strstr(p.text.data, "more symbols than a page can hold"));
        drop_page(&p);
        jv_text_clear(&text);
    }
}

/* The page and the studies themselves say the same. */
static void studies_in_time_and_odds_stand_on_the_page(void **state) {
    (void)state;
    jv_circuit *c = read_file("corroded-stud.json");
    page p = {.circuit = c};
    jv_sequence *q = NULL;
    jv_review *review = NULL;
    jv_scatter *scatter = NULL;
    jv_style style = {0};
    jv_sequence_options fast = {.no_cures = true};
    jv_scatter_options few = {.draws = 2000, .seed = 1, .no_worst = true};
    assert_int_equal(jv_drop_run(c, NULL, &p.drop), JV_OK);
    assert_int_equal(jv_sequence_run(c, &fast, &q), JV_OK);
    assert_int_equal(jv_review_run(c, &review), JV_OK);
    assert_int_equal(jv_scatter_run(c, &few, &scatter), JV_OK);
    jv_report report = {
        .circuit = c, .drop = p.drop, .sequence = q, .review = review, .scatter = scatter};
    assert_int_equal(jv_report_page(&report, &style, &p.text), JV_OK);
    parse(&p);
    check_form(&p, JV_REPORT_FULL);
    assert_true(number_of(&p, "count(//h:section[@id='sequence']/h:section[2]//h:tbody/h:tr)") ==
                (double)q->n_events);
    for (size_t i = 0; i < q->n_watches; i++) {
        char path[PATH_ROOM], expected[PATH_ROOM];
        if (isnan(q->watches[i].lowest_v))
            continue;
        snprintf(path, sizeof path, "string(//h:section[@id='sequence']//h:tr[h:th='%s']/h:td[3])",
                 q->watches[i].name);
        snprintf(expected, sizeof expected, "%.2f V", q->watches[i].lowest_v);
        assert_text(&p, path, expected);
    }
    assert_true(number_of(&p, "count(//h:section[@id='review']//h:tbody/h:tr)") ==
                (double)review->n_rows);
    assert_true(number_of(&p, "count(//h:section[@id='review']//h:td[. = 'fail'])") ==
                (double)review->failed);
    for (size_t i = 0; i < scatter->n_watches; i++) {
        char path[PATH_ROOM], expected[PATH_ROOM];
        if (!scatter->watches[i].counts)
            continue;
        snprintf(path, sizeof path, "string(//h:section[@id='odds']//h:tr[h:th='%s']/h:td[2])",
                 scatter->watches[i].name);
        snprintf(expected, sizeof expected, "%.2f %%",
                 100.0 * scatter->watches[i].trip_probability);
        assert_text(&p, path, expected);
    }
    /* The drawing of the odds shows each draw once: below its limit in one colour. */
    assert_true(number_of(&p, "count(//h:section[@id='odds']//s:rect[@class='bar-bad'])") > 0.0);
    jv_sequence_free(&q);
    jv_review_free(&review);
    jv_scatter_free(&scatter);
    drop_page(&p);
}

static void every_failed_allocation_is_an_error(void **state) {
    (void)state;
    jv_circuit *c = read_file("small-trailer.json");
    jv_drop *drop = NULL;
    jv_style style = {0};
    assert_int_equal(jv_drop_run(c, NULL, &drop), JV_OK);
    jv_report report = {.circuit = c, .drop = drop};
    for (size_t n = 1;; n += 1 + n / 50) { /* a page takes thousands: closer at the beginning */
        jv_text out = {0};
        failing_start(n);
        jv_status status = jv_report_page(&report, &style, &out);
        bool all_done = failing_calls() < n;
        jv_text_clear(&out);
        assert_int_equal(failing_blocks(), 0);
        failing_stop();
        assert_int_equal(status, all_done ? JV_OK : JV_ERR_MEMORY);
        if (all_done)
            break;
    }
    jv_drop_free(&drop);
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_page_is_sound_and_stands_alone),
        cmocka_unit_test(figures_equal_those_of_the_json),
        cmocka_unit_test(every_part_is_drawn),
        cmocka_unit_test(a_circuit_worked_out_by_hand),
        cmocka_unit_test(a_fault_stands_beside_the_healthy_circuit),
        cmocka_unit_test(markup_and_what_xml_cannot_hold_in_names_do_no_harm),
        cmocka_unit_test(a_case_that_is_not_there_is_refused),
        cmocka_unit_test(long_circuits_are_drawn_or_said_to_be_too_long),
        cmocka_unit_test(studies_in_time_and_odds_stand_on_the_page),
        cmocka_unit_test(every_failed_allocation_is_an_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
