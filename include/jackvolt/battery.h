/* battery.h - a 12 V battery from what a person knows of it. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_BATTERY_H
#define JACKVOLT_BATTERY_H

#include "jackvolt/status.h"
#include "jackvolt/tables.h"

#include <stdbool.h>
#include <stddef.h>

/* Charge is a fraction, 0 empty .. 1 full. Volts and ohms are of the whole 12 V battery.
 * (B1) V = U(charge, T) + surface - I r - v1,  dv1/dt = (I - v1/r1)/c1,  I > 0 delivers.
 * (B2) r(charge, T) = r_ref g(charge) h(T)/h(T_ref): g from measured VRLA and LFP rows. How h
 * goes with temperature is badly known for lead: colder than T_ref it is the steep curve
 * (cranking power, an upper bound), warmer the gentle one (load-test limits), so that r is on
 * the safe side of what is known and exact at T_ref, where it was known. */

/* What is known. Every number: NAN = not known (jv_battery_known_nothing sets them so).
 * The more direct figure wins: tester ohms, then resistance at a load, then cold-cranking,
 * then group with capacity, then capacity alone. */
typedef struct jv_battery_known {
    jv_chemistry chemistry;
    bool chemistry_known;
    double open_circuit_v; /* fixed by the user: used as it stands */
    double resistance_ohm; /* fixed by the user: used as it stands, no growth */
    double charge;         /* 0..1 */
    double rested_v;       /* volts at rest; gives the charge when that is not known */
    double rested_h;       /* hours since load or charge */
    double charged_ago_h;  /* hours since a charge ended; NAN = no surface charge */
    double capacity_ah;    /* 20 h */
    double cranking_a;     /* rating by `cranking` */
    jv_cranking_standard cranking;
    double reserve_min;       /* reserve capacity at 25 A */
    double tester_ohm;        /* conductance tester, at tester_c and the charge of today */
    double tester_cranking_a; /* what the tester made of it, SAE amps */
    double age_years;
    double temp_c;     /* electrolyte */
    const char *group; /* "24", "27", "31", ..; NULL = not known */
} jv_battery_known;

/* One line of where a figure came from. Static texts. */
typedef struct jv_battery_note {
    const char *what;   /* "resistance from cold-cranking amps" */
    const char *source; /* key of a jv_source, or "common practice, no source" */
    jv_confidence confidence;
    bool assumed; /* true: nobody said so, a default */
} jv_battery_note;
#define JV_BATTERY_NOTES 12

typedef struct jv_battery_model {
    /* the figures of this moment */
    double open_circuit_v;   /* with surface charge */
    double resistance_ohm;   /* r */
    double polarisation_ohm; /* r1 */
    double polarisation_f;   /* c1 */
    /* kept so that charge and temperature can be drawn anew */
    jv_chemistry chemistry;
    double charge;
    double temp_c;
    double capacity_ah;
    double reference_ohm;     /* r at full charge and reference_c, age included */
    double reference_c;       /* temperature at which r is known */
    double surface_v;         /* surface charge at no load; decays under load */
    jv_curve ocv;             /* V over charge */
    jv_curve ocv_shift;       /* V over degC; count 0 = none known */
    jv_curve charge_factor;   /* r over charge */
    jv_curve cold_factor;     /* r over degC, steep */
    jv_curve warm_factor;     /* r over degC, gentle */
    bool fixed_voltage;       /* the user gave open_circuit_v */
    bool fixed_resistance;    /* the user gave resistance_ohm */
    double ohm_low_share;     /* how far ohms that nobody gave may be off: factors on */
    double ohm_high_share;    /* resistance_ohm; both 1 when a rating or a reading gave them */
    bool any_assumed;         /* some note is assumed */
    jv_confidence confidence; /* worst of the notes */
    jv_battery_note notes[JV_BATTERY_NOTES];
    size_t note_count;
} jv_battery_model;

/* All unknown: NAN and NULL, SAE cranking. */
void jv_battery_known_nothing(jv_battery_known *known);
/* Build the model; what is unknown gets a default with a note. JV_ERR_RANGE: charge outside
 * 0..1, a figure zero or negative where that means nothing, temperature outside -50..80. */
jv_status jv_battery_model_make(const jv_battery_known *known, jv_battery_model *out);
/* Re-evaluate for another charge and temperature: sets open_circuit_v, resistance_ohm, charge,
 * temp_c (fixed figures stay). charge is cut to 0..1. No allocation, about 50 ns: made
 * for random draws, where one draw of charge must move both volts and ohms. */
void jv_battery_move(jv_battery_model *m, double charge, double temp_c);

/* U at rest. (B3) table of the chemistry, linear between points, at 26.7 degC (lead) or 25
 * (LFP), plus the temperature table of a full flooded battery (SOC-TEMP) for lead. */
double jv_battery_ocv(jv_chemistry chemistry, double charge, double temp_c);
/* dU/dcharge, V. */
double jv_battery_ocv_slope(jv_chemistry chemistry, double charge);
/* Charge from rested volts (the inverse); *flat (may be NULL) is set when the curve is so
 * flat there that 0.1 V is more than a quarter of the charge (LFP): do not trust it. */
double jv_battery_charge_from_rest(jv_chemistry chemistry, double rested_v, double temp_c,
                                   bool *flat);
/* g: r over r at full charge; and the steep h: r over r at 25 degC, an upper bound in the
 * cold. */
double jv_battery_charge_factor(jv_chemistry chemistry, double charge);
double jv_battery_cold_factor(jv_chemistry chemistry, double temp_c);

/* (B4) resistance implied by a cranking rating at the temperature and end volts of its own
 * test: (U(1, T) - Vend)/I, ohmic and polarisation together after the test's seconds. NAN
 * when the standard is not listed or rated_a <= 0. */
double jv_battery_cranking_ohm(jv_cranking_standard standard, double rated_a);
/* (B5) two loads: r = (v1 - v2)/(i2 - i1). NAN when the currents are equal. */
double jv_battery_two_load_ohm(double v1, double i1, double v2, double i2);
/* (B6) Ah from reserve minutes: 0.60 x min (20 h); charge passed in the test: min x 25/60. */
double jv_battery_ah_from_reserve(double minutes);
double jv_battery_reserve_charge_ah(double minutes);
/* (B7) Peukert: hours at a current, t = H (C/(I H))^k, H = 20 h. */
double jv_battery_peukert_h(double capacity_ah, double current_a, double exponent);
/* (B8) surface charge of a lead battery, volts at rest hours after the charge ended; gone by
 * load. Common practice, no source: 0.5 V falling with 2 h; lithium: none. */
double jv_battery_surface_v(jv_chemistry chemistry, double hours_since_charge);
/* Least volts that a lead battery must hold in the load test (half of CCA for 15 s) at a
 * temperature: LT-SM9 table, linear between its points. */
double jv_battery_load_test_floor_v(double temp_c);

/* Managed lithium pack. Any figure may be NAN: not fitted. */
typedef struct jv_pack_limits {
    double low_v; /* opens when the terminal volts are below, for low_delay_s */
    double low_delay_s;
    double low_reset_v; /* closes again above */
    double over_a;      /* opens when the current is above, for over_delay_s */
    double over_delay_s;
    double cold_discharge_c; /* no discharge below */
    double cold_charge_c;    /* no charge below */
} jv_pack_limits;
typedef enum jv_pack_why {
    JV_PACK_CLOSED,
    JV_PACK_LOW_VOLTS,
    JV_PACK_OVER_CURRENT,
    JV_PACK_COLD
} jv_pack_why;
/* Which limit would act if this state lasted (time apart): worst first. i > 0 delivers. */
jv_pack_why jv_pack_check(const jv_pack_limits *limits, double terminal_v, double current_a,
                          double temp_c);

#endif
