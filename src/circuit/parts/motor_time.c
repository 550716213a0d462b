/* motor_time.c - motors of jacks and pumps in time. SPDX-License-Identifier: MIT */
#include "circuit/parts/motor_time.h"

#include "circuit/kinds.h"
#include "circuit/parts/controller.h"

#include <math.h>
#include <string.h>

/* Copper, R(T) = R20 (234.5 + T)/254.5 (equation M, motor.h). */
static const double copper_c = 234.5, copper_20 = 254.5, reference_c = 20.0;

const char *const jv_motor_state_names[JV_MOTOR_STATES] = {"speed, V of back EMF at 20 degC",
                                                           "extension, m",
                                                           "winding, degC",
                                                           "case, degC",
                                                           "drive, 0 to 1",
                                                           "work, J",
                                                           "heat, J"};
/* An error below a millionth of these does not matter (judgement). */
const double jv_motor_state_scale[JV_MOTOR_STATES] = {1.0, 0.01, 10.0, 10.0, 0.1, 100.0, 100.0};

/* A chopper's least share: it begins there (judgement; nothing turns at a twentieth of the volts).
 */
static const double least_drive = 0.05;

static bool copper_alive(const jv_motor_time *m) {
    return m->commanded && !m->cut_out;
}

static double ohms(const jv_motor_time *m, double winding_c) {
    return m->r20 * (copper_c + winding_c) / copper_20 + m->added;
}

static double flux(const jv_motor_time *m, double winding_c) {
    return 1.0 + m->magnet * (winding_c - reference_c);
}

double jv_motor_force(const jv_motor_time *m, double x) {
    if (m->segment == 0)
        return m->drag_n;
    if (m->segment == 1)
        return m->drag_n + (m->force_n - m->drag_n) * (x - m->free_m) / m->ramp_m;
    return m->force_n + m->rate * (x - m->free_m - m->ramp_m);
}

static double force_slope(const jv_motor_time *m) {
    if (m->segment == 0)
        return 0.0;
    return m->segment == 1 ? (m->force_n - m->drag_n) / m->ramp_m : m->rate;
}

double jv_motor_asks(const jv_motor_time *m, double x, double sense, double *slope) {
    double way = sense * m->lead_sense;
    *slope = 0.0;
    if (m->jammed || way == m->blocked)
        return INFINITY;
    if (!m->by_travel)
        return m->factor * m->fixed_a;
    double per_n = way > 0.0 ? m->up1 : m->down1;
    *slope = m->factor * per_n * force_slope(m);
    return m->factor * ((way > 0.0 ? m->up0 : m->down0) + per_n * jv_motor_force(m, x));
}

/* A motor let go is braked by its own short circuit: du = -K m^2 u/R. */
static void brake(const jv_motor_time *m, const double *x, double r, double r_t, jv_body_law *out) {
    double f = flux(m, x[JV_MOTOR_WINDING]), u = x[JV_MOTOR_U];
    if (m->series)
        return; /* no field without current: it coasts */
    double watts = f * f * u * u / r;
    out->rate[JV_MOTOR_U] -= m->spin * f * f * u / r;
    out->rate_x[JV_MOTOR_U][JV_MOTOR_U] -= m->spin * f * f / r;
    out->rate_x[JV_MOTOR_U][JV_MOTOR_WINDING] +=
        m->spin * u * (f * f * r_t / (r * r) - 2.0 * f * m->magnet / r);
    out->rate[JV_MOTOR_HEAT] += watts;
    out->rate_x[JV_MOTOR_HEAT][JV_MOTOR_U] += 2.0 * f * f * u / r;
    out->rate[JV_MOTOR_WINDING] += watts / m->heat_w;
    out->rate_x[JV_MOTOR_WINDING][JV_MOTOR_U] += 2.0 * f * f * u / (r * m->heat_w);
}

/* feed: amps of the port; the motor's own are feed/d. */
static void turn(const jv_motor_time *m, const double *x, double feed, jv_body_law *out) {
    double d = x[JV_MOTOR_DRIVE], i = feed / d;
    double slope, u = x[JV_MOTOR_U], f = flux(m, x[JV_MOTOR_WINDING]);
    double asks = jv_motor_asks(m, x[JV_MOTOR_X], m->sense, &slope);
    if (m->series) {
        out->rate[JV_MOTOR_U] = m->spin * (i * i - m->sense * asks * asks);
        out->rate_i[JV_MOTOR_U] = 2.0 * m->spin * i / d;
        out->rate_x[JV_MOTOR_U][JV_MOTOR_DRIVE] = -2.0 * m->spin * i * i / d;
        out->rate[JV_MOTOR_SPENT] = m->sense * u * asks * asks;
        out->rate_x[JV_MOTOR_SPENT][JV_MOTOR_U] = m->sense * asks * asks;
        return;
    }
    out->rate[JV_MOTOR_U] = m->spin * (f * i - m->sense * asks);
    out->rate_i[JV_MOTOR_U] = m->spin * f / d;
    out->rate_x[JV_MOTOR_U][JV_MOTOR_DRIVE] = -m->spin * f * i / d;
    out->rate_x[JV_MOTOR_U][JV_MOTOR_X] = -m->spin * m->sense * slope;
    out->rate_x[JV_MOTOR_U][JV_MOTOR_WINDING] = m->spin * m->magnet * i;
    out->rate[JV_MOTOR_SPENT] = m->sense * u * asks;
    out->rate_x[JV_MOTOR_SPENT][JV_MOTOR_U] = m->sense * asks;
    out->rate_x[JV_MOTOR_SPENT][JV_MOTOR_X] = m->sense * u * slope;
}

void jv_motor_law(const void *work, const double *x, double feed, jv_body_law *out) {
    const jv_motor_time *m = work;
    memset(out, 0, sizeof *out);
    double tw = x[JV_MOTOR_WINDING], tc = x[JV_MOTOR_CASE], u = x[JV_MOTOR_U];
    double r = ohms(m, tw), r_t = m->r20 / copper_20, f = flux(m, tw);
    double d = x[JV_MOTOR_DRIVE], i = feed / d;
    double all = r + (m->series ? u : 0.0), back = m->series ? 0.0 : f * u;
    out->drop = (all * i + back) / d;
    out->drop_i = all / (d * d);
    out->drop_x[JV_MOTOR_U] = (m->series ? i : f) / d;
    out->drop_x[JV_MOTOR_WINDING] = (r_t * i + (m->series ? 0.0 : m->magnet * u)) / d;
    out->drop_x[JV_MOTOR_DRIVE] = -(2.0 * all * i + back) / (d * d);
    out->rate[JV_MOTOR_DRIVE] = m->ramping ? (1.0 - least_drive) / m->soft_s : 0.0;
    double through = (tw - tc) / m->to_case;
    out->rate[JV_MOTOR_WINDING] = (r * i * i - through) / m->heat_w;
    out->rate_i[JV_MOTOR_WINDING] = 2.0 * r * i / (m->heat_w * d);
    out->rate_x[JV_MOTOR_WINDING][JV_MOTOR_DRIVE] = -2.0 * r * i * i / (m->heat_w * d);
    out->rate_x[JV_MOTOR_WINDING][JV_MOTOR_WINDING] = (r_t * i * i - 1.0 / m->to_case) / m->heat_w;
    out->rate_x[JV_MOTOR_WINDING][JV_MOTOR_CASE] = 1.0 / (m->to_case * m->heat_w);
    out->rate[JV_MOTOR_HEAT] = r * i * i;
    out->rate_i[JV_MOTOR_HEAT] = 2.0 * r * i / d;
    out->rate_x[JV_MOTOR_HEAT][JV_MOTOR_DRIVE] = -2.0 * r * i * i / d;
    out->rate_x[JV_MOTOR_HEAT][JV_MOTOR_WINDING] = r_t * i * i;
    out->rate[JV_MOTOR_CASE] = (through - (tc - m->air_c) / m->to_air) / m->heat_c;
    out->rate_x[JV_MOTOR_CASE][JV_MOTOR_WINDING] = 1.0 / (m->to_case * m->heat_c);
    out->rate_x[JV_MOTOR_CASE][JV_MOTOR_CASE] = -(1.0 / m->to_case + 1.0 / m->to_air) / m->heat_c;
    if (!m->turns)
        return;
    turn(m, x, feed, out);
    if (!copper_alive(m))
        brake(m, x, r, r_t, out);
    out->rate[JV_MOTOR_X] = m->lead_sense * m->metres_per_v * u;
    out->rate_x[JV_MOTOR_X][JV_MOTOR_U] = m->lead_sense * m->metres_per_v;
}

/* The same figures as jv_motor_law without its slopes: five stages of a step ask for no more. */
double jv_motor_rates(const void *work, const double *x, double feed, double *drop_i,
                      double *rate) {
    const jv_motor_time *m = work;
    double tw = x[JV_MOTOR_WINDING], tc = x[JV_MOTOR_CASE], u = x[JV_MOTOR_U];
    double r = ohms(m, tw), f = flux(m, tw), d = x[JV_MOTOR_DRIVE], i = feed / d;
    double all = r + (m->series ? u : 0.0), back = m->series ? 0.0 : f * u;
    double through = (tw - tc) / m->to_case, watts = r * i * i;
    *drop_i = all / (d * d);
    rate[JV_MOTOR_U] = rate[JV_MOTOR_X] = rate[JV_MOTOR_SPENT] = 0.0;
    rate[JV_MOTOR_DRIVE] = m->ramping ? (1.0 - least_drive) / m->soft_s : 0.0;
    rate[JV_MOTOR_CASE] = (through - (tc - m->air_c) / m->to_air) / m->heat_c;
    if (m->turns) {
        double slope, asks = jv_motor_asks(m, x[JV_MOTOR_X], m->sense, &slope);
        double pull = m->series ? i * i : f * i, load = m->sense * (m->series ? asks * asks : asks);
        rate[JV_MOTOR_U] = m->spin * (pull - load);
        rate[JV_MOTOR_SPENT] = u * load;
        rate[JV_MOTOR_X] = m->lead_sense * m->metres_per_v * u;
        if (!m->series && !copper_alive(m)) { /* braked, as in brake() */
            watts += f * f * u * u / r;
            rate[JV_MOTOR_U] -= m->spin * f * f * u / r;
        }
    }
    rate[JV_MOTOR_HEAT] = watts;
    rate[JV_MOTOR_WINDING] = (watts - through) / m->heat_w;
    return (all * i + back) / d;
}

size_t jv_motor_moving(const void *work) {
    return ((const jv_motor_time *)work)->ramping ? JV_MOTOR_SPENT : JV_MOTOR_DRIVE;
}

double jv_motor_inductance(const void *work) {
    return ((const jv_motor_time *)work)->inductance;
}

static double segment_end(const jv_motor_time *m, int segment) {
    return segment == 0 ? m->free_m : m->free_m + m->ramp_m;
}

/* Up to speed: the current is no more than this times that of the load (judgement). */
static const double at_speed = 1.05;

static double goal_reached(const jv_motor_time *m, const double *x, double i) {
    double most = JV_NO_EVENT;
    if (!m->commanded || m->reached || !m->turns)
        return most;
    double way = m->wanted;
    if (!isnan(m->goal.extension_m))
        most = fmax(most, way * (x[JV_MOTOR_X] - m->goal.extension_m));
    if (!isnan(m->goal.force_n) && m->by_travel) {
        double force = jv_motor_force(m, x[JV_MOTOR_X]);
        most = fmax(most, way * (force - m->goal.force_n) / fmax(fabs(m->goal.force_n), 1.0));
    }
    /* A current counts once it is that of the load: what speeds the rotor up is no sign of one. */
    if (!isnan(m->goal.current_a)) {
        double slope, pull = fabs(i) * (m->series ? 1.0 : flux(m, x[JV_MOTOR_WINDING]));
        double asks = jv_motor_asks(m, x[JV_MOTOR_X], m->sense, &slope);
        most = fmax(most, fmin(fabs(i) - m->goal.current_a, at_speed * asks - pull));
    }
    return most;
}

/* A jump's other side must not be missed when a function comes to rest at zero exactly. */
static const double just_m = 1e-12, just_k = 1e-9;

void jv_motor_events(const void *work, const double *x, double feed, double v, double *g) {
    const jv_motor_time *m = work;
    double i = feed / x[JV_MOTOR_DRIVE];
    double slope, u = x[JV_MOTOR_U], at = x[JV_MOTOR_X], tw = x[JV_MOTOR_WINDING];
    (void)v;
    for (size_t k = 0; k < JV_MOTOR_EVENTS; k++)
        g[k] = JV_NO_EVENT;
    g[JV_MOTOR_CUT_OUT] = (m->cut_out ? m->closes_c - tw : tw - m->opens_c) + just_k;
    if (m->ramping)
        g[JV_MOTOR_DRIVEN] = x[JV_MOTOR_DRIVE] - 1.0 + just_k;
    g[JV_MOTOR_GOAL] = goal_reached(m, x, i) + just_m;
    if (!m->turns) {
        double sense = m->series ? 1.0 : (i < 0.0 ? -1.0 : 1.0);
        double asks = jv_motor_asks(m, at, sense, &slope);
        if (isfinite(asks))
            g[JV_MOTOR_BREAKS_AWAY] = fabs(i) * (m->series ? 1.0 : flux(m, tw)) - asks;
        return;
    }
    g[JV_MOTOR_STOPS] = -m->sense * u;
    double way = m->sense * m->lead_sense;
    if (m->by_travel && way > 0.0 && m->segment < 2)
        g[JV_MOTOR_SEGMENT_UP] = at - segment_end(m, m->segment) + just_m;
    if (m->by_travel && way < 0.0 && m->segment > 0)
        g[JV_MOTOR_SEGMENT_DOWN] = segment_end(m, m->segment - 1) - at + just_m;
    if (isfinite(m->stroke_m))
        g[JV_MOTOR_END] = (way > 0.0 ? at - m->stroke_m : -at) + just_m;
}

static void stop_turning(jv_motor_time *m, double *x) {
    m->lost_j += m->series ? 0.0 : 0.5 * x[JV_MOTOR_U] * x[JV_MOTOR_U] / m->spin;
    x[JV_MOTOR_U] = 0.0;
    m->turns = false;
}

static void reach_end(jv_motor_time *m, double *x, jv_body_deed *deed) {
    double way = m->sense * m->lead_sense;
    stop_turning(m, x);
    x[JV_MOTOR_X] = way > 0.0 ? m->stroke_m : 0.0;
    m->blocked = way;
    deed->told = m->commanded;
    deed->what = JV_STROKE_END;
    jv_text_add(&deed->text, way > 0.0 ? "fully extended" : "fully retracted");
    if (m->commanded && m->goal.stroke_end)
        deed->reached = m->reached = true;
}

static void pass_segment(jv_motor_time *m, bool up, jv_body_deed *deed) {
    m->segment += up ? 1 : -1;
    deed->told = up;
    deed->what = m->segment == 1 ? JV_GROUND : JV_FULL_LOAD;
    jv_text_add(&deed->text, m->segment == 1 ? "meets the ground" : "carries its whole load");
}

static void break_away(jv_motor_time *m, double i, jv_body_deed *deed) {
    m->turns = true;
    m->sense = m->series ? 1.0 : (i < 0.0 ? -1.0 : 1.0);
    if (m->sense * m->lead_sense == -m->blocked)
        m->blocked = 0.0;
    bool again = m->stalled && m->commanded;
    m->stalled = false;
    if (!m->commanded || m->sense * m->lead_sense == m->wanted || m->wrong) {
        deed->told = again;
        deed->what = JV_TURNS_AGAIN;
        jv_text_add(&deed->text, again ? "turns again" : "");
        return;
    }
    m->wrong = true;
    deed->told = deed->serious = true;
    deed->what = JV_WRONG_WAY;
    jv_text_addf(&deed->text, "moves %s though it is told to go %s: its leads are exchanged",
                 m->wanted > 0.0 ? "down" : "up", m->wanted > 0.0 ? "up" : "down");
}

static void switch_cut_out(jv_motor_time *m, const double *x, jv_element *e, bool open,
                           jv_body_deed *deed) {
    m->cut_out = open;
    e->open = open || !m->commanded;
    deed->told = deed->switched = true;
    deed->serious = open;
    deed->what = open ? JV_WINDING_OPENS : JV_WINDING_CLOSES;
    jv_text_addf(&deed->text,
                 open ? "its thermal cut-out opens at %.0f degC (%.0f degF)"
                      : "its thermal cut-out closes again at %.0f degC (%.0f degF)",
                 x[JV_MOTOR_WINDING], jv_shown_f(x[JV_MOTOR_WINDING]));
}

void jv_motor_act(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, double i, double v, size_t event, double t, jv_body_deed *deed) {
    jv_motor_time *m = work;
    (void)s, (void)p, (void)n, (void)v, (void)t;
    if (event == JV_MOTOR_BREAKS_AWAY)
        break_away(m, i, deed);
    if (event == JV_MOTOR_SEGMENT_UP || event == JV_MOTOR_SEGMENT_DOWN)
        pass_segment(m, event == JV_MOTOR_SEGMENT_UP, deed);
    if (event == JV_MOTOR_END)
        reach_end(m, x, deed);
    if (event == JV_MOTOR_CUT_OUT)
        switch_cut_out(m, x, e, !m->cut_out, deed);
    if (event == JV_MOTOR_DRIVEN) {
        m->ramping = false;
        x[JV_MOTOR_DRIVE] = 1.0;
    }
    if (event == JV_MOTOR_GOAL)
        deed->reached = m->reached = true;
    if (event != JV_MOTOR_STOPS)
        return;
    /* A current against its turning is meant to stop it: told to turn round, it starts anew. */
    deed->told = deed->serious = m->stalled = copper_alive(m) && i * m->sense > 0.0;
    stop_turning(m, x);
    deed->what = JV_STALLS;
    jv_text_addf(&deed->text,
                 "stands still: %.2f V drive %.0f A through it, its load asks for more", fabs(v),
                 fabs(i));
}

double jv_motor_stored(const void *work, const double *x) {
    const jv_motor_time *m = work;
    double u = x[JV_MOTOR_U];
    if (m->series)
        return u / m->spin * 0.5 * u; /* u = k w, spin = k^2/J: J w^2/2 */
    return 0.5 * u * u / m->spin;
}

double jv_motor_spent(const void *work, const double *x) {
    return x[JV_MOTOR_SPENT] + x[JV_MOTOR_HEAT] + ((const jv_motor_time *)work)->lost_j;
}

double jv_motor_heat(const void *work, const double *x) {
    (void)work;
    return x[JV_MOTOR_HEAT];
}

double jv_motor_winding(const void *work, const double *x) {
    (void)work;
    return x[JV_MOTOR_WINDING];
}

/* Which way it turns for plus at plus: a pair of outputs turns the volts, anything else the
 * command. */
static double leads(const jv_circuit *c, const jv_part *p, double wanted) {
    if (p->driver < 0)
        return wanted;
    const jv_part *by = &c->parts[p->driver];
    for (uint32_t k = 0, n = 0; k < by->n_slots; k++) {
        const jv_slot *slot = &c->slots[by->first_slot + k];
        if (by->kind->keys[slot->key].type != JV_KEY_OUTPUTS)
            continue;
        if (n++ == (uint32_t)p->driver_output)
            return slot->second >= 0 ? 1.0 : wanted;
    }
    return wanted;
}

double jv_motor_soft_start_s(const jv_scene *s, const jv_part *p) {
    if (p->driver < 0 || s->circuit->parts[p->driver].kind != &jv_kind_controller)
        return 0.0;
    return jv_scene_value(s, &s->circuit->parts[p->driver], JV_CONTROLLER_SOFT_START, 0.0);
}

void jv_motor_command(jv_motor_time *m, const jv_scene *s, const jv_part *p, jv_element *e,
                      double *x) {
    const jv_run *run = jv_scene_run(s, p);
    bool was = m->commanded;
    m->commanded = run && !e->open;
    if (m->commanded) {
        m->wanted = run->direction < 0 ? -1.0 : 1.0;
        if (!m->turns)
            m->lead_sense = leads(s->circuit, p, m->wanted);
        m->wrong = m->wrong && was;
        if (!was && m->soft_s > 0.0) {
            m->ramping = true;
            x[JV_MOTOR_DRIVE] = least_drive;
        }
    } else {
        m->reached = m->ramping = m->stalled = false;
        x[JV_MOTOR_DRIVE] = 1.0;
    }
    if (m->cut_out)
        e->open = 1;
}

void jv_motor_hold(jv_motor_time *m, double *x) {
    double slope;
    if (m->turns && isinf(jv_motor_asks(m, x[JV_MOTOR_X], m->sense, &slope)))
        stop_turning(m, x);
}

void jv_motor_set_goal(void *work, const jv_motor_goal *goal) {
    jv_motor_time *m = work;
    m->goal = *goal;
    m->reached = false;
}

void jv_motor_look(const void *work, const double *x, jv_motor_now *out) {
    const jv_motor_time *m = work;
    double slope, u = x[JV_MOTOR_U], asks = jv_motor_asks(m, x[JV_MOTOR_X], 1.0, &slope);
    (void)asks;
    out->speed = m->lead_sense * m->metres_per_v * u;
    out->turns_hz = fabs(u) * m->hz_per_v;
    out->extension_m = m->by_travel || m->metres_per_v > 0.0 ? x[JV_MOTOR_X] : NAN;
    out->force_n = m->by_travel ? jv_motor_force(m, x[JV_MOTOR_X]) : NAN;
    out->turns = m->turns;
    out->commanded = m->commanded;
    out->wrong_way = m->wrong;
    out->at_end = m->blocked != 0.0;
    out->cut_out = m->cut_out;
}
