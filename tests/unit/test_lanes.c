/* test_lanes.c - draws side by side against one at a time and LAPACK. SPDX-License-Identifier: MIT
 */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <lapacke.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/read.h"
#include "solve/lanes_lu.h"
#include "study/draws.h"
#include "tests/support/close.h"

/* --- elimination --- */

enum { ROOM = 40 };

static double random_in(uint64_t n, double low, double high) {
    double u[JV_SIDE];
    jv_uniforms(77, n / JV_SIDE * JV_SIDE, 1, u);
    return low + (high - low) * u[n % JV_SIDE];
}

/* A random pattern with a full diagonal, eight sets of numbers on it, against dgesv. */
static void check_elimination(uint64_t seed, int n) {
    enum { LANES = 8 };
    static double dense[LANES][ROOM * ROOM], right[LANES][ROOM];
    int ap[ROOM + 1] = {0}, ai[ROOM * ROOM], count = 0;
    double ax[ROOM * ROOM];
    uint64_t r = seed * 100000;
    memset(dense, 0, sizeof dense);
    for (int c = 0; c < n; c++) {
        for (int k = 0; k < n; k++) {
            if (k != c && random_in(r++, 0.0, 1.0) > 3.0 / n)
                continue;
            ai[count] = k;
            ax[count++] = k == c ? 4.0 : -1.0;
            for (int lane = 0; lane < LANES; lane++)
                dense[lane][c * n + k] = ax[count - 1] * random_in(r++, 0.5, 1.5);
        }
        ap[c + 1] = count;
    }
    jv_lanes_lu f;
    assert_int_equal(jv_lanes_lu_make(n, ap, ai, ax, &f), JV_OK);
    memset(f.value, 0, (size_t)f.start[n] * sizeof *f.value);
    static jv_lane b[ROOM];
    for (int c = 0; c < n; c++)
        for (int k = ap[c]; k < ap[c + 1]; k++)
            for (int lane = 0; lane < LANES; lane++)
                f.value[jv_lanes_lu_place(&f, ai[k], c)][lane] = dense[lane][c * n + ai[k]];
    for (int k = 0; k < n; k++)
        for (int lane = 0; lane < LANES; lane++) {
            right[lane][k] = random_in(r++, -1.0, 1.0);
            b[f.at_row[k]][lane] = right[lane][k];
        }
    assert_int_equal(jv_lanes_lu_eliminate(&f, b), (1u << LANES) - 1u);
    for (int lane = 0; lane < LANES; lane++) {
        lapack_int pivots[ROOM];
        assert_int_equal(
            LAPACKE_dgesv(LAPACK_COL_MAJOR, n, 1, dense[lane], n, pivots, right[lane], n), 0);
        for (int k = 0; k < n; k++)
            assert_close(b[f.at_col[k]][lane], right[lane][k], 1e-10, 1e-12);
    }
    jv_lanes_lu_clear(&f);
}

static void elimination_is_that_of_lapack(void **state) {
    (void)state;
    for (uint64_t seed = 1; seed <= 60; seed++)
        check_elimination(seed, 2 + (int)(seed % (ROOM - 2)));
}

/* A lane whose pivot is nothing is told apart from its neighbours. */
static void withered_pivots_are_told(void **state) {
    int ap[] = {0, 1, 2}, ai[] = {0, 1};
    double ax[] = {2.0, 3.0};
    jv_lanes_lu f;
    jv_lane b[2] = {{1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0, 1.0}, {0}};
    (void)state;
    assert_int_equal(jv_lanes_lu_make(2, ap, ai, ax, &f), JV_OK);
    for (int k = 0; k < 8; k++)
        f.value[jv_lanes_lu_place(&f, 0, 0)][k] = k == 3 ? 1e-9 : k == 6 ? NAN : 2.0;
    f.value[jv_lanes_lu_place(&f, 1, 1)] = (jv_lane){0} + 3.0;
    assert_int_equal(jv_lanes_lu_eliminate(&f, b), 0xFF & ~(1 << 3 | 1 << 6));
    jv_lanes_lu_clear(&f);
}

/* --- whole circuits --- */

typedef struct study {
    jv_circuit *circuit;
    jv_spreads spreads;
    jv_trial nominal;
    jv_moves moves;
    size_t *watches, n_watches;
} study;

static void begin(study *s, jv_circuit *c, size_t loading) {
    memset(s, 0, sizeof *s);
    s->circuit = c;
    assert_int_equal(jv_spreads_find(c, &c->cases[loading], &s->spreads), JV_OK);
    assert_int_equal(jv_trial_make(&s->spreads, NULL, 0, NULL, &s->nominal), JV_OK);
    assert_int_equal(jv_moves_find(&s->nominal, &s->moves), JV_OK);
    s->n_watches = c->n_watches;
    s->watches = calloc(c->n_watches + 1, sizeof *s->watches);
    for (size_t k = 0; k < c->n_watches; k++)
        s->watches[k] = k;
}

static void end(study *s) {
    free(s->watches);
    jv_moves_clear(&s->moves);
    jv_trial_clear(&s->nominal);
    jv_spreads_clear(&s->spreads);
}

/* Each draw both ways: side by side, and by loading every part and solving the whole system,
 * which knows nothing of lanes and tables. Returns how many were solved in lanes. */
static size_t compare(study *s, size_t draws, double near_v) {
    jv_draws d = {.spreads = &s->spreads,
                  .nominal = &s->nominal,
                  .moves = &s->moves,
                  .watches = s->watches,
                  .n_watches = s->n_watches,
                  .width = jv_lane_widest()};
    jv_response r = jv_draws_response(&d);
    jv_trial plain;
    void *worker;
    size_t lanes = 0, n = s->spreads.n;
    double(*u)[JV_SIDE] = calloc(n + 1, sizeof *u), (*values)[JV_SIDE] = calloc(n + 1, sizeof *u);
    double(*seen)[JV_SIDE] = calloc(s->n_watches, sizeof *u);
    double(*limit)[JV_SIDE] = calloc(s->n_watches, sizeof *u);
    assert_int_equal(r.hire(r.ctx, &worker), JV_OK);
    assert_int_equal(jv_trial_make(&s->spreads, NULL, 0, &s->nominal, &plain), JV_OK);
    r.block(worker);
    for (size_t at = 0; at < draws; at += JV_SIDE) {
        unsigned solved, scalar;
        for (size_t q = 0; q < n; q++) {
            jv_uniforms(1, at, s->spreads.list[q].address, u[q]);
            jv_values_at(&s->spreads.list[q].shown.value, u[q], values[q]);
        }
        assert_int_equal(r.respond(worker, 0xFF, values, seen, limit, &solved, &scalar), JV_OK);
        lanes += JV_SIDE - scalar;
        for (unsigned k = 0; k < JV_SIDE; k++) {
            jv_point point;
            jv_status status;
            for (size_t q = 0; q < n; q++)
                jv_trial_put(&plain, q, values[q][k]);
            bool found = jv_trial_solve(&plain, &point, &status);
            assert_int_equal(found, solved >> k & 1u);
            for (size_t w = 0; w < s->n_watches && found; w++) {
                assert_close(seen[w][k], jv_trial_seen(&plain, w, point.v), 0.0, near_v);
                assert_true(limit[w][k] == plain.limit[w]);
            }
        }
    }
    jv_trial_clear(&plain);
    r.dismiss(r.ctx, worker);
    free(u);
    free(values);
    free(seen);
    free(limit);
    return lanes;
}

static jv_circuit *read_file(const char *path) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    assert_int_equal(jv_circuit_read_file(path, NULL, &d, &c), JV_OK);
    jv_diags_clear(&d);
    return c;
}

/* Every case of every example: batteries, packs with cut-offs, relays, sensors, supplies, frames,
 * pumps. The lanes may differ by what their tables and polynomials leave. */
static void examples_give_the_same_both_ways(void **state) {
    static const char *const files[] = {
        "circuits/corroded-stud.json",   "circuits/frame-return.json",
        "circuits/lithium-pack.json",    "circuits/long-trailer.json",
        "circuits/motor-home-pump.json", "circuits/sensor-harness.json",
        "circuits/shore-power.json",     "circuits/small-trailer.json",
        "circuits/thin-feed.json",       "circuits/tow-vehicle.json",
        "circuits/work-truck.json"};
    static const double near_v = 3e-6;
    size_t in_lanes = 0, cases = 0, draws = 48;
    (void)state;
    for (size_t f = 0; f < sizeof files / sizeof files[0]; f++) {
        jv_circuit *c = read_file(files[f]);
        for (size_t k = 0; k < c->n_cases; k++) {
            study s;
            begin(&s, c, k);
            size_t lanes = compare(&s, draws, near_v);
            in_lanes += lanes > 0;
            cases++;
            end(&s);
        }
        jv_circuit_free(&c);
    }
    print_message("%zu of %zu cases in lanes\n", in_lanes, cases);
    /* most of them must not have been handed back, else nothing was tested */
    assert_true(in_lanes * 10 >= cases * 7);
}

/* A weak battery and jacks whose loads reach from turning to stalled: within eight draws some
 * motors turn and some stand, a load of constant power beside them. */
static void motors_stall_in_some_lanes(void **state) {
    static const char text[] =
        "{\"circuit\": \"stalls\", \"parts\": {\"bat\": {\"is\": \"battery\", \"plus\": \"p\","
        "\"minus\": \"m\", \"open_circuit\": \"11.8 V .. 12.6 V\","
        "\"resistance\": \"20 mohm .. 60 mohm\"},"
        "\"feed\": {\"is\": \"cable\", \"a\": \"p\", \"b\": \"x\", \"size\": \"6 AWG\","
        "\"length\": \"20 ft .. 30 ft\"},"
        "\"lamp\": {\"is\": \"load\", \"plus\": \"x\", \"minus\": \"m\", \"power\": \"30 W .. 60 "
        "W\"},"
        "\"left\": {\"is\": \"jack\", \"plus\": \"x\", \"minus\": \"m\", \"rated_current\": \"28 "
        "A\","
        "\"no_load_current\": \"6 A\", \"stall_current\": \"70 A .. 90 A\"},"
        "\"right\": {\"is\": \"jack\", \"plus\": \"x\", \"minus\": \"m\", \"rated_current\": \"28 "
        "A\","
        "\"no_load_current\": \"6 A\", \"stall_current\": \"80 A\"}},"
        "\"watches\": {\"w\": {\"at\": [\"x\", \"m\"], \"below\": \"8 V\"}},"
        "\"cases\": {\"lift\": {\"lift\": {\"left\": \"20 A .. 90 A\", \"right\": \"30 A .. 80 "
        "A\"}}}}";
    jv_diags d = {0};
    jv_circuit *c = NULL;
    study s;
    (void)state;
    assert_int_equal(jv_circuit_read_text(text, strlen(text), "test", NULL, &d, &c), JV_OK);
    begin(&s, c, 0);
    size_t lanes = compare(&s, 4000, 1e-6);
    print_message("%zu of 4000 draws in lanes\n", lanes);
    assert_true(lanes > 3600);
    end(&s);
    jv_circuit_free(&c);
    jv_diags_clear(&d);
}

/* The air or the time of the case has a spread, so that each draw heats its conductors otherwise:
 * lanes all the same. One at a time, temperatures in time are those of the closed form (H10),
 * within 1 % of the rise; of some 10 K, 0.1 K or 4e-4 of the ohms of cables that lose some 0.3 V.
 */
static void heating_that_varies_stays_in_lanes(void **state) {
    static const struct {
        const char *path;
        size_t loading;
        bool time;
        double near_v;
    } rows[] = {{"circuits/thin-feed.json", 0, false, 1e-6},
                {"circuits/thin-feed.json", 1, false, 1e-6},
                {"circuits/long-trailer.json", 3, false, 1.2e-4},
                {"circuits/long-trailer.json", 3, true, 1.2e-4},
                {"circuits/work-truck.json", 1, false, 1.2e-4}};
    (void)state;
    for (size_t k = 0; k < sizeof rows / sizeof rows[0]; k++) {
        jv_circuit *c = read_file(rows[k].path);
        study s;
        if (rows[k].time)
            c->cases[rows[k].loading].run_for = (jv_value){30.0, 20.0, 60.0, JV_UNIFORM};
        else
            c->ambient = (jv_value){20.0, -10.0, 40.0, JV_UNIFORM};
        begin(&s, c, rows[k].loading);
        assert_false(s.moves.shape);
        size_t lanes = compare(&s, 400, rows[k].near_v);
        print_message("%s: %zu of 400 draws in lanes\n", rows[k].path, lanes);
        assert_true(lanes > 360);
        end(&s);
        jv_circuit_free(&c);
    }
}

/* Both at once is more than a polynomial follows: one at a time, and the same answer. */
static void air_and_time_together_are_left_to_the_whole_system(void **state) {
    (void)state;
    jv_circuit *c = read_file("circuits/long-trailer.json");
    study s;
    c->cases[3].run_for = (jv_value){30.0, 20.0, 60.0, JV_UNIFORM};
    c->ambient = (jv_value){20.0, -10.0, 40.0, JV_UNIFORM};
    begin(&s, c, 3);
    assert_int_equal(compare(&s, 24, 1e-9), 0);
    end(&s);
    jv_circuit_free(&c);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(elimination_is_that_of_lapack),
        cmocka_unit_test(withered_pivots_are_told),
        cmocka_unit_test(examples_give_the_same_both_ways),
        cmocka_unit_test(motors_stall_in_some_lanes),
        cmocka_unit_test(heating_that_varies_stays_in_lanes),
        cmocka_unit_test(air_and_time_together_are_left_to_the_whole_system),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
