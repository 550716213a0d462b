/* test_time_method.c - sums of the time method, and rates beside their law.
 * SPDX-License-Identifier: MIT */
#include "circuit/parts/motor_time.h"
#include "solve/time/motion.h"
#include "tests/support/close.h"
#include "tests/support/race.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <string.h>
#include <cmocka.h>

enum { SIZE = 19, ROOM = SIZE + JV_RODAS_ROOM };
static const double h = 0.03;

static double numbers[JV_STAGES][ROOM];
static double *k[JV_STAGES];

static void fill(void) {
    for (int j = 0; j < JV_STAGES; j++) {
        k[j] = numbers[j];
        for (int i = 0; i < ROOM; i++)
            numbers[j][i] = sin(1.0 + 7.0 * j + 1.3 * i) / (1.0 + i);
    }
}

/* u' = -L u on [0, h], worked out as the definition says: (1/(c h) + L) k_i = -L (u + sum a k) +
 * sum c_ij/h k_j. Its own exponential is met to order 4, and halving h shows it. */
static double error_of_one_step(double step) {
    double u[ROOM] = {1.0}, out[ROOM], fixed[ROOM], ks[JV_STAGES][ROOM] = {{0}};
    double *own[JV_STAGES];
    const double rate = 2.0;
    for (int j = 0; j < JV_STAGES; j++)
        own[j] = ks[j];
    for (int j = 0; j < JV_STAGES; j++) {
        jv_rodas_stage(JV_LANE_PLAIN, j, 1, u, own, step, out, fixed);
        ks[j][0] = (-rate * out[0] + fixed[0]) / (1.0 / (jv_rodas_gamma * step) + rate);
    }
    jv_rodas_end(JV_LANE_PLAIN, 1, own, out);
    return fabs(out[0] - exp(-rate * step));
}

static void one_step_is_of_fourth_order(void **state) {
    (void)state;
    double coarse = error_of_one_step(0.08), fine = error_of_one_step(0.04);
    double order = log(coarse / fine) / log(2.0) - 1.0; /* of a local error h^5 */
    assert_true(order > 3.7 && order < 5.0);
}

/* A pure sum beside what the six stages would give it, and its exact answers: q' = 1 gives h, and
 * a straight line inside the step. */
static void a_pure_sum_needs_no_stages(void **state) {
    (void)state;
    jv_rodas_weights w;
    double *g[JV_STAGES], one[JV_STAGES][ROOM];
    double now[ROOM] = {0}, out[ROOM], c3[ROOM], c4[ROOM];
    fill();
    jv_rodas_weigh(&w);
    for (int j = 0; j < JV_STAGES; j++) {
        g[j] = one[j];
        for (int i = 0; i < ROOM; i++)
            one[j][i] = 1.0;
    }
    jv_rodas_sums(JV_LANE_PLAIN, &w, SIZE, now, g, h, out, c3, c4);
    assert_close(out[3], h, 1e-12, 0.0);
    assert_close(c3[3], 0.0, 0.0, 1e-13);
    assert_close(c4[3], 0.0, 0.0, 1e-13);
    /* k_i = c h (g_i + sum c_ij/h k_j), stage by stage */
    double ks[JV_STAGES][ROOM] = {{0}}, stage[ROOM], fixed[ROOM];
    double *own[JV_STAGES];
    for (int j = 0; j < JV_STAGES; j++)
        own[j] = ks[j];
    for (int j = 0; j < JV_STAGES; j++) {
        jv_rodas_stage(JV_LANE_PLAIN, j, SIZE, now, own, h, stage, fixed);
        for (int i = 0; i < SIZE; i++)
            ks[j][i] = jv_rodas_gamma * h * (numbers[j][i] + fixed[i]);
    }
    jv_rodas_end(JV_LANE_PLAIN, SIZE, own, stage);
    double d3[ROOM], d4[ROOM];
    jv_rodas_dense(JV_LANE_PLAIN, SIZE, own, d3, d4);
    jv_rodas_sums(JV_LANE_PLAIN, &w, SIZE, now, k, h, out, c3, c4);
    for (int i = 0; i < SIZE; i++) {
        assert_close(out[i], stage[i], 1e-11, 1e-13);
        assert_close(c3[i], d3[i], 1e-11, 1e-13);
        assert_close(c4[i], d4[i], 1e-11, 1e-13);
    }
}

/* Wider registers round each number as narrow ones do. */
static void every_width_gives_the_same_bits(void **state) {
    (void)state;
    double now[ROOM], out[2][ROOM], fixed[2][ROOM], c3[2][ROOM], c4[2][ROOM];
    jv_rodas_weights w;
    jv_lane_width widest = jv_lane_widest();
    fill();
    jv_rodas_weigh(&w);
    for (int i = 0; i < ROOM; i++)
        now[i] = cos(3.0 * i);
    for (int j = 0; j < JV_STAGES; j++) {
        memcpy(out[0], now, sizeof now);
        memcpy(out[1], now, sizeof now);
        jv_rodas_stage(JV_LANE_PLAIN, j, SIZE, now, k, h, out[0], fixed[0]);
        jv_rodas_stage(widest, j, SIZE, now, k, h, out[1], fixed[1]);
        assert_memory_equal(out[0], out[1], SIZE * sizeof **out);
        assert_memory_equal(fixed[0], fixed[1], SIZE * sizeof **fixed);
    }
    jv_rodas_end(JV_LANE_PLAIN, SIZE, k, out[0]);
    jv_rodas_end(widest, SIZE, k, out[1]);
    assert_memory_equal(out[0], out[1], SIZE * sizeof **out);
    jv_rodas_dense(JV_LANE_PLAIN, SIZE, k, c3[0], c4[0]);
    jv_rodas_dense(widest, SIZE, k, c3[1], c4[1]);
    assert_memory_equal(c3[0], c3[1], SIZE * sizeof **c3);
    assert_memory_equal(c4[0], c4[1], SIZE * sizeof **c4);
    jv_rodas_sums(JV_LANE_PLAIN, &w, SIZE, now, k, h, out[0], c3[0], c4[0]);
    jv_rodas_sums(widest, &w, SIZE, now, k, h, out[1], c3[1], c4[1]);
    assert_memory_equal(out[0], out[1], SIZE * sizeof **out);
    assert_memory_equal(c3[0], c3[1], SIZE * sizeof **c3);
    assert_memory_equal(c4[0], c4[1], SIZE * sizeof **c4);
}

/* Two by two blocks along the diagonal of a tridiagonal matrix, by columns. */
enum { SIX = 6, ENTRIES = 3 * SIX - 2 };

static double left_over(const int *ap, const int *ai, const double *ax, const double *x,
                        const double *b) {
    double r[SIX], worst = 0.0;
    memcpy(r, b, sizeof r);
    for (int c = 0; c < SIX; c++)
        for (int at = ap[c]; at < ap[c + 1]; at++)
            r[ai[at]] -= ax[at] * x[c];
    for (int i = 0; i < SIX; i++)
        worst = fmax(worst, fabs(r[i]));
    return worst;
}

/* The answer is judged by what it leaves of the right side; numbers that take a pivot away make a
 * new order, and those that leave no answer are told. */
static void small_nets_are_solved_in_a_kept_order(void **state) {
    (void)state;
    int ap[SIX + 1], ai[ENTRIES], n = 0;
    double ax[ENTRIES], b[SIX], x[SIX];
    for (int c = 0; c < SIX; c++) {
        ap[c] = n;
        for (int r = c ? c - 1 : 0; r <= c + 1 && r < SIX; r++)
            ai[n++] = r;
    }
    ap[SIX] = n;
    jv_flat f = {0};
    for (int round = 0; round < 4; round++) {
        /* a weak diagonal in the end: pivots must come from beside it */
        double diagonal = round < 2 ? 4.0 : 0.0;
        for (int c = 0, at = 0; c < SIX; c++)
            for (; at < ap[c + 1]; at++)
                ax[at] = ai[at] == c ? diagonal : 1.0 + 0.1 * c + 0.3 * ai[at] + round;
        for (int i = 0; i < SIX; i++)
            x[i] = b[i] = cos(2.0 * i + round);
        assert_int_equal(jv_flat_factor(&f, SIX, ap, ai, ax), JV_OK);
        jv_flat_solve(&f, x);
        assert_close(left_over(ap, ai, ax, x, b), 0.0, 0.0, 1e-13);
        assert_true(round < 2 ? f.made == 1 : f.made >= 2);
    }
    for (int at = 0; at < ap[1]; at++)
        ax[at] = 0.0; /* an unknown that nothing speaks of */
    assert_int_equal(jv_flat_factor(&f, SIX, ap, ai, ax), JV_ERR_UNSOLVED);
    jv_flat_clear(&f);
}

static void compare(const jv_body *b, const double *x, double i) {
    jv_body_law law;
    double ohm = NAN, rate[JV_BODY_STATES];
    b->kind->law(b->work, x, i, &law);
    double volts = b->kind->rates(b->work, x, i, &ohm, rate);
    assert_close(volts, law.drop, 1e-13, 1e-13);
    assert_close(ohm, law.drop_i, 1e-13, 0.0);
    for (size_t s = 0; s < b->kind->n_states; s++)
        assert_close(rate[s], law.rate[s], 1e-12, 1e-15);
}

/* The short way to the rates says what the law says: turning, held, braked, driven softly, series.
 */
static void rates_are_those_of_the_law(void **state) {
    (void)state;
    static const double loads[RACE_LEGS] = {18.0, 22.0, 20.0, 25.0};
    race_motion m;
    race_motion_new(&m, 2, loads, 1e-6);
    race_motion_to(&m, 0.02);
    size_t compared = 0;
    for (size_t p = 0; p < m.motion->n_bodies; p++) {
        jv_body *b = &m.motion->bodies[p];
        double x[JV_BODY_STATES];
        if (!b->kind->rates)
            continue;
        memcpy(x, m.motion->now + jv_motion_x(m.motion, b), b->kind->n_states * sizeof *x);
        compare(b, x, -31.0);
        compared++;
        if (b->kind != &jv_body_jack)
            continue;
        jv_motor_time *motor = b->work;
        assert_true(motor->turns && x[JV_MOTOR_U] > 1.0);
        motor->magnet = -0.002;
        compare(b, x, 40.0);
        motor->by_travel = true;
        motor->up1 = 0.004;
        motor->segment = 1;
        motor->force_n = 5000.0;
        compare(b, x, 40.0);
        motor->commanded = false; /* let go: its short circuit brakes it */
        compare(b, x, 0.0);
        motor->commanded = true;
        motor->ramping = true;
        motor->soft_s = 0.5;
        x[JV_MOTOR_DRIVE] = 0.3;
        compare(b, x, 12.0);
        motor->series = true;
        compare(b, x, 12.0);
        motor->turns = false;
        compare(b, x, 12.0);
    }
    assert_int_equal(compared, 3); /* the battery and both legs */
    race_motion_free(&m);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(one_step_is_of_fourth_order),
        cmocka_unit_test(a_pure_sum_needs_no_stages),
        cmocka_unit_test(every_width_gives_the_same_bits),
        cmocka_unit_test(small_nets_are_solved_in_a_kept_order),
        cmocka_unit_test(rates_are_those_of_the_law),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
