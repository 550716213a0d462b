/* test_sequence_gsl.c - time stepping against GSL's stiff integrators. SPDX-License-Identifier: MIT
 */
#include "jackvolt/battery.h"
#include "tests/support/close.h"
#include "tests/support/race.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <gsl/gsl_odeiv2.h>
#include <math.h>
#include <string.h>
#include <cmocka.h>

static const double amps[RACE_LEGS] = {18.0, 22.0, 20.0, 25.0};
static const double times[] = {0.002, 0.005, 0.01, 0.03, 0.1, 0.3, 1.0, 5.0, 20.0};
enum { TIMES = sizeof times / sizeof times[0] };
static const double begin_s = 0.0005; /* all have broken away, from there on it is smooth */

/* Sizes against which an error is measured: A, rad/s, m, K, K; charge, V. */
static double size_of(const race *r, size_t i, double value) {
    static const double leg[] = {1.0, 30.0, 0.01, 10.0, 10.0};
    static const double battery[] = {0.01, 0.01};
    size_t b = r->n * RACE_OF_LEG;
    return fabs(value) + (i < b ? leg[i % RACE_OF_LEG] : battery[i - b]);
}

/* GSL from one state to the output times. */
static void gsl_run(race *r, const gsl_odeiv2_step_type *type, double tolerance,
                    const double *start, double out[TIMES][RACE_MOST]) {
    gsl_odeiv2_system system = {race_rates, race_jacobian, r->size, r};
    double scale[RACE_MOST];
    for (size_t i = 0; i < r->size; i++)
        scale[i] = size_of(r, i, 0.0);
    gsl_odeiv2_driver *d = gsl_odeiv2_driver_alloc_scaled_new(&system, type, 1e-6, tolerance,
                                                              tolerance, 1.0, 0.0, scale);
    assert_non_null(d);
    double y[RACE_MOST], t = begin_s;
    memcpy(y, start, sizeof y);
    for (int k = 0; k < TIMES; k++) {
        assert_int_equal(gsl_odeiv2_driver_apply(d, &t, times[k], y), 0);
        memcpy(out[k], y, sizeof y);
    }
    gsl_odeiv2_driver_free(d);
}

/* The library from rest to the output times; start gets its state at begin_s. */
static size_t our_run(size_t n, double tolerance, double *start, double out[TIMES][RACE_MOST]) {
    race_motion m;
    race_motion_new(&m, n, amps, 1e-9);
    race_motion_to(&m, begin_s);
    race_values(m.motion, n, start);
    /* The start is common to all: from here on the tolerance counts. */
    for (size_t i = 0; i < m.motion->n_x; i++)
        m.motion->strict[i] *= tolerance / 1e-9;
    m.motion->tolerance = tolerance;
    size_t before = m.motion->steps;
    for (int k = 0; k < TIMES; k++) {
        race_motion_to(&m, times[k]);
        race_values(m.motion, n, out[k]);
    }
    size_t steps = m.motion->steps - before;
    race_motion_free(&m);
    return steps;
}

static double worst_error(const race *r, double a[TIMES][RACE_MOST], double b[TIMES][RACE_MOST]) {
    double worst = 0.0;
    for (int k = 0; k < TIMES; k++)
        for (size_t i = 0; i < r->size; i++)
            worst = fmax(worst, fabs(a[k][i] - b[k][i]) / size_of(r, i, b[k][i]));
    return worst;
}

static void agrees_with(const gsl_odeiv2_step_type *type) {
    static const size_t legs[] = {1, 2, 4};
    static double ours[TIMES][RACE_MOST], theirs[TIMES][RACE_MOST];
    for (size_t k = 0; k < sizeof legs / sizeof legs[0]; k++) {
        race r;
        double start[RACE_MOST];
        race_begin(&r, legs[k], amps);
        our_run(legs[k], 1e-6, start, ours);
        gsl_run(&r, type, 1e-10, start, theirs);
        for (int t = 0; t < TIMES; t++)
            for (size_t i = 0; i < r.size; i++)
                assert_close(ours[t][i], theirs[t][i], 2e-6, 2e-6 * size_of(&r, i, 0.0));
    }
}

static void motors_and_battery_go_as_msbdf_has_them(void **state) {
    (void)state;
    agrees_with(gsl_odeiv2_step_msbdf);
}

static void motors_and_battery_go_as_bsimp_has_them(void **state) {
    (void)state;
    agrees_with(gsl_odeiv2_step_bsimp);
}

/* Halving the tolerance: the error falls with it, and with the number of steps as that of a method
 * of order 4 (at least 3, since stiff parts cost some of it). */
static void the_error_falls_with_the_tolerance(void **state) {
    (void)state;
    static double reference[TIMES][RACE_MOST], ours[TIMES][RACE_MOST];
    double start[RACE_MOST], errors[8], steps[8];
    race r;
    race_begin(&r, 2, amps);
    our_run(2, 1e-6, start, ours);
    gsl_run(&r, gsl_odeiv2_step_bsimp, 1e-12, start, reference);
    int n = 0;
    for (double tolerance = 1e-3; tolerance > 1e-8; tolerance *= 0.125, n++) {
        steps[n] = (double)our_run(2, tolerance, start, ours);
        errors[n] = worst_error(&r, ours, reference);
        assert_true(errors[n] < 10.0 * tolerance);
        assert_true(n == 0 || errors[n] < errors[n - 1]);
    }
    double order = log(errors[0] / errors[n - 1]) / log(steps[n - 1] / steps[0]);
    assert_true(order > 3.0 && order < 6.0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(motors_and_battery_go_as_msbdf_has_them),
        cmocka_unit_test(motors_and_battery_go_as_bsimp_has_them),
        cmocka_unit_test(the_error_falls_with_the_tolerance),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
