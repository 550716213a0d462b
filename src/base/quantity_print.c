/* quantity_print.c - print quantities for people. SPDX-License-Identifier: MIT */
#include "base/number.h"
#include "base/plain.h"
#include "base/units.h"
#include "jackvolt/quantity.h"

#include <math.h>
#include <string.h>

/* In which system of units a row is used. */
enum { SI = 1 << JV_UNITS_SI, US = 1 << JV_UNITS_US, BOTH = SI | US };

/* The units in which a value is printed, small to large in each dimension. A row is taken from
 * `from` of its unit upward, until the next one begins; the first also below. */
typedef struct printed_unit {
    jv_dim dim;
    int systems;
    const char *text;
    double from;
    bool of_zero; /* the unit in which zero is printed */
} printed_unit;

static const printed_unit PRINTED[] = {
    {JV_DIM_RATIO, BOTH, "%", 0, true},
    {JV_DIM_LENGTH, SI, "mm", 0, false},
    {JV_DIM_LENGTH, SI, "m", 1, true},
    {JV_DIM_LENGTH, US, "in", 0, false},
    {JV_DIM_LENGTH, US, "ft", 1, true},
    {JV_DIM_AREA, BOTH, "mm2", 0, true}, /* of conductors in both systems */
    {JV_DIM_AREA, SI, "m2", 1, false},
    {JV_DIM_AREA, US, "in2", 1, false},
    {JV_DIM_VOLTAGE, BOTH, "mV", 0, false},
    {JV_DIM_VOLTAGE, BOTH, "V", 1, true},
    {JV_DIM_CURRENT, BOTH, "uA", 0, false},
    {JV_DIM_CURRENT, BOTH, "mA", 1, false},
    {JV_DIM_CURRENT, BOTH, "A", 1, true},
    {JV_DIM_RESISTANCE, BOTH, "mohm", 0, false},
    {JV_DIM_RESISTANCE, BOTH, "ohm", 1, true},
    {JV_DIM_RESISTANCE, BOTH, "kohm", 1, false},
    {JV_DIM_RESISTANCE, BOTH, "Mohm", 1, false},
    {JV_DIM_POWER, BOTH, "mW", 0, false},
    {JV_DIM_POWER, BOTH, "W", 1, true},
    {JV_DIM_POWER, BOTH, "kW", 1, false},
    {JV_DIM_CHARGE, BOTH, "mAh", 0, false},
    {JV_DIM_CHARGE, BOTH, "Ah", 1, true},
    {JV_DIM_TIME, BOTH, "ms", 0, false},
    {JV_DIM_TIME, BOTH, "s", 1, true},
    {JV_DIM_TIME, BOTH, "min", 2, false}, /* people say 90 s, not 1.5 min */
    {JV_DIM_TIME, BOTH, "h", 2, false},
    {JV_DIM_TIME, BOTH, "days", 2, false},
    {JV_DIM_TIME, BOTH, "years", 1, false},
    {JV_DIM_TEMPERATURE, SI, "degC", 0, true},
    {JV_DIM_TEMPERATURE, US, "degF", 0, true},
    {JV_DIM_TEMPERATURE_RISE, SI, "K", 0, true},
    {JV_DIM_TEMPERATURE_RISE, US, "degF", 0, true},
    {JV_DIM_FORCE, SI, "N", 0, true},
    {JV_DIM_FORCE, SI, "kN", 1, false},
    {JV_DIM_FORCE, US, "lbf", 0, true},
    {JV_DIM_PRESSURE, SI, "bar", 0, true},
    {JV_DIM_PRESSURE, US, "psi", 0, true},
    {JV_DIM_MASS, SI, "g", 0, false},
    {JV_DIM_MASS, SI, "kg", 1, true},
    {JV_DIM_MASS, US, "oz", 0, false},
    {JV_DIM_MASS, US, "lb", 1, true},
    {JV_DIM_SPEED, SI, "mm/s", 0, true},
    {JV_DIM_SPEED, SI, "m/s", 1, false},
    {JV_DIM_SPEED, US, "in/min", 0, true},
    {JV_DIM_SPEED, US, "in/s", 1, false},
    {JV_DIM_INDUCTANCE, BOTH, "uH", 0, false},
    {JV_DIM_INDUCTANCE, BOTH, "mH", 1, false},
    {JV_DIM_INDUCTANCE, BOTH, "H", 1, true},
    {JV_DIM_INERTIA, SI, "g cm2", 0, false},
    {JV_DIM_INERTIA, SI, "kg cm2", 1, false},
    {JV_DIM_INERTIA, SI, "kg m2", 1, true},
    {JV_DIM_INERTIA, US, "lb in2", 0, true},
    {JV_DIM_TORQUE, SI, "mN m", 0, false},
    {JV_DIM_TORQUE, SI, "N m", 1, true},
    {JV_DIM_TORQUE, US, "ozf in", 0, false},
    {JV_DIM_TORQUE, US, "lbf in", 1, true},
    {JV_DIM_TORQUE, US, "lbf ft", 10, false},
    {JV_DIM_FREQUENCY, BOTH, "Hz", 0, true},
    {JV_DIM_FREQUENCY, BOTH, "kHz", 1, false},
    {JV_DIM_MOTOR_CONSTANT, BOTH, "V s/rad", 0, true},
    {JV_DIM_DISPLACEMENT, SI, "cm3/rev", 0, true},
    {JV_DIM_DISPLACEMENT, US, "in3/rev", 0, true},
    {JV_DIM_ENERGY, BOTH, "mJ", 0, false},
    {JV_DIM_ENERGY, BOTH, "J", 1, true},
    {JV_DIM_ENERGY, BOTH, "kJ", 1, false},
    {JV_DIM_CAPACITANCE, BOTH, "pF", 0, false},
    {JV_DIM_CAPACITANCE, BOTH, "nF", 1, false},
    {JV_DIM_CAPACITANCE, BOTH, "uF", 1, false},
    {JV_DIM_CAPACITANCE, BOTH, "mF", 1, false},
    {JV_DIM_CAPACITANCE, BOTH, "F", 1, true},
    {JV_DIM_FLOW, SI, "cm3/s", 0, false},
    {JV_DIM_FLOW, SI, "L/min", 1, true},
    {JV_DIM_FLOW, US, "in3/min", 0, false},
    {JV_DIM_FLOW, US, "gpm", 1, true},
    {JV_DIM_THERMAL_RESISTANCE, BOTH, "K/W", 0, true},
    {JV_DIM_HEAT_CAPACITY, BOTH, "J/K", 0, true},
    {JV_DIM_HEAT_CAPACITY, BOTH, "kJ/K", 1, false},
    {JV_DIM_STIFFNESS, SI, "N/m", 0, false},
    {JV_DIM_STIFFNESS, SI, "N/mm", 1, true},
    {JV_DIM_STIFFNESS, US, "lbf/in", 0, true},
};

/* The value in a printed unit, with `digits` significant digits; returns their number. */
static double round_in(const printed_unit *row, double value, int digits, char out[32]) {
    double number = value;
    if (row != NULL) {
        char squeezed[16];
        size_t n = 0;
        for (const char *p = row->text; *p != '\0' && n + 1 < sizeof squeezed; p++) {
            if (*p != ' ') {
                squeezed[n++] = *p;
            }
        }
        squeezed[n] = '\0';
        /* Every printed unit is in the table of units: the test reads each of them back. */
        number = jv_unit_from_si(jv_unit_find(squeezed, row->dim), value);
    }
    char d[JV_NUMBER_DIGITS + 1];
    int exponent;
    double rounded = 0.0;
    if (number == 0.0 || !isfinite(number)) {
        memcpy(out, "0", 2);
        return number;
    }
    jv_number_digits(number, digits, d, &exponent);
    jv_number_layout(number < 0.0, d, exponent, out);
    jv_number_read(out, &rounded, NULL);
    return rounded;
}

static const printed_unit *choose(double value, jv_dim dim, jv_units units, int digits,
                                  char out[32]) {
    const printed_unit *chosen = NULL;
    for (size_t i = 0; i < sizeof PRINTED / sizeof PRINTED[0]; i++) {
        const printed_unit *row = &PRINTED[i];
        if (row->dim != dim || (row->systems & (1 << units)) == 0) {
            continue;
        }
        /* By the rounded number, so that 0.9996 V in three digits is 1.00 V and not 1000 mV. */
        if (chosen == NULL || (value == 0.0 && row->of_zero) ||
            (value != 0.0 && fabs(round_in(row, value, digits, out)) >= row->from)) {
            chosen = row;
        }
    }
    return chosen;
}

void jv_quantity_print(jv_text *out, double value, jv_dim dim, jv_units units, int digits) {
    const int most_digits = 9;
    if (isnan(value)) {
        jv_text_add(out, "unknown");
        return;
    }
    if (isinf(value)) {
        jv_text_add(out, value > 0.0 ? "infinite" : "-infinite");
        return;
    }
    digits = digits < 1 ? 1 : digits > most_digits ? most_digits : digits;
    char number[32];
    const printed_unit *row = choose(value, dim, units, digits, number);
    round_in(row, value, digits, number);
    jv_text_add(out, number);
    if (row != NULL) {
        jv_text_add_char(out, ' ');
        jv_text_add(out, row->text);
    }
}
