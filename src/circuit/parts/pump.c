/* pump.c - a hydraulic pump pack. SPDX-License-Identifier: MIT */
#include "circuit/parts/pump.h"

#include "circuit/body.h"
#include "circuit/kinds.h"

#include <math.h>

#define T(name, help) \
    { name, JV_KEY_TERMINAL, 0, JV_NEEDED, 0, 0, NULL, NULL, NULL, help }
#define Q(name, dim, flags, least, most, help) \
    { name, JV_KEY_QUANTITY, dim, flags, least, most, NULL, NULL, NULL, help }

static const jv_key keys[JV_PUMP_KEYS] = {
    T("plus", "plus terminal of the motor"),
    T("minus", "minus terminal of the motor"),
    Q("rated_pressure", JV_DIM_PRESSURE, 0, 0, 0, "pressure of the rated current"),
    Q("rated_current", JV_DIM_CURRENT, 0, 0, 0, "current at the rated pressure"),
    Q("idle_current", JV_DIM_CURRENT, 0, 0, 0, "current without pressure"),
    Q("stall_current", JV_DIM_CURRENT, 0, 0, 0,
      "current when it is held fast at its rated voltage; 3.5 times the rated current is assumed "
      "when absent"),
    {"rated_voltage", JV_KEY_QUANTITY, JV_DIM_VOLTAGE, 0, 0, 0, NULL, "12 V",
     "the circuits of this program are 12 V circuits", "volts at its terminals for these figures"},
    {"kind", JV_KEY_WORD, 0, 0, 0, 0, "permanent magnet|series", NULL, NULL,
     "field of the motor; permanent magnet when absent"},
    Q("relief", JV_DIM_PRESSURE, 0, 0, 0, "pressure at which the relief valve opens"),
    Q("temperature", JV_DIM_TEMPERATURE, JV_ZERO_OK | JV_NEGATIVE_OK, -60, 250,
      "temperature of the winding; the ambient of the case when absent"),
    Q("motor.resistance", JV_DIM_RESISTANCE, 0, 0, 0,
      "ohms of the motor at 20 degC, brushes included"),
    Q("motor.constant", JV_DIM_MOTOR_CONSTANT, 0, 0, 0,
      "volts by speed, torque by current at 20 degC"),
    Q("motor.no_load_current", JV_DIM_CURRENT, JV_ZERO_OK, 0, 0, "current of the bare motor"),
    Q("motor.inertia", JV_DIM_INERTIA, 0, 0, 0, "inertia at the motor shaft"),
    Q("motor.inductance", JV_DIM_INDUCTANCE, 0, 0, 0, "inductance of the motor"),
    Q("displacement", JV_DIM_DISPLACEMENT, 0, 0, 0, "oil moved in one turn"),
    Q("mechanical_efficiency", JV_DIM_RATIO, 0, 0, 1, "share of the torque that becomes pressure"),
    Q("volumetric_efficiency", JV_DIM_RATIO, 0, 0, 1,
      "share of the displacement that becomes flow"),
    Q("bore", JV_DIM_LENGTH, 0, 0, 0, "bore of a cylinder"),
    Q("legs", JV_DIM_NUMBER, JV_NO_SPREAD, 1, 12, "cylinders that move together; 1 when absent"),
    Q("spin_up", JV_DIM_TIME, 0, 0, 0,
      "time constant of the start, without the circuit's ohms; 50 ms in a sequence when neither "
      "it nor the inertia of the motor is given"),
};

static double winding_c(const jv_scene *s, const jv_part *p) {
    return jv_scene_air_c(s, p, JV_PUMP_TEMPERATURE);
}

static bool has_motor(const jv_circuit *c, const jv_part *p) {
    return jv_part_has(c, p, JV_PUMP_MOTOR_RESISTANCE);
}

static jv_pump_plate plate_of(const jv_scene *s, const jv_part *p) {
    jv_pump_plate plate;
    plate.kind = (jv_pump_kind)jv_part_word(s->circuit, p, JV_PUMP_KIND, JV_PUMP_MAGNET);
    plate.rated_pressure_pa = jv_scene_value(s, p, JV_PUMP_RATED_PRESSURE, 0.0);
    plate.rated_a = jv_scene_value(s, p, JV_PUMP_RATED_CURRENT, 0.0);
    plate.idle_a = jv_scene_value(s, p, JV_PUMP_IDLE_CURRENT, 0.0);
    plate.stall_a = jv_scene_value(s, p, JV_PUMP_STALL_CURRENT, NAN);
    plate.rated_v = jv_scene_value(s, p, JV_PUMP_RATED_VOLTAGE, 0.0);
    plate.relief_pa = jv_scene_value(s, p, JV_PUMP_RELIEF, 0.0);
    /* A share of an unknown rated pressure needs no pascals: one unit is the rating. */
    if (plate.rated_pressure_pa <= 0.0)
        plate.rated_pressure_pa = 1.0;
    return plate;
}

static jv_motor motor_of(const jv_scene *s, const jv_part *p) {
    jv_motor motor = {0};
    motor.resistance_ohm = jv_scene_value(s, p, JV_PUMP_MOTOR_RESISTANCE, NAN);
    motor.ke_v_s = motor.kt_nm_a = jv_scene_value(s, p, JV_PUMP_MOTOR_CONSTANT, NAN);
    motor.no_load_a = jv_scene_value(s, p, JV_PUMP_MOTOR_NO_LOAD_CURRENT, 0.0);
    motor.inertia_kg_m2 = jv_scene_value(s, p, JV_PUMP_MOTOR_INERTIA, 0.0);
    motor.inductance_h = jv_scene_value(s, p, JV_PUMP_MOTOR_INDUCTANCE, 0.0);
    return jv_motor_at(&motor, winding_c(s, p), winding_c(s, p));
}

static jv_pump pump_of(const jv_scene *s, const jv_part *p) {
    static const double turn_rad = 6.283185307179586; /* displacement is kept by the radian */
    jv_pump pump;
    pump.displacement_m3 = jv_scene_value(s, p, JV_PUMP_DISPLACEMENT, NAN) * turn_rad;
    pump.mechanical = jv_scene_value(s, p, JV_PUMP_MECHANICAL_EFFICIENCY, 1.0);
    pump.volumetric = jv_scene_value(s, p, JV_PUMP_VOLUMETRIC_EFFICIENCY, 1.0);
    pump.relief_pa = jv_scene_value(s, p, JV_PUMP_RELIEF, 0.0);
    return pump;
}

static double sound_ohms(const jv_scene *s, const jv_part *p) {
    /* Copper, R(T) = R20 (234.5 + T)/254.5 (motor.h). */
    static const double copper_c = 234.5, reference_c = 20.0;
    if (has_motor(s->circuit, p))
        return motor_of(s, p).resistance_ohm;
    jv_pump_plate plate = plate_of(s, p);
    return jv_pump_plate_resistance(&plate) * (copper_c + winding_c(s, p)) /
           (copper_c + reference_c);
}

double jv_pump_ohms(const jv_scene *s, const jv_part *p) {
    double ohms = sound_ohms(s, p);
    const jv_fault *f;
    for (size_t at = 0; (f = jv_scene_fault(s, p, &at)) != NULL;)
        if (f->way == JV_WAY_ADDED)
            ohms += f->value;
    return ohms;
}

static double pressure_a(const jv_scene *s, const jv_part *p, double pressure_pa) {
    if (has_motor(s->circuit, p)) {
        jv_pump pump = pump_of(s, p);
        jv_motor motor = motor_of(s, p);
        return motor.no_load_a + jv_pump_torque_nm(&pump, pressure_pa) / motor.kt_nm_a;
    }
    jv_pump_plate plate = plate_of(s, p);
    return jv_pump_plate_current(&plate, pressure_pa);
}

static double run_a(const jv_scene *s, const jv_part *p, const jv_run *run) {
    double rating = jv_scene_value(s, p, JV_PUMP_RATED_PRESSURE, 1.0);
    double bore = jv_scene_value(s, p, JV_PUMP_BORE, NAN);
    double legs = jv_scene_value(s, p, JV_PUMP_LEGS, 1.0);
    double value = fabs(run->value.nominal);
    switch ((jv_load_kind)run->kind) {
    case JV_LOAD_AMPS:
        return value;
    case JV_LOAD_PRESSURE:
        return pressure_a(s, p, value);
    case JV_LOAD_FORCE:
        return pressure_a(s, p, jv_cylinder_pressure_pa(value / legs, bore));
    case JV_LOAD_SHARE:
        return pressure_a(s, p, rating * value);
    case JV_LOAD_RATED:
    case JV_LOAD_TRAVEL: /* a pump has no travel of its own: its rated pressure */
        return pressure_a(s, p, rating);
    case JV_LOAD_FREE:
        return pressure_a(s, p, 0.0);
    case JV_LOAD_STALLED:
        break;
    }
    return INFINITY;
}

double jv_pump_asks_a(const jv_scene *s, const jv_part *p) {
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

jv_pump_motion jv_pump_moves(const jv_scene *s, const jv_part *p, double volts, double current_a) {
    static const double noise = 1e-9; /* of the volts: what a solution leaves at a stall */
    bool motor_known = has_motor(s->circuit, p);
    jv_pump_motion m = {0.0, 0.0, false,
                        !motor_known && !jv_part_has(s->circuit, p, JV_PUMP_STALL_CURRENT)};
    if (is_open(s, p))
        return m;
    double v = fabs(volts), back_emf = v - fabs(current_a) * jv_pump_ohms(s, p);
    m.stalled = back_emf <= noise * v;
    if (m.stalled)
        return m;
    m.flow_m3_s = m.speed = NAN;
    if (!motor_known)
        return m;
    jv_pump pump = pump_of(s, p);
    m.flow_m3_s = jv_pump_flow_m3_s(&pump, back_emf / motor_of(s, p).ke_v_s);
    if (jv_part_has(s->circuit, p, JV_PUMP_BORE))
        m.speed = jv_cylinder_speed(m.flow_m3_s, jv_scene_value(s, p, JV_PUMP_BORE, NAN),
                                    (int)jv_scene_value(s, p, JV_PUMP_LEGS, 1.0));
    return m;
}

static void missing(const jv_circuit *c, const jv_part *p, jv_diags *d, unsigned key,
                    const char *why) {
    jv_text hint = {0};
    jv_text_addf(&hint, "Give \"%s\": %s.", p->kind->keys[key].name, p->kind->keys[key].help);
    jv_part_fault(d, c, p, -1, JV_CODE_KEY_MISSING, jv_text_str(&hint), "pump \"%s\" has no %s, %s",
                  p->name, p->kind->keys[key].name, why);
    jv_text_clear(&hint);
}

static void check_motor(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    static const unsigned needed[] = {JV_PUMP_MOTOR_RESISTANCE, JV_PUMP_MOTOR_CONSTANT,
                                      JV_PUMP_DISPLACEMENT};
    for (size_t k = 0; k < sizeof needed / sizeof needed[0]; k++)
        if (!jv_part_has(c, p, needed[k]))
            missing(c, p, d, needed[k], "but other figures of its motor");
    if (jv_part_word(c, p, JV_PUMP_KIND, JV_PUMP_MAGNET) == JV_PUMP_SERIES)
        jv_part_fault(d, c, p, JV_PUMP_KIND, JV_CODE_KEYS_CLASH,
                      "Describe a series motor by its rated_pressure, rated_current, idle_current "
                      "and stall_current.",
                      "pump \"%s\" is a series motor, which has no one motor constant", p->name);
}

static void check_plate(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    const jv_slot *rated = jv_part_slot(c, p, JV_PUMP_RATED_CURRENT);
    const jv_slot *idle = jv_part_slot(c, p, JV_PUMP_IDLE_CURRENT);
    const jv_slot *stall = jv_part_slot(c, p, JV_PUMP_STALL_CURRENT);
    if (!rated && !stall)
        missing(c, p, d, JV_PUMP_RATED_CURRENT, "no stall_current, and no motor and displacement");
    if (rated && idle && idle->value.nominal >= rated->value.nominal)
        jv_part_fault(d, c, p, JV_PUMP_IDLE_CURRENT, JV_CODE_QUANTITY_RANGE,
                      "The current grows with the pressure; exchange the two if they are swapped.",
                      "idle_current %g A is not below rated_current %g A", idle->value.nominal,
                      rated->value.nominal);
    if (rated && stall && stall->value.nominal <= rated->value.nominal)
        jv_part_fault(d, c, p, JV_PUMP_STALL_CURRENT, JV_CODE_QUANTITY_RANGE,
                      "A motor held fast draws more than one that turns.",
                      "stall_current %g A is not above rated_current %g A", stall->value.nominal,
                      rated->value.nominal);
}

/* Has the pump what this run asks to be known? */
static void check_run(const jv_circuit *c, const jv_part *p, const jv_run *run, bool motor,
                      jv_diags *d) {
    jv_load_kind kind = (jv_load_kind)run->kind;
    if (kind == JV_LOAD_AMPS || kind == JV_LOAD_STALLED)
        return;
    bool by_pressure = kind == JV_LOAD_PRESSURE || kind == JV_LOAD_FORCE;
    bool by_rating = kind == JV_LOAD_SHARE || kind == JV_LOAD_RATED;
    if (kind == JV_LOAD_FORCE && !jv_part_has(c, p, JV_PUMP_BORE))
        missing(c, p, d, JV_PUMP_BORE, "but a case loads it by force");
    if (((by_pressure && !motor) || (by_rating && motor)) &&
        !jv_part_has(c, p, JV_PUMP_RATED_PRESSURE))
        missing(c, p, d, JV_PUMP_RATED_PRESSURE, "but a case loads it by pressure or share");
    if (motor)
        return;
    if (kind != JV_LOAD_FREE && !jv_part_has(c, p, JV_PUMP_RATED_CURRENT))
        missing(c, p, d, JV_PUMP_RATED_CURRENT, "but a case loads it by pressure or share");
    if (kind != JV_LOAD_RATED && !jv_part_has(c, p, JV_PUMP_IDLE_CURRENT))
        missing(c, p, d, JV_PUMP_IDLE_CURRENT, "but a case runs it free or below its rating");
}

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    bool motor = jv_part_has(c, p, JV_PUMP_DISPLACEMENT);
    for (unsigned key = JV_PUMP_MOTOR_RESISTANCE; key <= JV_PUMP_MOTOR_INDUCTANCE; key++)
        motor = motor || jv_part_has(c, p, key);
    if (motor)
        check_motor(c, p, d);
    else
        check_plate(c, p, d);
    uint32_t self = (uint32_t)(p - c->parts);
    for (size_t i = 0; i < c->n_cases; i++)
        for (size_t k = 0; k < c->cases[i].n_runs; k++)
            if (c->cases[i].runs[k].part == self)
                check_run(c, p, &c->cases[i].runs[k], motor, d);
    for (size_t i = 0; i < c->n_plans; i++)
        for (size_t k = 0; k < c->plans[i].n_steps; k++)
            for (size_t m = 0; m < c->plans[i].steps[k].loading.n_runs; m++)
                if (c->plans[i].steps[k].loading.runs[m].part == self)
                    check_run(c, p, &c->plans[i].steps[k].loading.runs[m], motor, d);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    jv_wiring_add(w, p, JV_SINK, 0, jv_part_terminal(c, p, JV_PUMP_PLUS),
                  jv_part_terminal(c, p, JV_PUMP_MINUS), -1);
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    (void)n;
    e->r = jv_pump_ohms(s, p);
    e->limit = e->back = jv_pump_asks_a(s, p);
    if (is_open(s, p))
        e->open = 1;
}

/* Weights: share of low-voltage complaints, 0.03 for a motor in all. Weights, severities
 * and minutes are judgement, no published source. */
#define JUDGED "judgement, no published source"
static const jv_failure failures[] = {
    {JV_WAY_DRAG, "dragging <P>", 0.010, 1.3, 2.5, "change the oil, or replace the pump", 60.0,
     JUDGED},
    {JV_WAY_ADDED, "worn brushes <R>", 0.010, 0.010, 0.20, "replace the brushes or the motor", 60.0,
     JUDGED},
    {JV_WAY_INSIDE, "shorted inside <R>", 0.003, 0.005, 0.10, "replace the motor", 60.0, JUDGED},
    {JV_WAY_OPEN, "open", 0.005, 0, 0, "replace the motor", 60.0, JUDGED},
    {JV_WAY_STUCK, "binding", 0.002, 0, 0, "replace the pump", 90.0, JUDGED},
};

static void remark(const jv_scene *s, const jv_part *p, const jv_element *e, size_t n,
                   const double *v, const double *i, const double *r, jv_remarks *out) {
    (void)n;
    (void)r;
    if (e->open && jv_scene_run(s, p))
        jv_remark(out, true, "does not run: no current can flow in it");
    if (e->open)
        return;
    jv_pump_motion m = jv_pump_moves(s, p, v[e->a] - v[e->b], i[0]);
    if (m.stalled)
        jv_remark(out, true, "stands still: at %.2f V its motor can draw %.0f A, its load asks %s",
                  fabs(v[e->a] - v[e->b]), fabs(i[0]),
                  isinf(e->limit) ? "for all it can" : "for more");
    if (m.stall_assumed)
        jv_remark(out, false,
                  "has no stall current in the file: %.1f times its rated current is assumed "
                  "(common practice, no source)",
                  JV_JACK_STALL_FACTOR);
}

const jv_part_kind jv_kind_pump = {
    .name = "pump",
    .summary = "a hydraulic pump pack",
    .keys = keys,
    .n_keys = JV_PUMP_KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_motor = true,
    .check = check,
    .connect = connect,
    .load = load,
    .remark = remark,
    .body = &jv_body_pump,
};
