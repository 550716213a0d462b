/* jack.h - what reports ask of a jack. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_JACK_H
#define CIRCUIT_PARTS_JACK_H

#include "circuit/part_kind.h"
#include "jackvolt/screw.h"

/* A jack is known by its plate, or by motor, gear and screw (then that counts). */
enum {
    JV_JACK_PLUS,
    JV_JACK_MINUS,
    JV_JACK_RATED_FORCE,
    JV_JACK_RATED_CURRENT,
    JV_JACK_NO_LOAD_CURRENT,
    JV_JACK_STALL_CURRENT,
    JV_JACK_RATED_VOLTAGE,
    JV_JACK_RATED_SPEED,
    JV_JACK_LOWERING_SHARE,
    JV_JACK_STROKE,
    JV_JACK_TEMPERATURE,
    JV_JACK_MAGNET,
    JV_JACK_TRAVEL_FREE,
    JV_JACK_TRAVEL_RAMP,
    JV_JACK_TRAVEL_FORCE,
    JV_JACK_TRAVEL_RATE,
    JV_JACK_TRAVEL_START,
    JV_JACK_TRAVEL_DRAG,
    JV_JACK_SPIN_UP,
    JV_JACK_HEAT_WINDING,
    JV_JACK_HEAT_TO_CASE,
    JV_JACK_HEAT_CASE,
    JV_JACK_HEAT_TO_AIR,
    JV_JACK_CUTOUT_OPENS,
    JV_JACK_CUTOUT_CLOSES,
    JV_JACK_MOTOR_RESISTANCE,
    JV_JACK_MOTOR_CONSTANT,
    JV_JACK_MOTOR_NO_LOAD_CURRENT,
    JV_JACK_MOTOR_INERTIA,
    JV_JACK_MOTOR_INDUCTANCE,
    JV_JACK_GEAR_RATIO,
    JV_JACK_GEAR_EFFICIENCY,
    JV_JACK_GEAR_DRAG,
    JV_JACK_SCREW_DIAMETER,
    JV_JACK_SCREW_PITCH,
    JV_JACK_SCREW_LEAD,
    JV_JACK_SCREW_THREAD,
    JV_JACK_SCREW_FRICTION,
    JV_JACK_SCREW_COLLAR_FRICTION,
    JV_JACK_SCREW_COLLAR_DIAMETER,
    JV_JACK_KEYS
};

/* Plate at 20 degC in this scene; figures that the file does not give are 0 or, for the
 * stall current, NAN. */
jv_jack_plate jv_jack_plate_of(const jv_scene *s, const jv_part *p);
bool jv_jack_has_leg(const jv_circuit *c, const jv_part *p);
/* Motor, gear and screw in this scene, the motor at its temperature. Only with a leg. */
jv_leg jv_jack_leg_of(const jv_scene *s, const jv_part *p);
/* Ohms of the motor at its temperature, faults included. */
double jv_jack_ohms(const jv_scene *s, const jv_part *p);
/* The same without faults. */
double jv_jack_sound_ohms(const jv_scene *s, const jv_part *p);
/* Amps at its winding temperature that a force asks, faults apart; force < 0 lowers. A jack
 * whose rated force is not given takes a share of it. */
double jv_jack_force_a(const jv_scene *s, const jv_part *p, double force_n);
double jv_jack_winding_c(const jv_scene *s, const jv_part *p);
double jv_jack_magnet_per_k(const jv_circuit *c, const jv_part *p);
/* Amps that its load asks in this scene, >= 0, faults included: 0 when it does not run,
 * infinity when it is held fast. */
double jv_jack_asks_a(const jv_scene *s, const jv_part *p);

typedef struct jv_jack_motion {
    double ratio;       /* speed over rated speed; NAN when nothing says what rated is */
    double speed;       /* m/s, lifting positive; NAN when no speed is known */
    bool stalled;       /* commanded, and does not turn */
    bool stall_assumed; /* the figures hang on an assumed stall current */
} jv_jack_motion;
/* How it moves at the volts across it (plus less minus) and its current, both of one
 * solution of this scene. A jack that is not commanded does not move. */
jv_jack_motion jv_jack_speed(const jv_scene *s, const jv_part *p, double volts, double current_a);

#endif
