/* vec_value.c - units and values of a VEC file. SPDX-License-Identifier: MIT */
#include "read/vec.h"

#include <math.h>
#include <string.h>

static bool prefix_factor(const char *prefix, double *factor) {
    static const struct {
        const char *name;
        double factor;
    } known[] = {{"Nano", 1e-9}, {"Micro", 1e-6}, {"Milli", 1e-3}, {"Centi", 1e-2},
                 {"Deci", 1e-1}, {"Kilo", 1e3},   {"Mega", 1e6}};
    *factor = 1.0;
    for (size_t i = 0; prefix != NULL && i < sizeof known / sizeof known[0]; i++) {
        if (strcmp(prefix, known[i].name) == 0) {
            *factor = known[i].factor;
            return true;
        }
    }
    return prefix == NULL;
}

/* One SI unit times `unit`. A prefix is raised with its unit: Milli and Metre with exponent 2 is
 * 1e-6 m2. */
static bool multiply_si(jv_vec *v, jv_xml_at at, jv_vec_unit *unit) {
    enum { MOST = 9 }; /* no exponent of a unit is larger */
    const char *name = jv_xml_text(v->xml, at, VEC_SI_UNIT_NAME);
    double one, exponent;
    if (!jv_xml_number(v->xml, jv_xml_child(v->xml, at, VEC_EXPONENT), &exponent, v->diags) ||
        !prefix_factor(jv_xml_text(v->xml, at, VEC_SI_PREFIX), &one) || name == NULL) {
        return false;
    }
    exponent = isnan(exponent) ? 1.0 : exponent;
    if (exponent != floor(exponent) || fabs(exponent) > MOST) {
        return false;
    }
    int n = (int)exponent;
    int *count = strcmp(name, "Metre") == 0    ? &unit->metre
                 : strcmp(name, "Ohm") == 0    ? &unit->ohm
                 : strcmp(name, "Ampere") == 0 ? &unit->ampere
                                               : &unit->other;
    *count += n;
    unit->factor *= pow(one, n);
    return true;
}

/* A unit by its factors; false when it is none of SI, or made of such. */
static bool resolve(jv_vec *v, jv_xml_at at, jv_vec_unit *unit) {
    if (jv_xml_get(v->xml, at)->type == VEC_SI_UNIT) {
        return multiply_si(v, at, unit);
    }
    if (jv_xml_get(v->xml, at)->type != VEC_COMPOSITE_UNIT) {
        return false;
    }
    jv_xml_at list = jv_xml_child(v->xml, at, VEC_FACTORS);
    const char *text = jv_xml_own_text(v->xml, list), *id;
    bool any = false;
    for (size_t n; (n = jv_xml_next_id(&text, &id)) > 0;) {
        jv_xml_at factor = jv_xml_link_id(v->xml, list, id, n, VEC_UNIT, 0, v->diags);
        /* Factors are simple units: a composite of composites could go round in a circle. */
        if (factor == 0 || jv_xml_get(v->xml, factor)->type != VEC_SI_UNIT ||
            !multiply_si(v, factor, unit)) {
            return false;
        }
        any = true;
    }
    return any;
}

static bool is_dim(const jv_vec_unit *u, int metre, int ohm, int ampere) {
    return u->metre == metre && u->ohm == ohm && u->ampere == ampere && u->other == 0;
}

/* Number and unit of a NumericalValue. False: absent, "/NULL", or a fault was reported. */
static bool read_value(jv_vec *v, jv_xml_at value, double *x, jv_vec_unit *unit) {
    if (value == 0 ||
        !jv_xml_number(v->xml, jv_xml_child(v->xml, value, VEC_VALUE_COMPONENT), x, v->diags) ||
        isnan(*x)) {
        return false;
    }
    jv_xml_at link = jv_xml_child(v->xml, value, VEC_UNIT_COMPONENT);
    jv_xml_at at = jv_xml_link(v->xml, link, VEC_UNIT, 0, v->diags);
    *unit = (jv_vec_unit){.factor = 1.0};
    if (at != 0 && resolve(v, at, unit)) {
        return true;
    }
    if (at != 0 || jv_xml_own_text(v->xml, link) == NULL) {
        jv_xml_fault(v->xml, value, v->diags, JV_CODE_HARNESS_UNIT,
                     "Give it an SIUnit, or a CompositeUnit made of such.",
                     at != 0 ? "its unit is not one of SI" : "its unit is not said");
    }
    return false;
}

double jv_vec_value(jv_vec *v, jv_xml_at parent, uint16_t name, jv_vec_dim dim) {
    static const struct {
        int metre, ohm, ampere;
        const char *words;
    } wanted[] = {{1, 0, 0, "a length in Metre"},
                  {2, 0, 0, "an area in Metre with Exponent 2"},
                  {0, 0, 1, "a current in Ampere"},
                  {0, 1, 0, "a resistance in Ohm"}};
    jv_xml_at value = jv_xml_child(v->xml, parent, name);
    double x;
    jv_vec_unit unit;
    if (!read_value(v, value, &x, &unit)) {
        return NAN;
    }
    if (is_dim(&unit, wanted[dim].metre, wanted[dim].ohm, wanted[dim].ampere)) {
        return x * unit.factor;
    }
    jv_xml_fault(v->xml, value, v->diags, JV_CODE_HARNESS_UNIT,
                 "Give it a unit whose SiUnitName and Exponent fit.",
                 "its unit does not fit; %s is meant", wanted[dim].words);
    return NAN;
}

double jv_vec_ohm_per_m(jv_vec *v, jv_xml_at conductor) {
    jv_xml_at value = jv_xml_child(v->xml, conductor, VEC_RESISTANCE);
    double x;
    jv_vec_unit unit;
    if (!read_value(v, value, &x, &unit)) {
        return NAN;
    }
    if (is_dim(&unit, -1, 1, 0)) {
        return x * unit.factor;
    }
    if (jv_xml_get(v->xml, value)->mark != 0) {
        return NAN; /* told already, for another wire of that conductor */
    }
    jv_xml_get(v->xml, value)->mark = 1;
    jv_harness_note(v->h, JV_CODE_HARNESS_UNSAID, jv_vec_line(v, value),
                    "the resistance of conductor \"%.60s\" is not per length, and is not used",
                    jv_xml_text(v->xml, conductor, VEC_IDENTIFICATION)
                        ? jv_xml_text(v->xml, conductor, VEC_IDENTIFICATION)
                        : "unnamed");
    return NAN;
}
