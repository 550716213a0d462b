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

static gsl_odeiv2_driver *driver(gsl_odeiv2_system *system, const gsl_odeiv2_step_type *type,
                                 double first_s, double tolerance) {
    static double scale[RACE_MOST];
    const race *r = system->params;
    for (size_t i = 0; i < r->size; i++)
        scale[i] = size_of(r, i, 0.0);
    gsl_odeiv2_driver *d = gsl_odeiv2_driver_alloc_scaled_new(system, type, first_s, tolerance,
                                                              tolerance, 1.0, 0.0, scale);
    assert_non_null(d);
    return d;
}

/* One explicit run (Prince-Dormand, order 8) over `seconds`. */
static void advance(race *r, double seconds, double y[]) {
    gsl_odeiv2_system system = {race_rates, race_jacobian, r->size, r};
    gsl_odeiv2_driver *d = driver(&system, gsl_odeiv2_step_rk8pd, 1e-7, 1e-12);
    double t = 0.0;
    assert_int_equal(gsl_odeiv2_driver_apply(d, &t, seconds, y), 0);
    gsl_odeiv2_driver_free(d);
}

/* Amps of the first leg to break away above what it asks for; which leg. */
static double excess(const race *r, const double y[], size_t *leg) {
    double most = -INFINITY;
    for (size_t k = 0; k < r->n; k++) {
        double over = y[k * RACE_OF_LEG] - r->amps[k];
        if (!r->held[k] || over <= most)
            continue;
        most = over;
        *leg = k;
    }
    return most;
}

/* From rest to begin_s without a line of the library: a rotor is held until its current is what its
 * load asks for; those moments are found by bisection, each look a run of its own. */
static void gsl_start(race *r, double y[]) {
    static const double look_s = 1e-6, located_s = 1e-12;
    double t = 0.0;
    size_t leg = 0, left = r->n;
    race_rest(r, y);
    for (size_t k = 0; k < r->n; k++)
        r->held[k] = true;
    while (left) {
        double ahead[RACE_MOST], low = 0.0, high = look_s;
        memcpy(ahead, y, sizeof ahead);
        advance(r, look_s, ahead);
        if (excess(r, ahead, &leg) > 0.0) {
            while (high - low > located_s) {
                double middle = 0.5 * (low + high);
                memcpy(ahead, y, sizeof ahead);
                advance(r, middle, ahead);
                *(excess(r, ahead, &leg) > 0.0 ? &high : &low) = middle;
            }
            memcpy(ahead, y, sizeof ahead);
            advance(r, high, ahead);
            assert_true(excess(r, ahead, &leg) > 0.0);
            r->held[leg] = false;
            left--;
        }
        memcpy(y, ahead, sizeof ahead);
        t += high;
        assert_true(t < begin_s);
    }
    advance(r, begin_s - t, y);
}

/* GSL from one state to the output times. */
static void gsl_run(race *r, const gsl_odeiv2_step_type *type, double tolerance,
                    const double *start, double out[TIMES][RACE_MOST]) {
    gsl_odeiv2_system system = {race_rates, race_jacobian, r->size, r};
    gsl_odeiv2_driver *d = driver(&system, type, 1e-6, tolerance);
    double y[RACE_MOST], t = begin_s;
    memcpy(y, start, sizeof y);
    for (int k = 0; k < TIMES; k++) {
        assert_int_equal(gsl_odeiv2_driver_apply(d, &t, times[k], y), 0);
        memcpy(out[k], y, sizeof y);
    }
    gsl_odeiv2_driver_free(d);
}

/* The library from rest to the output times; its steps from begin_s on. */
static size_t our_run(size_t n, double tolerance, double out[TIMES][RACE_MOST]) {
    race_motion m;
    race_motion_new(&m, n, amps, tolerance);
    race_motion_to(&m, begin_s);
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
        gsl_start(&r, start);
        gsl_run(&r, type, 1e-10, start, theirs);
        our_run(legs[k], 1e-6, ours);
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

/* Slope of the straight line through all points, least squares. */
static double slope(const double *x, const double *y, int n) {
    double sx = 0.0, sy = 0.0, sxx = 0.0, sxy = 0.0;
    for (int k = 0; k < n; k++) {
        sx += x[k];
        sy += y[k];
        sxx += x[k] * x[k];
        sxy += x[k] * y[k];
    }
    return (n * sxy - sx * sy) / (n * sxx - sx * sx);
}

/* The tolerance halved thirteen times, the whole run from rest measured against GSL at 1e-12. With
 * each halving there are more steps; the error follows the tolerance, and falls with the number of
 * steps as that of a method of order 4. (The largest of some hundred errors at nine moments jumps
 * about by a factor of two with the places where steps end: a line through all is looked at, and
 * each four halvings, a sixteenth of the tolerance, must leave no more than a third.) */
static void the_error_falls_as_the_tolerance_is_halved(void **state) {
    (void)state;
    enum { RUNS = 14, APART = 4 };
    static double reference[TIMES][RACE_MOST], ours[TIMES][RACE_MOST];
    double start[RACE_MOST], tolerance = 1e-3;
    double asked[RUNS], errors[RUNS], steps[RUNS]; /* logarithms */
    race r;
    race_begin(&r, 2, amps);
    gsl_start(&r, start);
    gsl_run(&r, gsl_odeiv2_step_bsimp, 1e-12, start, reference);
    for (int n = 0; n < RUNS; n++, tolerance *= 0.5) {
        steps[n] = log((double)our_run(2, tolerance, ours));
        errors[n] = log(worst_error(&r, ours, reference));
        asked[n] = log(tolerance);
        assert_true(errors[n] < asked[n]);
        assert_true(n == 0 || steps[n] > steps[n - 1]);
        assert_true(n < APART || errors[n] < errors[n - APART] - log(3.0));
    }
    double order = -slope(steps, errors, RUNS), follows = slope(asked, errors, RUNS);
    assert_true(order > 3.5 && order < 5.0);
    assert_true(follows > 0.7 && follows < 1.3);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(motors_and_battery_go_as_msbdf_has_them),
        cmocka_unit_test(motors_and_battery_go_as_bsimp_has_them),
        cmocka_unit_test(the_error_falls_as_the_tolerance_is_halved),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
