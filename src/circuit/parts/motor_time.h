/* motor_time.h - motors of jacks and pumps in time. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_MOTOR_TIME_H
#define CIRCUIT_PARTS_MOTOR_TIME_H

#include "circuit/body.h"

/* States. The speed is kept as the volts it gives: u = ke w with ke at 20 degC. A series-wound
 * motor keeps u = k w, ohm, since its volts are k i w. */
enum {
    JV_MOTOR_U,
    JV_MOTOR_X,
    JV_MOTOR_WINDING,
    JV_MOTOR_CASE,
    JV_MOTOR_DRIVE, /* d: share of the volts that a soft start lets through */
    JV_MOTOR_SPENT,
    JV_MOTOR_HEAT,
    JV_MOTOR_STATES
};

/* Equations (docs/theory.md, "Time"):
 *   v = R(Tw) i + m(Tw) u + L di/dt            m = 1 + a (Tw - 20)
 *   du/dt = K (m i - s I(x))                   K = ke kt/J; s the sense in which it turns
 *   series: v = R i + i u, du/dt = S (i^2 - s I^2)
 *   dx/dt = g c u                              c: m/s a volt, g: which way the leads are
 *   Cw dTw/dt = R i^2 - (Tw - Tc)/Rwc
 *   Cc dTc/dt = (Tw - Tc)/Rwc - (Tc - Ta)/Rca
 * A soft start is a chopper of share d, in its mean: the motor has d v and i/d, d' = 1/T up to 1;
 * its inductance counts on the feed's side meanwhile. All of the wiring carries the feed's amps.
 * I(x) are the amps at 20 degC that its load asks. Let go, it is shorted on itself: m u drives a
 * brake current through R. */
typedef struct jv_motor_time {
    bool series;
    double r20, added, inductance, magnet;
    double spin;         /* K, V/(A s), or S */
    double metres_per_v; /* c */
    double hz_per_v;     /* turns of the motor */
    double heat_w, to_case, heat_c, to_air, air_c;
    double up0, up1, down0, down1; /* amps at 20 degC: up0 + up1 F */
    double factor;                 /* dragging, 1 */
    double soft_s;                 /* T; 0 = none */
    bool jammed;
    double free_m, ramp_m, force_n, rate, drag_n, stroke_m;
    double opens_c, closes_c;
    /* command */
    bool commanded, by_travel;
    double fixed_a;    /* not by its travel */
    double lead_sense; /* g: +1 plus lifts */
    double wanted;     /* +1 up, -1 down */
    jv_motor_goal goal;
    /* what jumps */
    bool turns, cut_out, reached, wrong, ramping, stalled;
    double sense;   /* s */
    int segment;    /* of its travel: 0 free, 1 ramp, 2 beyond */
    double blocked; /* +1: at the upper end, -1: at the lower, 0 */
    double lost_j;
} jv_motor_time;

/* Events, in this order. */
enum {
    JV_MOTOR_BREAKS_AWAY,
    JV_MOTOR_STOPS,
    JV_MOTOR_SEGMENT_UP,
    JV_MOTOR_SEGMENT_DOWN,
    JV_MOTOR_END,
    JV_MOTOR_CUT_OUT,
    JV_MOTOR_GOAL,
    JV_MOTOR_DRIVEN, /* the soft start is over */
    JV_MOTOR_EVENTS
};

extern const char *const jv_motor_state_names[JV_MOTOR_STATES];
extern const double jv_motor_state_scale[JV_MOTOR_STATES];
/* Amps at 20 degC that the load asks at extension x when it turns in `sense` (of u). */
double jv_motor_asks(const jv_motor_time *m, double x, double sense, double *slope);
double jv_motor_force(const jv_motor_time *m, double x);
/* After a new command of the run (NULL: let go): sets what follows from it. */
void jv_motor_command(jv_motor_time *m, const jv_scene *s, const jv_part *p, jv_element *e,
                      double *x);
/* Once its load is known: one that is held fast from now on stops, whatever it turned with. */
void jv_motor_hold(jv_motor_time *m, double *x);
/* Time of the soft start of what drives it, s; 0 = none. */
double jv_motor_soft_start_s(const jv_scene *s, const jv_part *p);
/* All of the core while a soft start goes on, else without its share. */
size_t jv_motor_moving(const void *work);
void jv_motor_law(const void *work, const double *x, double feed, jv_body_law *out);
double jv_motor_rates(const void *work, const double *x, double feed, double *drop_i, double *rate);
void jv_motor_events(const void *work, const double *x, double feed, double v, double *g);
void jv_motor_act(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, double i, double v, size_t event, double t, jv_body_deed *deed);
double jv_motor_stored(const void *work, const double *x);
double jv_motor_spent(const void *work, const double *x);
double jv_motor_heat(const void *work, const double *x);
double jv_motor_winding(const void *work, const double *x);
double jv_motor_inductance(const void *work);

#endif
