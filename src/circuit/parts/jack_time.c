/* jack_time.c - a jack in time. SPDX-License-Identifier: MIT */
#include "circuit/parts/jack.h"
#include "circuit/parts/motor_time.h"

#include <math.h>

/* What is taken where the file says nothing. From memory, common practice or judgement: none of
 * it decides a verdict alone, each is listed with the run. */
static const double spin_up_s = 0.025; /* middle of 10 to 50 ms of jack motors, from memory */
static const double free_m = 0.040, ramp_m = 0.030; /* a generic leg, judgement */
static const double drag_share = 0.02;    /* of the rating: drag of the screw, judgement */
static const double rated_speed = 4.2e-3; /* 10 in/min: generic legs run 9 to 12, judgement */
static const double heat_w = 58.0;        /* 0.15 kg of copper at 385 J/(kg K) */
static const double to_case = 2.0, heat_case = 600.0, to_air = 2.5; /* from memory */
static const double closes_below = 25.0; /* K; cut-outs reset 15 to 40 K lower, from memory */

static const double copper_c = 234.5, copper_20 = 254.5, reference_c = 20.0,
                    turn_rad = 6.283185307179586;

static double value(const jv_scene *s, const jv_part *p, unsigned key, double otherwise,
                    jv_remarks *assumed, const char *why) {
    double given = jv_scene_value(s, p, key, NAN);
    if (!isnan(given))
        return given;
    if (assumed && why)
        jv_remark(assumed, false, "%s: %s", p->kind->keys[key].name, why);
    return otherwise;
}

static void thermal(const jv_scene *s, const jv_part *p, jv_motor_time *m) {
    m->heat_w = value(s, p, JV_JACK_HEAT_WINDING, heat_w, NULL, NULL);
    m->to_case = value(s, p, JV_JACK_HEAT_TO_CASE, to_case, NULL, NULL);
    m->heat_c = value(s, p, JV_JACK_HEAT_CASE, heat_case, NULL, NULL);
    m->to_air = value(s, p, JV_JACK_HEAT_TO_AIR, to_air, NULL, NULL);
    m->air_c = s->ambient_c;
    m->opens_c = value(s, p, JV_JACK_CUTOUT_OPENS, INFINITY, NULL, NULL);
    m->closes_c = value(s, p, JV_JACK_CUTOUT_CLOSES, m->opens_c - closes_below, NULL, NULL);
}

static void travel(const jv_scene *s, const jv_part *p, jv_motor_time *m, jv_remarks *assumed) {
    double rating = jv_scene_value(s, p, JV_JACK_RATED_FORCE, 1.0);
    m->free_m = value(s, p, JV_JACK_TRAVEL_FREE, free_m, assumed,
                      "40 mm (1.6 in) to the ground are assumed (judgement)");
    m->ramp_m = value(s, p, JV_JACK_TRAVEL_RAMP, ramp_m, assumed,
                      "its load is assumed to come on over 30 mm (1.2 in) (judgement)");
    m->force_n = value(s, p, JV_JACK_TRAVEL_FORCE, rating, assumed,
                       "its load is assumed to be its rated force");
    m->drag_n = value(s, p, JV_JACK_TRAVEL_DRAG, drag_share * rating, NULL, NULL);
    m->rate = value(s, p, JV_JACK_TRAVEL_RATE, 0.0, NULL, NULL);
    m->stroke_m = value(s, p, JV_JACK_STROKE, INFINITY, NULL, NULL);
    double full = m->force_n, flux = 1.0 + m->magnet * (jv_jack_winding_c(s, p) - reference_c);
    m->up0 = m->down0 = flux * jv_jack_force_a(s, p, 0.0);
    m->up1 = (flux * jv_jack_force_a(s, p, full) - m->up0) / full;
    m->down1 = (flux * jv_jack_force_a(s, p, -full) - m->down0) / full;
}

/* Speed and its growth: from the motor's own figures, or by its plate. */
static void motion(const jv_scene *s, const jv_part *p, jv_motor_time *m, jv_remarks *assumed) {
    double spin_up = jv_scene_value(s, p, JV_JACK_SPIN_UP, NAN);
    bool leg = jv_jack_has_leg(s->circuit, p);
    if (leg) {
        jv_leg l = jv_jack_leg_of(s, p);
        double ke = l.motor.ke_v_s / (1.0 + m->magnet * (jv_jack_winding_c(s, p) - reference_c));
        m->metres_per_v = l.screw.lead_m / (turn_rad * l.gear.ratio * ke);
        m->hz_per_v = 1.0 / (turn_rad * ke);
        m->inductance = l.motor.inductance_h;
        if (l.motor.inertia_kg_m2 > 0.0 && isnan(spin_up))
            m->spin = ke * ke / l.motor.inertia_kg_m2;
    } else {
        jv_jack_plate plate = jv_jack_plate_of(s, p);
        double speed = plate.rated_speed;
        if (!(speed > 0.0)) {
            speed = rated_speed;
            jv_remark(assumed, false,
                      "rated_speed: 10 in/min (4.2 mm/s) at its rated load is assumed "
                      "(judgement)");
        }
        double emf = plate.rated_v - plate.rated_a * m->r20;
        m->metres_per_v = plate.rated_a > 0.0 && emf > 0.0 ? speed / emf : speed / plate.rated_v;
        m->hz_per_v = NAN;
    }
    if (m->spin > 0.0)
        return;
    if (isnan(spin_up)) {
        spin_up = spin_up_s;
        jv_remark(assumed, false,
                  "spin_up: a start of 25 ms is assumed (from memory: 10 to 50 ms)");
    }
    m->spin = m->r20 / spin_up;
}

static bool start(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, jv_remarks *assumed) {
    jv_motor_time *m = work;
    double winding = jv_jack_winding_c(s, p);
    (void)n;
    e->law = JV_SERIES;
    m->magnet = jv_jack_magnet_per_k(s->circuit, p);
    m->r20 = jv_jack_sound_ohms(s, p) * copper_20 / (copper_c + winding);
    m->added = jv_jack_ohms(s, p) - jv_jack_sound_ohms(s, p);
    m->factor = 1.0;
    m->soft_s = jv_motor_soft_start_s(s, p);
    x[JV_MOTOR_DRIVE] = 1.0;
    m->lead_sense = 1.0;
    m->goal.extension_m = m->goal.force_n = m->goal.current_a = NAN;
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;) {
        if (f->way == JV_WAY_DRAG)
            m->factor *= f->value;
        if (f->way == JV_WAY_STUCK)
            m->jammed = true;
    }
    motion(s, p, m, assumed);
    thermal(s, p, m);
    travel(s, p, m, assumed);
    x[JV_MOTOR_X] = jv_scene_value(s, p, JV_JACK_TRAVEL_START, 0.0);
    x[JV_MOTOR_WINDING] = x[JV_MOTOR_CASE] = winding;
    m->segment = x[JV_MOTOR_X] < m->free_m ? 0 : x[JV_MOTOR_X] < m->free_m + m->ramp_m ? 1 : 2;
    if (x[JV_MOTOR_X] <= 0.0)
        m->blocked = -1.0;
    return true;
}

static void command(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                    double *x, double t) {
    jv_motor_time *m = work;
    (void)n, (void)t;
    m->air_c = s->ambient_c;
    jv_motor_command(m, s, p, e, x);
    const jv_run *run = jv_scene_run(s, p);
    if (!run)
        return;
    m->by_travel = run->kind == JV_LOAD_TRAVEL;
    double flux = 1.0 + m->magnet * (jv_jack_winding_c(s, p) - reference_c);
    if (!m->by_travel)
        m->fixed_a = flux * jv_jack_asks_a(s, p) / m->factor;
    jv_motor_hold(m, x);
}

const jv_body_kind jv_body_jack = {
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
