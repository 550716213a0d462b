/* test_quantity.c - quantities read, spread and printed. SPDX-License-Identifier: MIT
 *
 * Factors: NIST Special Publication 811 (2008), appendix B.8, as printed there (7 digits, exact
 * ones in full). Tolerances: 1e-15 for exact factors, 5e-7 for printed ones. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <cmocka.h>

#include "jackvolt/diag.h"
#include "jackvolt/quantity.h"
#include "tests/support/close.h"

#define EXACT 1e-15
#define PRINTED 5e-7 /* half a unit of the seventh digit printed, at worst */

static jv_value must_read(const char *text, jv_dim dim) {
    jv_value v = {0};
    jv_quantity_fault fault = {0};
    if (jv_quantity_read(text, dim, &v, &fault) != JV_OK) {
        fail_msg("'%s' refused: %s", text, fault.message);
    }
    return v;
}

static const struct {
    const char *text;
    jv_dim dim;
    double value;
    double rel;
} units_read[] = {
    {"7.3 m", JV_DIM_LENGTH, 7.3, EXACT},
    {"25.4 mm", JV_DIM_LENGTH, 0.0254, EXACT},
    {"1 in", JV_DIM_LENGTH, 0.0254, EXACT},
    {"24 ft", JV_DIM_LENGTH, 7.3152, EXACT}, /* 24 x 0.3048 */
    {"24ft", JV_DIM_LENGTH, 7.3152, EXACT},
    {"24 FT.", JV_DIM_LENGTH, 7.3152, EXACT},
    {"22 ft 6 in", JV_DIM_LENGTH, 6.858, EXACT}, /* 22.5 x 0.3048 */
    {"22'6\"", JV_DIM_LENGTH, 6.858, EXACT},
    {"22\xE2\x80\xB2 6\xE2\x80\xB3", JV_DIM_LENGTH, 6.858, EXACT},
    {"-22 ft 6 in", JV_DIM_LENGTH, -6.858, EXACT},
    {"6 1/2 in", JV_DIM_LENGTH, 0.1651, EXACT}, /* 6.5 x 0.0254 */
    {"3/8 in", JV_DIM_LENGTH, 0.009525, EXACT},
    {"1 ft 6 1/2 in", JV_DIM_LENGTH, 0.4699, EXACT}, /* 18.5 x 0.0254 */
    {"1 m 20 cm", JV_DIM_LENGTH, 1.2, EXACT},
    {"16 mm2", JV_DIM_AREA, 16e-6, EXACT},
    {"16 mm^2", JV_DIM_AREA, 16e-6, EXACT},
    {"16 mm\xC2\xB2", JV_DIM_AREA, 16e-6, EXACT},
    {"1 in2", JV_DIM_AREA, 6.4516e-4, EXACT},
    {"1 cmil", JV_DIM_AREA, 5.067075e-10, PRINTED},
    {"12.6 V", JV_DIM_VOLTAGE, 12.6, EXACT},
    {"350 mV", JV_DIM_VOLTAGE, 0.35, EXACT},
    {"12 v", JV_DIM_VOLTAGE, 12.0, EXACT},
    {"50 A", JV_DIM_CURRENT, 50.0, EXACT},
    {"50 amps", JV_DIM_CURRENT, 50.0, EXACT},
    {"20 mA", JV_DIM_CURRENT, 0.02, EXACT},
    {"0.8 mohm", JV_DIM_RESISTANCE, 0.0008, EXACT},
    {"0.8 m\xCE\xA9", JV_DIM_RESISTANCE, 0.0008, EXACT},
    {"4.7 k\xE2\x84\xA6", JV_DIM_RESISTANCE, 4700.0, EXACT},
    {"1 Mohm", JV_DIM_RESISTANCE, 1e6, EXACT},
    {"40 \xC2\xB5ohm", JV_DIM_RESISTANCE, 40e-6, EXACT},
    {"40 \xCE\xBC\xCE\xA9", JV_DIM_RESISTANCE, 40e-6, EXACT},
    {"5 OHMS", JV_DIM_RESISTANCE, 5.0, EXACT},
    {"1 hp", JV_DIM_POWER, 745.6999, PRINTED},
    {"100 Ah", JV_DIM_CHARGE, 360000.0, EXACT}, /* 100 x 3600 s */
    {"100 A h", JV_DIM_CHARGE, 360000.0, EXACT},
    {"200 ms", JV_DIM_TIME, 0.2, EXACT},
    {"5 min", JV_DIM_TIME, 300.0, EXACT},
    {"1 h 20 min", JV_DIM_TIME, 4800.0, EXACT},
    {"4 years", JV_DIM_TIME, 1.26144e8, EXACT}, /* 4 x 3.1536e7 */
    {"20 degC", JV_DIM_TEMPERATURE, 20.0, EXACT},
    {"20 \xC2\xB0"
     "C",
     JV_DIM_TEMPERATURE, 20.0, EXACT},
    {"\xE2\x88\x92"
     "40 degF",
     JV_DIM_TEMPERATURE, -40.0, EXACT}, /* where both scales meet */
    {"212F", JV_DIM_TEMPERATURE, 100.0, EXACT},
    {"32 deg F", JV_DIM_TEMPERATURE, 0.0, EXACT},
    {"293.15 K", JV_DIM_TEMPERATURE, 20.0, 1e-14}, /* a difference of rounded numbers */
    {"-459.67 degF", JV_DIM_TEMPERATURE, -273.15, EXACT},
    {"9 degF", JV_DIM_TEMPERATURE_RISE, 5.0, EXACT},
    {"30 K", JV_DIM_TEMPERATURE_RISE, 30.0, EXACT},
    {"1 lbf", JV_DIM_FORCE, 4.4482216152605, EXACT},
    {"1700 lb", JV_DIM_FORCE, 7561.97674594285, EXACT}, /* 1700 x 4.4482216152605 */
    {"1 kgf", JV_DIM_FORCE, 9.80665, EXACT},
    {"1 psi", JV_DIM_PRESSURE, 6894.757, PRINTED},
    {"200 bar", JV_DIM_PRESSURE, 2e7, EXACT},
    {"3 MPa", JV_DIM_PRESSURE, 3e6, EXACT},
    {"1 lb", JV_DIM_MASS, 0.45359237, EXACT},
    {"1 oz", JV_DIM_MASS, 0.02834952, PRINTED},
    {"60 in/min", JV_DIM_SPEED, 0.0254, EXACT}, /* 1 in/s */
    {"5 mm/s", JV_DIM_SPEED, 0.005, EXACT},
    {"1 mph", JV_DIM_SPEED, 0.44704, EXACT},
    {"1 ft / min", JV_DIM_SPEED, 0.00508, EXACT},
    {"0.15 mH", JV_DIM_INDUCTANCE, 0.00015, EXACT},
    {"2 kg m2", JV_DIM_INERTIA, 2.0, EXACT},
    {"2 kg\xC2\xB7m\xC2\xB2", JV_DIM_INERTIA, 2.0, EXACT},
    {"1 lb in2", JV_DIM_INERTIA, 2.926397e-4, PRINTED},
    {"3 N*m", JV_DIM_TORQUE, 3.0, EXACT},
    {"1 ft-lbf", JV_DIM_TORQUE, 1.355818, PRINTED},
    {"1 lbf in", JV_DIM_TORQUE, 0.1129848, PRINTED},
    {"1 ozf in", JV_DIM_TORQUE, 7.061552e-3, PRINTED},
    {"3000 rpm", JV_DIM_FREQUENCY, 50.0, EXACT}, /* 3000 / 60 */
    {"0.012 V s/rad", JV_DIM_MOTOR_CONSTANT, 0.012, EXACT},
    {"0.012 N m/A", JV_DIM_MOTOR_CONSTANT, 0.012, EXACT},
    /* 1 V at 1000 rpm = 104.7197551 rad/s */
    {"1 V/krpm", JV_DIM_MOTOR_CONSTANT, 1.0 / 104.71975511965977, 1e-14},
    {"6.283185307179586 cm3/rev", JV_DIM_DISPLACEMENT, 1e-6, 1e-14},
    {"1 in3/rev", JV_DIM_DISPLACEMENT, 1.6387064e-5 / 6.283185307179586, 1e-14},
    {"1 kWh", JV_DIM_ENERGY, 3.6e6, EXACT},
    {"47 uF", JV_DIM_CAPACITANCE, 47e-6, EXACT},
    {"1 gpm", JV_DIM_FLOW, 6.309020e-5, PRINTED},
    {"60 L/min", JV_DIM_FLOW, 1e-3, EXACT},
    {"2 K/W", JV_DIM_THERMAL_RESISTANCE, 2.0, EXACT},
    {"350 J/K", JV_DIM_HEAT_CAPACITY, 350.0, EXACT},
    {"1 lbf/in", JV_DIM_STIFFNESS, 175.1268, PRINTED},
    {"80 %", JV_DIM_RATIO, 0.8, EXACT},
    {"80%", JV_DIM_RATIO, 0.8, EXACT},
    {" +3.5 ", JV_DIM_NUMBER, 3.5, EXACT},
};

static void reads_units(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof units_read / sizeof units_read[0]; i++) {
        const jv_value v = must_read(units_read[i].text, units_read[i].dim);
        print_message("%s\n", units_read[i].text);
        assert_close(v.nominal, units_read[i].value, units_read[i].rel, 0.0);
        assert_true(v.low == v.nominal && v.high == v.nominal && v.spread == JV_EXACT);
    }
}

static void reads_spreads(void **state) {
    (void)state;
    static const struct {
        const char *text;
        jv_dim dim;
        double nominal, low, high;
        jv_spread spread;
    } cases[] = {
        {"65 % .. 95 %", JV_DIM_RATIO, 0.80, 0.65, 0.95, JV_UNIFORM},
        {"65..95%", JV_DIM_RATIO, 0.80, 0.65, 0.95, JV_UNIFORM},
        {"10 V \xE2\x80\xA6 12 V", JV_DIM_VOLTAGE, 11, 10, 12, JV_UNIFORM},
        {"1 ft .. 3 ft 6 in", JV_DIM_LENGTH, 0.6858, 0.3048, 1.0668, JV_UNIFORM},
        /* geometric middle: sqrt(0.5 x 8) = 2 */
        {"0.5 mohm .. 8 mohm", JV_DIM_RESISTANCE, 0.002, 0.0005, 0.008, JV_LOG_UNIFORM},
        {"0.5 .. 8 mohm", JV_DIM_RESISTANCE, 0.002, 0.0005, 0.008, JV_LOG_UNIFORM},
        {"0 .. 8 mohm", JV_DIM_RESISTANCE, 0.004, 0, 0.008, JV_UNIFORM},
        {"0 ohm .. 8 mohm", JV_DIM_RESISTANCE, 0.004, 0, 0.008, JV_UNIFORM},
        {"24 ft +/- 5 %", JV_DIM_LENGTH, 7.3152, 6.94944, 7.68096, JV_NORMAL},
        {"24 ft \xC2\xB1 5%", JV_DIM_LENGTH, 7.3152, 6.94944, 7.68096, JV_NORMAL},
        {"24 ft +/- 2 ft", JV_DIM_LENGTH, 7.3152, 6.7056, 7.9248, JV_NORMAL},
        {"24 +- 2 ft", JV_DIM_LENGTH, 7.3152, 6.7056, 7.9248, JV_NORMAL},
        {"-10 A +/- 10 %", JV_DIM_CURRENT, -10, -11, -9, JV_NORMAL},
        /* 65 degF = 18.333 degC; 5 degF of difference = 2.7778 K */
        {"65 degF +/- 5 degF", JV_DIM_TEMPERATURE, 165.0 / 9, 140.0 / 9, 190.0 / 9, JV_NORMAL},
        {"65 +/- 5 degF", JV_DIM_TEMPERATURE, 165.0 / 9, 140.0 / 9, 190.0 / 9, JV_NORMAL},
        {"20 degC +/- 5 K", JV_DIM_TEMPERATURE, 20, 15, 25, JV_NORMAL},
        {"-4 degF .. 50 degF", JV_DIM_TEMPERATURE, -5, -20, 10, JV_UNIFORM},
        {"2 mohm */ 2", JV_DIM_RESISTANCE, 0.002, 0.001, 0.004, JV_LOG_NORMAL},
        {"2 mohm * / 2", JV_DIM_RESISTANCE, 0.002, 0.001, 0.004, JV_LOG_NORMAL},
        {"5 .. 7", JV_DIM_NUMBER, 6, 5, 7, JV_UNIFORM},
        {"5 +/- 20 %", JV_DIM_NUMBER, 5, 4, 6, JV_NORMAL},
        {"5 V .. 5 V", JV_DIM_VOLTAGE, 5, 5, 5, JV_EXACT},
        {"5 V +/- 0 %", JV_DIM_VOLTAGE, 5, 5, 5, JV_EXACT},
        {"5 V */ 1", JV_DIM_VOLTAGE, 5, 5, 5, JV_EXACT},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        const jv_value v = must_read(cases[i].text, cases[i].dim);
        print_message("%s\n", cases[i].text);
        assert_close(v.nominal, cases[i].nominal, 1e-14, 0.0);
        assert_close(v.low, cases[i].low, 1e-14, 0.0);
        assert_close(v.high, cases[i].high, 1e-14, 0.0);
        assert_int_equal(v.spread, cases[i].spread);
    }
}

static const struct {
    const char *text;
    jv_dim dim;
    jv_code code;
    size_t offset;
    const char *words; /* in the message or the hint */
} refused[] = {
    {"", JV_DIM_LENGTH, JV_CODE_QUANTITY_FORM, 0, "nothing is written"},
    {"   ", JV_DIM_LENGTH, JV_CODE_QUANTITY_FORM, 3, "nothing is written"},
    {"24", JV_DIM_LENGTH, JV_CODE_QUANTITY_BARE, 0, "'24' has no unit, and length needs one"},
    {"24", JV_DIM_LENGTH, JV_CODE_QUANTITY_BARE, 0, "m, cm, mm, ft, in"},
    {"0.8", JV_DIM_RATIO, JV_CODE_QUANTITY_BARE, 0, "units that fit: %"},
    {"5 .. 7", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_BARE, 0, "'5' has no unit"},
    {"5 V .. 7", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_BARE, 7, "'7' has no unit"},
    {"24 +/- 5 %", JV_DIM_LENGTH, JV_CODE_QUANTITY_BARE, 0, "'24' has no unit"},
    {"24 ft +/- 2", JV_DIM_LENGTH, JV_CODE_QUANTITY_BARE, 10, "'2' has no unit"},
    {"24 V", JV_DIM_LENGTH, JV_CODE_QUANTITY_UNIT, 3, "'V' is a unit of voltage, not of length"},
    {"24 furlong", JV_DIM_LENGTH, JV_CODE_QUANTITY_UNIT, 3, "'furlong' is no unit of length"},
    {"12 MV", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_UNIT, 3, "'MV' is no unit"},
    {"12 MOHM", JV_DIM_RESISTANCE, JV_CODE_QUANTITY_UNIT, 3, "'MOHM' is no unit"},
    {"5 %", JV_DIM_LENGTH, JV_CODE_QUANTITY_UNIT, 2, "'%' is a unit of ratio"},
    {"5 % .. 10 ft", JV_DIM_LENGTH, JV_CODE_QUANTITY_UNIT, 2, "'%' is a unit of ratio"},
    {"5 V", JV_DIM_NUMBER, JV_CODE_QUANTITY_UNIT, 2, "stands behind a plain number"},
    {"5 %", JV_DIM_NUMBER, JV_CODE_QUANTITY_UNIT, 2, "stands behind a plain number"},
    {"a unit of enormous length indeed", JV_DIM_LENGTH, JV_CODE_QUANTITY_FORM, 0,
     "a number is due"},
    {"5 aunitofenormouslengthindeed", JV_DIM_LENGTH, JV_CODE_QUANTITY_UNIT, 2, "no unit"},
    {"about 5 V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_FORM, 0, "'about 5 V'"},
    {"nan V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_FORM, 0, "'nan V'"},
    {"inf V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_FORM, 0, "'inf V'"},
    {"--5 V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_FORM, 0, "'--5 V'"},
    {"V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_FORM, 0, "'V'"},
    {"5 V 3 V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_FORM, 4, "'3 V' stands behind"},
    {"5 V;", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_UNIT, 2, "'V;' is no unit"},
    {"1,800 lbf", JV_DIM_FORCE, JV_CODE_QUANTITY_FORM, 1, "a comma cannot stand in a number"},
    {"1,5 V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_FORM, 1, "with a point"},
    {"22.5 ft 6 in", JV_DIM_LENGTH, JV_CODE_QUANTITY_FORM, 8, "cannot follow"},
    {"22 ft 12 in", JV_DIM_LENGTH, JV_CODE_QUANTITY_FORM, 6, "less than a foot"},
    {"6 in 22 ft", JV_DIM_LENGTH, JV_CODE_QUANTITY_FORM, 5, "cannot follow"},
    {"22 ft 6", JV_DIM_LENGTH, JV_CODE_QUANTITY_FORM, 6, "'6' cannot follow"},
    {"1/0 in", JV_DIM_LENGTH, JV_CODE_QUANTITY_UNIT, 1, "no unit"},
    {"1e400 V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_RANGE, 0, "'1e400 V' is too large"},
    {"1e308 kV", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_RANGE, 0, "too large"},
    {"-460 degF", JV_DIM_TEMPERATURE, JV_CODE_QUANTITY_RANGE, 0, "below absolute zero"},
    {"-1 K", JV_DIM_TEMPERATURE, JV_CODE_QUANTITY_RANGE, 0, "below absolute zero"},
    {"95 % .. 65 %", JV_DIM_RATIO, JV_CODE_QUANTITY_SPREAD, 0, "upside down"},
    {"80 % +/- 5 %", JV_DIM_RATIO, JV_CODE_QUANTITY_SPREAD, 0, "cannot carry a tolerance"},
    {"20 degC +/- 5 %", JV_DIM_TEMPERATURE, JV_CODE_QUANTITY_SPREAD, 12, "in degrees"},
    {"5 V +/- -1 V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_SPREAD, 8, "cannot be a tolerance"},
    {"5 V +/- 120 %", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_SPREAD, 8, "more than the value"},
    {"20 degC +/- 300 K", JV_DIM_TEMPERATURE, JV_CODE_QUANTITY_SPREAD, 12, "tolerance"},
    {"5 V +/-", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_SPREAD, 7, "a number is due here, got nothing"},
    {"5 V .. x", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_SPREAD, 7, "got 'x'"},
    {"5 V .. 6 V .. 7 V", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_SPREAD, 11, "one spread"},
    {"60-70 degF", JV_DIM_TEMPERATURE, JV_CODE_QUANTITY_SPREAD, 2, "low .. high"},
    {"60 to 70 degF", JV_DIM_TEMPERATURE, JV_CODE_QUANTITY_SPREAD, 3, "low .. high"},
    {"2 mohm */ 0.5", JV_DIM_RESISTANCE, JV_CODE_QUANTITY_SPREAD, 10, "is no factor"},
    {"2 mohm */ 2 mohm", JV_DIM_RESISTANCE, JV_CODE_QUANTITY_SPREAD, 10, "is no factor"},
    {"2 mohm */ 1e400", JV_DIM_RESISTANCE, JV_CODE_QUANTITY_SPREAD, 10, "is no factor"},
    {"2 mohm */ 2 3", JV_DIM_RESISTANCE, JV_CODE_QUANTITY_FORM, 12, "'3' stands behind"},
    {"0 V */ 2", JV_DIM_VOLTAGE, JV_CODE_QUANTITY_SPREAD, 0, "cannot carry a factor"},
    {"20 degC */ 2", JV_DIM_TEMPERATURE, JV_CODE_QUANTITY_SPREAD, 0, "cannot carry a factor"},
};

static void refuses_with_code_place_and_words(void **state) {
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof refused[0]; i++) {
        jv_value v = {7, 7, 7, JV_NORMAL};
        jv_quantity_fault f = {0};
        print_message("'%s'\n", refused[i].text);
        assert_int_equal(jv_quantity_read(refused[i].text, refused[i].dim, &v, &f), JV_ERR_INPUT);
        print_message("    E%d at %zu: %s (%s)\n", f.code, f.offset, f.message, f.hint);
        assert_int_equal(f.code, refused[i].code);
        assert_int_equal(f.offset, refused[i].offset);
        assert_true(strstr(f.message, refused[i].words) != NULL ||
                    strstr(f.hint, refused[i].words) != NULL);
        assert_true(v.nominal == 7 && v.spread == JV_NORMAL); /* untouched */
        assert_int_equal(jv_quantity_read(refused[i].text, refused[i].dim, &v, NULL), JV_ERR_INPUT);
    }
}

static void long_and_broken_texts_give_whole_messages(void **state) {
    (void)state;
    char text[600];
    memset(text, '9', sizeof text);
    text[sizeof text - 1] = '\0';
    jv_value v;
    jv_quantity_fault f;
    size_t bad;
    assert_int_equal(jv_quantity_read(text, JV_DIM_VOLTAGE, &v, &f), JV_ERR_INPUT);
    assert_non_null(strstr(f.message, "too long"));
    assert_int_equal(jv_quantity_read("12 \xFFV\xC3", JV_DIM_VOLTAGE, &v, &f), JV_ERR_INPUT);
    assert_true(jv_text_is_utf8(f.message, strlen(f.message), &bad));
    assert_string_equal(f.message, "'\?V\?' is no unit of voltage");
}

/* Every dimension, both systems, twelve decades, each number of digits: what is printed is read
 * back as the value within half a unit of the last digit. */
static void printed_values_read_back(void **state) {
    (void)state;
    for (int dim = 0; dim < JV_DIM_COUNT_; dim++) {
        for (int i = 0; i < 2 * 24 * 9; i++) {
            const jv_units units = i % 2 == 0 ? JV_UNITS_SI : JV_UNITS_US;
            const int digits = i / 2 % 9 + 1;
            const double sign = i % 5 == 0 && dim != JV_DIM_TEMPERATURE ? -1.0 : 1.0;
            const double value = sign * 1.2345678912 * pow(10.0, (i / 18) / 2.0 - 6.0);
            jv_text out = {0};
            jv_quantity_print(&out, value, (jv_dim)dim, units, digits);
            const jv_value back = must_read(jv_text_str(&out), (jv_dim)dim);
            /* Half a unit in digit number `digits` of a number that begins with 1 is the worst. */
            const double half = 0.5000001 * pow(10.0, 1 - digits);
            /* Near 0 degF or 0 degC the relative error is that of the number printed. */
            const double room = dim == JV_DIM_TEMPERATURE ? half * 32.0 : 0.0;
            if (!(fabs(back.nominal - value) <= half * fabs(value) + room)) {
                fail_msg("%.12g %s in %d digits printed as '%s', read as %.12g", value,
                         jv_dim_name((jv_dim)dim), digits, jv_text_str(&out), back.nominal);
            }
            jv_text_clear(&out);
        }
    }
}

/* Expected texts by hand: 6.7 / 0.3048 = 21.98; 4.4482216 N = 1 lbf; 85 degF = 29.444 degC. */
static void prints_what_a_technician_writes(void **state) {
    (void)state;
    static const struct {
        double value;
        jv_dim dim;
        jv_units units;
        int digits;
        const char *text;
    } cases[] = {
        {0.0023, JV_DIM_RESISTANCE, JV_UNITS_SI, 2, "2.3 mohm"},
        {0.0003, JV_DIM_RESISTANCE, JV_UNITS_SI, 2, "0.30 mohm"},
        {4700, JV_DIM_RESISTANCE, JV_UNITS_SI, 2, "4.7 kohm"},
        {6.7, JV_DIM_LENGTH, JV_UNITS_US, 3, "22.0 ft"},
        {6.7, JV_DIM_LENGTH, JV_UNITS_SI, 2, "6.7 m"},
        {0.1524, JV_DIM_LENGTH, JV_UNITS_US, 2, "6.0 in"},
        {0.3045, JV_DIM_LENGTH, JV_UNITS_US, 2, "1.0 ft"}, /* 11.99 in rounds to a foot */
        {0.5, JV_DIM_LENGTH, JV_UNITS_SI, 3, "500 mm"},
        {300, JV_DIM_TIME, JV_UNITS_SI, 1, "5 min"},
        {90, JV_DIM_TIME, JV_UNITS_SI, 2, "90 s"},
        {0.2, JV_DIM_TIME, JV_UNITS_SI, 3, "200 ms"},
        {10.94, JV_DIM_VOLTAGE, JV_UNITS_SI, 3, "10.9 V"},
        {0.9996, JV_DIM_VOLTAGE, JV_UNITS_SI, 3, "1.00 V"},
        {-0.25, JV_DIM_VOLTAGE, JV_UNITS_SI, 3, "-250 mV"},
        {0.0, JV_DIM_VOLTAGE, JV_UNITS_SI, 3, "0 V"},
        {-0.0, JV_DIM_RESISTANCE, JV_UNITS_US, 3, "0 ohm"},
        {-0.0, JV_DIM_TEMPERATURE, JV_UNITS_SI, 3, "0 degC"},
        {265.0 / 9, JV_DIM_TEMPERATURE, JV_UNITS_US, 3, "85.0 degF"},
        {-160.0 / 9, JV_DIM_TEMPERATURE, JV_UNITS_US, 3, "0 degF"},
        {0, JV_DIM_TEMPERATURE, JV_UNITS_US, 2, "32 degF"},
        {20, JV_DIM_TEMPERATURE, JV_UNITS_SI, 2, "20 degC"},
        {5, JV_DIM_TEMPERATURE_RISE, JV_UNITS_US, 2, "9.0 degF"},
        {4448.2216152605, JV_DIM_FORCE, JV_UNITS_US, 4, "1000 lbf"},
        {4448.2216152605, JV_DIM_FORCE, JV_UNITS_SI, 3, "4.45 kN"},
        {2e7, JV_DIM_PRESSURE, JV_UNITS_SI, 3, "200 bar"},
        {6.894757e6, JV_DIM_PRESSURE, JV_UNITS_US, 4, "1000 psi"},
        {360000, JV_DIM_CHARGE, JV_UNITS_US, 3, "100 Ah"},
        {0.8, JV_DIM_RATIO, JV_UNITS_SI, 2, "80 %"},
        {123456, JV_DIM_NUMBER, JV_UNITS_SI, 3, "123000"},
        {16e-6, JV_DIM_AREA, JV_UNITS_US, 3, "16.0 mm2"},
        {31, JV_DIM_CURRENT, JV_UNITS_SI, 99, "31.0000000 A"},
        {31, JV_DIM_CURRENT, JV_UNITS_SI, 0, "30 A"},
        {(double)NAN, JV_DIM_CURRENT, JV_UNITS_SI, 3, "unknown"},
        {(double)INFINITY, JV_DIM_CURRENT, JV_UNITS_SI, 3, "infinite"},
        {-(double)INFINITY, JV_DIM_CURRENT, JV_UNITS_SI, 3, "-infinite"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        jv_text out = {0};
        jv_quantity_print(&out, cases[i].value, cases[i].dim, cases[i].units, cases[i].digits);
        assert_string_equal(jv_text_str(&out), cases[i].text);
        jv_text_clear(&out);
    }
}

/* Phi(1) = 0.8413447461 and Phi(2) = 0.9772498681: Abramowitz and Stegun, table 26.1. */
static void draws_follow_their_spread(void **state) {
    (void)state;
    const double phi1 = 0.8413447461;
    const jv_value exact = jv_value_exact(4.0);
    const jv_value uniform = must_read("10 V .. 20 V", JV_DIM_VOLTAGE);
    const jv_value log_uniform = must_read("1 mohm .. 100 mohm", JV_DIM_RESISTANCE);
    const jv_value normal = must_read("100 V +/- 10 V", JV_DIM_VOLTAGE);
    const jv_value log_normal = must_read("2 mohm */ 4", JV_DIM_RESISTANCE);

    assert_true(jv_value_at(&exact, 2.5) == 4.0);
    assert_close(jv_value_at(&uniform, 0.0), 15.0, 1e-15, 0.0);
    assert_close(jv_value_at(&uniform, 1.0), 10.0 + 10.0 * phi1, 1e-10, 0.0);
    assert_close(jv_value_at(&uniform, 2.0), 19.772498681, 1e-10, 0.0);
    assert_close(jv_value_at(&uniform, 40.0), 20.0, 0.0, 0.0);
    assert_close(jv_value_at(&uniform, -40.0), 10.0, 0.0, 0.0);
    /* 1 mohm x 100^p: the middle is 10 mohm */
    assert_close(jv_value_at(&log_uniform, 0.0), 0.010, 1e-14, 0.0);
    assert_close(jv_value_at(&log_uniform, 1.0), 1e-3 * pow(100.0, phi1), 1e-9, 0.0);
    assert_true(jv_value_at(&log_uniform, 40.0) <= log_uniform.high);
    /* the half width is two standard deviations: 5 V each; cut at three */
    assert_close(jv_value_at(&normal, 1.0), 105.0, 1e-15, 0.0);
    assert_close(jv_value_at(&normal, -2.0), 90.0, 1e-15, 0.0);
    assert_close(jv_value_at(&normal, 9.0), 115.0, 1e-15, 0.0);
    assert_close(jv_value_at(&normal, -9.0), 85.0, 1e-15, 0.0);
    /* a factor of 4 at two standard deviations is 2 at one and 8 at three */
    assert_close(jv_value_at(&log_normal, 1.0), 0.004, 1e-14, 0.0);
    assert_close(jv_value_at(&log_normal, 2.0), 0.008, 1e-14, 0.0);
    assert_close(jv_value_at(&log_normal, -2.0), 0.0005, 1e-14, 0.0);
    assert_close(jv_value_at(&log_normal, 7.0), 0.016, 1e-14, 0.0);
}

static void draws_keep_the_sign_of_both_ends(void **state) {
    (void)state;
    const jv_value positive = must_read("1 mohm +/- 90 %", JV_DIM_RESISTANCE);
    const jv_value negative = must_read("-1 A +/- 90 %", JV_DIM_CURRENT);
    const jv_value both = must_read("1 A +/- 2 A", JV_DIM_CURRENT);
    assert_close(jv_value_at(&positive, -3.0), 0.0, 0.0, 0.0); /* 1 - 3 x 0.45 < 0 */
    assert_close(jv_value_at(&negative, 3.0), 0.0, 0.0, 0.0);
    assert_close(jv_value_at(&both, -3.0), -2.0, 1e-15, 0.0);
}

static void every_dimension_has_a_name_and_units(void **state) {
    (void)state;
    for (int dim = 0; dim < JV_DIM_COUNT_; dim++) {
        assert_true(strlen(jv_dim_name((jv_dim)dim)) > 3);
        if (dim == JV_DIM_NUMBER) {
            continue;
        }
        /* Each unit that a hint names is read. */
        const char *p = jv_dim_units((jv_dim)dim);
        while (*p != '\0') {
            char text[40];
            const size_t n = strcspn(p, ",");
            assert_true(n > 0);
            snprintf(text, sizeof text, "300 %.*s", (int)n, p);
            must_read(text, (jv_dim)dim);
            p += n;
            p += strspn(p, ", ");
        }
    }
    assert_string_equal(jv_dim_name(JV_DIM_COUNT_), "unknown dimension");
    assert_string_equal(jv_dim_units(JV_DIM_COUNT_), "none");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_units),
        cmocka_unit_test(reads_spreads),
        cmocka_unit_test(refuses_with_code_place_and_words),
        cmocka_unit_test(long_and_broken_texts_give_whole_messages),
        cmocka_unit_test(printed_values_read_back),
        cmocka_unit_test(prints_what_a_technician_writes),
        cmocka_unit_test(draws_follow_their_spread),
        cmocka_unit_test(draws_keep_the_sign_of_both_ends),
        cmocka_unit_test(every_dimension_has_a_name_and_units),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
