/* bench_find.c - all single and paired faults of a large circuit. SPDX-License-Identifier: MIT */
#define _POSIX_C_SOURCE 200809L
#include "jackvolt/read.h"
#include "jackvolt/text.h"
#include "study/find/sweep.h"
#include "timing.h"

#include <stdbool.h>
#include <stdio.h>
#include <string.h>

/* Bars of design section 6 and of the finder. */
static const double sweep_bar_s = 0.2, solves_bar = 20.0, step_bar_s = 0.050;

enum { TRUNK = 36, JACKS = 12 };

/* A trunk of joints and cables, a controller, and jacks with cables, joints and plugs: 200 parts.
 */
static void write_circuit(jv_text *t) {
    jv_text_add(t,
                "{\"circuit\":\"bench\",\"parts\":{\n\"battery\":{\"is\":\"battery\",\"plus\":"
                "\"p0\",\"minus\":\"m0\",\"open_circuit\":\"12.6 V\",\"resistance\":\"3 mohm\"}");
    for (int side = 0; side < 2; side++)
        for (int k = 0; k < TRUNK; k++) {
            char s = side ? 'm' : 'p';
            const char *end = k + 1 == TRUNK ? (side ? "c-" : "c+") : NULL;
            jv_text_addf(t, ",\n\"%c joint %d\":{\"is\":\"%s\",\"a\":\"%c%d\",\"b\":\"", s, k,
                         k % 2 ? "cable" : "contact", s, k);
            if (end)
                jv_text_add(t, end);
            else
                jv_text_addf(t, "%c%d", s, k + 1);
            jv_text_add(t, k % 2 ? "\",\"resistance\":\"0.1 mohm\"}"
                                 : "\",\"resistance\":\"0.05 mohm .. 0.2 mohm\"}");
        }
    jv_text_add(t, ",\n\"controller\":{\"is\":\"controller\",\"plus\":\"c+\",\"minus\":\"c-\","
                   "\"outputs\":{");
    for (int j = 0; j < JACKS; j++)
        jv_text_addf(t, "%s\"o%d\":[\"o+%d\",\"o-%d\"]", j ? "," : "", j, j, j);
    jv_text_add(t, "}}");
    for (int j = 0; j < JACKS; j++) {
        for (int k = 0; k < 4; k++)
            jv_text_addf(t,
                         ",\n\"out %d.%d\":{\"is\":\"%s\",\"a\":\"%s%d\",\"b\":\"%s%d\","
                         "\"resistance\":\"2 mohm\"}",
                         j, k, k % 2 ? "contact" : "cable",
                         (const char *const[]){"o+", "x+", "y+", "z+"}[k], j,
                         (const char *const[]){"x+", "y+", "z+", "w+"}[k], j);
        for (int k = 0; k < 4; k++)
            jv_text_addf(t,
                         ",\n\"back %d.%d\":{\"is\":\"%s\",\"a\":\"%s%d\",\"b\":\"%s%d\","
                         "\"resistance\":\"2 mohm\"}",
                         j, k, k % 2 ? "contact" : "cable",
                         (const char *const[]){"w-", "z-", "y-", "x-"}[k], j,
                         (const char *const[]){"z-", "y-", "x-", "o-"}[k], j);
        jv_text_addf(t,
                     ",\n\"plug %d\":{\"is\":\"connector\",\"pins\":{\"1\":[\"w+%d\",\"j+%d\"],"
                     "\"2\":[\"j-%d\",\"w-%d\"]},\"resistance\":\"2 mohm\"},\n\"jack %d\":{\"is\":"
                     "\"jack\",\"plus\":\"j+%d\",\"minus\":\"j-%d\",\"rated_current\":\"28 A\","
                     "\"no_load_current\":\"6 A\",\"stall_current\":\"90 A\"}",
                     j, j, j, j, j, j, j, j);
    }
    jv_text_add(t, "},\n\"cases\":{\"rest\":{},\"lifting\":{\"lift\":{");
    for (int j = 0; j < JACKS; j++)
        jv_text_addf(t, "%s\"jack %d\":\"8 A\"", j ? "," : "", j);
    jv_text_add(t, "}}}}");
}

static jv_circuit *make_circuit(void) {
    jv_text t = {0};
    jv_diags d = {0};
    jv_circuit *c = NULL;
    write_circuit(&t);
    if (jv_circuit_read_text(jv_text_str(&t), t.length, "bench", NULL, &d, &c) != JV_OK) {
        jv_text out = {0};
        jv_diags_print(&d, &out);
        fputs(jv_text_str(&out), stderr);
        jv_text_clear(&out);
    }
    jv_text_clear(&t);
    jv_diags_clear(&d);
    return c;
}

static bool report(const char *what, double figure, const char *unit, double bar, bool at_most) {
    bool holds = at_most ? figure <= bar : figure >= bar;
    printf("find: %-52s %10.4g %-6s bar %s %g: %s\n", what, figure, unit,
           at_most ? "at most" : "at least", bar, holds ? "holds" : "MISSED");
    return holds;
}

static bool sweep_all(const jv_circuit *c) {
    jv_finder *f = NULL;
    jv_sweep one, all = {0};
    if (jv_finder_new(c, NULL, &f) != JV_OK)
        return false;
    double start = timing_now();
    size_t predictions = 0;
    for (size_t k = 0; k < f->n_setups; k++) {
        if (jv_sweep_run(f, k, NULL, NULL, &one) != JV_OK)
            continue;
        all.pairs += one.pairs;
        all.flips += one.flips;
        all.others += one.others;
        all.wholes += one.wholes;
        all.solves += one.solves;
        all.singles = one.singles > all.singles ? one.singles : all.singles;
        predictions += one.pairs * f->setups[k].n_looks;
    }
    double took = timing_now() - start;
    printf(
        "find: %zu parts, %zu singles of one gate and %zu others, %zu singles and pairs over %zu "
        "setups, %zu checks: %.1f million predictions, %zu solves; %zu leave their piece and take "
        "more gates, %zu want a solve of their own\n",
        jv_circuit_parts(c), all.singles, all.others, all.pairs, f->n_setups, f->n_checks,
        1e-6 * (double)predictions, all.solves, all.flips, all.wholes);
    bool ok = report("all singles and pairs against all checks", took, "s", sweep_bar_s, true);
    ok = report("solves saved, with those that no gates reach",
                (double)(all.pairs + all.wholes) / (double)(all.solves + all.wholes), "x",
                solves_bar, false) &&
         ok;
    jv_finder_free(&f);
    return ok;
}

/* A walk of a few steps on an example: longest step. A step is the reading taken up and the next
 * check chosen; the first has the complaint, for which all suspects are solved. */
static bool walk_steps(const char *file, const char *loading) {
    jv_diags d = {0};
    jv_circuit *c = NULL;
    jv_finder *f = NULL;
    jv_next next;
    double longest = 0.0, first = 0.0;
    if (jv_circuit_read_file(file, NULL, &d, &c) == JV_OK)
        jv_finder_new(c, NULL, &f);
    jv_diags_clear(&d);
    jv_symptom y = {JV_SYMPTOM_TRIPS, 0, c ? jv_circuit_find_case(c, loading) : 0, false};
    double start = timing_now();
    bool ok = f && jv_finder_add_symptom(f, &y) == JV_OK;
    for (int k = 0; ok && k < 6; k++) {
        if (jv_finder_next(f, &next) != JV_OK || next.check == JV_FIND_NONE)
            break;
        double took = timing_now() - start;
        longest = took > longest ? took : longest;
        first = k ? first : took;
        jv_expected e = jv_finder_expect(f, next.check, JV_FIND_NONE);
        start = timing_now();
        ok = jv_finder_add_reading(f, next.check, e.value, false) == JV_OK;
    }
    printf("find: %s: first step %.1f ms\n", file, 1e3 * first);
    ok = report("longest step of a walk", longest, "s", step_bar_s, true) && ok;
    jv_finder_free(&f);
    jv_circuit_free(&c);
    return ok;
}

int main(void) {
    jv_circuit *c = make_circuit();
    bool ok = c && sweep_all(c);
    ok = walk_steps("circuits/long-trailer.json", "rear pair lifting") && ok;
    ok = walk_steps("circuits/small-trailer.json", "lifting") && ok;
    ok = walk_steps("circuits/sensor-harness.json", "rear pair lifting") && ok;
    jv_circuit_free(&c);
    return ok ? 0 : 1;
}
