/* motor.c - direct-current motors of jacks and pumps. SPDX-License-Identifier: MIT */
#include "jackvolt/motor.h"

#include <math.h>

/* Copper by the resistance method: R vanishes at -234.5 degC (IEC 60034-1 form). */
static const double copper_zero = 234.5;
static const double reference_c = 20;
static const double plate_v = 12;                  /* usual rated volts */
static const double lower_share_default = 1.0 / 3; /* T_lower/T_raise 0.31..0.37, Acme f = 0.15 */

static double copper_ratio(double temp_c) {
    return (copper_zero + temp_c) / (copper_zero + reference_c);
}

jv_status jv_motor_from_stall(double v, double w0, double i0, double is, double ts, jv_motor *out) {
    if (!(v > 0 && w0 > 0 && i0 >= 0 && is > i0))
        return JV_ERR_RANGE;
    jv_motor m = {.resistance_ohm = v / is, .no_load_a = i0};
    m.ke_v_s = (v - i0 * m.resistance_ohm) / w0;
    m.kt_nm_a = ts > 0 ? ts / (is - i0) : m.ke_v_s;
    *out = m;
    return JV_OK;
}

jv_status jv_motor_from_two_points(double v, double w0, double i0, double w1, double i1, double t1,
                                   jv_motor *out) {
    if (!(v > 0 && w0 > w1 && w1 > 0 && i0 >= 0 && i1 > i0))
        return JV_ERR_RANGE;
    jv_motor m = {.resistance_ohm = v * (w0 - w1) / (i1 * w0 - i0 * w1), .no_load_a = i0};
    m.ke_v_s = (v - i0 * m.resistance_ohm) / w0;
    m.kt_nm_a = t1 > 0 ? t1 / (i1 - i0) : m.ke_v_s;
    *out = m;
    return JV_OK;
}

jv_motor jv_motor_at(const jv_motor *m, double winding_c, double magnet_c) {
    jv_motor at = *m;
    double flux = 1 + m->magnet_per_k * (magnet_c - reference_c);
    at.resistance_ohm = m->resistance_ohm * copper_ratio(winding_c);
    at.ke_v_s = m->ke_v_s * flux;
    at.kt_nm_a = m->kt_nm_a * flux;
    at.no_load_a = m->no_load_a / flux; /* the drag T0 stays, the amps for it grow */
    return at;
}

/* I = min(asked, (|V| - Vb)/R), sign of V; speed still to be divided by ke. */
static jv_motor_point against(double v, double brush_v, double asked_a, double ohm) {
    double sign = v < 0 ? -1 : 1, left = fabs(v) - brush_v;
    if (left <= 0)
        return (jv_motor_point){.stalled = true};
    if (asked_a * ohm < left)
        return (jv_motor_point){.current_a = sign * asked_a,
                                .speed = sign * (left - asked_a * ohm)};
    return (jv_motor_point){.current_a = sign * left / ohm, .slope = 1 / ohm, .stalled = true};
}

jv_motor_point jv_motor_steady(const jv_motor *m, double v, double torque_nm) {
    double asked = torque_nm / m->kt_nm_a + m->no_load_a;
    jv_motor_point p = against(v, m->brush_v, asked, m->resistance_ohm);
    p.speed /= m->ke_v_s;
    return p;
}

double jv_jack_assumed_stall(const jv_jack_plate *p) {
    return JV_JACK_STALL_FACTOR * p->rated_a;
}

static double rated_volts(const jv_jack_plate *p) {
    return p->rated_v > 0 ? p->rated_v : plate_v;
}

double jv_jack_resistance(const jv_jack_plate *p) {
    double stall = p->stall_a > 0 ? p->stall_a : jv_jack_assumed_stall(p);
    return rated_volts(p) / stall;
}

double jv_jack_load_current(const jv_jack_plate *p, double force_n) {
    double share = p->lower_share > 0 ? p->lower_share : lower_share_default;
    double slope = (p->rated_a - p->no_load_a) / p->rated_force_n;
    return p->no_load_a + slope * fabs(force_n) * (force_n < 0 ? share : 1);
}

double jv_jack_current_at(double current_20_a, double magnet_per_k, double temp_c) {
    return current_20_a / (1 + magnet_per_k * (temp_c - reference_c));
}

jv_motor_point jv_drive_steady(const jv_drive *d, double v) {
    return against(v, 0, d->load_a, d->resistance_ohm);
}

double jv_drive_stall_v(const jv_drive *d) {
    return d->load_a * d->resistance_ohm;
}

double jv_jack_speed_ratio(const jv_jack_plate *p, double v, double current_a,
                           double resistance_ohm) {
    double emf = fabs(v) - fabs(current_a) * resistance_ohm;
    double rated = rated_volts(p) - p->rated_a * jv_jack_resistance(p);
    return emf > 0 ? emf / rated : 0;
}

double jv_jack_stall_force(const jv_jack_plate *p, double v, double resistance_ohm) {
    double share = (fabs(v) / resistance_ohm - p->no_load_a) / (p->rated_a - p->no_load_a);
    return share > 0 ? share * p->rated_force_n : 0;
}

/* (M9) with flux I/(1 + I/Ih): k I^2 - T I/Ih - T = 0. Turning the volts round turns both
 * field and armature: the current changes sign, the direction of turning does not. */
jv_motor_point jv_series_steady(const jv_series_motor *m, double v, double torque_nm) {
    double t = torque_nm + m->drag_nm;
    double bend = m->saturation_a > 0 ? 1 / m->saturation_a : 0;
    double half = t * bend / (2 * m->k);
    double asked = half + sqrt(half * half + t / m->k);
    jv_motor_point p = against(v, 0, asked, m->resistance_ohm);
    double flux = m->k * asked / (1 + asked * bend);
    p.speed = p.stalled ? 0 : fabs(p.speed) / flux;
    return p;
}

double jv_motor_tau_e(const jv_motor *m, double source_ohm) {
    return m->inductance_h / (m->resistance_ohm + source_ohm);
}

double jv_motor_tau_m(const jv_motor *m, double source_ohm) {
    return m->inertia_kg_m2 * (m->resistance_ohm + source_ohm) / (m->ke_v_s * m->kt_nm_a);
}

/* The start as a linear system: I'' + a I' + b I = b I_run, I(0) = 0, I'(0) = V/L, with
 * a = (R + Rs)/L and b = ke kt/(L J). */
typedef struct start {
    double run_a, lock_a, a, b, rate; /* rate: V/L */
} start;

static start start_of(const jv_motor *m, double open_v, double source_ohm, double torque_nm) {
    double r = m->resistance_ohm + source_ohm, v = open_v - m->brush_v;
    return (start){.run_a = torque_nm / m->kt_nm_a + m->no_load_a,
                   .lock_a = v / r,
                   .a = r / m->inductance_h,
                   .b = m->ke_v_s * m->kt_nm_a / (m->inductance_h * m->inertia_kg_m2),
                   .rate = v / m->inductance_h};
}

static bool held(const jv_motor *m, const start *s) {
    return s->run_a >= s->lock_a || !(m->inertia_kg_m2 > 0);
}

double jv_motor_inrush(const jv_motor *m, double open_v, double source_ohm, double torque_nm,
                       double t_s) {
    start s = start_of(m, open_v, source_ohm, torque_nm);
    bool quick = !(m->inductance_h > 0);
    if (held(m, &s))
        return quick ? s.lock_a : s.lock_a * -expm1(-s.a * t_s);
    if (quick)
        return s.run_a + (s.lock_a - s.run_a) * exp(-t_s / jv_motor_tau_m(m, source_ohm));
    double half = s.a / 2, d = half * half - s.b;
    if (d > 0) {
        double s1 = -s.b / (half + sqrt(d)), s2 = -half - sqrt(d);
        double c2 = (s.rate + s1 * s.run_a) / (s2 - s1), c1 = -s.run_a - c2;
        return s.run_a + c1 * exp(s1 * t_s) + c2 * exp(s2 * t_s);
    }
    double w = sqrt(-d), wt = w * t_s;
    double sine = wt > 1e-9 ? sin(wt) / w : t_s; /* critical damping: w = 0 */
    return s.run_a + exp(-half * t_s) * (-s.run_a * cos(wt) + (s.rate - half * s.run_a) * sine);
}

double jv_motor_inrush_peak(const jv_motor *m, double open_v, double source_ohm, double torque_nm,
                            double *at_s) {
    start s = start_of(m, open_v, source_ohm, torque_nm);
    double at = 0;
    if (held(m, &s)) {
        at = INFINITY; /* rises to the locked current and stays */
    } else if (m->inductance_h > 0) {
        /* I' = 0 */
        double half = s.a / 2, d = half * half - s.b;
        if (d > 0) {
            double s1 = -s.b / (half + sqrt(d)), s2 = -half - sqrt(d);
            double c2 = (s.rate + s1 * s.run_a) / (s2 - s1), c1 = -s.run_a - c2;
            at = log(-s2 * c2 / (s1 * c1)) / (s1 - s2);
        } else {
            double w = sqrt(-d), up = s.rate - half * s.run_a;
            at = w > 0 ? atan2(s.rate * w, half * up - w * w * s.run_a) / w : s.rate / (half * up);
        }
    }
    if (at_s)
        *at_s = at;
    return isinf(at) ? s.lock_a : jv_motor_inrush(m, open_v, source_ohm, torque_nm, at);
}

double jv_winding_rate(double current_a, double r20, double temp_c, double heat_j_k) {
    return current_a * current_a * r20 * copper_ratio(temp_c) / heat_j_k;
}

double jv_winding_steady_c(double current_a, double r20, double other_w, double air_c,
                           double k_per_w) {
    double per_k = current_a * current_a * r20 / (copper_zero + reference_c);
    double keep = 1 - k_per_w * per_k;
    return keep > 0 ? (air_c + k_per_w * (per_k * copper_zero + other_w)) / keep : NAN;
}

double jv_copper_rate_k_s(double density_a_mm2) {
    static const double rho = 1.724e-8, density = 8890, heat = 385; /* ohm m, kg/m3, J/(kg K) */
    double j = density_a_mm2 * 1e6;
    return j * j * rho / (density * heat);
}

double jv_brush_ohm(double new_ohm, double worn) {
    static const double growth = 4; /* common practice, no source */
    return worn < 1 ? new_ohm * (1 + growth * (worn > 0 ? worn : 0)) : INFINITY;
}
