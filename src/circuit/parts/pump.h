/* pump.h - what reports ask of a pump. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_PUMP_H
#define CIRCUIT_PARTS_PUMP_H

#include "circuit/part_kind.h"
#include "jackvolt/pump.h"

/* A pump is known by its plate, or by motor and displacement (then that counts). */
enum {
    JV_PUMP_PLUS,
    JV_PUMP_MINUS,
    JV_PUMP_RATED_PRESSURE,
    JV_PUMP_RATED_CURRENT,
    JV_PUMP_IDLE_CURRENT,
    JV_PUMP_STALL_CURRENT,
    JV_PUMP_RATED_VOLTAGE,
    JV_PUMP_KIND,
    JV_PUMP_RELIEF,
    JV_PUMP_TEMPERATURE,
    JV_PUMP_MOTOR_RESISTANCE,
    JV_PUMP_MOTOR_CONSTANT,
    JV_PUMP_MOTOR_NO_LOAD_CURRENT,
    JV_PUMP_MOTOR_INERTIA,
    JV_PUMP_MOTOR_INDUCTANCE,
    JV_PUMP_DISPLACEMENT,
    JV_PUMP_MECHANICAL_EFFICIENCY,
    JV_PUMP_VOLUMETRIC_EFFICIENCY,
    JV_PUMP_BORE,
    JV_PUMP_LEGS,
    JV_PUMP_SPIN_UP,
    JV_PUMP_KEYS
};

/* Ohms of the motor at its temperature, faults included. */
double jv_pump_ohms(const jv_scene *s, const jv_part *p);
/* Amps that the pressure asks in this scene, >= 0, faults included: 0 when it does not run,
 * infinity when it is held fast. */
double jv_pump_asks_a(const jv_scene *s, const jv_part *p);

typedef struct jv_pump_motion {
    double flow_m3_s;   /* NAN when motor and displacement are not known */
    double speed;       /* m/s of the cylinders; NAN when bore or flow is not known */
    bool stalled;       /* commanded, and does not turn */
    bool stall_assumed; /* the figures hang on an assumed stall current */
} jv_pump_motion;
/* How it moves at the volts across it and its current, both of one solution. */
jv_pump_motion jv_pump_moves(const jv_scene *s, const jv_part *p, double volts, double current_a);

#endif
