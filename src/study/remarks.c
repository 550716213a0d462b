/* remarks.c - what a person should know of an operating point. SPDX-License-Identifier: MIT */
#include "study/remarks.h"

#include "circuit/kinds.h"

#include <string.h>

enum { REMARKS_KEPT = 200 };

/* The collector that part kinds are handed (part_kind.h); its functions stand in circuit. */
#include "circuit/remark.h"

/* Below this many volts the wrong way round it may be drops that a fault makes. V, judgement. */
static const double backwards_v = 1.0;

/* Terminals between which the supply of a part stands, plus first; false: none, or it may be
 * either way round (a jack). */
static bool supply_of(const jv_circuit *c, const jv_part *p, int32_t *plus, int32_t *minus) {
    const jv_part_kind *k = p->kind;
    *plus = *minus = -1;
    if (k->is_source || k == &jv_kind_jack)
        return false;
    for (unsigned i = 0; i < k->n_keys; i++) {
        if (k->keys[i].type != JV_KEY_TERMINAL)
            continue;
        if (strcmp(k->keys[i].name, "plus") == 0 || strcmp(k->keys[i].name, "in") == 0)
            *plus = jv_part_terminal(c, p, i);
        else if (strcmp(k->keys[i].name, "minus") == 0)
            *minus = jv_part_terminal(c, p, i);
    }
    return *plus >= 0 && *minus >= 0;
}

/* Told once: the first part that sees it stands for all. */
static void tell_backwards(const jv_net *net, const jv_point *point, jv_remarks *r) {
    const jv_circuit *c = net->circuit;
    size_t n_batteries = 0, battery = 0;
    for (size_t p = 0; p < c->n_parts; p++)
        if (c->parts[p].kind == &jv_kind_battery) {
            n_batteries++;
            battery = p;
        }
    for (size_t p = 0; p < c->n_parts; p++) {
        int32_t plus, minus;
        if (!supply_of(c, &c->parts[p], &plus, &minus))
            continue;
        double volts = point->v[plus] - point->v[minus];
        if (!(volts < -backwards_v))
            continue;
        r->part = p;
        if (n_batteries == 1)
            jv_remark(r, true,
                      "gets %.2f V, plus and minus exchanged: \"%s\" is put in backwards, or two "
                      "leads are swapped; take its minus off before anything is damaged",
                      volts, c->parts[battery].name);
        else
            jv_remark(r, true,
                      "gets %.2f V, plus and minus exchanged: a source is put in backwards, or two "
                      "leads are swapped; take it off before anything is damaged",
                      volts);
        return;
    }
}

static void whole_circuit(const jv_net *net, const jv_point *point, jv_remarks *r) {
    r->part = net->circuit->n_parts;
    if (point->outcome == JV_POINT_CANNOT_DELIVER)
        jv_remark(
            r, true,
            "the source cannot deliver the power that the loads ask for: %.0f %% of it is the most "
            "that reaches them",
            100.0 * point->power_share);
}

jv_status jv_remarks_gather(const jv_net *net, const jv_point *point, jv_arena *arena,
                            jv_drop_case *out) {
    jv_remarks r = {0};
    r.arena = arena;
    r.room = REMARKS_KEPT;
    r.list = jv_arena_alloc(arena, REMARKS_KEPT, sizeof *r.list);
    if (!r.list)
        return JV_ERR_MEMORY;
    const jv_circuit *c = net->circuit;
    if (out->converged)
        tell_backwards(net, point, &r); /* first: what the parts say follows from it */
    for (size_t p = 0; p < c->n_parts && out->converged; p++) {
        uint32_t first = net->first[p];
        if (!c->parts[p].kind->remark)
            continue;
        r.part = p;
        c->parts[p].kind->remark(&net->scene, &c->parts[p], net->elements + first, net->own[p],
                                 point->v, point->i + first, point->r + first, &r);
    }
    if (out->converged)
        whole_circuit(net, point, &r);
    if (r.failed)
        return JV_ERR_MEMORY;
    jv_drop_remark *list = jv_arena_alloc(arena, r.n + 1, sizeof *list);
    if (!list)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < r.n; k++) {
        list[k].part = r.list[k].part;
        list[k].serious = r.list[k].serious;
        list[k].text = r.list[k].text;
        if (list[k].serious)
            out->finding = true;
    }
    out->remarks = list;
    out->n_remarks = r.n;
    return JV_OK;
}
