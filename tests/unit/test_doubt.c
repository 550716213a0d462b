/* test_doubt.c - no verdict hangs on ohms that nobody gave. SPDX-License-Identifier: MIT */
#include "jackvolt/drop.h"
#include "jackvolt/tables.h"
#include "tests/support/build.h"
#include "tests/support/close.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

static const double amps = 50.0, ampere_hours = 100.0;

/* A full flooded battery of which only the capacity is known, 50 A steady, and a watch. */
static jv_circuit *bench(double limit_v) {
    jv_circuit *c = build_circuit();
    build_between(c, "battery", "battery", "post+", "post-");
    build_word(c, "chemistry", "flooded");
    build_quantity(c, "capacity", "100 Ah");
    build_quantity(c, "charge", "100 %");
    build_quantity(c, "temperature", "25 degC"); /* where the table's figure holds */
    build_close(c);
    build_between(c, "load", "load", "post+", "post-");
    build_quantity(c, "current", "50 A");
    build_close(c);
    jv_watch *w = jv_circuit_add_watch(c, "limit");
    w->plus = jv_circuit_find_terminal(c, "post+");
    w->minus = jv_circuit_find_terminal(c, "post-");
    w->below = jv_value_exact(limit_v);
    jv_diags d = {0};
    jv_circuit_finish(c, &d);
    assert_int_equal(d.errors, 0);
    jv_diags_clear(&d);
    return c;
}

static jv_drop_watch answer(double limit_v) {
    jv_circuit *c = bench(limit_v);
    jv_drop *drop = NULL;
    assert_int_equal(jv_drop_run(c, NULL, &drop), JV_OK);
    jv_drop_watch w = drop->cases[0].watches[0];
    w.name = w.basis = NULL; /* texts of the circuit */
    jv_drop_free(&drop);
    jv_circuit_free(&c);
    return w;
}

/* Ohm's law on the table's range of ohm Ah (kept from memory there, so it is a range):
 * the volts move by 50 A x (high - typical) / 100 Ah one way, (typical - low) the other. */
static void band_is_that_of_the_table(void **state) {
    (void)state;
    jv_range ohm_ah;
    assert_int_equal(jv_table_resistance_ah(JV_CHEMISTRY_FLOODED, &ohm_ah), JV_OK);
    assert_int_equal(ohm_ah.confidence, JV_WEAK);
    jv_drop_watch w = answer(6.0);
    assert_close(w.seen_v - w.doubt_low_v, amps * (ohm_ah.high - ohm_ah.typical) / ampere_hours,
                 1e-6, 1e-9);
    assert_close(w.doubt_high_v - w.seen_v, amps * (ohm_ah.typical - ohm_ah.low) / ampere_hours,
                 1e-6, 1e-9);
    assert_true(w.doubt_low_v < w.seen_v);
}

static void limit_inside_the_band_is_unknown(void **state) {
    (void)state;
    jv_drop_watch far = answer(6.0);
    assert_int_equal(far.verdict, JV_HOLDS);
    assert_int_equal(answer(0.5 * (far.doubt_low_v + far.seen_v)).verdict, JV_VERDICT_UNKNOWN);
    assert_int_equal(answer(0.5 * (far.doubt_high_v + far.seen_v)).verdict, JV_VERDICT_UNKNOWN);
    assert_int_equal(answer(far.doubt_high_v + 0.01).verdict, JV_TRIPS);
    assert_int_equal(answer(far.doubt_low_v - 0.01).verdict, JV_HOLDS);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(band_is_that_of_the_table),
        cmocka_unit_test(limit_inside_the_band_is_unknown),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
