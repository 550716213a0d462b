/* units.c - the table of units. SPDX-License-Identifier: MIT
 *
 * Factors are exact by definition (BIPM, The International System of Units, 9th edition; NIST
 * Special Publication 811, 2008 edition, appendix B) unless a row says otherwise. */
#include "base/units.h"

#include "base/plain.h"

#include <string.h>

/* An enum holds no fractions, so the constants that the table shares are macros of this file. */
#define INCH 0.0254                         /* m */
#define FOOT 0.3048                         /* m */
#define POUND 0.45359237                    /* kg, avoirdupois */
#define GRAVITY 9.80665                     /* m/s2, standard acceleration of free fall */
#define POUND_FORCE (POUND * GRAVITY)       /* N, 4.4482216152605 */
#define GALLON (231.0 * INCH * INCH * INCH) /* m3, US liquid gallon, 231 in3 */
#define TURN 6.283185307179586              /* rad, one revolution, 2 pi */
#define ZERO_CELSIUS 273.15                 /* K */
#define ZERO_FAHRENHEIT 32.0                /* degF at 0 degC */
/* cmil: circle of one thousandth of an inch, pi/4 (INCH / 1000)^2; SP 811: 5.067075E-10 m2. */
#define CIRCULAR_MIL (TURN / 8.0 * (INCH / 1000.0) * (INCH / 1000.0))
/* Mechanical horsepower, 550 ft lbf/s; SP 811: 7.456999E+02 W. */
#define HORSEPOWER (550.0 * FOOT * POUND_FORCE)
#define MINUTE 60.0
#define HOUR 3600.0
#define DAY 86400.0
#define YEAR (365.0 * DAY) /* SP 811: "year (365 days)" */
#define MILE 1609.344      /* m */

#define WORD true   /* capitals do not matter */
#define EXACT false /* capitals matter: m and M, s and S are different things */

static const jv_unit UNITS[] = {
    {JV_DIM_RATIO, EXACT, "%", 1, 100, 0},
    {JV_DIM_RATIO, WORD, "percent", 1, 100, 0},

    {JV_DIM_LENGTH, EXACT, "m", 1, 1, 0},
    {JV_DIM_LENGTH, WORD, "cm", 1, 1e2, 0},
    {JV_DIM_LENGTH, WORD, "mm", 1, 1e3, 0},
    {JV_DIM_LENGTH, EXACT, "um", 1, 1e6, 0},
    {JV_DIM_LENGTH, WORD, "km", 1e3, 1, 0},
    {JV_DIM_LENGTH, WORD, "ft", FOOT, 1, 0},
    {JV_DIM_LENGTH, WORD, "feet", FOOT, 1, 0},
    {JV_DIM_LENGTH, WORD, "foot", FOOT, 1, 0},
    {JV_DIM_LENGTH, EXACT, "'", FOOT, 1, 0},
    {JV_DIM_LENGTH, WORD, "in", INCH, 1, 0},
    {JV_DIM_LENGTH, WORD, "inch", INCH, 1, 0},
    {JV_DIM_LENGTH, WORD, "inches", INCH, 1, 0},
    {JV_DIM_LENGTH, EXACT, "\"", INCH, 1, 0},
    {JV_DIM_LENGTH, WORD, "yd", 3 * FOOT, 1, 0},

    {JV_DIM_AREA, EXACT, "m2", 1, 1, 0},
    {JV_DIM_AREA, WORD, "cm2", 1, 1e4, 0},
    {JV_DIM_AREA, WORD, "mm2", 1, 1e6, 0},
    {JV_DIM_AREA, WORD, "in2", INCH *INCH, 1, 0},
    {JV_DIM_AREA, WORD, "ft2", FOOT *FOOT, 1, 0},
    {JV_DIM_AREA, WORD, "cmil", CIRCULAR_MIL, 1, 0},
    {JV_DIM_AREA, WORD, "kcmil", CIRCULAR_MIL * 1e3, 1, 0},

    {JV_DIM_VOLTAGE, WORD, "V", 1, 1, 0},
    {JV_DIM_VOLTAGE, EXACT, "mV", 1, 1e3, 0},
    {JV_DIM_VOLTAGE, EXACT, "uV", 1, 1e6, 0},
    {JV_DIM_VOLTAGE, WORD, "kV", 1e3, 1, 0},
    {JV_DIM_VOLTAGE, WORD, "VDC", 1, 1, 0},
    {JV_DIM_VOLTAGE, WORD, "volt", 1, 1, 0},
    {JV_DIM_VOLTAGE, WORD, "volts", 1, 1, 0},

    {JV_DIM_CURRENT, WORD, "A", 1, 1, 0},
    {JV_DIM_CURRENT, EXACT, "mA", 1, 1e3, 0},
    {JV_DIM_CURRENT, EXACT, "uA", 1, 1e6, 0},
    {JV_DIM_CURRENT, WORD, "kA", 1e3, 1, 0},
    {JV_DIM_CURRENT, WORD, "amp", 1, 1, 0},
    {JV_DIM_CURRENT, WORD, "amps", 1, 1, 0},

    {JV_DIM_RESISTANCE, WORD, "ohm", 1, 1, 0},
    {JV_DIM_RESISTANCE, WORD, "ohms", 1, 1, 0},
    {JV_DIM_RESISTANCE, EXACT, "mohm", 1, 1e3, 0},
    {JV_DIM_RESISTANCE, EXACT, "mohms", 1, 1e3, 0},
    {JV_DIM_RESISTANCE, WORD, "milliohm", 1, 1e3, 0},
    {JV_DIM_RESISTANCE, WORD, "milliohms", 1, 1e3, 0},
    {JV_DIM_RESISTANCE, EXACT, "uohm", 1, 1e6, 0},
    {JV_DIM_RESISTANCE, WORD, "microohm", 1, 1e6, 0},
    {JV_DIM_RESISTANCE, WORD, "kohm", 1e3, 1, 0},
    {JV_DIM_RESISTANCE, EXACT, "Mohm", 1e6, 1, 0},
    {JV_DIM_RESISTANCE, WORD, "megohm", 1e6, 1, 0},

    {JV_DIM_POWER, WORD, "W", 1, 1, 0},
    {JV_DIM_POWER, EXACT, "mW", 1, 1e3, 0},
    {JV_DIM_POWER, WORD, "kW", 1e3, 1, 0},
    {JV_DIM_POWER, WORD, "hp", HORSEPOWER, 1, 0},
    {JV_DIM_POWER, WORD, "watt", 1, 1, 0},
    {JV_DIM_POWER, WORD, "watts", 1, 1, 0},

    {JV_DIM_CHARGE, WORD, "Ah", HOUR, 1, 0},
    {JV_DIM_CHARGE, EXACT, "mAh", HOUR, 1e3, 0},
    {JV_DIM_CHARGE, EXACT, "As", 1, 1, 0},
    {JV_DIM_CHARGE, EXACT, "C", 1, 1, 0},

    {JV_DIM_TIME, EXACT, "s", 1, 1, 0},
    {JV_DIM_TIME, WORD, "sec", 1, 1, 0},
    {JV_DIM_TIME, WORD, "second", 1, 1, 0},
    {JV_DIM_TIME, WORD, "seconds", 1, 1, 0},
    {JV_DIM_TIME, EXACT, "ms", 1, 1e3, 0},
    {JV_DIM_TIME, EXACT, "us", 1, 1e6, 0},
    {JV_DIM_TIME, WORD, "min", MINUTE, 1, 0},
    {JV_DIM_TIME, WORD, "minute", MINUTE, 1, 0},
    {JV_DIM_TIME, WORD, "minutes", MINUTE, 1, 0},
    {JV_DIM_TIME, EXACT, "h", HOUR, 1, 0},
    {JV_DIM_TIME, WORD, "hr", HOUR, 1, 0},
    {JV_DIM_TIME, WORD, "hour", HOUR, 1, 0},
    {JV_DIM_TIME, WORD, "hours", HOUR, 1, 0},
    {JV_DIM_TIME, WORD, "day", DAY, 1, 0},
    {JV_DIM_TIME, WORD, "days", DAY, 1, 0},
    {JV_DIM_TIME, WORD, "month", YEAR, 12, 0},
    {JV_DIM_TIME, WORD, "months", YEAR, 12, 0},
    {JV_DIM_TIME, WORD, "year", YEAR, 1, 0},
    {JV_DIM_TIME, WORD, "years", YEAR, 1, 0},

    {JV_DIM_TEMPERATURE, WORD, "degC", 1, 1, 0},
    {JV_DIM_TEMPERATURE, WORD, "C", 1, 1, 0},
    {JV_DIM_TEMPERATURE, WORD, "degF", 5, 9, ZERO_FAHRENHEIT},
    {JV_DIM_TEMPERATURE, WORD, "F", 5, 9, ZERO_FAHRENHEIT},
    {JV_DIM_TEMPERATURE, EXACT, "K", 1, 1, ZERO_CELSIUS},

    {JV_DIM_TEMPERATURE_RISE, EXACT, "K", 1, 1, 0},
    {JV_DIM_TEMPERATURE_RISE, WORD, "degC", 1, 1, 0},
    {JV_DIM_TEMPERATURE_RISE, WORD, "C", 1, 1, 0},
    {JV_DIM_TEMPERATURE_RISE, WORD, "degF", 5, 9, 0},
    {JV_DIM_TEMPERATURE_RISE, WORD, "F", 5, 9, 0},

    {JV_DIM_FORCE, WORD, "N", 1, 1, 0},
    {JV_DIM_FORCE, WORD, "kN", 1e3, 1, 0},
    {JV_DIM_FORCE, WORD, "lbf", POUND_FORCE, 1, 0},
    {JV_DIM_FORCE, WORD, "lb", POUND_FORCE, 1, 0}, /* the trade's word where a force is due */
    {JV_DIM_FORCE, WORD, "lbs", POUND_FORCE, 1, 0},
    {JV_DIM_FORCE, WORD, "kgf", GRAVITY, 1, 0},

    {JV_DIM_PRESSURE, WORD, "Pa", 1, 1, 0},
    {JV_DIM_PRESSURE, WORD, "kPa", 1e3, 1, 0},
    {JV_DIM_PRESSURE, EXACT, "MPa", 1e6, 1, 0},
    {JV_DIM_PRESSURE, WORD, "bar", 1e5, 1, 0},
    {JV_DIM_PRESSURE, EXACT, "mbar", 1e2, 1, 0},
    /* lbf/in2; SP 811: 6.894757E+03 Pa */
    {JV_DIM_PRESSURE, WORD, "psi", POUND_FORCE, INCH *INCH, 0},

    {JV_DIM_MASS, WORD, "kg", 1, 1, 0},
    {JV_DIM_MASS, WORD, "g", 1, 1e3, 0},
    {JV_DIM_MASS, WORD, "lb", POUND, 1, 0},
    {JV_DIM_MASS, WORD, "lbs", POUND, 1, 0},
    {JV_DIM_MASS, WORD, "oz", POUND, 16, 0},

    {JV_DIM_SPEED, EXACT, "m/s", 1, 1, 0},
    {JV_DIM_SPEED, WORD, "cm/s", 1, 1e2, 0},
    {JV_DIM_SPEED, WORD, "mm/s", 1, 1e3, 0},
    {JV_DIM_SPEED, EXACT, "m/min", 1, MINUTE, 0},
    {JV_DIM_SPEED, WORD, "mm/min", 1, MINUTE * 1e3, 0},
    {JV_DIM_SPEED, WORD, "in/s", INCH, 1, 0},
    {JV_DIM_SPEED, WORD, "in/min", INCH, MINUTE, 0},
    {JV_DIM_SPEED, WORD, "ft/s", FOOT, 1, 0},
    {JV_DIM_SPEED, WORD, "ft/min", FOOT, MINUTE, 0},
    {JV_DIM_SPEED, WORD, "km/h", 1e3, HOUR, 0},
    {JV_DIM_SPEED, WORD, "mph", MILE, HOUR, 0},

    {JV_DIM_INDUCTANCE, EXACT, "H", 1, 1, 0},
    {JV_DIM_INDUCTANCE, EXACT, "mH", 1, 1e3, 0},
    {JV_DIM_INDUCTANCE, EXACT, "uH", 1, 1e6, 0},
    {JV_DIM_INDUCTANCE, EXACT, "nH", 1, 1e9, 0},

    {JV_DIM_INERTIA, EXACT, "kgm2", 1, 1, 0},
    {JV_DIM_INERTIA, WORD, "kgcm2", 1, 1e4, 0},
    {JV_DIM_INERTIA, WORD, "gcm2", 1, 1e7, 0},
    {JV_DIM_INERTIA, EXACT, "kgmm2", 1, 1e6, 0},
    {JV_DIM_INERTIA, WORD, "lbin2", POUND *INCH *INCH, 1, 0},
    {JV_DIM_INERTIA, WORD, "lbft2", POUND *FOOT *FOOT, 1, 0},

    {JV_DIM_TORQUE, EXACT, "Nm", 1, 1, 0},
    {JV_DIM_TORQUE, EXACT, "mNm", 1, 1e3, 0},
    {JV_DIM_TORQUE, WORD, "Ncm", 1, 1e2, 0},
    {JV_DIM_TORQUE, EXACT, "kNm", 1e3, 1, 0},
    {JV_DIM_TORQUE, WORD, "lbfin", POUND_FORCE *INCH, 1, 0},
    {JV_DIM_TORQUE, WORD, "inlbf", POUND_FORCE *INCH, 1, 0},
    {JV_DIM_TORQUE, WORD, "lbin", POUND_FORCE *INCH, 1, 0},
    {JV_DIM_TORQUE, WORD, "inlb", POUND_FORCE *INCH, 1, 0},
    {JV_DIM_TORQUE, WORD, "lbfft", POUND_FORCE *FOOT, 1, 0},
    {JV_DIM_TORQUE, WORD, "ftlbf", POUND_FORCE *FOOT, 1, 0},
    {JV_DIM_TORQUE, WORD, "lbft", POUND_FORCE *FOOT, 1, 0},
    {JV_DIM_TORQUE, WORD, "ftlb", POUND_FORCE *FOOT, 1, 0},
    {JV_DIM_TORQUE, WORD, "ozfin", POUND_FORCE *INCH, 16, 0},
    {JV_DIM_TORQUE, WORD, "ozin", POUND_FORCE *INCH, 16, 0},

    {JV_DIM_FREQUENCY, WORD, "Hz", 1, 1, 0},
    {JV_DIM_FREQUENCY, WORD, "kHz", 1e3, 1, 0},
    {JV_DIM_FREQUENCY, WORD, "rpm", 1, MINUTE, 0},
    {JV_DIM_FREQUENCY, WORD, "rev/min", 1, MINUTE, 0},
    {JV_DIM_FREQUENCY, WORD, "rev/s", 1, 1, 0},
    {JV_DIM_FREQUENCY, WORD, "rad/s", 1, TURN, 0},

    {JV_DIM_MOTOR_CONSTANT, EXACT, "Vs/rad", 1, 1, 0},
    {JV_DIM_MOTOR_CONSTANT, EXACT, "mVs/rad", 1, 1e3, 0},
    {JV_DIM_MOTOR_CONSTANT, EXACT, "Nm/A", 1, 1, 0},
    {JV_DIM_MOTOR_CONSTANT, EXACT, "mNm/A", 1, 1e3, 0},
    {JV_DIM_MOTOR_CONSTANT, EXACT, "V/rpm", MINUTE, TURN, 0},
    {JV_DIM_MOTOR_CONSTANT, EXACT, "mV/rpm", MINUTE, TURN * 1e3, 0},
    {JV_DIM_MOTOR_CONSTANT, EXACT, "V/krpm", MINUTE, TURN * 1e3, 0},

    {JV_DIM_DISPLACEMENT, EXACT, "m3/rad", 1, 1, 0},
    {JV_DIM_DISPLACEMENT, WORD, "cm3/rad", 1, 1e6, 0},
    {JV_DIM_DISPLACEMENT, WORD, "cm3/rev", 1, TURN * 1e6, 0},
    {JV_DIM_DISPLACEMENT, WORD, "cc/rev", 1, TURN * 1e6, 0},
    {JV_DIM_DISPLACEMENT, EXACT, "mL/rev", 1, TURN * 1e6, 0},
    {JV_DIM_DISPLACEMENT, WORD, "in3/rev", INCH *INCH *INCH, TURN, 0},

    {JV_DIM_ENERGY, WORD, "J", 1, 1, 0},
    {JV_DIM_ENERGY, EXACT, "mJ", 1, 1e3, 0},
    {JV_DIM_ENERGY, WORD, "kJ", 1e3, 1, 0},
    {JV_DIM_ENERGY, EXACT, "MJ", 1e6, 1, 0},
    {JV_DIM_ENERGY, WORD, "Wh", HOUR, 1, 0},
    {JV_DIM_ENERGY, WORD, "kWh", HOUR * 1e3, 1, 0},
    {JV_DIM_ENERGY, WORD, "ftlbf", FOOT *POUND_FORCE, 1, 0},

    {JV_DIM_CAPACITANCE, EXACT, "F", 1, 1, 0},
    {JV_DIM_CAPACITANCE, EXACT, "mF", 1, 1e3, 0},
    {JV_DIM_CAPACITANCE, EXACT, "uF", 1, 1e6, 0},
    {JV_DIM_CAPACITANCE, EXACT, "nF", 1, 1e9, 0},
    {JV_DIM_CAPACITANCE, EXACT, "pF", 1, 1e12, 0},

    {JV_DIM_FLOW, EXACT, "m3/s", 1, 1, 0},
    {JV_DIM_FLOW, WORD, "cm3/s", 1, 1e6, 0},
    {JV_DIM_FLOW, WORD, "L/min", 1, MINUTE * 1e3, 0},
    {JV_DIM_FLOW, WORD, "L/s", 1, 1e3, 0},
    {JV_DIM_FLOW, WORD, "gpm", GALLON, MINUTE, 0},
    {JV_DIM_FLOW, WORD, "gal/min", GALLON, MINUTE, 0},
    {JV_DIM_FLOW, WORD, "in3/s", INCH *INCH *INCH, 1, 0},
    {JV_DIM_FLOW, WORD, "in3/min", INCH *INCH *INCH, MINUTE, 0},

    {JV_DIM_THERMAL_RESISTANCE, EXACT, "K/W", 1, 1, 0},
    {JV_DIM_THERMAL_RESISTANCE, WORD, "degC/W", 1, 1, 0},
    {JV_DIM_THERMAL_RESISTANCE, WORD, "C/W", 1, 1, 0},
    {JV_DIM_THERMAL_RESISTANCE, WORD, "degF/W", 5, 9, 0},

    {JV_DIM_HEAT_CAPACITY, EXACT, "J/K", 1, 1, 0},
    {JV_DIM_HEAT_CAPACITY, EXACT, "kJ/K", 1e3, 1, 0},
    {JV_DIM_HEAT_CAPACITY, WORD, "J/degC", 1, 1, 0},
    {JV_DIM_HEAT_CAPACITY, WORD, "J/C", 1, 1, 0},

    {JV_DIM_STIFFNESS, EXACT, "N/m", 1, 1, 0},
    {JV_DIM_STIFFNESS, WORD, "N/mm", 1e3, 1, 0},
    {JV_DIM_STIFFNESS, EXACT, "kN/m", 1e3, 1, 0},
    {JV_DIM_STIFFNESS, WORD, "lbf/in", POUND_FORCE, INCH, 0},
    {JV_DIM_STIFFNESS, WORD, "lb/in", POUND_FORCE, INCH, 0},
    {JV_DIM_STIFFNESS, WORD, "lbf/ft", POUND_FORCE, FOOT, 0},
    {JV_DIM_STIFFNESS, WORD, "lb/ft", POUND_FORCE, FOOT, 0},
};

static const struct {
    const char *name;
    const char *units;
} DIMENSIONS[JV_DIM_COUNT_] = {
    [JV_DIM_NUMBER] = {"number", "none"},
    [JV_DIM_RATIO] = {"ratio", "%"},
    [JV_DIM_LENGTH] = {"length", "m, cm, mm, ft, in"},
    [JV_DIM_AREA] = {"area", "mm2, cm2, m2, in2, kcmil"},
    [JV_DIM_VOLTAGE] = {"voltage", "V, mV"},
    [JV_DIM_CURRENT] = {"current", "A, mA, uA"},
    [JV_DIM_RESISTANCE] = {"resistance", "ohm, mohm, uohm, kohm, Mohm"},
    [JV_DIM_POWER] = {"power", "W, mW, kW, hp"},
    [JV_DIM_CHARGE] = {"charge", "Ah, mAh, C"},
    [JV_DIM_TIME] = {"time", "s, ms, min, h, days, months, years"},
    [JV_DIM_TEMPERATURE] = {"temperature", "degC, degF, K"},
    [JV_DIM_TEMPERATURE_RISE] = {"temperature difference", "K, degC, degF"},
    [JV_DIM_FORCE] = {"force", "N, kN, lbf, kgf"},
    [JV_DIM_PRESSURE] = {"pressure", "bar, kPa, MPa, psi"},
    [JV_DIM_MASS] = {"mass", "kg, g, lb, oz"},
    [JV_DIM_SPEED] = {"speed", "mm/s, m/s, in/s, in/min, ft/min"},
    [JV_DIM_INDUCTANCE] = {"inductance", "H, mH, uH"},
    [JV_DIM_INERTIA] = {"inertia", "kg m2, kg cm2, g cm2, lb in2"},
    [JV_DIM_TORQUE] = {"torque", "N m, mN m, lbf in, lbf ft, ozf in"},
    [JV_DIM_FREQUENCY] = {"frequency", "Hz, kHz, rpm, rad/s"},
    [JV_DIM_MOTOR_CONSTANT] = {"motor constant", "V s/rad, N m/A, V/krpm"},
    [JV_DIM_DISPLACEMENT] = {"displacement", "cm3/rev, in3/rev, m3/rad"},
    [JV_DIM_ENERGY] = {"energy", "J, kJ, Wh"},
    [JV_DIM_CAPACITANCE] = {"capacitance", "F, mF, uF, nF, pF"},
    [JV_DIM_FLOW] = {"flow", "L/min, cm3/s, gpm, in3/min"},
    [JV_DIM_THERMAL_RESISTANCE] = {"thermal resistance", "K/W, degC/W"},
    [JV_DIM_HEAT_CAPACITY] = {"heat capacity", "J/K, kJ/K"},
    [JV_DIM_STIFFNESS] = {"stiffness", "N/m, N/mm, lbf/in"},
};

static bool same_in_any_case(const char *a, const char *b) {
    while (*a != '\0' && jv_plain_lower(*a) == jv_plain_lower(*b)) {
        a++;
        b++;
    }
    return *a == *b;
}

/* dim JV_DIM_COUNT_: any dimension. A unit written as the table has it goes before one in which
 * only capitals differ. */
static const jv_unit *find(const char *text, jv_dim dim) {
    const jv_unit *loose = NULL;
    for (size_t i = 0; i < sizeof UNITS / sizeof UNITS[0]; i++) {
        const jv_unit *unit = &UNITS[i];
        if (dim != JV_DIM_COUNT_ && unit->dim != dim) {
            continue;
        }
        if (strcmp(unit->text, text) == 0) {
            return unit;
        }
        if (loose == NULL && unit->any_case && same_in_any_case(unit->text, text)) {
            loose = unit;
        }
    }
    return loose;
}

const jv_unit *jv_unit_find(const char *text, jv_dim dim) {
    return find(text, dim);
}

const jv_unit *jv_unit_find_any(const char *text) {
    return find(text, JV_DIM_COUNT_);
}

double jv_unit_to_si(const jv_unit *unit, double number) {
    return (number - unit->zero) * unit->multiplier / unit->divisor;
}

double jv_unit_difference_to_si(const jv_unit *unit, double number) {
    return number * unit->multiplier / unit->divisor;
}

double jv_unit_from_si(const jv_unit *unit, double value) {
    return value * unit->divisor / unit->multiplier + unit->zero;
}

const char *jv_dim_name(jv_dim dim) {
    return (unsigned)dim < JV_DIM_COUNT_ ? DIMENSIONS[dim].name : "unknown dimension";
}

const char *jv_dim_units(jv_dim dim) {
    return (unsigned)dim < JV_DIM_COUNT_ ? DIMENSIONS[dim].units : "none";
}
