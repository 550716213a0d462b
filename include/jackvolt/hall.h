/* hall.h - Hall sensors of the jack motors. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_HALL_H
#define JACKVOLT_HALL_H

#include <stdbool.h>

typedef enum jv_hall_output {
    JV_HALL_OPEN_DRAIN, /* three wires, pulls the signal to its own ground */
    JV_HALL_TWO_WIRE    /* two wires: the supply current is the signal */
} jv_hall_output;

typedef struct jv_hall {
    jv_hall_output output;
    double minimum_v;   /* works from; 0 = 4.5 */
    double maximum_v;   /* 0 = 24 */
    double current_a;   /* supply current (two-wire: the low level) */
    double high_a;      /* two-wire: the high level */
    double on_ohm;      /* output transistor; 0 = 22 ohm */
    double low_v;       /* or a fixed low level, 0 = use on_ohm */
    double pull_up_ohm; /* to the volts of pull_up_to; > 0 for open drain */
} jv_hall;

typedef enum jv_hall_state { JV_HALL_WORKS, JV_HALL_STARVED, JV_HALL_TOO_HIGH } jv_hall_state;
/* Volts seen by the sensor are between its own supply and ground pins. */
jv_hall_state jv_hall_check(const jv_hall *h, double supply_v);

/* (L1) signal levels as the receiver sees them, against its own ground:
 * low = ground_shift + Vpu-divider of the output; high = pull_up_v. shift_v: sensor ground
 * minus receiver ground. */
typedef struct jv_hall_levels {
    double low_v;
    double high_v;
    double sink_a; /* current sunk when low */
} jv_hall_levels;
jv_hall_levels jv_hall_signal(const jv_hall *h, double pull_up_v, double shift_v, double load_ohm);
/* Seen as pulses: low below low_limit and high above high_limit. */
bool jv_hall_readable(const jv_hall_levels *l, double low_limit_v, double high_limit_v);
/* (L2) pulses per second at a motor speed. */
double jv_hall_pulse_hz(double speed_rad_s, double pulses_per_turn);
/* Longest time without a pulse at that speed, s; infinity when still. */
double jv_hall_gap_s(double speed_rad_s, double pulses_per_turn);
/* (L3) two-wire: largest sense resistor, (supply - minimum)/high current. */
double jv_hall_sense_ohm(double supply_v, double minimum_v, double high_a);

#endif
