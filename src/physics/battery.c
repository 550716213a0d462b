/* battery.c - a 12 V battery from what a person knows of it. SPDX-License-Identifier: MIT */
#include "jackvolt/battery.h"

#include <math.h>

static const double warm_c = 25; /* reference of the resistance tables */
static const double coulombs_per_ah = 3600;
static const double seconds_per_min = 60;
static const double reserve_a = 25;            /* reserve capacity test */
static const double ah_per_reserve_min = 0.60; /* CA-MCA */
static const double rated_hours = 20;          /* capacity rating */

/* Polarisation: R10/R00 = 0.0010/0.0042 and tau1 = 100 s of the third-order lead-acid model
 * (Jackey, SAE 2007-01-0778, sample values). */
static const double polarisation_share = 0.24, polarisation_s = 100;

/* Defaults where nobody knows; common practice, no source. */
static const double default_charge = 0.80, default_capacity_ah = 80;
static const double ageing_per_year = 0.10, ageing_most = 2.0;
static const double surface_full_v = 0.5, surface_tau_h = 2;

static double cut(double x, double low, double high) {
    return x < low ? low : x > high ? high : x;
}
static bool known(double x) {
    return !isnan(x);
}

double jv_battery_ocv(jv_chemistry chemistry, double charge, double temp_c) {
    jv_curve u, shift;
    double at_c;
    if (jv_table_ocv_curve(chemistry, &u, &at_c) != JV_OK)
        return NAN;
    double v = jv_curve_at(&u, cut(charge, 0, 1));
    if (jv_table_ocv_shift_curve(chemistry, &shift) == JV_OK)
        v += jv_curve_at(&shift, temp_c) - jv_curve_at(&shift, at_c);
    return v;
}

double jv_battery_ocv_slope(jv_chemistry chemistry, double charge) {
    jv_curve u;
    double at_c;
    if (jv_table_ocv_curve(chemistry, &u, &at_c) != JV_OK)
        return NAN;
    return jv_curve_slope(&u, cut(charge, 0, 1));
}

double jv_battery_charge_from_rest(jv_chemistry chemistry, double rested_v, double temp_c,
                                   bool *flat) {
    static const double reading_v = 0.1, much = 0.25; /* 0.1 V read wrong moves it by a quarter */
    jv_curve u, shift;
    double at_c, v = rested_v;
    if (jv_table_ocv_curve(chemistry, &u, &at_c) != JV_OK)
        return NAN;
    if (jv_table_ocv_shift_curve(chemistry, &shift) == JV_OK)
        v -= jv_curve_at(&shift, temp_c) - jv_curve_at(&shift, at_c);
    double charge = cut(jv_curve_inverse(&u, v), 0, 1);
    if (flat) {
        double below = jv_curve_inverse(&u, v - reading_v / 2);
        double above = jv_curve_inverse(&u, v + reading_v / 2);
        *flat = above - below > much;
    }
    return charge;
}

double jv_battery_charge_factor(jv_chemistry chemistry, double charge) {
    jv_curve g;
    return jv_table_resistance_charge(chemistry, &g) == JV_OK ? jv_curve_at(&g, cut(charge, 0, 1))
                                                              : 1;
}

double jv_battery_cold_factor(jv_chemistry chemistry, double temp_c) {
    jv_curve h;
    return jv_table_resistance_temperature(chemistry, &h) == JV_OK ? jv_curve_at(&h, temp_c) : 1;
}

double jv_battery_cranking_ohm(jv_cranking_standard standard, double rated_a) {
    jv_cranking_test test;
    if (!(rated_a > 0) || jv_table_cranking(standard, &test) != JV_OK)
        return NAN;
    double full = jv_battery_ocv(JV_CHEMISTRY_FLOODED, 1, test.degC);
    return (full - test.end_volts) / rated_a;
}

double jv_battery_two_load_ohm(double v1, double i1, double v2, double i2) {
    return i1 == i2 ? NAN : (v1 - v2) / (i2 - i1);
}

double jv_battery_ah_from_reserve(double minutes) {
    return ah_per_reserve_min * minutes;
}

double jv_battery_reserve_charge_ah(double minutes) {
    return minutes * reserve_a / seconds_per_min;
}

double jv_battery_peukert_h(double capacity_ah, double current_a, double exponent) {
    return rated_hours * pow(capacity_ah / (current_a * rated_hours), exponent);
}

double jv_battery_surface_v(jv_chemistry chemistry, double hours_since_charge) {
    if (chemistry == JV_CHEMISTRY_LFP || !(hours_since_charge >= 0))
        return 0;
    return surface_full_v * exp(-hours_since_charge / surface_tau_h);
}

double jv_battery_load_test_floor_v(double temp_c) {
    jv_curve floor_v;
    return jv_table_load_test(&floor_v) == JV_OK ? jv_curve_at(&floor_v, temp_c) : NAN;
}

void jv_battery_known_nothing(jv_battery_known *k) {
    *k = (jv_battery_known){.open_circuit_v = NAN,
                            .resistance_ohm = NAN,
                            .charge = NAN,
                            .rested_v = NAN,
                            .rested_h = NAN,
                            .charged_ago_h = NAN,
                            .capacity_ah = NAN,
                            .cranking_a = NAN,
                            .cranking = JV_CRANKING_SAE,
                            .reserve_min = NAN,
                            .tester_ohm = NAN,
                            .tester_cranking_a = NAN,
                            .age_years = NAN,
                            .temp_c = NAN};
}

static void note(jv_battery_model *m, const char *what, const char *source, jv_confidence trust,
                 bool assumed) {
    if (m->note_count < JV_BATTERY_NOTES)
        m->notes[m->note_count++] = (jv_battery_note){what, source, trust, assumed};
    m->confidence = jv_confidence_worse(m->confidence, trust);
    m->any_assumed |= assumed;
}

static const char custom[] = "common practice, no source";
static const char user[] = "given";

static jv_status check(const jv_battery_known *k) {
    const double positive[] = {k->open_circuit_v, k->rested_v,   k->capacity_ah,
                               k->cranking_a,     k->tester_ohm, k->tester_cranking_a,
                               k->reserve_min};
    for (size_t i = 0; i < sizeof positive / sizeof positive[0]; i++)
        if (known(positive[i]) && !(positive[i] > 0))
            return JV_ERR_RANGE;
    if (known(k->resistance_ohm) && !(k->resistance_ohm >= 0))
        return JV_ERR_RANGE;
    if (known(k->charge) && !(k->charge >= 0 && k->charge <= 1))
        return JV_ERR_RANGE;
    if (known(k->age_years) && !(k->age_years >= 0))
        return JV_ERR_RANGE;
    if (known(k->temp_c) && !(k->temp_c >= -50 && k->temp_c <= 80))
        return JV_ERR_RANGE;
    return JV_OK;
}

static double factor(const jv_curve *c, double x) {
    return c->count ? jv_curve_at(c, x) : 1;
}

/* The gentle curve of (B2): what the load-test limits allow, (U(1, T) - Vfloor(T)) over the same
 * at the warmest point. */
static void take_gentle_curve(jv_battery_model *m) {
    jv_curve c;
    if (m->chemistry == JV_CHEMISTRY_LFP || jv_table_load_test(&c) != JV_OK) {
        m->warm_factor = m->cold_factor;
        return;
    }
    for (size_t i = 0; i < c.count; i++) {
        c.y[i] = jv_battery_ocv(JV_CHEMISTRY_FLOODED, 1, c.x[i]) - c.y[i];
    }
    double warmest = c.y[c.count - 1];
    for (size_t i = 0; i < c.count; i++) {
        c.y[i] /= warmest;
    }
    m->warm_factor = c;
}

static jv_status take_curves(jv_battery_model *m) {
    double at_c;
    jv_status status = jv_table_ocv_curve(m->chemistry, &m->ocv, &at_c);
    if (status != JV_OK)
        return status;
    note(m, "open-circuit volts over charge", m->ocv.source ? m->ocv.source->key : custom,
         m->ocv.confidence, false);
    if (jv_table_ocv_shift_curve(m->chemistry, &m->ocv_shift) == JV_OK) {
        double at = jv_curve_at(&m->ocv_shift, at_c);
        for (size_t i = 0; i < m->ocv_shift.count; i++)
            m->ocv_shift.y[i] -= at;
    } else {
        m->ocv_shift.count = 0;
    }
    if (jv_table_resistance_charge(m->chemistry, &m->charge_factor) != JV_OK)
        m->charge_factor.count = 0;
    if (jv_table_resistance_temperature(m->chemistry, &m->cold_factor) != JV_OK)
        m->cold_factor.count = 0;
    take_gentle_curve(m);
    note(m, "resistance over charge and temperature",
         m->charge_factor.count ? m->charge_factor.source->key : custom, JV_USABLE, false);
    return JV_OK;
}

/* How much charge is in it. */
static void find_charge(jv_battery_model *m, const jv_battery_known *k) {
    m->surface_v = jv_battery_surface_v(m->chemistry, k->charged_ago_h);
    if (m->surface_v > 0)
        note(m, "surface charge, falling with two hours", custom, JV_WEAK, true);
    if (known(k->charge)) {
        m->charge = k->charge;
        return;
    }
    double rested = known(k->rested_v) ? k->rested_v - m->surface_v : k->open_circuit_v;
    if (known(rested)) {
        bool flat = false;
        m->charge = jv_battery_charge_from_rest(m->chemistry, rested, m->temp_c, &flat);
        note(m,
             flat ? "charge from rested volts, where the curve is nearly flat"
                  : "charge from rested volts",
             m->ocv.source ? m->ocv.source->key : custom, flat ? JV_WEAK : m->ocv.confidence,
             false);
        return;
    }
    m->charge = default_charge;
    note(m, "charge 80 %", custom, JV_WEAK, true);
}

static void find_capacity(jv_battery_model *m, const jv_battery_known *k) {
    jv_group_figures group;
    const char *kind = m->chemistry == JV_CHEMISTRY_AGM ? "AGM"
                       : known(k->cranking_a)           ? "starter"
                                                        : "deep cycle";
    if (known(k->capacity_ah)) {
        m->capacity_ah = k->capacity_ah;
    } else if (known(k->reserve_min)) {
        m->capacity_ah = jv_battery_ah_from_reserve(k->reserve_min);
        note(m, "capacity from reserve minutes", "CA-MCA", JV_USABLE, false);
    } else if (k->group && (jv_table_battery_group(k->group, kind, &group) == JV_OK ||
                            jv_table_battery_group(k->group, "deep cycle", &group) == JV_OK ||
                            jv_table_battery_group(k->group, "starter", &group) == JV_OK)) {
        m->capacity_ah = group.capacity_C.typical / coulombs_per_ah;
        note(m, "capacity from the group size", "from memory", JV_WEAK, true);
    } else {
        m->capacity_ah = default_capacity_ah;
        note(m, "capacity 80 Ah", custom, JV_WEAK, true);
    }
}

static double aged(jv_battery_model *m, const jv_battery_known *k) {
    if (!known(k->age_years) || k->age_years <= 0)
        return 1;
    note(m, "resistance 10 % more a year of age", custom, JV_WEAK, true);
    return cut(1 + ageing_per_year * k->age_years, 1, ageing_most);
}

/* r at full charge from a cranking rating: some of the drop in its test is polarisation. */
static double from_cranking(jv_battery_model *m, jv_cranking_standard standard, double amps) {
    jv_cranking_test test;
    if (jv_table_cranking(standard, &test) != JV_OK)
        return NAN;
    double grown = 1 - polarisation_share * expm1(-test.seconds / polarisation_s);
    m->reference_c = test.degC;
    return jv_battery_cranking_ohm(standard, amps) / grown;
}

/* The most direct figure wins. */
static void find_resistance(jv_battery_model *m, const jv_battery_known *k) {
    jv_range scale;
    m->reference_c = warm_c;
    m->ohm_low_share = m->ohm_high_share = 1;
    if (known(k->resistance_ohm)) {
        m->reference_ohm = k->resistance_ohm;
        m->fixed_resistance = true;
        note(m, "resistance", user, JV_SOLID, false);
    } else if (known(k->tester_ohm)) {
        m->reference_ohm = k->tester_ohm / factor(&m->charge_factor, m->charge);
        m->reference_c = m->temp_c;
        note(m, "resistance by the tester", user, JV_USABLE, false);
    } else if (known(k->tester_cranking_a)) {
        m->reference_ohm = from_cranking(m, JV_CRANKING_SAE, k->tester_cranking_a);
        note(m, "resistance from the tester's cranking amps", "CCA-SM", JV_USABLE, false);
    } else if (known(k->cranking_a) && m->chemistry != JV_CHEMISTRY_LFP) {
        m->reference_ohm = from_cranking(m, k->cranking, k->cranking_a) * aged(m, k);
        note(m, "resistance from the cranking rating at its own temperature", "CCA-SM", JV_USABLE,
             false);
    } else if (jv_table_resistance_ah(m->chemistry, &scale) == JV_OK) {
        m->reference_ohm = scale.typical / m->capacity_ah * aged(m, k);
        m->ohm_low_share = scale.low / scale.typical;
        m->ohm_high_share = scale.high / scale.typical;
        note(m, "resistance from the capacity", scale.source->key,
             jv_confidence_worse(scale.confidence, JV_USABLE), true);
    } else {
        m->reference_ohm = NAN;
    }
}

static double temperature_factor(const jv_battery_model *m, double temp_c) {
    const jv_curve *h = temp_c < m->reference_c ? &m->cold_factor : &m->warm_factor;
    return factor(h, temp_c) / factor(h, m->reference_c);
}

void jv_battery_move(jv_battery_model *m, double charge, double temp_c) {
    m->charge = cut(charge, 0, 1);
    m->temp_c = temp_c;
    if (!m->fixed_voltage) {
        double shift = m->ocv_shift.count ? jv_curve_at(&m->ocv_shift, temp_c) : 0;
        m->open_circuit_v = jv_curve_at(&m->ocv, m->charge) + shift + m->surface_v;
    }
    m->resistance_ohm = m->reference_ohm;
    if (!m->fixed_resistance)
        m->resistance_ohm *= factor(&m->charge_factor, m->charge) * temperature_factor(m, temp_c);
    m->polarisation_ohm = polarisation_share * m->resistance_ohm;
    m->polarisation_f = m->polarisation_ohm > 0 ? polarisation_s / m->polarisation_ohm : INFINITY;
}

jv_status jv_battery_model_make(const jv_battery_known *k, jv_battery_model *out) {
    jv_status status = check(k);
    if (status != JV_OK)
        return status;
    jv_battery_model m = {.confidence = JV_SOLID, .chemistry = k->chemistry};
    if (!k->chemistry_known) {
        m.chemistry = JV_CHEMISTRY_FLOODED;
        note(&m, "flooded lead-acid", custom, JV_WEAK, true);
    }
    m.temp_c = known(k->temp_c) ? k->temp_c : warm_c;
    if (!known(k->temp_c))
        note(&m, "25 degC", custom, JV_WEAK, true);
    status = take_curves(&m);
    if (status != JV_OK)
        return status;
    find_charge(&m, k);
    find_capacity(&m, k);
    find_resistance(&m, k);
    if (isnan(m.reference_ohm))
        return JV_ERR_UNKNOWN;
    m.fixed_voltage = known(k->open_circuit_v);
    m.open_circuit_v = k->open_circuit_v;
    note(&m, "polarisation 24 % of the resistance, 100 s", "JACKEY", JV_USABLE, true);
    jv_battery_move(&m, m.charge, m.temp_c);
    *out = m;
    return JV_OK;
}

jv_pack_why jv_pack_check(const jv_pack_limits *limits, double terminal_v, double current_a,
                          double temp_c) {
    if (current_a > 0 && temp_c < limits->cold_discharge_c)
        return JV_PACK_COLD;
    if (current_a < 0 && temp_c < limits->cold_charge_c)
        return JV_PACK_COLD;
    if (current_a > limits->over_a)
        return JV_PACK_OVER_CURRENT;
    if (terminal_v < limits->low_v)
        return JV_PACK_LOW_VOLTS;
    return JV_PACK_CLOSED; /* a NAN limit compares false: not fitted */
}
