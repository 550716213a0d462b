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
    {JV_DIM_RATIO, "%", 1, 100, 0, EXACT},
    {JV_DIM_RATIO, "percent", 1, 100, 0, WORD},

    {JV_DIM_LENGTH, "m", 1, 1, 0, EXACT},
    {JV_DIM_LENGTH, "cm", 1, 1e2, 0, WORD},
    {JV_DIM_LENGTH, "mm", 1, 1e3, 0, WORD},
    {JV_DIM_LENGTH, "um", 1, 1e6, 0, EXACT},
    {JV_DIM_LENGTH, "km", 1e3, 1, 0, WORD},
    {JV_DIM_LENGTH, "ft", FOOT, 1, 0, WORD},
    {JV_DIM_LENGTH, "feet", FOOT, 1, 0, WORD},
    {JV_DIM_LENGTH, "foot", FOOT, 1, 0, WORD},
    {JV_DIM_LENGTH, "'", FOOT, 1, 0, EXACT},
    {JV_DIM_LENGTH, "in", INCH, 1, 0, WORD},
    {JV_DIM_LENGTH, "inch", INCH, 1, 0, WORD},
    {JV_DIM_LENGTH, "inches", INCH, 1, 0, WORD},
    {JV_DIM_LENGTH, "\"", INCH, 1, 0, EXACT},
    {JV_DIM_LENGTH, "yd", 3 * FOOT, 1, 0, WORD},

    {JV_DIM_AREA, "m2", 1, 1, 0, EXACT},
    {JV_DIM_AREA, "cm2", 1, 1e4, 0, WORD},
    {JV_DIM_AREA, "mm2", 1, 1e6, 0, WORD},
    {JV_DIM_AREA, "in2", INCH *INCH, 1, 0, WORD},
    {JV_DIM_AREA, "ft2", FOOT *FOOT, 1, 0, WORD},
    {JV_DIM_AREA, "cmil", CIRCULAR_MIL, 1, 0, WORD},
    {JV_DIM_AREA, "kcmil", CIRCULAR_MIL * 1e3, 1, 0, WORD},

    {JV_DIM_VOLTAGE, "V", 1, 1, 0, WORD},
    {JV_DIM_VOLTAGE, "mV", 1, 1e3, 0, EXACT},
    {JV_DIM_VOLTAGE, "uV", 1, 1e6, 0, EXACT},
    {JV_DIM_VOLTAGE, "kV", 1e3, 1, 0, WORD},
    {JV_DIM_VOLTAGE, "VDC", 1, 1, 0, WORD},
    {JV_DIM_VOLTAGE, "volt", 1, 1, 0, WORD},
    {JV_DIM_VOLTAGE, "volts", 1, 1, 0, WORD},

    {JV_DIM_CURRENT, "A", 1, 1, 0, WORD},
    {JV_DIM_CURRENT, "mA", 1, 1e3, 0, EXACT},
    {JV_DIM_CURRENT, "uA", 1, 1e6, 0, EXACT},
    {JV_DIM_CURRENT, "kA", 1e3, 1, 0, WORD},
    {JV_DIM_CURRENT, "amp", 1, 1, 0, WORD},
    {JV_DIM_CURRENT, "amps", 1, 1, 0, WORD},

    {JV_DIM_RESISTANCE, "ohm", 1, 1, 0, WORD},
    {JV_DIM_RESISTANCE, "ohms", 1, 1, 0, WORD},
    {JV_DIM_RESISTANCE, "mohm", 1, 1e3, 0, EXACT},
    {JV_DIM_RESISTANCE, "mohms", 1, 1e3, 0, EXACT},
    {JV_DIM_RESISTANCE, "milliohm", 1, 1e3, 0, WORD},
    {JV_DIM_RESISTANCE, "milliohms", 1, 1e3, 0, WORD},
    {JV_DIM_RESISTANCE, "uohm", 1, 1e6, 0, EXACT},
    {JV_DIM_RESISTANCE, "microohm", 1, 1e6, 0, WORD},
    {JV_DIM_RESISTANCE, "kohm", 1e3, 1, 0, WORD},
    {JV_DIM_RESISTANCE, "Mohm", 1e6, 1, 0, EXACT},
    {JV_DIM_RESISTANCE, "megohm", 1e6, 1, 0, WORD},

    {JV_DIM_POWER, "W", 1, 1, 0, WORD},
    {JV_DIM_POWER, "mW", 1, 1e3, 0, EXACT},
    {JV_DIM_POWER, "kW", 1e3, 1, 0, WORD},
    {JV_DIM_POWER, "hp", HORSEPOWER, 1, 0, WORD},
    {JV_DIM_POWER, "watt", 1, 1, 0, WORD},
    {JV_DIM_POWER, "watts", 1, 1, 0, WORD},

    {JV_DIM_CHARGE, "Ah", HOUR, 1, 0, WORD},
    {JV_DIM_CHARGE, "mAh", HOUR, 1e3, 0, EXACT},
    {JV_DIM_CHARGE, "As", 1, 1, 0, EXACT},
    {JV_DIM_CHARGE, "C", 1, 1, 0, EXACT},

    {JV_DIM_TIME, "s", 1, 1, 0, EXACT},
    {JV_DIM_TIME, "sec", 1, 1, 0, WORD},
    {JV_DIM_TIME, "second", 1, 1, 0, WORD},
    {JV_DIM_TIME, "seconds", 1, 1, 0, WORD},
    {JV_DIM_TIME, "ms", 1, 1e3, 0, EXACT},
    {JV_DIM_TIME, "us", 1, 1e6, 0, EXACT},
    {JV_DIM_TIME, "min", MINUTE, 1, 0, WORD},
    {JV_DIM_TIME, "minute", MINUTE, 1, 0, WORD},
    {JV_DIM_TIME, "minutes", MINUTE, 1, 0, WORD},
    {JV_DIM_TIME, "h", HOUR, 1, 0, EXACT},
    {JV_DIM_TIME, "hr", HOUR, 1, 0, WORD},
    {JV_DIM_TIME, "hour", HOUR, 1, 0, WORD},
    {JV_DIM_TIME, "hours", HOUR, 1, 0, WORD},
    {JV_DIM_TIME, "day", DAY, 1, 0, WORD},
    {JV_DIM_TIME, "days", DAY, 1, 0, WORD},
    {JV_DIM_TIME, "month", YEAR, 12, 0, WORD},
    {JV_DIM_TIME, "months", YEAR, 12, 0, WORD},
    {JV_DIM_TIME, "year", YEAR, 1, 0, WORD},
    {JV_DIM_TIME, "years", YEAR, 1, 0, WORD},

    {JV_DIM_TEMPERATURE, "degC", 1, 1, 0, WORD},
    {JV_DIM_TEMPERATURE, "C", 1, 1, 0, WORD},
    {JV_DIM_TEMPERATURE, "degF", 5, 9, ZERO_FAHRENHEIT, WORD},
    {JV_DIM_TEMPERATURE, "F", 5, 9, ZERO_FAHRENHEIT, WORD},
    {JV_DIM_TEMPERATURE, "K", 1, 1, ZERO_CELSIUS, EXACT},

    {JV_DIM_TEMPERATURE_RISE, "K", 1, 1, 0, EXACT},
    {JV_DIM_TEMPERATURE_RISE, "degC", 1, 1, 0, WORD},
    {JV_DIM_TEMPERATURE_RISE, "C", 1, 1, 0, WORD},
    {JV_DIM_TEMPERATURE_RISE, "degF", 5, 9, 0, WORD},
    {JV_DIM_TEMPERATURE_RISE, "F", 5, 9, 0, WORD},

    {JV_DIM_FORCE, "N", 1, 1, 0, WORD},
    {JV_DIM_FORCE, "kN", 1e3, 1, 0, WORD},
    {JV_DIM_FORCE, "lbf", POUND_FORCE, 1, 0, WORD},
    {JV_DIM_FORCE, "lb", POUND_FORCE, 1, 0, WORD}, /* the trade's word where a force is due */
    {JV_DIM_FORCE, "lbs", POUND_FORCE, 1, 0, WORD},
    {JV_DIM_FORCE, "kgf", GRAVITY, 1, 0, WORD},

    {JV_DIM_PRESSURE, "Pa", 1, 1, 0, WORD},
    {JV_DIM_PRESSURE, "kPa", 1e3, 1, 0, WORD},
    {JV_DIM_PRESSURE, "MPa", 1e6, 1, 0, EXACT},
    {JV_DIM_PRESSURE, "bar", 1e5, 1, 0, WORD},
    {JV_DIM_PRESSURE, "mbar", 1e2, 1, 0, EXACT},
    /* lbf/in2; SP 811: 6.894757E+03 Pa */
    {JV_DIM_PRESSURE, "psi", POUND_FORCE, INCH *INCH, 0, WORD},

    {JV_DIM_MASS, "kg", 1, 1, 0, WORD},
    {JV_DIM_MASS, "g", 1, 1e3, 0, WORD},
    {JV_DIM_MASS, "lb", POUND, 1, 0, WORD},
    {JV_DIM_MASS, "lbs", POUND, 1, 0, WORD},
    {JV_DIM_MASS, "oz", POUND, 16, 0, WORD},

    {JV_DIM_SPEED, "m/s", 1, 1, 0, EXACT},
    {JV_DIM_SPEED, "cm/s", 1, 1e2, 0, WORD},
    {JV_DIM_SPEED, "mm/s", 1, 1e3, 0, WORD},
    {JV_DIM_SPEED, "m/min", 1, MINUTE, 0, EXACT},
    {JV_DIM_SPEED, "mm/min", 1, MINUTE * 1e3, 0, WORD},
    {JV_DIM_SPEED, "in/s", INCH, 1, 0, WORD},
    {JV_DIM_SPEED, "in/min", INCH, MINUTE, 0, WORD},
    {JV_DIM_SPEED, "ft/s", FOOT, 1, 0, WORD},
    {JV_DIM_SPEED, "ft/min", FOOT, MINUTE, 0, WORD},
    {JV_DIM_SPEED, "km/h", 1e3, HOUR, 0, WORD},
    {JV_DIM_SPEED, "mph", MILE, HOUR, 0, WORD},

    {JV_DIM_INDUCTANCE, "H", 1, 1, 0, EXACT},
    {JV_DIM_INDUCTANCE, "mH", 1, 1e3, 0, EXACT},
    {JV_DIM_INDUCTANCE, "uH", 1, 1e6, 0, EXACT},
    {JV_DIM_INDUCTANCE, "nH", 1, 1e9, 0, EXACT},

    {JV_DIM_INERTIA, "kgm2", 1, 1, 0, EXACT},
    {JV_DIM_INERTIA, "kgcm2", 1, 1e4, 0, WORD},
    {JV_DIM_INERTIA, "gcm2", 1, 1e7, 0, WORD},
    {JV_DIM_INERTIA, "kgmm2", 1, 1e6, 0, EXACT},
    {JV_DIM_INERTIA, "lbin2", POUND *INCH *INCH, 1, 0, WORD},
    {JV_DIM_INERTIA, "lbft2", POUND *FOOT *FOOT, 1, 0, WORD},

    {JV_DIM_TORQUE, "Nm", 1, 1, 0, EXACT},
    {JV_DIM_TORQUE, "mNm", 1, 1e3, 0, EXACT},
    {JV_DIM_TORQUE, "Ncm", 1, 1e2, 0, WORD},
    {JV_DIM_TORQUE, "kNm", 1e3, 1, 0, EXACT},
    {JV_DIM_TORQUE, "lbfin", POUND_FORCE *INCH, 1, 0, WORD},
    {JV_DIM_TORQUE, "inlbf", POUND_FORCE *INCH, 1, 0, WORD},
    {JV_DIM_TORQUE, "lbin", POUND_FORCE *INCH, 1, 0, WORD},
    {JV_DIM_TORQUE, "inlb", POUND_FORCE *INCH, 1, 0, WORD},
    {JV_DIM_TORQUE, "lbfft", POUND_FORCE *FOOT, 1, 0, WORD},
    {JV_DIM_TORQUE, "ftlbf", POUND_FORCE *FOOT, 1, 0, WORD},
    {JV_DIM_TORQUE, "lbft", POUND_FORCE *FOOT, 1, 0, WORD},
    {JV_DIM_TORQUE, "ftlb", POUND_FORCE *FOOT, 1, 0, WORD},
    {JV_DIM_TORQUE, "ozfin", POUND_FORCE *INCH, 16, 0, WORD},
    {JV_DIM_TORQUE, "ozin", POUND_FORCE *INCH, 16, 0, WORD},

    {JV_DIM_FREQUENCY, "Hz", 1, 1, 0, WORD},
    {JV_DIM_FREQUENCY, "kHz", 1e3, 1, 0, WORD},
    {JV_DIM_FREQUENCY, "rpm", 1, MINUTE, 0, WORD},
    {JV_DIM_FREQUENCY, "rev/min", 1, MINUTE, 0, WORD},
    {JV_DIM_FREQUENCY, "rev/s", 1, 1, 0, WORD},
    {JV_DIM_FREQUENCY, "rad/s", 1, TURN, 0, WORD},

    {JV_DIM_MOTOR_CONSTANT, "Vs/rad", 1, 1, 0, EXACT},
    {JV_DIM_MOTOR_CONSTANT, "mVs/rad", 1, 1e3, 0, EXACT},
    {JV_DIM_MOTOR_CONSTANT, "Nm/A", 1, 1, 0, EXACT},
    {JV_DIM_MOTOR_CONSTANT, "mNm/A", 1, 1e3, 0, EXACT},
    {JV_DIM_MOTOR_CONSTANT, "V/rpm", MINUTE, TURN, 0, EXACT},
    {JV_DIM_MOTOR_CONSTANT, "mV/rpm", MINUTE, TURN * 1e3, 0, EXACT},
    {JV_DIM_MOTOR_CONSTANT, "V/krpm", MINUTE, TURN * 1e3, 0, EXACT},

    {JV_DIM_DISPLACEMENT, "m3/rad", 1, 1, 0, EXACT},
    {JV_DIM_DISPLACEMENT, "cm3/rad", 1, 1e6, 0, WORD},
    {JV_DIM_DISPLACEMENT, "cm3/rev", 1, TURN * 1e6, 0, WORD},
    {JV_DIM_DISPLACEMENT, "cc/rev", 1, TURN * 1e6, 0, WORD},
    {JV_DIM_DISPLACEMENT, "mL/rev", 1, TURN * 1e6, 0, EXACT},
    {JV_DIM_DISPLACEMENT, "in3/rev", INCH *INCH *INCH, TURN, 0, WORD},

    {JV_DIM_ENERGY, "J", 1, 1, 0, WORD},
    {JV_DIM_ENERGY, "mJ", 1, 1e3, 0, EXACT},
    {JV_DIM_ENERGY, "kJ", 1e3, 1, 0, WORD},
    {JV_DIM_ENERGY, "MJ", 1e6, 1, 0, EXACT},
    {JV_DIM_ENERGY, "Wh", HOUR, 1, 0, WORD},
    {JV_DIM_ENERGY, "kWh", HOUR * 1e3, 1, 0, WORD},
    {JV_DIM_ENERGY, "ftlbf", FOOT *POUND_FORCE, 1, 0, WORD},

    {JV_DIM_CAPACITANCE, "F", 1, 1, 0, EXACT},
    {JV_DIM_CAPACITANCE, "mF", 1, 1e3, 0, EXACT},
    {JV_DIM_CAPACITANCE, "uF", 1, 1e6, 0, EXACT},
    {JV_DIM_CAPACITANCE, "nF", 1, 1e9, 0, EXACT},
    {JV_DIM_CAPACITANCE, "pF", 1, 1e12, 0, EXACT},

    {JV_DIM_FLOW, "m3/s", 1, 1, 0, EXACT},
    {JV_DIM_FLOW, "cm3/s", 1, 1e6, 0, WORD},
    {JV_DIM_FLOW, "L/min", 1, MINUTE * 1e3, 0, WORD},
    {JV_DIM_FLOW, "L/s", 1, 1e3, 0, WORD},
    {JV_DIM_FLOW, "gpm", GALLON, MINUTE, 0, WORD},
    {JV_DIM_FLOW, "gal/min", GALLON, MINUTE, 0, WORD},
    {JV_DIM_FLOW, "in3/s", INCH *INCH *INCH, 1, 0, WORD},
    {JV_DIM_FLOW, "in3/min", INCH *INCH *INCH, MINUTE, 0, WORD},

    {JV_DIM_THERMAL_RESISTANCE, "K/W", 1, 1, 0, EXACT},
    {JV_DIM_THERMAL_RESISTANCE, "degC/W", 1, 1, 0, WORD},
    {JV_DIM_THERMAL_RESISTANCE, "C/W", 1, 1, 0, WORD},
    {JV_DIM_THERMAL_RESISTANCE, "degF/W", 5, 9, 0, WORD},

    {JV_DIM_HEAT_CAPACITY, "J/K", 1, 1, 0, EXACT},
    {JV_DIM_HEAT_CAPACITY, "kJ/K", 1e3, 1, 0, EXACT},
    {JV_DIM_HEAT_CAPACITY, "J/degC", 1, 1, 0, WORD},
    {JV_DIM_HEAT_CAPACITY, "J/C", 1, 1, 0, WORD},

    {JV_DIM_STIFFNESS, "N/m", 1, 1, 0, EXACT},
    {JV_DIM_STIFFNESS, "N/mm", 1e3, 1, 0, WORD},
    {JV_DIM_STIFFNESS, "kN/m", 1e3, 1, 0, EXACT},
    {JV_DIM_STIFFNESS, "lbf/in", POUND_FORCE, INCH, 0, WORD},
    {JV_DIM_STIFFNESS, "lb/in", POUND_FORCE, INCH, 0, WORD},
    {JV_DIM_STIFFNESS, "lbf/ft", POUND_FORCE, FOOT, 0, WORD},
    {JV_DIM_STIFFNESS, "lb/ft", POUND_FORCE, FOOT, 0, WORD},
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
