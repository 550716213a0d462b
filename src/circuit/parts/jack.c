/* jack.c - a levelling jack: motor, gear and screw. SPDX-License-Identifier: MIT */
#include "circuit/parts/jack.h"

#include "circuit/body.h"
#include "circuit/kinds.h"

#include <math.h>

#define T(name, help) \
    { name, JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, help }
#define Q(name, dim, flags, least, most, help) \
    { name, JV_KEY_QUANTITY, dim, flags, least, most, NULL, NULL, NULL, help }

static const jv_key keys[JV_JACK_KEYS] = {
    T("plus", "terminal that is plus when it lifts"),
    T("minus", "terminal that is minus when it lifts"),
    Q("rated_force", JV_DIM_FORCE, 0, 0, 0, "force that it is rated to lift"),
    Q("rated_current", JV_DIM_CURRENT, 0, 0, 0, "current when it lifts its rated force"),
    Q("no_load_current", JV_DIM_CURRENT, 0, 0, 0, "current when it runs free"),
    Q("stall_current", JV_DIM_CURRENT, 0, 0, 0,
      "current when it is held fast at its rated voltage; 3.5 times the rated current is assumed "
      "when absent"),
    {"rated_voltage", JV_KEY_QUANTITY, JV_DIM_VOLTAGE, 0, 0, 0, NULL, "12 V",
     "the circuits of this program are 12 V circuits", "volts at its terminals for these figures"},
    Q("rated_speed", JV_DIM_SPEED, 0, 0, 0, "speed when it lifts its rated force"),
    Q("lowering_share", JV_DIM_RATIO, 0, 0, 1,
      "current above the free current when lowering, as a share of lifting; one third when absent"),
    Q("stroke", JV_DIM_LENGTH, 0, 0, 0, "its whole travel"),
    Q("temperature", JV_DIM_TEMPERATURE, JV_ZERO_OK | JV_NEGATIVE_OK, -60, 250,
      "temperature of the winding; the ambient of the case when absent"),
    {"magnet", JV_KEY_WORD, 0, 0, 0, 0, "ferrite|neodymium|samarium cobalt", NULL, NULL,
     "magnets of the motor: warm ones are weaker; no change when absent"},
    Q("travel.free", JV_DIM_LENGTH, JV_ZERO_OK, 0, 0,
      "travel before the foot meets the ground; 40 mm in a sequence when absent"),
    Q("travel.ramp", JV_DIM_LENGTH, 0, 0, 0,
      "travel over which the load comes on; 30 mm in a sequence when absent"),
    Q("travel.force", JV_DIM_FORCE, 0, 0, 0,
      "force when the load has come on; the rated force in a sequence when absent"),
    Q("travel.rate", JV_DIM_STIFFNESS, JV_ZERO_OK, 0, 0,
      "growth of the force beyond that; none when absent"),
    Q("travel.start", JV_DIM_LENGTH, JV_ZERO_OK, 0, 0,
      "extension before a sequence; fully retracted when absent"),
    Q("travel.drag", JV_DIM_FORCE, JV_ZERO_OK, 0, 0,
      "force of its own drag before it meets the ground; 2 % of the rated force when absent"),
    Q("spin_up", JV_DIM_TIME, 0, 0, 0,
      "time constant of the start, without the circuit's ohms; 25 ms in a sequence when neither "
      "it nor the inertia of the motor is given"),
    Q("heat.winding", JV_DIM_HEAT_CAPACITY, 0, 0, 0, "heat that warms the winding by 1 K"),
    Q("heat.winding_to_case", JV_DIM_THERMAL_RESISTANCE, 0, 0, 0,
      "thermal resistance from winding to case"),
    Q("heat.case", JV_DIM_HEAT_CAPACITY, 0, 0, 0, "heat that warms the case by 1 K"),
    Q("heat.case_to_air", JV_DIM_THERMAL_RESISTANCE, 0, 0, 0,
      "thermal resistance from case to air"),
    Q("cutout.opens", JV_DIM_TEMPERATURE, 0, 20, 250,
      "winding temperature at which its thermal cut-out opens; none is taken when absent"),
    Q("cutout.closes", JV_DIM_TEMPERATURE, 0, -40, 250,
      "winding temperature at which the cut-out closes again; 25 K lower when absent"),
    Q("motor.resistance", JV_DIM_RESISTANCE, 0, 0, 0,
      "ohms of the motor at 20 degC, brushes included"),
    Q("motor.constant", JV_DIM_MOTOR_CONSTANT, 0, 0, 0,
      "volts by speed, torque by current at 20 degC"),
    Q("motor.no_load_current", JV_DIM_CURRENT, JV_ZERO_OK, 0, 0, "current of the bare motor"),
    Q("motor.inertia", JV_DIM_INERTIA, 0, 0, 0, "inertia at the motor shaft"),
    Q("motor.inductance", JV_DIM_INDUCTANCE, 0, 0, 0, "inductance of the motor"),
    Q("gear.ratio", JV_DIM_NUMBER, 0, 0, 0, "turns of the motor for one turn of the screw"),
    Q("gear.efficiency", JV_DIM_RATIO, 0, 0, 1, "efficiency of all meshes together"),
    Q("gear.drag", JV_DIM_TORQUE, JV_ZERO_OK, 0, 0, "drag of the gear at the motor shaft"),
    Q("screw.diameter", JV_DIM_LENGTH, 0, 0, 0, "outer diameter of the thread"),
    Q("screw.pitch", JV_DIM_LENGTH, 0, 0, 0, "from thread to thread; the lead when absent"),
    Q("screw.lead", JV_DIM_LENGTH, 0, 0, 0, "travel for one turn"),
    {"screw.thread", JV_KEY_WORD, 0, 0, 0, 0, "acme|trapezoidal|square", NULL, NULL,
     "form of the thread; acme when absent"},
    Q("screw.friction", JV_DIM_NUMBER, 0, 0, 1, "friction of the thread"),
    Q("screw.collar_friction", JV_DIM_NUMBER, JV_ZERO_OK, 0, 1,
      "friction of the collar; none (a ball bearing) when absent"),
    Q("screw.collar_diameter", JV_DIM_LENGTH, 0, 0, 0, "mean diameter of the collar"),
};

/* Change of the motor constant, 1/K, by magnet, in the order of the choices: ferrite and
 * samarium cobalt of lecture notes cel-01246816; neodymium -0.09 to -0.12 %/K of
 * advancedmagnets.com, the middle. */
double jv_jack_magnet_per_k(const jv_circuit *c, const jv_part *p) {
    static const double per_k[] = {-0.0020, -0.00105, -0.0002};
    int magnet = jv_part_word(c, p, JV_JACK_MAGNET, -1);
    return magnet < 0 ? 0.0 : per_k[magnet];
}

double jv_jack_winding_c(const jv_scene *s, const jv_part *p) {
    return jv_scene_air_c(s, p, JV_JACK_TEMPERATURE);
}

jv_jack_plate jv_jack_plate_of(const jv_scene *s, const jv_part *p) {
    jv_jack_plate plate;
    plate.rated_force_n = jv_scene_value(s, p, JV_JACK_RATED_FORCE, 0.0);
    plate.rated_a = jv_scene_value(s, p, JV_JACK_RATED_CURRENT, 0.0);
    plate.no_load_a = jv_scene_value(s, p, JV_JACK_NO_LOAD_CURRENT, 0.0);
    plate.stall_a = jv_scene_value(s, p, JV_JACK_STALL_CURRENT, NAN);
    plate.rated_v = jv_scene_value(s, p, JV_JACK_RATED_VOLTAGE, 0.0);
    plate.rated_speed = jv_scene_value(s, p, JV_JACK_RATED_SPEED, 0.0);
    plate.lower_share = jv_scene_value(s, p, JV_JACK_LOWERING_SHARE, 0.0);
    return plate;
}

bool jv_jack_has_leg(const jv_circuit *c, const jv_part *p) {
    return jv_part_has(c, p, JV_JACK_MOTOR_RESISTANCE);
}

static jv_screw screw_of(const jv_scene *s, const jv_part *p) {
    /* Half angles: 29 deg Acme, 30 deg metric trapezoidal, square; rad. */
    static const double half_angle[] = {0.25307274153917776, 0.26179938779914941, 0.0};
    jv_screw screw = {0};
    screw.lead_m = jv_scene_value(s, p, JV_JACK_SCREW_LEAD, NAN);
    double pitch = jv_scene_value(s, p, JV_JACK_SCREW_PITCH, screw.lead_m);
    screw.mean_m = jv_screw_mean_m(jv_scene_value(s, p, JV_JACK_SCREW_DIAMETER, NAN), pitch);
    screw.half_angle = half_angle[jv_part_word(s->circuit, p, JV_JACK_SCREW_THREAD, 0)];
    screw.friction = jv_scene_value(s, p, JV_JACK_SCREW_FRICTION, NAN);
    screw.collar_friction = jv_scene_value(s, p, JV_JACK_SCREW_COLLAR_FRICTION, 0.0);
    screw.collar_mean_m = jv_scene_value(s, p, JV_JACK_SCREW_COLLAR_DIAMETER, 0.0);
    return screw;
}

jv_leg jv_jack_leg_of(const jv_scene *s, const jv_part *p) {
    jv_motor motor = {0};
    motor.resistance_ohm = jv_scene_value(s, p, JV_JACK_MOTOR_RESISTANCE, NAN);
    motor.ke_v_s = motor.kt_nm_a = jv_scene_value(s, p, JV_JACK_MOTOR_CONSTANT, NAN);
    motor.no_load_a = jv_scene_value(s, p, JV_JACK_MOTOR_NO_LOAD_CURRENT, 0.0);
    motor.magnet_per_k = jv_jack_magnet_per_k(s->circuit, p);
    motor.inertia_kg_m2 = jv_scene_value(s, p, JV_JACK_MOTOR_INERTIA, 0.0);
    motor.inductance_h = jv_scene_value(s, p, JV_JACK_MOTOR_INDUCTANCE, 0.0);
    jv_leg leg;
    leg.motor = jv_motor_at(&motor, jv_jack_winding_c(s, p), jv_jack_winding_c(s, p));
    leg.gear.ratio = jv_scene_value(s, p, JV_JACK_GEAR_RATIO, NAN);
    leg.gear.efficiency = jv_scene_value(s, p, JV_JACK_GEAR_EFFICIENCY, NAN);
    leg.gear.drag_nm = jv_scene_value(s, p, JV_JACK_GEAR_DRAG, 0.0);
    leg.screw = screw_of(s, p);
    return leg;
}

/* Ohms of the motor without faults. */
double jv_jack_sound_ohms(const jv_scene *s, const jv_part *p) {
    /* Copper, R(T) = R20 (234.5 + T)/254.5 (equation M, motor.h). */
    static const double copper_c = 234.5, reference_c = 20.0;
    if (jv_jack_has_leg(s->circuit, p))
        return jv_jack_leg_of(s, p).motor.resistance_ohm;
    jv_jack_plate plate = jv_jack_plate_of(s, p);
    return jv_jack_resistance(&plate) * (copper_c + jv_jack_winding_c(s, p)) /
           (copper_c + reference_c);
}

double jv_jack_ohms(const jv_scene *s, const jv_part *p) {
    double ohms = jv_jack_sound_ohms(s, p);
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_ADDED)
            ohms += f->value;
    return ohms;
}

double jv_jack_force_a(const jv_scene *s, const jv_part *p, double force_n) {
    if (jv_jack_has_leg(s->circuit, p)) {
        jv_leg leg = jv_jack_leg_of(s, p);
        return jv_leg_load_current(&leg, force_n);
    }
    jv_jack_plate plate = jv_jack_plate_of(s, p);
    /* A share of an unknown rated force needs no newtons: one unit of force is the rating. */
    if (plate.rated_force_n <= 0.0)
        plate.rated_force_n = 1.0;
    double at_20 = jv_jack_load_current(&plate, force_n);
    return jv_jack_current_at(at_20, jv_jack_magnet_per_k(s->circuit, p), jv_jack_winding_c(s, p));
}

static double run_a(const jv_scene *s, const jv_part *p, const jv_run *run) {
    double rating = jv_scene_value(s, p, JV_JACK_RATED_FORCE, 1.0);
    double sense = run->direction < 0 ? -1.0 : 1.0;
    switch ((jv_load_kind)run->kind) {
    case JV_LOAD_AMPS:
        return fabs(run->value.nominal);
    case JV_LOAD_FORCE:
        return jv_jack_force_a(s, p, sense * fabs(run->value.nominal));
    case JV_LOAD_SHARE:
        return jv_jack_force_a(s, p, sense * rating * fabs(run->value.nominal));
    case JV_LOAD_RATED:
        return jv_jack_force_a(s, p, sense * rating);
    case JV_LOAD_FREE:
        return jv_jack_force_a(s, p, 0.0);
    case JV_LOAD_TRAVEL:
        return jv_jack_force_a(s, p, sense * jv_scene_value(s, p, JV_JACK_TRAVEL_FORCE, rating));
    case JV_LOAD_STALLED:
    case JV_LOAD_PRESSURE:
        break; /* check() refuses a pressure on a jack */
    }
    return INFINITY;
}

double jv_jack_asks_a(const jv_scene *s, const jv_part *p) {
    const jv_run *run = jv_scene_run(s, p);
    if (!run)
        return 0.0;
    double amps = run_a(s, p, run);
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;) {
        if (f->way == JV_WAY_DRAG)
            amps *= f->value;
        if (f->way == JV_WAY_STUCK)
            amps = INFINITY;
    }
    return amps;
}

static bool is_open(const jv_scene *s, const jv_part *p) {
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_OPEN)
            return true;
    return jv_scene_is_off(s, p) || !jv_scene_run(s, p);
}

/* Rated speed of a leg from its own figures, m/s; 0 when its rated force is not known. */
static double leg_rated_speed(const jv_scene *s, const jv_part *p, const jv_leg *leg) {
    double force = jv_scene_value(s, p, JV_JACK_RATED_FORCE, 0.0);
    double volts = jv_scene_value(s, p, JV_JACK_RATED_VOLTAGE, NAN);
    return force > 0.0 ? jv_leg_steady(leg, volts, force).speed : 0.0;
}

jv_jack_motion jv_jack_speed(const jv_scene *s, const jv_part *p, double volts, double current_a) {
    static const double noise = 1e-9; /* of the volts: what a solution leaves at a stall */
    static const double turn_rad = 6.283185307179586;
    bool has_leg = jv_jack_has_leg(s->circuit, p);
    jv_jack_motion m = {0.0, 0.0, false,
                        !has_leg && !jv_part_has(s->circuit, p, JV_JACK_STALL_CURRENT)};
    if (is_open(s, p))
        return m;
    double v = fabs(volts), i = fabs(current_a), ohms = jv_jack_ohms(s, p);
    double direction = jv_scene_run(s, p)->direction < 0 ? -1.0 : 1.0;
    m.stalled = v - i * ohms <= noise * v;
    if (m.stalled)
        return m;
    double rated;
    if (has_leg) {
        jv_leg leg = jv_jack_leg_of(s, p);
        m.speed =
            (v - i * ohms) / leg.motor.ke_v_s * leg.screw.lead_m / (turn_rad * leg.gear.ratio);
        rated = leg_rated_speed(s, p, &leg);
        m.ratio = rated > 0.0 ? m.speed / rated : NAN;
    } else {
        jv_jack_plate plate = jv_jack_plate_of(s, p);
        m.ratio = plate.rated_a > 0.0 ? jv_jack_speed_ratio(&plate, v, i, ohms) : NAN;
        m.speed = plate.rated_speed > 0.0 ? m.ratio * plate.rated_speed : NAN;
    }
    m.speed *= direction;
    return m;
}

static void missing(const jv_circuit *c, const jv_part *p, jv_diags *d, unsigned key,
                    const char *why) {
    jv_text hint = {0};
    jv_text_addf(&hint, "Give \"%s\": %s.", p->kind->keys[key].name, p->kind->keys[key].help);
    jv_part_fault(d, c, p, -1, JV_CODE_KEY_MISSING, jv_text_str(&hint), "jack \"%s\" has no %s, %s",
                  p->name, p->kind->keys[key].name, why);
    jv_text_clear(&hint);
}

static void check_leg(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    static const unsigned needed[] = {JV_JACK_MOTOR_RESISTANCE, JV_JACK_MOTOR_CONSTANT,
                                      JV_JACK_GEAR_RATIO,       JV_JACK_GEAR_EFFICIENCY,
                                      JV_JACK_SCREW_DIAMETER,   JV_JACK_SCREW_LEAD,
                                      JV_JACK_SCREW_FRICTION};
    for (size_t k = 0; k < sizeof needed / sizeof needed[0]; k++)
        if (!jv_part_has(c, p, needed[k]))
            missing(c, p, d, needed[k], "but other figures of its motor, gear or screw");
    bool friction = jv_part_has(c, p, JV_JACK_SCREW_COLLAR_FRICTION);
    bool diameter = jv_part_has(c, p, JV_JACK_SCREW_COLLAR_DIAMETER);
    if (friction != diameter)
        missing(c, p, d, friction ? JV_JACK_SCREW_COLLAR_DIAMETER : JV_JACK_SCREW_COLLAR_FRICTION,
                "but the other figure of its collar");
}

static void check_plate(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    const jv_slot *rated = jv_part_slot(c, p, JV_JACK_RATED_CURRENT);
    const jv_slot *free_run = jv_part_slot(c, p, JV_JACK_NO_LOAD_CURRENT);
    const jv_slot *stall = jv_part_slot(c, p, JV_JACK_STALL_CURRENT);
    if (!rated && !stall)
        missing(c, p, d, JV_JACK_RATED_CURRENT, "no stall_current, and no motor, gear and screw");
    if (rated && free_run && free_run->value.nominal >= rated->value.nominal)
        jv_part_fault(d, c, p, JV_JACK_NO_LOAD_CURRENT, JV_CODE_QUANTITY_RANGE,
                      "The current grows with the force; exchange the two if they are swapped.",
                      "no_load_current %g A is not below rated_current %g A",
                      free_run->value.nominal, rated->value.nominal);
    if (rated && stall && stall->value.nominal <= rated->value.nominal)
        jv_part_fault(d, c, p, JV_JACK_STALL_CURRENT, JV_CODE_QUANTITY_RANGE,
                      "A motor held fast draws more than one that turns.",
                      "stall_current %g A is not above rated_current %g A", stall->value.nominal,
                      rated->value.nominal);
}

/* Has the jack what this run asks to be known? */
static void check_run(const jv_circuit *c, const jv_part *p, const jv_case *k, const jv_run *run,
                      bool leg, jv_diags *d) {
    jv_load_kind kind = (jv_load_kind)run->kind;
    if (kind == JV_LOAD_AMPS || kind == JV_LOAD_STALLED)
        return;
    if (kind == JV_LOAD_PRESSURE) {
        jv_part_fault(d, c, p, -1, JV_CODE_QUANTITY_UNIT,
                      "Give a force, a current, a share, or free, rated or stalled.",
                      "case \"%s\" loads jack \"%s\" with a pressure", k->name, p->name);
        return;
    }
    bool travel = kind == JV_LOAD_TRAVEL;
    bool by_rating = kind == JV_LOAD_SHARE || kind == JV_LOAD_RATED || travel;
    bool known = travel && jv_part_has(c, p, JV_JACK_TRAVEL_FORCE);
    if ((kind == JV_LOAD_FORCE && !leg) || (by_rating && leg && !known))
        if (!jv_part_has(c, p, JV_JACK_RATED_FORCE))
            missing(c, p, d, JV_JACK_RATED_FORCE, "but a case loads it by force or share");
    if (leg)
        return;
    if (kind != JV_LOAD_FREE && !jv_part_has(c, p, JV_JACK_RATED_CURRENT))
        missing(c, p, d, JV_JACK_RATED_CURRENT, "but a case loads it by force or share");
    bool lifts_rating = kind == JV_LOAD_RATED && run->direction >= 0;
    if (!lifts_rating && !jv_part_has(c, p, JV_JACK_NO_LOAD_CURRENT))
        missing(c, p, d, JV_JACK_NO_LOAD_CURRENT, "but a case runs it free or below its rating");
}

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    bool leg = false;
    for (unsigned key = JV_JACK_MOTOR_RESISTANCE; key < JV_JACK_KEYS; key++)
        leg = leg || jv_part_has(c, p, key);
    if (leg)
        check_leg(c, p, d);
    else
        check_plate(c, p, d);
    uint32_t self = (uint32_t)(p - c->parts);
    for (size_t i = 0; i < c->n_cases; i++)
        for (size_t k = 0; k < c->cases[i].n_runs; k++)
            if (c->cases[i].runs[k].part == self)
                check_run(c, p, &c->cases[i], &c->cases[i].runs[k], leg, d);
    for (size_t i = 0; i < c->n_plans; i++)
        for (size_t k = 0; k < c->plans[i].n_steps; k++)
            for (size_t m = 0; m < c->plans[i].steps[k].loading.n_runs; m++)
                if (c->plans[i].steps[k].loading.runs[m].part == self)
                    check_run(c, p, &c->plans[i].steps[k].loading,
                              &c->plans[i].steps[k].loading.runs[m], leg, d);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_wiring_add(w, p, JV_SINK, 0, jv_part_terminal(c, p, JV_JACK_PLUS),
                  jv_part_terminal(c, p, JV_JACK_MINUS), -1);
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    e->r = jv_jack_ohms(s, p);
    e->limit = e->back = jv_jack_asks_a(s, p);
    if (is_open(s, p))
        e->open = 1;
}

/* Weights: share of low-voltage complaints, 0.03 for a motor in all. Weights, severities
 * and minutes are judgement, no published source. */
#define JUDGED "judgement, no published source"
static const jv_failure failures[] = {
    {JV_WAY_DRAG, "dragging <P>", 0.010, 1.3, 2.5,
     "clean and grease the screw, or replace the jack", 60.0, JUDGED},
    {JV_WAY_ADDED, "worn brushes <R>", 0.010, 0.020, 0.50, "replace the brushes or the motor", 60.0,
     JUDGED},
    {JV_WAY_INSIDE, "shorted inside <R>", 0.003, 0.005, 0.20, "replace the motor", 60.0, JUDGED},
    {JV_WAY_OPEN, "open", 0.004, 0, 0, "replace the motor", 60.0, JUDGED},
    {JV_WAY_STUCK, "binding", 0.003, 0, 0, "free the screw, or replace the jack", 90.0, JUDGED},
};

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    (void)n;
    (void)r;
    if (e->open && jv_scene_run(s, p))
        jv_remark(out, true, "does not run: no current can flow in it");
    if (e->open)
        return;
    jv_jack_motion m = jv_jack_speed(s, p, v[e->a] - v[e->b], i[0]);
    if (m.stalled)
        jv_remark(out, true, "stands still: at %.2f V its motor can draw %.0f A, its load asks %s",
                  fabs(v[e->a] - v[e->b]), fabs(i[0]),
                  isinf(e->limit) ? "for all it can" : "for more");
    double rated_a = jv_scene_value(s, p, JV_JACK_RATED_CURRENT, NAN);
    static const double in_full = 1.005; /* what rounding of a clamp meter allows (judgement) */
    if (isfinite(e->limit) && e->limit > in_full * rated_a)
        jv_remark(out, false, "is asked for %.0f A; its rating is %.0f A", e->limit, rated_a);
    if (m.stall_assumed)
        jv_remark(out, false,
                  "has no stall current in the file: %.1f times its rated current is assumed "
                  "(common practice, no source)",
                  JV_JACK_STALL_FACTOR);
}

const jv_part_kind jv_kind_jack = {
    .name = "jack",
    .summary = "a levelling jack: motor, gear and screw",
    .keys = keys,
    .n_keys = JV_JACK_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_motor = true,
    .check = check,
    .connect = connect,
    .load = load,
    .remark = remark,
    .body = &jv_body_jack,
};
