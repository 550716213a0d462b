/* review_build.c - rules about how the harness is built. SPDX-License-Identifier: MIT */
#include "study/review_work.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"

#include <math.h>
#include <string.h>

/* Copper that a conductor amounts to: 17.241 ohm mm2/km (IEC 60028) over its ohms. */
double jv_copper_mm2(const jv_conductor *c) {
    static const double ohm_mm2_m = 17.241e-3;
    return ohm_mm2_m / c->r20_ohm_per_m;
}

void jv_judge_return_size(jv_review_work *w) {
    static const double rounding = 1e-6;
    for (size_t i = 0; i < w->guards.n && w->status == JV_OK; i++) {
        const jv_cable_watched *k = &w->guards.cables[i];
        const jv_part *p = &w->c->parts[k->part];
        jv_conductor feed, back;
        if (k->on_return || k->mate == UINT32_MAX || p->kind != &jv_kind_cable ||
            jv_cable_conductor(w->c, p, &feed) != JV_OK ||
            jv_cable_conductor(w->c, &w->c->parts[k->mate], &back) != JV_OK)
            continue;
        jv_finding f = jv_review_about(w, k->mate);
        f.figure = jv_copper_mm2(&back);
        f.limit = jv_copper_mm2(&feed);
        f.unit = "mm2";
        f.least = true;
        f.holds = f.figure >= f.limit * (1 - rounding);
        jv_review_add(w, &f, "copper that its ohms amount to",
                      jv_review_say(w, "returns what \"%s\" feeds, with %s copper", p->name,
                                    f.holds ? "no less" : "less"));
    }
}

void jv_judge_metal(jv_review_work *w) {
    for (size_t i = 0; i < w->guards.n && w->status == JV_OK; i++) {
        uint32_t part = w->guards.cables[i].part;
        const jv_part *p = &w->c->parts[part];
        if (p->kind != &jv_kind_cable)
            continue;
        int metal = jv_part_word(w->c, p, JV_CABLE_METAL, JV_METAL_COPPER);
        jv_conductor own, copper;
        jv_size size;
        jv_finding f = jv_review_about(w, part);
        f.holds = metal == JV_METAL_COPPER || metal == JV_METAL_TINNED_COPPER;
        const char *reason = "copper";
        if (!f.holds && jv_cable_conductor(w->c, p, &own) == JV_OK &&
            jv_size_read(jv_part_slot(w->c, p, JV_CABLE_SIZE)->text, &size, NULL) == JV_OK &&
            jv_conductor_make(&size, JV_METAL_COPPER, &copper) == JV_OK)
            reason = jv_review_say(w,
                                   "%s: %.2f times the ohms of copper of that size, and its "
                                   "terminals loosen",
                                   jv_metal_name((jv_metal)metal),
                                   own.r20_ohm_per_m / copper.r20_ohm_per_m);
        jv_review_add(w, &f, "\"metal\" of the file, copper when absent", reason);
    }
}

/* Is one end of the cable a point of the frame? */
static bool touches_frame(const jv_circuit *c, const jv_part *frame, const jv_part *cable) {
    int32_t a = jv_part_terminal(c, cable, JV_CABLE_A), b = jv_part_terminal(c, cable, JV_CABLE_B);
    for (uint32_t k = 0; k < frame->n_slots; k++) {
        const jv_slot *s = &c->slots[frame->first_slot + k];
        if (frame->kind->keys[s->key].type == JV_KEY_POINTS && (s->index == a || s->index == b))
            return true;
    }
    return false;
}

/* A gauge's copper counts 2 % less by the lay of its strands (ASTM B8). */
static const double lay = 1.02;
static const double least_current_a = 1; /* a shield or a lamp's own earth is no return */

double jv_frame_bond_least_mm2(const jv_circuit *c, const jv_cable_watched *cable) {
    const jv_cable_watched *k = cable;
    jv_rule rule;
    if (k->running_a < least_current_a || jv_table_rule("NEC-04", &rule) != JV_OK)
        return 0;
    for (uint32_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].kind == &jv_kind_frame &&
            touches_frame(c, &c->parts[i], &c->parts[k->part]))
            return jv_awg_area_mm2((int)rule.value) / lay * (1 - 1e-9);
    return 0;
}

static void bond_row(jv_review_work *w, const jv_part *frame, uint32_t part) {
    const jv_cable_watched *k = jv_guards_of(&w->guards, part);
    jv_conductor own;
    jv_rule rule;
    double least = k ? jv_frame_bond_least_mm2(w->c, k) : 0;
    if (!k || !(least > 0) || jv_table_rule("NEC-04", &rule) != JV_OK ||
        jv_cable_conductor(w->c, &w->c->parts[part], &own) != JV_OK)
        return;
    jv_finding f = jv_review_about(w, part);
    f.figure = jv_copper_mm2(&own);
    f.limit = least;
    f.unit = "mm2";
    f.least = true;
    f.holds = f.figure >= f.limit;
    f.confidence = rule.confidence;
    jv_review_add(w, &f, "8 AWG; the joint itself: bare metal, secure, within reach",
                  jv_review_say(w, "bonds to \"%s\" and returns up to %.0f A", frame->name,
                                k->running_a));
}

void jv_judge_frame_bond(jv_review_work *w) {
    for (uint32_t i = 0; i < w->c->n_parts; i++) {
        const jv_part *frame = &w->c->parts[i];
        if (frame->kind != &jv_kind_frame)
            continue;
        for (uint32_t k = 0; k < w->c->n_parts && w->status == JV_OK; k++)
            if (w->c->parts[k].kind == &jv_kind_cable &&
                touches_frame(w->c, frame, &w->c->parts[k]))
                bond_row(w, frame, k);
    }
}
