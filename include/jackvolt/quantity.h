/* quantity.h - quantities with units and spread. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_QUANTITY_H
#define JACKVOLT_QUANTITY_H

#include "jackvolt/status.h"
#include "jackvolt/text.h"

#include <stdbool.h>
#include <stddef.h>

/* Dimensions. Values are SI everywhere inside: m, m2 (but conductor areas are
 * named area_mm2 and say so), V, A, ohm, W, s, degC for temperatures, K for
 * differences, N, Pa, kg, C (ampere second) for charge, fraction (0..1) for
 * ratios, m/s, H, kg m2, N m, Hz, V s/rad, m3/rad, J, F, m3/s, K/W, J/K. */
typedef enum jv_dim {
    JV_DIM_NUMBER, /* plain number; a bare JSON number is right here */
    JV_DIM_RATIO,  /* percent or fraction with a unit sign: "80 %" */
    JV_DIM_LENGTH,
    JV_DIM_AREA,
    JV_DIM_VOLTAGE,
    JV_DIM_CURRENT,
    JV_DIM_RESISTANCE,
    JV_DIM_POWER,
    JV_DIM_CHARGE,
    JV_DIM_TIME,
    JV_DIM_TEMPERATURE,
    JV_DIM_TEMPERATURE_RISE,
    JV_DIM_FORCE,
    JV_DIM_PRESSURE,
    JV_DIM_MASS,
    JV_DIM_SPEED,
    JV_DIM_INDUCTANCE,
    JV_DIM_INERTIA,
    JV_DIM_TORQUE,
    JV_DIM_FREQUENCY,
    JV_DIM_MOTOR_CONSTANT,
    JV_DIM_DISPLACEMENT,
    JV_DIM_ENERGY,
    JV_DIM_CAPACITANCE,
    JV_DIM_FLOW,
    JV_DIM_THERMAL_RESISTANCE,
    JV_DIM_HEAT_CAPACITY,
    JV_DIM_STIFFNESS, /* N/m */
    JV_DIM_COUNT_
} jv_dim;

/* How a value varies. low and high are the ends used for the worst case:
 * uniform and log-uniform: the range itself; normal: nominal -+ 2 standard
 * deviations (drawn cut at three); log-normal: nominal / f and nominal * f,
 * f being two standard deviations of the logarithm. */
typedef enum jv_spread { JV_EXACT, JV_UNIFORM, JV_LOG_UNIFORM, JV_NORMAL, JV_LOG_NORMAL } jv_spread;

typedef struct jv_value {
    double nominal; /* exact value; middle of a range (geometric for log-uniform) */
    double low;
    double high;
    jv_spread spread;
} jv_value;

/* An exact value. */
jv_value jv_value_exact(double x);
/* The value at standard normal deviate z (uniform kinds: at probability Phi(z)).
 * This is the one map from a draw to a value; normal kinds are cut at |z| = 3, and
 * at zero when both ends are of one sign, so that no length is drawn negative. */
double jv_value_at(const jv_value *v, double z);

/* Why a text is no quantity: for the caller's diagnostic. */
typedef struct jv_quantity_fault {
    int code;          /* a jv_code of diag.h */
    size_t offset;     /* byte of the text at which the fault stands */
    char message[160]; /* what was read and why it is wrong */
    char hint[160];    /* which units fit, or the right form */
} jv_quantity_fault;

/* Read a quantity: "24 ft", "22 ft 6 in", "3/8 in", "20F", "1 h 20 min"; a range
 * "65 % .. 95 %" (the unit may stand once, at the end); "24 ft +/- 5 %" or "65 degF
 * +/- 5 degF" (a difference of degrees); a factor, written as the value, an asterisk
 * and a slash, and a number: in C "2 mohm *" "/ 2". The signs of plus-minus, ohm,
 * micro, degree and minus are read as well as +/-, ohm, u, deg and -.
 * dim: what is wanted. text: zero-terminated, at most 120 characters. *out is SI.
 * Spreads: a range of resistance is log-uniform, uniform when it reaches zero; other
 * ranges are uniform; +/- is normal, a factor log-normal. A spread of no width gives
 * JV_EXACT. JV_ERR_INPUT sets *fault (when not NULL): no unit, unit of another
 * dimension, junk behind, range upside down, overflow, a percentage or a temperature
 * with "+/- %", a temperature below absolute zero. No other limit of sign is kept:
 * that a length is above zero is the caller's to check. */
jv_status jv_quantity_read(const char *text, jv_dim dim, jv_value *out, jv_quantity_fault *fault);

typedef enum jv_units { JV_UNITS_SI, JV_UNITS_US } jv_units;

/* Print a value for people, with the unit and prefix that a technician would use,
 * rounded to `digits` significant digits (1 .. 9), zeros at the end kept: 0.0023 ohm
 * in two -> "2.3 mohm", 6.7 m in three in US -> "22.0 ft", 300 s in one -> "5 min".
 * Zero prints as "0 V"; minus zero never; NaN prints "unknown", infinity "infinite". */
void jv_quantity_print(jv_text *out, double value, jv_dim dim, jv_units units, int digits);
/* The name of a dimension ("length") and the units that fit it ("m, cm, mm, ft, in"). */
const char *jv_dim_name(jv_dim dim);
const char *jv_dim_units(jv_dim dim);

/* Conductor sizes. */
typedef enum jv_size_system { JV_SIZE_AWG, JV_SIZE_SAE, JV_SIZE_MM2 } jv_size_system;
typedef struct jv_size {
    jv_size_system system;
    int gauge;       /* AWG and SAE: 22 .. 1, then 0, -1, -2, -3 for 1/0 .. 4/0 */
    double area_mm2; /* metric: the nominal area; 0 for gauges */
} jv_size;

/* Read "6 AWG", "AWG 6", "#6", "6 ga", "2/0", "00", "1/0 AWG", "SAE 6", "16 mm2",
 * "16 mm^2". "2/0", "00" and "#6" alone mean AWG; "6" alone is refused. JV_ERR_INPUT sets *fault.
 * Range: gauge 40 .. 4/0, area 0.05 .. 1000 mm2. */
jv_status jv_size_read(const char *text, jv_size *out, jv_quantity_fault *fault);
/* "6 AWG", "2/0 AWG", "SAE 6", "16 mm2". */
void jv_size_print(jv_text *out, const jv_size *size);

#endif
