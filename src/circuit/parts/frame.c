/* frame.c - the vehicle frame as a return. SPDX-License-Identifier: MIT */
#include "circuit/kinds.h"

#include <math.h>

/* Each point is a bond from its terminal to an inner node; pieces of frame join the
 * inner nodes in the order of the file and share the resistance equally. */

enum { POINTS, RESISTANCE, KEYS };
enum { ROLE_BOND = 1, ROLE_PIECE };

static const jv_key keys[KEYS] = {
    {"points", JV_KEY_POINTS, JV_DIM_RESISTANCE, JV_NEEDED | JV_ZERO_OK, 0, 0, NULL, NULL, NULL,
     "terminals bonded to the frame with the ohms of each bond, in order along the frame"},
    {"resistance", JV_KEY_QUANTITY, JV_DIM_RESISTANCE, JV_ZERO_OK, 0, 0, NULL, "1 mohm */ 2",
     "8 m of steel of 1100 mm2 (judgement) at 0.138 ohm mm2/m (IEC 60364-5-54)",
     "ohms of the steel from the first point to the last"},
};

static void check(const jv_circuit *c, const jv_part *p, jv_diags *d) {
    size_t n;
    const jv_slot *points = jv_part_entries(c, p, POINTS, &n);
    if (n == 1)
        jv_part_fault(d, c, p, POINTS, JV_CODE_KEY_MISSING,
                      "Give each place where a cable is bonded to the frame.",
                      "frame \"%s\" has one point alone; a return needs two or more", p->name);
    for (size_t i = 1; i < n; i++)
        for (size_t k = 0; k < i; k++)
            if (points[i].index >= 0 && points[i].index == points[k].index)
                jv_part_fault(d, c, p, POINTS, JV_CODE_NAME_DUPLICATE, "Keep one of the two.",
                              "terminal \"%s\" is bonded to frame \"%s\" twice",
                              c->terminals[points[i].index], p->name);
}

static void connect(jv_wiring *w, const jv_circuit *c, const jv_part *p) {
    size_t n;
    const jv_slot *points = jv_part_entries(c, p, POINTS, &n);
    if (!n)
        return;
    int32_t first = jv_wiring_node(w);
    for (size_t i = 1; i < n; i++)
        jv_wiring_node(w);
    for (size_t i = 0; i < n; i++)
        jv_wiring_add(w, p, JV_SERIES, ROLE_BOND, points[i].index, first + (int32_t)i, -1);
    for (size_t i = 1; i < n; i++)
        jv_wiring_add(w, p, JV_SERIES, ROLE_PIECE, first + (int32_t)i - 1, first + (int32_t)i, -1);
}

static void load(const jv_scene *s, const jv_part *p, jv_element *e, size_t n) {
    size_t points;
    const jv_slot *bonds = jv_part_entries(s->circuit, p, POINTS, &points);
    if (!points || n != 2 * points - 1)
        return;
    for (size_t i = 0; i < points; i++) {
        const jv_slot *bond = &bonds[i];
        e[i].r = s->x ? s->x[bond - s->circuit->slots] : bond->value.nominal;
        const char *at = bond->index >= 0 ? s->circuit->terminals[bond->index] : bond->text;
        jv_series_faults(s, p, &e[i], at);
    }
    double whole = jv_scene_value(s, p, RESISTANCE, NAN);
    for (size_t i = points; i < n; i++)
        e[i].r = whole / (double)(points - 1);
}

/* Ground studs: 0.12 of the complaints (judgement), bad far more often than open. */
static const jv_failure failures[] = {
    {JV_WAY_ADDED, "<R> added at <N>", 0.11, 0.004, 0.300,
     "take the bond apart, clean to bright metal, refit and tighten", 15.0,
     "judgement, no published source"},
    {JV_WAY_OPEN, "open at <N>", 0.01, 0, 0, "remake the bond", 15.0,
     "judgement, no published source"},
    {JV_WAY_LOOSE, "<R> added at <N> now and then", 0.004, 0.010, 0.5,
     "take the bond apart, clean to bright metal, refit and tighten", 15.0,
     "common practice, no source"},
};

const jv_part_kind jv_kind_frame = {
    .name = "frame",
    .summary = "the vehicle frame as a return, with its bonds",
    .keys = keys,
    .n_keys = KEYS,
    .failures = failures,
    .n_failures = sizeof failures / sizeof failures[0],
    .is_series = true,
    .own_faults = true,
    .check = check,
    .connect = connect,
    .load = load,
};
