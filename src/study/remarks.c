/* remarks.c - what a person should know of an operating point. SPDX-License-Identifier: MIT */
#include "study/remarks.h"

#include <string.h>

enum { REMARKS_KEPT = 200 };

/* The collector that part kinds are handed (part_kind.h); its functions stand in circuit. */
#include "circuit/remark.h"

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
