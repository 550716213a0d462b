/* test_cases.c - whole circuits against hand work. SPDX-License-Identifier: MIT
 *
 * Reads tests/cases/NAME.txt (form: tests/cases/README.txt), runs the circuit and looks into the
 * JSON answer, so that the keys that scripts rely on are tested with the figures. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cjson/cJSON.h>
#include <dirent.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/battery.h"
#include "jackvolt/drop.h"
#include "jackvolt/read.h"
#include "jackvolt/render.h"
#include "tests/support/close.h"

enum { LINE = 400, CHANGES = 24, FIELDS = 4 };
static const char folder[] = "tests/cases";

/* One block of a file: what to run, and its answer. */
typedef struct block {
    const char *file;
    int line;
    char circuit[LINE], loading[LINE];
    char sets[CHANGES][LINE], faults[CHANGES][LINE];
    size_t n_sets, n_faults;
    cJSON *answer; /* NULL = not run yet */
    const cJSON *loaded;
    int wrong, checked;
} block;

static void complain(block *b, const char *format, ...) __attribute__((format(printf, 2, 3)));
static void complain(block *b, const char *format, ...) {
    char text[2 * LINE];
    va_list args;
    va_start(args, format);
    vsnprintf(text, sizeof text, format, args);
    va_end(args);
    print_error("%s:%d: %s\n", b->file, b->line, text);
    b->wrong++;
}

static void show_diags(block *b, const jv_diags *d) {
    jv_text text = {0};
    jv_diags_print(d, &text);
    complain(b, "%s", jv_text_str(&text));
    jv_text_clear(&text);
}

static bool put_faults_in(block *b, const jv_circuit *c, jv_faults *faults) {
    jv_diags d = {0};
    for (size_t i = 0; i < b->n_faults; i++)
        if (jv_faults_add(faults, c, b->faults[i], &d) != JV_OK) {
            show_diags(b, &d);
            jv_diags_clear(&d);
            return false;
        }
    jv_diags_clear(&d);
    return true;
}

static void solve(block *b, const jv_circuit *c) {
    jv_faults *faults = jv_faults_new();
    jv_drop *drop = NULL;
    jv_drop_options how = {b->loading, faults, false};
    jv_text text = {0};
    if (put_faults_in(b, c, faults)) {
        if (jv_drop_run(c, &how, &drop) != JV_OK || jv_drop_json(drop, &text) != JV_OK)
            complain(b, "case \"%s\" of %s cannot be run", b->loading, b->circuit);
        else
            b->answer = cJSON_Parse(jv_text_str(&text));
    }
    b->loaded = cJSON_GetArrayItem(cJSON_GetObjectItem(b->answer, "cases"), 0);
    jv_text_clear(&text);
    jv_drop_free(&drop);
    jv_faults_free(&faults);
}

static bool run(block *b) {
    if (b->answer)
        return true;
    char path[2 * LINE];
    const char *sets[CHANGES];
    snprintf(path, sizeof path, "circuits/%s", b->circuit);
    for (size_t i = 0; i < b->n_sets; i++)
        sets[i] = b->sets[i];
    jv_read_options options = {sets, b->n_sets};
    jv_diags d = {0};
    jv_circuit *c = NULL;
    if (jv_circuit_read_file(path, &options, &d, &c) == JV_OK)
        solve(b, c);
    else
        show_diags(b, &d);
    jv_diags_clear(&d);
    jv_circuit_free(&c);
    if (b->answer && !cJSON_IsTrue(cJSON_GetObjectItem(b->loaded, "converged")))
        complain(b, "no operating point");
    return b->answer != NULL;
}

static const cJSON *get(const cJSON *object, const char *key) {
    return cJSON_GetObjectItemCaseSensitive(object, key);
}

static void compare(block *b, const char *what, const cJSON *number, const char *wanted,
                    const char *tolerance) {
    double want = strtod(wanted, NULL), within = strtod(tolerance, NULL);
    b->checked++;
    if (!cJSON_IsNumber(number))
        complain(b, "%s is no number", what);
    else if (!(fabs(number->valuedouble - want) <= within))
        complain(b, "%s is %.9g, by hand %.9g +/- %g", what, number->valuedouble, want, within);
}

static void check_number(block *b, const char *section, const char *inner, char *const *field) {
    const cJSON *object = get(get(b->loaded, section), field[0]);
    compare(b, field[1], get(inner ? get(object, inner) : object, field[1]), field[2], field[3]);
}

static void check_between(block *b, char *const *field) {
    const cJSON *all = get(b->loaded, "terminals");
    const cJSON *plus = get(all, field[0]), *minus = get(all, field[1]);
    if (!cJSON_IsNumber(plus) || !cJSON_IsNumber(minus)) {
        complain(b, "no such terminals");
        return;
    }
    cJSON *volts = cJSON_CreateNumber(plus->valuedouble - minus->valuedouble);
    compare(b, "between", volts, field[2], field[3]);
    cJSON_Delete(volts);
}

static void check_verdict(block *b, char *const *field) {
    const cJSON *verdict = get(get(get(b->loaded, "watches"), field[0]), "verdict");
    b->checked++;
    if (!cJSON_IsString(verdict) || strcmp(verdict->valuestring, field[1]) != 0)
        complain(b, "\"%s\": %s, by hand %s", field[0],
                 cJSON_IsString(verdict) ? verdict->valuestring : "nothing", field[1]);
}

static void check_remark(block *b, char *const *field) {
    const cJSON *remark;
    b->checked++;
    cJSON_ArrayForEach(remark, get(b->loaded, "remarks")) {
        const cJSON *part = get(remark, "part"), *text = get(remark, "text");
        if (cJSON_IsString(part) && strcmp(part->valuestring, field[0]) == 0 &&
            strstr(text->valuestring, field[1]))
            return;
    }
    complain(b, "no remark on \"%s\" says \"%s\"", field[0], field[1]);
}

/* Cut at " | "; returns the number of fields. */
static size_t cut(char *text, char **field) {
    size_t n = 0;
    while (n < FIELDS) {
        field[n++] = text;
        char *bar = strstr(text, " | ");
        if (!bar)
            break;
        *bar = '\0';
        text = bar + strlen(" | ");
    }
    return n;
}

static void expect(block *b, const char *key, char *text) {
    char *field[FIELDS];
    size_t n = cut(text, field);
    size_t wanted = strcmp(key, "verdict") == 0 || strcmp(key, "remark") == 0 ? 2 : FIELDS;
    if (n != wanted)
        complain(b, "%zu fields behind \"%s:\", not %zu", n, key, wanted);
    else if (!run(b))
        complain(b, "nothing to look at");
    else if (strcmp(key, "part") == 0)
        check_number(b, "parts", NULL, field);
    else if (strcmp(key, "watch") == 0)
        check_number(b, "watches", NULL, field);
    else if (strcmp(key, "limit") == 0)
        check_number(b, "watches", "to_the_limit", field);
    else if (strcmp(key, "between") == 0)
        check_between(b, field);
    else if (strcmp(key, "verdict") == 0)
        check_verdict(b, field);
    else if (strcmp(key, "remark") == 0)
        check_remark(b, field);
    else
        complain(b, "\"%s:\" is not known", key);
}

static void begin(block *b, const char *circuit) {
    cJSON_Delete(b->answer);
    b->answer = NULL;
    b->loaded = NULL;
    b->n_sets = b->n_faults = 0;
    b->loading[0] = '\0';
    snprintf(b->circuit, sizeof b->circuit, "%s", circuit);
}

static void take(block *b, char *text) {
    char *value = strstr(text, ": ");
    if (!value) {
        complain(b, "no \"key: \" in this line");
        return;
    }
    *value = '\0';
    value += strlen(": ");
    bool set = strcmp(text, "set") == 0, fault = strcmp(text, "fault") == 0;
    size_t *n = set ? &b->n_sets : &b->n_faults;
    if (strcmp(text, "circuit") == 0)
        begin(b, value);
    else if (strcmp(text, "case") == 0)
        snprintf(b->loading, sizeof b->loading, "%s", value);
    else if (!set && !fault)
        expect(b, text, value);
    else if (b->answer || *n == CHANGES)
        complain(b, "a change behind what it changes, or too many");
    else
        snprintf(set ? b->sets[(*n)++] : b->faults[(*n)++], LINE, "%s", value);
}

static void agrees_with_hand_work(void **state) {
    static block b;
    char path[LINE], text[LINE];
    memset(&b, 0, sizeof b);
    b.file = *state;
    snprintf(path, sizeof path, "%s/%s", folder, b.file);
    FILE *f = fopen(path, "r");
    assert_non_null(f);
    while (fgets(text, sizeof text, f)) {
        b.line++;
        text[strcspn(text, "\n")] = '\0';
        if (text[0] && text[0] != '#')
            take(&b, text);
    }
    fclose(f);
    cJSON_Delete(b.answer);
    assert_int_equal(b.wrong, 0);
    assert_true(b.checked > 0);
}

#define CASE(name) \
    { name, agrees_with_hand_work, NULL, NULL, name }
static char corroded_stud[] = "corroded_stud.txt", frame_return[] = "frame_return.txt",
            lithium_pack[] = "lithium_pack.txt", long_trailer[] = "long_trailer.txt",
            pump_and_shore[] = "pump_and_shore.txt", sensor_harness[] = "sensor_harness.txt",
            small_trailer[] = "small_trailer.txt", tow_vehicle[] = "tow_vehicle.txt",
            work_truck[] = "work_truck.txt";

static int count_texts(const char *where, const char *ending) {
    int n = 0;
    DIR *dir = opendir(where);
    assert_non_null(dir);
    for (const struct dirent *e; (e = readdir(dir)) != NULL;) {
        const char *end = strrchr(e->d_name, '.');
        n += end && strcmp(end, ending) == 0 && strcmp(e->d_name, "README.txt") != 0;
    }
    closedir(dir);
    return n;
}

/* Every file is run: a new one must stand in the list below. */
static void no_file_is_left_out(void **state) {
    (void)state;
    assert_int_equal(count_texts(folder, ".txt"), 9);
}

/* Each case of each example has an operating point whose currents and power add up. */
static void every_example_has_its_answers(void **state) {
    (void)state;
    static const double current_a = 1e-9, power_w = 1e-6, loop_v = 1e-9;
    int n = 0;
    DIR *dir = opendir("circuits");
    assert_non_null(dir);
    for (const struct dirent *e; (e = readdir(dir)) != NULL;) {
        const char *end = strrchr(e->d_name, '.');
        if (!end || strcmp(end, ".json") != 0)
            continue;
        char path[LINE];
        snprintf(path, sizeof path, "circuits/%s", e->d_name);
        jv_diags d = {0};
        jv_circuit *c = NULL;
        jv_drop *drop = NULL;
        assert_int_equal(jv_circuit_read_file(path, NULL, &d, &c), JV_OK);
        assert_int_equal(d.count, 0); /* no warnings either */
        assert_non_null(jv_circuit_comment(c));
        assert_int_equal(jv_drop_run(c, NULL, &drop), JV_OK);
        for (size_t k = 0; k < drop->n_cases; k++) {
            const jv_drop_case *one = &drop->cases[k];
            if (!one->converged)
                print_error("%s: %s\n", path, one->name);
            assert_true(one->converged);
            assert_true(one->residual_a < current_a && one->power_error_w < power_w);
            /* The steps of the way lose what is lost, and the shares are all of it. */
            double share = 0.0, lost = 0.0;
            for (size_t p = 0; p < jv_circuit_parts(c); p++)
                share += isnan(one->parts[p].share) ? 0.0 : one->parts[p].share;
            for (size_t s = 0; s < one->n_steps; s++)
                lost += one->steps[s].drop_v;
            if (one->n_steps) {
                assert_true(fabs(lost - (one->source_v - one->load_v)) < loop_v);
                assert_true(fabs(share - 1.0) < loop_v / one->lost_v);
            }
            /* A motor that gets volts has a way of the current that is followed to the end. */
            if (one->running && one->load_v > 0.0)
                assert_true(one->n_steps > 2);
        }
        jv_drop_free(&drop);
        jv_circuit_free(&c);
        jv_diags_clear(&d);
        n++;
    }
    closedir(dir);
    assert_true(n >= 11);
}

/* A tester's reading belongs to the air of the file; a case in the cold has more ohms, by the
 * factor that the load-test limits give (checked in test_battery.c). At rest nothing else is in it.
 */
static void tester_reading_is_of_the_files_own_air(void **state) {
    (void)state;
    static const char text[] =
        "{\"circuit\": \"x\", \"ambient\": \"20 degC\", \"parts\": {"
        "\"b\": {\"is\": \"battery\", \"plus\": \"p\", \"minus\": \"m\", \"chemistry\": "
        "\"flooded\","
        " \"charge\": \"80 %\", \"tester_resistance\": \"8 mohm\"},"
        "\"l\": {\"is\": \"load\", \"plus\": \"p\", \"minus\": \"m\", \"current\": \"5 A\"}},"
        "\"cases\": {\"mild\": {}, \"frost\": {\"ambient\": \"-10 degC\"}}}";
    const double read_ohm = 8e-3, mild_c = 20.0, frost_c = -10.0;
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_drop *drop = NULL;
    assert_int_equal(jv_circuit_read_text(text, sizeof text - 1, "x", NULL, &d, &c), JV_OK);
    assert_int_equal(jv_drop_run(c, NULL, &drop), JV_OK);
    double colder = jv_battery_cold_factor(JV_CHEMISTRY_FLOODED, frost_c) /
                    jv_battery_cold_factor(JV_CHEMISTRY_FLOODED, mild_c);
    assert_true(colder > 1.1);
    assert_close(drop->cases[0].parts[0].resistance_ohm, read_ohm, 1e-9, 0.0);
    assert_close(drop->cases[1].parts[0].resistance_ohm, read_ohm * colder, 1e-9, 0.0);
    jv_drop_free(&drop);
    jv_circuit_free(&c);
    jv_diags_clear(&d);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        CASE(corroded_stud),
        CASE(frame_return),
        CASE(lithium_pack),
        CASE(long_trailer),
        CASE(pump_and_shore),
        CASE(sensor_harness),
        CASE(small_trailer),
        CASE(tow_vehicle),
        CASE(work_truck),
        cmocka_unit_test(no_file_is_left_out),
        cmocka_unit_test(every_example_has_its_answers),
        cmocka_unit_test(tester_reading_is_of_the_files_own_air),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
