/* harness_remarks.c - what became of a harness on its way into a circuit.
 * SPDX-License-Identifier: MIT */
#include "jackvolt/render.h"

#include <math.h>
#include <string.h>

static const double MM_PER_M = 1e3;
enum { NAMED = 6 }; /* of many things of one kind, so many are named */

/* "3 wires", "1 wire". */
static void add_count(jv_text *out, size_t n, const char *one, const char *many) {
    jv_text_addf(out, "%zu %s", n, n == 1 ? one : many);
}

static void label(jv_text *out, const char *word) {
    jv_text_addf(out, "  %s: ", word);
}

static size_t count_kind(const jv_harness_parts *h, jv_harness_connector_kind kind) {
    size_t n = 0;
    for (size_t i = 0; i < h->n_connectors; i++) {
        n += h->connectors[i].kind == kind;
    }
    return n;
}

static void add_head(const jv_harness_parts *h, jv_text *out) {
    jv_text_addf(out, "%s: %s%s%s", h->file != NULL ? h->file : "harness", h->format,
                 h->version != NULL ? " " : "", h->version != NULL ? h->version : "");
    if (h->name != NULL) {
        jv_text_addf(out, ", \"%s\"", h->name);
    }
    jv_text_add(out, ": ");
    add_count(out, h->n_wires, "wire", "wires");
    size_t boxes = count_kind(h, JV_HARNESS_BOX), splices = count_kind(h, JV_HARNESS_SPLICE);
    jv_text_add(out, ", ");
    add_count(out, h->n_connectors - boxes - splices, "connector", "connectors");
    jv_text_add(out, ", ");
    add_count(out, splices, "splice", "splices");
    jv_text_add(out, ", ");
    add_count(out, h->n_fuses, "fuse", "fuses");
    if (boxes > 0) {
        jv_text_add(out, " in ");
        add_count(out, boxes, "box", "boxes");
    }
    jv_text_add(out, ".\n");
}

typedef struct fates {
    size_t of[JV_HARNESS_APART + 1];
} fates;

static fates count_fates(const unsigned char *fate, size_t n) {
    fates f = {{0}};
    for (size_t i = 0; i < n; i++) {
        f.of[fate[i]]++;
    }
    return f;
}

static void add_left_out(const jv_harness_plan *plan, jv_text *out) {
    static const char *const why[] = {"", "whose ends make no circuit", "that lead to nothing",
                                      "that hang together with nothing of the side file"};
    const jv_harness_parts *h = plan->harness;
    fates wires = count_fates(plan->wire_fate, h->n_wires);
    fates fuses = count_fates(plan->fuse_fate, h->n_fuses);
    fates mates = count_fates(plan->mate_fate, h->n_mates);
    for (size_t i = JV_HARNESS_BROKEN; i <= JV_HARNESS_APART; i++) {
        if (wires.of[i] + fuses.of[i] + mates.of[i] == 0) {
            continue;
        }
        label(out, "left out");
        size_t n[] = {wires.of[i], fuses.of[i], mates.of[i]};
        static const char *const one[] = {"wire", "fuse", "pair of mated cavities"};
        static const char *const many[] = {"wires", "fuses", "pairs of mated cavities"};
        bool any = false;
        for (size_t k = 0; k < sizeof n / sizeof n[0]; k++) {
            if (n[k] > 0) {
                jv_text_add(out, any ? ", " : "");
                add_count(out, n[k], one[k], many[k]);
                any = true;
            }
        }
        jv_text_addf(out, " %s\n", why[i]);
    }
}

static void add_names(jv_text *out, const char *const *names, const size_t *index, size_t n) {
    for (size_t i = 0; i < n && i < NAMED; i++) {
        jv_text_addf(out, "%s%s", i > 0 ? ", " : "", names[index != NULL ? index[i] : i]);
    }
    if (n > NAMED) {
        jv_text_addf(out, " and %zu more", n - NAMED);
    }
}

static void add_missing(const jv_harness_plan *plan, jv_text *out) {
    if (!plan->has_source) {
        label(out, "missing");
        jv_text_add(out, "a battery or supply: a harness file holds none (--with SIDE.json)\n");
    }
    if (plan->n_lone > 0) {
        label(out, "missing");
        add_count(out, plan->n_lone,
                  "terminal with one part only: ", "terminals with one part only: ");
        add_names(out, plan->terminals, plan->lone, plan->n_lone);
        jv_text_add(out, "\n");
    }
    if (plan->n_missing > 0) {
        label(out, "missing");
        add_names(out, plan->missing, NULL, plan->n_missing);
        jv_text_add(out, "\n");
    }
    if (plan->harness->n_devices > 0) {
        label(out, "to classify");
        for (size_t i = 0; i < plan->harness->n_devices && i < NAMED; i++) {
            const jv_harness_device *d = &plan->harness->devices[i];
            const char *about = d->about != NULL ? d->about : d->kind;
            jv_text_addf(out, "%s%s%s%s%s", i > 0 ? ", " : "", d->name, about ? " (" : "",
                         about ? about : "", about ? ")" : "");
        }
        if (plan->harness->n_devices > NAMED) {
            jv_text_addf(out, " and %zu more", plan->harness->n_devices - NAMED);
        }
        jv_text_add(out, "\n");
    }
}

static void add_assumed(const jv_harness_plan *plan, jv_text *out) {
    size_t copper = jv_harness_assumed_copper(plan);
    if (copper > 0) {
        label(out, "assumed");
        jv_text_add(out, "copper for ");
        add_count(out, copper, "wire", "wires");
        jv_text_add(out, ", whose metal the file does not name\n");
    }
    size_t joints = 0;
    for (size_t i = 0; i < plan->harness->n_points; i++) {
        joints += plan->harness->points[i].joint != i && plan->harness->points[i].used;
    }
    size_t mates = 0;
    for (size_t i = 0; i < plan->harness->n_mates; i++) {
        mates += plan->mate_fate[i] == JV_HARNESS_KEPT && isnan(plan->harness->mates[i].ohm);
    }
    if (mates > 0) {
        label(out, "assumed");
        jv_text_add(out, "the usual ohms of ");
        add_count(out, mates, "mated cavity", "mated cavities");
        jv_text_add(out, "\n");
    }
    if (joints > 0) {
        label(out, "assumed");
        jv_text_add(out, "no ohms in ");
        add_count(out, joints, "bar or shared contact", "bars and shared contacts");
        jv_text_add(out, "\n");
    }
}

static void add_routes(const jv_harness_parts *h, jv_text *out) {
    size_t checked = 0;
    double most = 0.0;
    const char *whose = NULL;
    for (size_t i = 0; i < h->n_wires; i++) {
        const jv_harness_wire *w = &h->wires[i];
        double off = fabs(w->length_m - w->routed_m);
        if (isnan(off) || w->length_kind == NULL || strcmp(w->length_kind, "routed") == 0) {
            continue;
        }
        checked++;
        if (whose == NULL || off > most) {
            most = off;
            whose = w->name;
        }
    }
    label(out, "routes");
    jv_text_addf(out, "%zu of %zu wires held against their segments", checked, h->n_wires);
    if (whose != NULL) {
        jv_text_addf(out, ", greatest difference %.2f mm (%s)", most * MM_PER_M, whose);
    }
    jv_text_add(out, "\n");
}

static void add_lengths(const jv_harness_parts *h, jv_text *out) {
    enum { KINDS = 8 };
    const char *kinds[KINDS];
    size_t counts[KINDS], n = 0;
    for (size_t i = 0; i < h->n_wires; i++) {
        const char *kind = h->wires[i].length_kind != NULL ? h->wires[i].length_kind : "unknown";
        size_t k = 0;
        while (k < n && strcmp(kinds[k], kind) != 0) {
            k++;
        }
        if (k == n && n < KINDS) {
            kinds[n] = kind;
            counts[n++] = 0;
        }
        if (k < n) {
            counts[k]++;
        }
    }
    label(out, "lengths");
    for (size_t k = 0; k < n; k++) {
        jv_text_addf(out, "%s%zu %s", k > 0 ? ", " : "", counts[k], kinds[k]);
    }
    jv_text_add(out, "\n");
}

/* Findings of one code: how many, and the first in full. */
typedef struct found {
    const jv_harness_finding *first;
    size_t count;
} found;

static void add_findings(const jv_harness_parts *h, jv_text *out) {
    enum { CODES = 16 }; /* more than there are */
    found kinds[CODES];
    size_t n = 0;
    for (size_t i = 0; i < h->n_findings; i++) {
        size_t k = 0;
        while (k < n && kinds[k].first->code != h->findings[i].code) {
            k++;
        }
        if (k == n && n < CODES) {
            kinds[n++] = (found){&h->findings[i], 0};
        }
        if (k < n) {
            kinds[k].count++;
        }
    }
    for (size_t k = 0; k < n; k++) {
        const jv_harness_finding *f = kinds[k].first;
        label(out, "found");
        jv_text_addf(out, "W%d %s, line %zu: %s", (int)f->code, jv_code_title(f->code), f->line,
                     f->text);
        if (kinds[k].count > 1) {
            jv_text_addf(out, "; and %zu more of this kind", kinds[k].count - 1);
        }
        jv_text_add(out, "\n");
    }
}

static void add_skips(const jv_harness_parts *h, jv_text *out) {
    size_t all = 0;
    for (size_t i = 0; i < h->n_skips; i++) {
        all += h->skips[i].count;
    }
    if (all == 0) {
        return;
    }
    label(out, "passed over");
    add_count(out, all, "object", "objects");
    jv_text_add(out, " of ");
    add_count(out, h->n_skips, "kind", "kinds");
    jv_text_add(out, " that no circuit needs (--list names them)\n");
}

void jv_harness_remarks(const jv_harness_plan *plan, const jv_style *style, jv_text *out) {
    const jv_harness_parts *h = plan->harness;
    add_head(h, out);
    if (!style->quiet) {
        add_lengths(h, out);
        add_routes(h, out);
        add_findings(h, out);
        add_left_out(plan, out);
        add_assumed(plan, out);
    }
    add_missing(plan, out);
    if (!style->quiet) {
        add_skips(h, out);
    }
}
