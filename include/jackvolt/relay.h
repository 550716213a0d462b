/* relay.h - relay and contactor coils. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_RELAY_H
#define JACKVOLT_RELAY_H

#include <stdbool.h>

/* (R1) pull-in is fixed by ampere-turns, so its volts grow with coil resistance:
 * V(T) = V20 (234.5 + T)/254.5; drop-out the same. */
typedef struct jv_relay {
    double coil_ohm;    /* at 20 degC */
    double pull_in_v;   /* closes for certain at or above, at 20 degC */
    double drop_out_v;  /* opens for certain at or below, at 20 degC */
    double self_heat_k; /* coil rise at rated volts; 0 = none */
    double rated_v;     /* 0 = 12 */
} jv_relay;
/* Where nothing is known: pull-in 60 % and drop-out 10 % of rated (printed guarantees of
 * 12 V relays), coil 90 ohm; marked assumed by the caller. */
jv_relay jv_relay_assumed(double rated_v);

double jv_coil_ohm(const jv_relay *r, double coil_c);
double jv_coil_current(const jv_relay *r, double volts, double coil_c);
double jv_relay_pull_in_v(const jv_relay *r, double coil_c);
double jv_relay_drop_out_v(const jv_relay *r, double coil_c);
/* Coil temperature: ambient + self_heat (V/rated)^2. */
double jv_coil_temp_c(const jv_relay *r, double ambient_c, double volts);
/* State with memory: closes at or above pull-in, opens at or below drop-out, else stays. */
bool jv_relay_closed(const jv_relay *r, bool was_closed, double volts, double coil_c);
/* (R2) chatter at a start: closed contacts pull the coil below drop-out. */
bool jv_relay_chatters(const jv_relay *r, double open_v, double load_ohm, double source_ohm,
                       double coil_c);
/* Buzz frequency, Hz, from the printed times. */
double jv_relay_buzz_hz(double pull_s, double release_s, double bounce_s);
/* (R3) any figure that goes with copper, known at at_c: x (234.5 + T)/(234.5 + T1). */
double jv_coil_scale(double value, double at_c, double coil_c);

#endif
