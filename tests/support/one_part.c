/* one_part.c - look at one part of a small circuit in a test. SPDX-License-Identifier: MIT */
#include "one_part.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <string.h>
#include <cmocka.h>

jv_circuit *alone(const char *kind) {
    jv_circuit *c = build_circuit();
    build_between(c, kind, "it", "x", "y");
    return c;
}

jv_element element(const jv_circuit *c, uint32_t part, size_t k, const jv_case *loading,
                   const jv_fault *fault) {
    jv_net *net = build_net(c, loading, fault, fault ? 1 : 0);
    jv_element e = *build_element(net, part, k);
    jv_net_free(&net);
    return e;
}

double ohms(const jv_circuit *c, uint32_t part, const jv_case *loading, const jv_fault *faults,
            size_t n) {
    jv_net *net = build_net(c, loading, faults, n);
    double r = build_element(net, part, 0)->r;
    jv_net_free(&net);
    return r;
}

bool is_open(const jv_circuit *c, uint32_t part, const jv_case *loading, const jv_fault *faults,
             size_t n) {
    jv_net *net = build_net(c, loading, faults, n);
    bool open = build_element(net, part, 0)->open;
    jv_net_free(&net);
    return open;
}

size_t faults_found(const jv_circuit *c, uint32_t part, jv_code code) {
    jv_diags d = {0};
    if (c->parts[part].kind->check)
        c->parts[part].kind->check(c, &c->parts[part], &d);
    size_t n = build_count(&d, code);
    jv_diags_clear(&d);
    return n;
}

const jv_slot *slot_named(const jv_circuit *c, uint32_t part, const char *key) {
    const jv_part *p = &c->parts[part];
    for (unsigned k = 0; k < p->kind->n_keys; k++)
        if (strcmp(p->kind->keys[k].name, key) == 0)
            return jv_part_slot(c, p, k);
    fail_msg("no key \"%s\"", key);
    return NULL;
}

jv_run run_of(uint32_t part, int direction, jv_load_kind kind, double value) {
    jv_run run = {part, (int8_t)direction, (uint8_t)kind, jv_value_exact(value)};
    return run;
}

jv_case case_of(jv_run *runs, size_t n) {
    jv_case k = {.name = "lifting", .runs = runs, .n_runs = n};
    return k;
}
