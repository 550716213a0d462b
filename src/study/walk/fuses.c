/* fuses.c - the largest fuse that may be advised. SPDX-License-Identifier: MIT */
#include "study/walk/walk.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"
#include "circuit/parts/fuse.h"
#include "jackvolt/conductor.h"
#include "jackvolt/protection.h"
#include "jackvolt/quantity.h"

#include <math.h>

/* Hot day around a loom, degC: the ambient of the ampacity tables. */
static const double hot_air_c = 30.0;

double jv_walk_rating(const jv_circuit *c, size_t fuse) {
    const jv_slot *s = jv_part_slot(c, &c->parts[fuse], JV_FUSE_RATING);
    return s ? s->value.nominal : NAN;
}

/* What one cable carries for good (protection.h), alone in air, A; NAN when its size is not given.
 */
static double carries(const jv_circuit *c, const jv_part *p) {
    const jv_surroundings where = {hot_air_c, 1, false};
    const jv_slot *insulation = jv_part_slot(c, p, JV_CABLE_INSULATION);
    const jv_slot *text = jv_part_slot(c, p, JV_CABLE_SIZE);
    int metal = jv_part_word(c, p, JV_CABLE_METAL, JV_METAL_COPPER);
    jv_size size;
    jv_conductor wire;
    jv_cable_limits limits;
    jv_guarded cable;
    if (!text || jv_size_read(text->text, &size, NULL) != JV_OK ||
        jv_cable_conductor(c, p, &wire) != JV_OK)
        return NAN;
    jv_cable_limits_of(insulation ? insulation->text : NULL,
                       jv_part_flag(c, p, JV_CABLE_WET, false), &limits);
    jv_guarded_make(&size, (jv_metal)metal, &wire, &where, &limits, &cable);
    return jv_carries_a(&cable);
}

typedef struct jv_flood {
    const jv_circuit *c;
    size_t fuse;
    bool *reached;
    double least;
    bool moved;
} jv_flood;

static void pass(jv_flood *f, size_t part, int32_t a, int32_t b) {
    if (a < 0 || b < 0 || f->reached[a] == f->reached[b])
        return;
    f->reached[a] = f->reached[b] = true;
    f->moved = true;
    if (f->c->parts[part].kind == &jv_kind_cable)
        f->least = fmin(f->least, carries(f->c, &f->c->parts[part]));
}

/* Through conductors; what guards or limits the current by itself ends it. */
static void pass_part(jv_flood *f, size_t part) {
    const jv_part *p = &f->c->parts[part];
    size_t n = 0;
    if (part == f->fuse || jv_fuse_is(p) || !p->kind->is_series || p->kind == &jv_kind_frame)
        return;
    if (p->kind == &jv_kind_connector) {
        const jv_slot *pins = jv_part_entries(f->c, p, 0, &n);
        for (size_t k = 0; k < n; k++)
            pass(f, part, pins[k].index, pins[k].second);
    } else {
        pass(f, part, jv_part_terminal(f->c, p, 0), jv_part_terminal(f->c, p, 1));
    }
}

static double flood(jv_flood *f, int32_t from) {
    for (size_t t = 0; t < f->c->n_terminals; t++)
        f->reached[t] = false;
    f->reached[from] = true;
    f->least = INFINITY;
    do {
        f->moved = false;
        for (size_t i = 0; i < f->c->n_parts; i++)
            pass_part(f, i);
    } while (f->moved);
    return f->least;
}

/* Current may come from either side where there are two sources: the cables of both sides count,
 * but for those on the side of a battery, which this fuse does not guard. */
double jv_walk_fuse_limit(const jv_circuit *c, size_t fuse) {
    jv_flood f = {c, fuse, jv_alloc(c->n_terminals + 1, sizeof(bool)), INFINITY, false};
    double limit = INFINITY;
    if (!f.reached)
        return NAN;
    for (unsigned side = JV_FUSE_A; side <= JV_FUSE_B; side++) {
        int32_t from = jv_part_terminal(c, &c->parts[fuse], side);
        bool source = false;
        if (from < 0)
            continue;
        double least = flood(&f, from);
        for (size_t i = 0; i < c->n_parts; i++) {
            int32_t plus = c->parts[i].kind->is_source ? jv_part_terminal(c, &c->parts[i], 0) : -1;
            source = source || (plus >= 0 && f.reached[plus]);
        }
        if (!source)
            limit = fmin(limit, least);
    }
    jv_free(f.reached);
    return isinf(limit) ? NAN : limit;
}
