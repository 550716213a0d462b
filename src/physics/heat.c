/* heat.c - how warm a cable runs. SPDX-License-Identifier: MIT */
#include "jackvolt/heat.h"

#include <math.h>
#include <stddef.h>

#define PI 3.14159265358979323846

static const double kelvin = 273.15;
static const double stefan = 5.670374e-8; /* W/(m2 K4), CODATA 2018 */
static const double reference_c = 20;

/* Dry air at sea level, straight line through Incropera Table A.4 250..450 K (from memory;
 * within 1.5 %): k, and k (g/(T nu alpha))^(1/4), both about 300 K. */
static const double air_k_300 = 0.0263;       /* W/(m K) */
static const double air_k_slope = 7.4e-5;     /* per K */
static const double air_rise_300 = 2.572;     /* W/(m^1.75 K^1.25) */
static const double air_rise_slope = -2.1e-3; /* per K */

/* Churchill and Chu, Int. J. Heat Mass Transfer 18 (1975) 1049, laminar form for a horizontal
 * cylinder: Nu = 0.36 + 0.518 Ra^(1/4) / [1 + (0.559/Pr)^(9/16)]^(4/9). */
static const double nu_still = 0.36;
static const double nu_rise = 0.518 / 1.3227; /* the bracket at Pr = 0.707 */

static const double insulation_k = 0.2;                    /* W/(m K), PVC and XLPE; common value */
static const double insulation_heat = 2.0e6;               /* J/(m3 K), PVC; from memory */
static const double dull_emissivity = 0.9;                 /* plastic; common value */
static const double loom_gap_m = 2e-3, loom_wall_m = 1e-3; /* estimate, no source */
static const double typical_rise_k = 40;

/* (H2) heat off the surface at rise s; *dq its slope. */
static inline double surface(const jv_heat_body *b, double s, double *dq) {
    double root = sqrt(sqrt(fabs(s)));
    double film = 0.5 * s;
    double still = b->still + b->still_t * film;
    double rise = b->rise + b->rise_t * film;
    double hot = b->air_k + s, hot2 = hot * hot, air2 = b->air_k * b->air_k;
    double radiated = b->radiate * (hot2 - air2) * (hot2 + air2);
    *dq = still + 0.5 * b->still_t * s + (1.25 * rise + 0.5 * b->rise_t * s) * root +
          4 * b->radiate * hot2 * hot;
    return s * (still + rise * root) + radiated;
}

/* Surface rise for a conductor rise: s + W q(s) = rise. Convex and rising, so Newton's
 * method from the typical share settles in a few steps. */
static double surface_rise(const jv_heat_body *b, double rise, double *q, double *dq) {
    double s = rise / (1 + b->resist * b->warm_start);
    for (int i = 0; i < 30; i++) {
        *q = surface(b, s, dq);
        double step = (s + b->resist * *q - rise) / (1 + b->resist * *dq);
        s -= step;
        if (fabs(step) <= 1e-7 * (1 + fabs(s)))
            break;
    }
    *q = surface(b, s, dq);
    return s;
}

double jv_bundle_factor(int loaded_together) {
    if (loaded_together < 3)
        return 1;
    if (loaded_together == 3)
        return 0.70;
    if (loaded_together <= 6)
        return 0.60;
    return loaded_together <= 24 ? 0.50 : 0.40;
}

void jv_heat_body_shape(const jv_conductor *c, const jv_heat_shape *shape,
                        const jv_surroundings *where, jv_heat_body *out) {
    jv_heat_body b = {.r20 = c->r20_ohm_per_m, .alpha = c->alpha20_per_k, .limit_c = c->melts_c};
    double d = shape->overall_m, bare = shape->bare_m;
    double k = shape->conductivity > 0 ? shape->conductivity : insulation_k;
    double e = shape->emissivity > 0 ? shape->emissivity : dull_emissivity;
    b.air_c = where->air_c;
    b.air_k = where->air_c + kelvin;
    double warmer = b.air_k - 300;
    double k_air = air_k_300 + air_k_slope * warmer;
    b.resist = log(d / bare) / (2 * PI * k);
    if (where->loom) {
        double across = k_air / loom_gap_m + 4 * e / (2 - e) * stefan * pow(b.air_k, 3);
        b.resist += 1 / (PI * d * across);
        d += 2 * (loom_gap_m + loom_wall_m);
    }
    /* Ampacity falls by the bundle factor, so heat at the same rise by its square. */
    double shared = pow(jv_bundle_factor(where->loaded_together), 2);
    double hull = PI * shared, d_three_quarters = pow(d, 0.75);
    b.still = hull * nu_still * k_air;
    b.still_t = hull * nu_still * air_k_slope;
    b.rise = hull * nu_rise * d_three_quarters * (air_rise_300 + air_rise_slope * warmer);
    b.rise_t = hull * nu_rise * d_three_quarters * air_rise_slope;
    b.radiate = hull * d * e * stefan;
    double slope, q = surface(&b, typical_rise_k, &slope);
    b.warm_start = q / typical_rise_k;
    /* The insulation is warm inside and cooler outside: (van Wormer, as in IEC 60853; from
     * memory) the share p of it goes with the conductor, the rest with the surface. */
    double ratio = shape->overall_m / bare;
    double ring = PI / 4 * (shape->overall_m * shape->overall_m - bare * bare);
    double p = ratio > 1.001 ? 1 / (2 * log(ratio)) - 1 / (ratio * ratio - 1) : 0.5;
    double outside = 1 / (1 + b.resist * b.warm_start);
    b.capacity = c->heat_j_per_m_k + insulation_heat * ring * (p + (1 - p) * outside);
    *out = b;
}

void jv_heat_body_make(const jv_conductor *c, jv_wall wall, const jv_surroundings *where,
                       jv_heat_body *out) {
    jv_heat_shape shape = {.bare_m = c->diameter_m, .overall_m = jv_cable_diameter_m(c, wall)};
    jv_heat_body_shape(c, &shape, where, out);
}

static jv_heat_steady no_steady_state(const jv_heat_body *b, int steps) {
    return (jv_heat_steady){.temp_c = b->limit_c,
                            .r_per_m = jv_resistance_at(b->r20, b->alpha, b->limit_c),
                            .none = true,
                            .steps = steps};
}

/* (H1) as one equation in the surface rise s, with u = I^2 R20:
 *   f(s) = q(s) (1 - u a W) - u (1 + a (Ta - 20)) - u a s = 0,
 * convex with f(0) < 0, so it has one root or, below the melting point, none. */
static jv_heat_steady steady(const jv_heat_body *b, double current_a, double near_s) {
    double u = current_a * current_a * b->r20, ua = u * b->alpha;
    double at_air = 1 + b->alpha * (b->air_c - reference_c);
    double p0 = u * at_air, keep = 1 - ua * b->resist;
    if (!(keep > 0))
        return no_steady_state(b, 0);
    double most = b->limit_c - b->air_c;
    double s = near_s, q = 0, dq = 0, slope = 1;
    if (!(s > 0)) {
        /* q grows about as s^(5/4); start from s = 40 K x^0.75 */
        double gain = b->warm_start * keep - ua;
        double x = gain > 0 ? p0 / (gain * typical_rise_k) : 1;
        s = typical_rise_k * sqrt(x) * sqrt(sqrt(x));
    }
    int steps = 0;
    for (; steps < 60; steps++) {
        q = surface(b, s, &dq);
        slope = dq * keep - ua;
        if (!(slope > 0)) { /* below the bottom of f: go up until the radiation wins */
            if (s > most)
                return no_steady_state(b, steps);
            s = 2 * s + 1;
            continue;
        }
        double step = (q * keep - p0 - ua * s) / slope;
        s -= step;
        if (fabs(step) <= 1e-7 * (1 + s))
            break; /* the next would be about 1e-14 */
    }
    q = surface(b, s, &dq);
    double temp = b->air_c + s + b->resist * q;
    if (!(temp < b->limit_c))
        return no_steady_state(b, steps);
    double r = jv_resistance_at(b->r20, b->alpha, temp);
    slope = dq * keep - ua;
    double per_amp = 2 * current_a * r / slope * (1 + b->resist * dq);
    return (jv_heat_steady){.temp_c = temp,
                            .slope = per_amp,
                            .r_per_m = r,
                            .r_slope = b->r20 * b->alpha * per_amp,
                            .steps = steps + 1};
}

jv_heat_steady jv_heat_steady_at(const jv_heat_body *b, double current_a) {
    return steady(b, current_a, 0.0);
}

jv_heat_steady jv_heat_steady_near(const jv_heat_body *b, double current_a, double near_c) {
    /* The insulation takes its share as at the typical rise: near enough for a start. */
    return steady(b, current_a, (near_c - b->air_c) / (1 + b->resist * b->warm_start));
}

double jv_heat_flow(const jv_heat_body *b, double temp_c, double *slope) {
    double q, dq;
    surface_rise(b, temp_c - b->air_c, &q, &dq);
    if (slope)
        *slope = dq / (1 + b->resist * dq);
    return q;
}

double jv_heat_current_for(const jv_heat_body *b, double temp_c) {
    if (!(temp_c > b->air_c))
        return 0;
    return sqrt(jv_heat_flow(b, temp_c, NULL) / jv_resistance_at(b->r20, b->alpha, temp_c));
}

double jv_heat_rate(const jv_heat_body *b, double current_a, double temp_c, double *slope) {
    double leaves, made = current_a * current_a * jv_resistance_at(b->r20, b->alpha, temp_c);
    double flow = jv_heat_flow(b, temp_c, &leaves);
    if (slope)
        *slope = (current_a * current_a * b->r20 * b->alpha - leaves) / b->capacity;
    return (made - flow) / b->capacity;
}

double jv_heat_time_constant(const jv_heat_body *b, double current_a, double temp_c) {
    double slope;
    jv_heat_rate(b, current_a, temp_c, &slope);
    return slope != 0 ? -1 / slope : INFINITY;
}

/* Runaway: no end to go to. Runge-Kutta in T, a step as long as it takes to grow by 3 % of
 * the absolute temperature. */
static double runaway_after(const jv_heat_body *b, double current_a, double temp, double time_s) {
    static const double growth = 0.03;
    while (time_s > 0 && temp < b->limit_c) {
        double k1 = jv_heat_rate(b, current_a, temp, NULL);
        double h = fmin(time_s, growth * (temp + kelvin) / k1);
        double k2 = jv_heat_rate(b, current_a, temp + 0.5 * h * k1, NULL);
        double k3 = jv_heat_rate(b, current_a, temp + 0.5 * h * k2, NULL);
        double k4 = jv_heat_rate(b, current_a, temp + h * k3, NULL);
        temp += h / 6 * (k1 + 2 * k2 + 2 * k3 + k4);
        time_s -= h;
    }
    return fmin(temp, b->limit_c);
}

/* dy/dt of y = -ln((Te - T)/(Te - T0)), 1/s: the inverse time constant seen so far. */
static double approach(const jv_heat_body *b, double current_a, double end_c, double gap,
                       double y) {
    double left = gap * exp(-y), slope;
    double rate = jv_heat_rate(b, current_a, end_c - left, &slope);
    return fabs(left) > 1e-4 ? rate / left : -slope;
}

/* In y the way to the end is nearly a straight line and the end cannot be passed: Runge-Kutta
 * in y, short steps first, where q bends most. */
static double once(const jv_heat_body *b, double current_a, double start_c, double time_s) {
    static const double first = 0.08, growth = 0.2, settled = 25; /* e^-25 is nothing */
    jv_heat_steady end = jv_heat_steady_at(b, current_a);
    if (!(time_s > 0))
        return start_c;
    if (end.none)
        return runaway_after(b, current_a, start_c, time_s);
    double gap = end.temp_c - start_c, y = 0;
    if (gap == 0)
        return start_c;
    while (time_s > 0 && y < settled) {
        double k1 = approach(b, current_a, end.temp_c, gap, y);
        double h = fmin(time_s, (first + growth * y) / k1);
        double k2 = approach(b, current_a, end.temp_c, gap, y + 0.5 * h * k1);
        double k3 = approach(b, current_a, end.temp_c, gap, y + 0.5 * h * k2);
        double k4 = approach(b, current_a, end.temp_c, gap, y + h * k3);
        y += h / 6 * (k1 + 2 * k2 + 2 * k3 + k4);
        time_s -= h;
    }
    return end.temp_c - gap * exp(-y);
}

/* ---- on and off ---- */

typedef double (*after)(const jv_heat_body *b, double current_a, double start_c, double time_s);

/* (H11) for ever: the start of an on-time is the same as that of the next, by Steffensen's method;
 * each cycle brings a start nearer to it. */
static double start_of_ever(const jv_heat_body *b, double current_a, double start_c, double on_s,
                            after one) {
    enum { ROUNDS = 20 };
    static const double near_k = 1e-5;
    double t = start_c;
    for (int k = 0; k < ROUNDS; k++) {
        double hot = one(b, current_a, t, on_s), next = one(b, 0, hot, b->pause_s);
        double again = one(b, 0, one(b, current_a, next, on_s), b->pause_s);
        double bend = again - 2 * next + t;
        if (fabs(next - t) <= near_k || bend == 0 || !(hot < b->limit_c))
            return next;
        t -= (next - t) * (next - t) / bend;
    }
    return t;
}

static double cycles(const jv_heat_body *b, double current_a, double start_c, double on_s,
                     after one) {
    static const double same_k = 1e-7;
    if (!(b->repeats > 1))
        return one(b, current_a, start_c, on_s);
    if (isinf(b->repeats))
        return one(b, current_a, start_of_ever(b, current_a, start_c, on_s, one), on_s);
    double hot = one(b, current_a, start_c, on_s), before = start_c;
    for (double n = 1; n < b->repeats && fabs(hot - before) > same_k && hot < b->limit_c; n++) {
        before = hot;
        hot = one(b, current_a, one(b, 0, hot, b->pause_s), on_s);
    }
    return hot;
}

double jv_heat_after(const jv_heat_body *b, double current_a, double start_c, double time_s) {
    return cycles(b, current_a, start_c, time_s, once);
}

/* (H10) x = (Te - T)/(Te - T0), and dy/dt as a straight line in x through its values at the start
 * and with three tenths of the way left: dx/dt = -x (k1 + (k0 - k1) x). */
static double quick(const jv_heat_body *b, double current_a, double start_c, double time_s) {
    static const double part = 0.3;
    jv_heat_steady end = jv_heat_steady_at(b, current_a);
    if (end.none)
        return once(b, current_a, start_c, time_s);
    double gap = end.temp_c - start_c;
    if (fabs(gap) < 1e-9 || !(time_s > 0))
        return start_c;
    double k0 = jv_heat_rate(b, current_a, start_c, NULL) / gap;
    double late = jv_heat_rate(b, current_a, end.temp_c - part * gap, NULL) / (part * gap);
    double k1 = (late - part * k0) / (1 - part), e = exp(-k1 * time_s);
    return end.temp_c - gap * k1 * e / (k1 + (k0 - k1) * (1 - e));
}

double jv_heat_after_quick(const jv_heat_body *b, double current_a, double start_c, double time_s,
                           double *slope) {
    double temp = cycles(b, current_a, start_c, time_s, quick);
    if (slope) {
        double h = 1e-5 * fabs(current_a) + 1e-6;
        *slope = (cycles(b, current_a + h, start_c, time_s, quick) - temp) / h;
    }
    return temp;
}

/* Five-point Gauss rule on [-1, 1]: Abramowitz and Stegun, Table 25.4. */
static const double gauss_x[5] = {-0.906179845938664, -0.538469310105683, 0, 0.538469310105683,
                                  0.906179845938664};
static const double gauss_w[5] = {0.236926885056189, 0.478628670499366, 0.568888888888889,
                                  0.478628670499366, 0.236926885056189};

/* t = integral of dT / (dT/dt). Near an end temperature Te the variable y = -ln((Te - T)/
 * (Te - T0)) takes the pole away: dt = (Te - T)/(dT/dt) dy. */
double jv_heat_time_to(const jv_heat_body *b, double current_a, double start_c, double temp_c) {
    enum { PANELS = 12 };
    jv_heat_steady end = jv_heat_steady_at(b, current_a);
    if (temp_c == start_c)
        return 0;
    bool up = temp_c > start_c;
    if (!end.none && (up ? temp_c >= end.temp_c : temp_c <= end.temp_c))
        return INFINITY;
    if (end.none && (!up || temp_c > b->limit_c))
        return INFINITY;
    double from = end.none ? start_c : 0, gap = end.temp_c - start_c;
    double to = end.none ? temp_c : -log((end.temp_c - temp_c) / gap);
    double width = (to - from) / PANELS, time = 0;
    for (int i = 0; i < PANELS; i++) {
        for (int j = 0; j < 5; j++) {
            double y = from + width * (i + 0.5 * (1 + gauss_x[j]));
            double temp = end.none ? y : end.temp_c - gap * exp(-y);
            double weight = end.none ? 1 : end.temp_c - temp;
            time += 0.5 * width * gauss_w[j] * weight / jv_heat_rate(b, current_a, temp, NULL);
        }
    }
    return time >= 0 ? time : INFINITY; /* a start above a runaway's bottom that cools */
}

double jv_first_order(double start, double end, double time_s, double tau_s) {
    return end + (start - end) * exp(-time_s / tau_s);
}

double jv_duty_peak_ratio(double on_s, double off_s, double tau_on_s, double tau_off_s) {
    return -expm1(-on_s / tau_on_s) / -expm1(-(on_s / tau_on_s + off_s / tau_off_s));
}

double jv_duty_share(double on_s, double off_s, double repeats, double tau_s) {
    if (!(tau_s > 0))
        return 1;
    double rise = -expm1(-on_s / tau_s), cycle = (on_s + off_s) / tau_s;
    return repeats > 1 ? rise * expm1(-repeats * cycle) / expm1(-cycle) : rise;
}

double jv_overload_factor(double on_s, double tau_s, double constant_loss_ratio) {
    return sqrt((1 + constant_loss_ratio) / -expm1(-on_s / tau_s) - constant_loss_ratio);
}

double jv_overload_factor_periodic(double on_s, double off_s, double tau_on_s, double tau_off_s,
                                   double constant_loss_ratio) {
    double peak = jv_duty_peak_ratio(on_s, off_s, tau_on_s, tau_off_s);
    return sqrt((1 + constant_loss_ratio) / peak - constant_loss_ratio);
}

double jv_ambient_factor(double rating_c, double base_air_c, double air_c) {
    return air_c < rating_c ? sqrt((rating_c - air_c) / (rating_c - base_air_c)) : 0;
}
