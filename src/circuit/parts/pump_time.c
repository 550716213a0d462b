/* pump_time.c - a hydraulic pump pack in time. SPDX-License-Identifier: MIT */
#include "circuit/parts/motor_time.h"
#include "circuit/parts/pump.h"

#include <math.h>

/* Taken where the file says nothing: from memory or judgement, listed with the run. */
static const double spin_up_s = 0.050; /* inrush of pump packs lasts 50 to 150 ms, from memory */
static const double heat_w = 200.0, to_case = 1.0, heat_case = 1500.0, to_air = 1.5;

static const double copper_c = 234.5, copper_20 = 254.5, turn_rad = 6.283185307179586;

/* Growth of the speed so that a small change settles with spin_up at rated current. */
static double series_spin(const jv_scene *s, const jv_part *p, double spin_up) {
    double volts = jv_scene_value(s, p, JV_PUMP_RATED_VOLTAGE, 12.0);
    double amps = jv_scene_value(s, p, JV_PUMP_RATED_CURRENT, NAN);
    if (isnan(amps))
        amps = jv_scene_value(s, p, JV_PUMP_STALL_CURRENT, NAN) / JV_JACK_STALL_FACTOR;
    /* v = i (R + u): di/du = -i/(R + u), so du' = -2 S i^2/(R + u) du */
    return volts / amps / (2.0 * spin_up * amps * amps);
}

static void motion(const jv_scene *s, const jv_part *p, jv_motor_time *m, jv_remarks *assumed) {
    double spin_up = jv_scene_value(s, p, JV_PUMP_SPIN_UP, NAN);
    double ke = jv_scene_value(s, p, JV_PUMP_MOTOR_CONSTANT, NAN);
    double inertia = jv_scene_value(s, p, JV_PUMP_MOTOR_INERTIA, NAN);
    m->inductance = jv_scene_value(s, p, JV_PUMP_MOTOR_INDUCTANCE, 0.0);
    m->hz_per_v = m->series ? NAN : 1.0 / (turn_rad * ke);
    double bore = jv_scene_value(s, p, JV_PUMP_BORE, NAN), turned = 1.0 / ke;
    double legs = jv_scene_value(s, p, JV_PUMP_LEGS, 1.0);
    double moved = jv_scene_value(s, p, JV_PUMP_DISPLACEMENT, NAN) *
                   jv_scene_value(s, p, JV_PUMP_VOLUMETRIC_EFFICIENCY, 1.0);
    double speed = jv_cylinder_speed(moved * turned, bore, (int)legs);
    m->metres_per_v = isnan(speed) || m->series ? 0.0 : speed;
    if (!isnan(inertia) && !isnan(ke) && isnan(spin_up) && !m->series) {
        m->spin = ke * ke / inertia;
        return;
    }
    if (isnan(spin_up)) {
        spin_up = spin_up_s;
        jv_remark(assumed, false, "spin_up: a start of 50 ms is assumed (from memory)");
    }
    m->spin = m->series ? series_spin(s, p, spin_up) : m->r20 / spin_up;
}

static bool start(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, jv_remarks *assumed) {
    jv_motor_time *m = work;
    double winding = jv_scene_air_c(s, p, JV_PUMP_TEMPERATURE);
    (void)n;
    e->law = JV_SERIES;
    m->series = jv_part_word(s->circuit, p, JV_PUMP_KIND, JV_PUMP_MAGNET) == JV_PUMP_SERIES;
    m->r20 = jv_pump_ohms(s, p) * copper_20 / (copper_c + winding);
    m->factor = 1.0;
    m->soft_s = jv_motor_soft_start_s(s, p);
    x[JV_MOTOR_DRIVE] = 1.0;
    m->lead_sense = 1.0;
    m->stroke_m = INFINITY;
    m->opens_c = INFINITY;
    m->closes_c = JV_NO_EVENT;
    m->goal.extension_m = m->goal.force_n = m->goal.current_a = NAN;
    m->heat_w = heat_w;
    m->to_case = to_case;
    m->heat_c = heat_case;
    m->to_air = to_air;
    m->air_c = s->ambient_c;
    x[JV_MOTOR_WINDING] = x[JV_MOTOR_CASE] = winding;
    motion(s, p, m, assumed);
    return true;
}

static void command(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                    double *x, double t) {
    jv_motor_time *m = work;
    (void)n, (void)t;
    m->air_c = s->ambient_c;
    jv_motor_command(m, s, p, e, x);
    m->lead_sense = m->wanted; /* valves choose the way: the motor turns as it is wired */
    if (jv_scene_run(s, p))
        m->fixed_a = jv_pump_asks_a(s, p);
    jv_motor_hold(m, x);
}

const jv_body_kind jv_body_pump = {
    .n_states = JV_MOTOR_STATES,
    .n_core = JV_MOTOR_SPENT,
    .moving = jv_motor_moving,
    .names = jv_motor_state_names,
    .scale = jv_motor_state_scale,
    .work = sizeof(jv_motor_time),
    .start = start,
    .command = command,
    .law = jv_motor_law,
    .rates = jv_motor_rates,
    .inductance = jv_motor_inductance,
    .n_events = JV_MOTOR_EVENTS,
    .events = jv_motor_events,
    .act = jv_motor_act,
    .stored = jv_motor_stored,
    .spent = jv_motor_spent,
    .heat = jv_motor_heat,
    .temperature = jv_motor_winding,
};
