/* body.h - what a part does in time. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_BODY_H
#define CIRCUIT_BODY_H

#include "circuit/part_kind.h"
#include "jackvolt/happening.h"

/* A part that changes in time has one body: a few states x that go by the current i of one of
 * its elements, its port, and that set the port's law
 *
 *     v = drop(x, i) + L di/dt          dx/dt = rate(x, i)
 *
 * No other element may depend on the states: so the states can be eliminated into the port's own
 * entry of the matrix, and the pattern of the steady problem serves for time as well.
 *
 * What jumps (stuck or turning, cut-out open) is kept in the body's work area and changes only
 * by act(), at an event: a function that rises to zero or above, or a moment that was set. */

enum { JV_BODY_STATES = 7, JV_BODY_EVENTS = 8, JV_BODY_TIMER = JV_BODY_EVENTS };

/* A function of an event that cannot happen now. */
#define JV_NO_EVENT (-1e30)

typedef struct jv_body_law {
    double drop;                   /* V at i */
    double drop_i;                 /* its change with i, ohm */
    double drop_x[JV_BODY_STATES]; /* and with each state */
    double rate[JV_BODY_STATES];   /* dx/dt */
    double rate_i[JV_BODY_STATES]; /* its change with i */
    double rate_x[JV_BODY_STATES][JV_BODY_STATES];
} jv_body_law;

/* What act() did, for the story. */
typedef struct jv_body_deed {
    bool told; /* `what` is worth telling */
    jv_happening what;
    bool serious, weak;
    bool reached;  /* the goal of its run: the controller lets it go */
    bool switched; /* an element opened or closed: islands may have changed */
    jv_text text;  /* the reason, in words; freed by the caller */
} jv_body_deed;

typedef struct jv_body_kind {
    size_t n_states;
    size_t n_core; /* the first ones, on which drop and rates depend; the rest only add up */
    /* How many of the core go into this step: those behind stand still (rate 0) and count as sums.
     * NULL = n_core. */
    size_t (*moving)(const void *work);
    const char *const *names; /* of the states, with unit: "speed, V of back EMF" */
    const double *scale;      /* size of each state below which an error does not matter */
    size_t work;              /* bytes of the work area */
    size_t port;              /* which of the part's elements */
    /* False: this part has no body after all (a cable of given ohms). May change the law of the
     * port, once. Fills the work area and the states at the start; assumed takes one sentence
     * for each figure taken for granted (JV_REMARK lines, not serious). */
    bool (*start)(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                  double *x, jv_remarks *assumed);
    /* After the kind's load for a new command: which way it runs, open or closed. May be NULL. */
    void (*command)(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work,
                    double *x, double t);
    /* The law at x and i; slopes only when asked. Called with n_states > 0 only. */
    void (*law)(const void *work, const double *x, double i, jv_body_law *out);
    /* The same without slopes: answers with the drop, sets drop_i and rate. NULL = law serves. */
    double (*rates)(const void *work, const double *x, double i, double *drop_i, double *rate);
    double (*inductance)(const void *work); /* H; NULL = none */
    /* Event functions at states x, port current i and volts v. May be NULL. */
    size_t n_events;
    void (*events)(const void *work, const double *x, double i, double v, double *g);
    /* The next moment at which act(JV_BODY_TIMER) is wanted; INFINITY = none. May be NULL. */
    double (*due)(const void *work);
    void (*act)(const jv_scene *s, const jv_part *p, jv_element *e, size_t n, void *work, double *x,
                double i, double v, size_t event, double t, jv_body_deed *deed);
    /* Joules stored in the states, and lost in jumps so far. NULL = none. */
    double (*stored)(const void *work, const double *x);
    /* Joules that the states say have left as work or heat of their own. NULL = none. */
    double (*spent)(const void *work, const double *x);
    /* Joules of heat in its winding so far; NULL = none. */
    double (*heat)(const void *work, const double *x);
    /* Temperature that the states tell, degC; NULL = none. */
    double (*temperature)(const void *work, const double *x);
} jv_body_kind;

extern const jv_body_kind jv_body_jack, jv_body_pump, jv_body_battery, jv_body_cable,
    jv_body_contact, jv_body_relay, jv_body_supply;

/* What the study asks of a jack or pump in time. */
typedef struct jv_motor_goal {
    double extension_m, force_n, current_a; /* NAN = none */
    bool stroke_end;
} jv_motor_goal;
typedef struct jv_motor_now {
    double speed;       /* m/s up; NAN = not known */
    double turns_hz;    /* of the motor; NAN = not known */
    double extension_m; /* NAN: a pump */
    double force_n;     /* NAN = not known */
    bool turns, commanded, wrong_way, at_end, cut_out;
} jv_motor_now;
/* work: that of a jack's or pump's body. */
void jv_motor_set_goal(void *work, const jv_motor_goal *goal);
void jv_motor_look(const void *work, const double *x, jv_motor_now *out);

#endif
