/* solved.c - a circuit at its operating point, for tests. SPDX-License-Identifier: MIT */
#include "solved.h"

#include "build.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

solved solved_try(const jv_circuit *c, const jv_case *loading, const jv_fault *faults, size_t n) {
    solved s;
    memset(&s, 0, sizeof s);
    s.net = build_net(c, loading, faults, n);
    assert_int_equal(jv_system_new(s.net, &s.system), JV_OK);
    jv_point_find(s.system, false, &s.point);
    return s;
}

solved solved_at(const jv_circuit *c, const jv_case *loading, const jv_fault *faults, size_t n) {
    solved s = solved_try(c, loading, faults, n);
    if (s.point.outcome != JV_POINT_FOUND)
        fail_msg("no operating point, outcome %d, near %s", (int)s.point.outcome,
                 s.point.where ? s.point.where : "nothing");
    return s;
}

void solved_free(solved *s) {
    jv_system_free(&s->system);
    jv_net_free(&s->net);
}

static int32_t terminal(const solved *s, const char *name) {
    int32_t t = jv_circuit_find_terminal(s->net->circuit, name);
    if (t < 0)
        fail_msg("there is no terminal \"%s\"", name);
    return t;
}

double solved_volts(const solved *s, const char *plus, const char *minus) {
    return s->point.v[terminal(s, plus)] - s->point.v[terminal(s, minus)];
}

static uint32_t first_of(const solved *s, const char *part) {
    int32_t p = jv_circuit_find_part(s->net->circuit, part);
    if (p < 0)
        fail_msg("there is no part \"%s\"", part);
    return s->net->first[p];
}

double solved_amps(const solved *s, const char *part, size_t k) {
    return s->point.i[first_of(s, part) + k];
}

double solved_drop(const solved *s, const char *part) {
    uint32_t k = first_of(s, part);
    return s->point.r[k] * s->point.i[k];
}
