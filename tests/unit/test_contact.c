/* test_contact.c - joints. SPDX-License-Identifier: MIT */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <cmocka.h>

#include "jackvolt/contact.h"
#include "tests/support/close.h"

/* 4 mV/A at 15 A: printed 60 mV, 0.9 W (connection training page). */
static void drop_and_heat(void **state) {
    (void)state;
    assert_close(jv_contact_drop_v(4e-3, 15), 0.060, 1e-12, 0);
    assert_close(jv_contact_heat_w(4e-3, 15), 0.9, 1e-12, 0);
    assert_close(jv_contact_drop_v(4e-3, -15), -0.060, 1e-12, 0);
}

/* Lug on 4 AWG, 50 K at 125 A: 23 K at 85 A, 29 K at 95 A, 62 K at 140 A printed (UL 486
 * forum); recomputed 23.1, 28.9, 62.7. */
static void rise_goes_with_the_square_of_the_current(void **state) {
    (void)state;
    assert_close(jv_contact_rise_k(50, 125, 85), 23.1, 2e-3, 0);
    assert_close(jv_contact_rise_k(50, 125, 95), 28.9, 2e-3, 0);
    assert_close(jv_contact_rise_k(50, 125, 140), 62.7, 2e-3, 0);
}

/* By hand: 2 to 10 mohm, heats in 30 s: at 30 s 2 + 8 (1 - e^-3) = 9.60170 mohm. */
static void a_joint_that_heats_gets_worse(void **state) {
    (void)state;
    assert_close(jv_contact_warming_ohm(2e-3, 10e-3, 30, 0), 2e-3, 1e-12, 0);
    assert_close(jv_contact_warming_ohm(2e-3, 10e-3, 30, 30), 9.60170e-3, 1e-6, 0);
    assert_close(jv_contact_warming_ohm(2e-3, 10e-3, 30, 1e5), 10e-3, 1e-12, 0);
    assert_close(jv_contact_warming_ohm(2e-3, 10e-3, 0, 0), 10e-3, 0, 0);
}

/* Softening drop of copper 0.12 V at 190 degC and melting drop 0.43 V at 1083 degC (Holm,
 * Electric Contacts; from memory): the law gives these within 15 %. By hand at 0.12 V from
 * 20 degC: sqrt(293.15^2 + 0.12^2/(4 x 2.44e-8)) - 273.15 = 210.0. */
static void hottest_spot_of_a_contact(void **state) {
    (void)state;
    assert_close(jv_contact_spot_c(0.12, 20), 210.0, 1e-3, 0);
    assert_close(jv_contact_spot_c(0.12, 20), 190, 0.15, 0);
    assert_close(jv_contact_spot_c(0.43, 20), 1083, 0.15, 0);
    assert_close(jv_contact_spot_c(0, 20), 20, 1e-9, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(drop_and_heat),
        cmocka_unit_test(rise_goes_with_the_square_of_the_current),
        cmocka_unit_test(a_joint_that_heats_gets_worse),
        cmocka_unit_test(hottest_spot_of_a_contact),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
