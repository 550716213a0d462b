/* contact.h - joints. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_CONTACT_H
#define JACKVOLT_CONTACT_H

#include <stdbool.h>

/* The ohms of each kind of joint stand in tables.h. Here: what a joint does. */

/* (K1) drop = I r, heat = I^2 r. */
double jv_contact_drop_v(double ohm, double current_a);
double jv_contact_heat_w(double ohm, double current_a);
/* (K2) A joint that gets worse as it heats: r = cold + (hot - cold)(1 - e^(-t/tau)), with
 * tau = heats_in / 3 (95 % reached at heats_in). heats_in <= 0: hot at once. */
double jv_contact_warming_ohm(double cold_ohm, double hot_ohm, double heats_in_s, double t_s);
/* The same at the end of the last of `repeats` (infinity: for ever) runs of t_s with pauses in
 * which it cools as fast (H12). */
double jv_contact_duty_ohm(double cold_ohm, double hot_ohm, double heats_in_s, double t_s,
                           double pause_s, double repeats);
/* (K3) rise scales with the square of the current: rise2 = rise1 (i2/i1)^2. */
double jv_contact_rise_k(double rise1_k, double i1_a, double i2_a);
/* (K4) hottest spot of a contact from its drop (voltage-temperature relation, Holm;
 * Wiedemann-Franz with L = 2.44e-8 V2/K2): Tm^2 = T0^2 + V^2/(4 L), kelvin inside, degC
 * out. Textbook law, from memory: shown as a hint, decides nothing. */
double jv_contact_spot_c(double drop_v, double body_c);

#endif
