/* guards.c - which fuse guards which cable, and what a short does. SPDX-License-Identifier: MIT */
#include "study/guards.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"
#include "circuit/parts/fuse.h"
#include "study/bench.h"
#include "study/way.h"

#include <math.h>
#include <string.h>

/* Currents closer than this share count as the same current; a device that opens leaves less
 * than the other share. Room for the small loads beside a trunk. */
static const double same_share = 0.98, stopped_share = 0.02;
static const double nothing_a = 1e-6;

const jv_slot *jv_part_named(const jv_circuit *c, const jv_part *p, const char *key) {
    for (unsigned k = 0; k < p->kind->n_keys; k++)
        if (strcmp(p->kind->keys[k].name, key) == 0)
            return jv_part_slot(c, p, k);
    return NULL;
}

static bool is_conductor(const jv_part *p) {
    return p->kind == &jv_kind_cable || p->kind == &jv_kind_lead;
}

static bool is_wire(const jv_circuit *c, const jv_part *p) {
    return is_conductor(p) && jv_part_has(c, p, JV_CABLE_SIZE) &&
           jv_part_has(c, p, JV_CABLE_LENGTH);
}

jv_status jv_guarded_of_part(const jv_circuit *c, const jv_part *p, double hot_c, jv_guarded *out) {
    jv_conductor wire;
    jv_size size;
    const jv_slot *text = jv_part_slot(c, p, JV_CABLE_SIZE);
    if (!text || jv_size_read(text->text, &size, NULL) != JV_OK ||
        jv_cable_conductor(c, p, &wire) != JV_OK)
        return JV_ERR_UNKNOWN;
    const jv_slot *air = jv_part_slot(c, p, JV_CABLE_AIR);
    const jv_slot *name = jv_part_slot(c, p, JV_CABLE_INSULATION);
    const jv_slot *bundle = jv_part_slot(c, p, JV_CABLE_BUNDLE);
    jv_surroundings where = {.air_c = air ? air->value.high : hot_c,
                             .loaded_together = bundle ? (int)bundle->value.nominal : 1,
                             .loom = jv_part_flag(c, p, JV_CABLE_LOOM, false)};
    jv_cable_limits limits;
    jv_cable_limits_of(name ? name->text : NULL, jv_part_flag(c, p, JV_CABLE_WET, false), &limits);
    int metal = jv_part_word(c, p, JV_CABLE_METAL, JV_METAL_COPPER);
    jv_guarded_make(&size, (jv_metal)metal, &wire, &where, &limits, out);
    return JV_OK;
}

void jv_bench_turn_strong(jv_bench *b, int strong) {
    for (size_t i = 0; i < b->n_knobs; i++) {
        const jv_knob *k = &b->knobs[i];
        int end = 0;
        if (k->kind == JV_KNOB_CHARGE)
            end = strong;
        if (k->kind == JV_KNOB_SLOT) {
            const jv_slot *s = &b->c->slots[k->index];
            size_t part = 0;
            while (part + 1 < b->c->n_parts && b->c->parts[part + 1].first_slot <= k->index)
                part++;
            const jv_key *key = &b->c->parts[part].kind->keys[s->key];
            if (key->dim == JV_DIM_RESISTANCE || key->dim == JV_DIM_LENGTH)
                end = -strong;
            if (key->dim == JV_DIM_VOLTAGE || key->dim == JV_DIM_RATIO)
                end = strong;
        }
        jv_bench_turn(b, i, end);
    }
}

/* ---- where a short of each cable lies ---- */

typedef struct look {
    const jv_circuit *c;
    jv_arena *arena;
    jv_guards *out;
    const jv_bench *bench;
    const jv_point *point;
    size_t loading;
} look;

static jv_status add_wires(const jv_circuit *c, jv_arena *arena, bool all, jv_guards *out) {
    size_t n = 0;
    for (size_t i = 0; i < c->n_parts; i++)
        n += is_conductor(&c->parts[i]);
    out->cables = jv_arena_alloc(arena, n + 1, sizeof *out->cables);
    if (!out->cables)
        return JV_ERR_MEMORY;
    for (size_t i = 0; i < c->n_parts; i++)
        if (all ? is_conductor(&c->parts[i]) : is_wire(c, &c->parts[i]))
            out->cables[out->n++] = (jv_cable_watched){.part = (uint32_t)i,
                                                       .loading = c->n_cases,
                                                       .running_c = NAN,
                                                       .near_a = NAN,
                                                       .from = -1,
                                                       .to = -1,
                                                       .guard = UINT32_MAX,
                                                       .mate = UINT32_MAX};
    return JV_OK;
}

const jv_cable_watched *jv_guards_of(const jv_guards *g, uint32_t part) {
    for (size_t i = 0; i < g->n; i++)
        if (g->cables[i].part == part)
            return &g->cables[i];
    return NULL;
}

/* The terminal of the other side nearest to the load that carries the current; -1 = none. The
 * thickest wire met there is the mate. */
static int32_t other_side(const look *l, const jv_way_found *way, const jv_way_step *own,
                          uint32_t *mate) {
    int32_t node = -1;
    double longest = 0;
    jv_side wanted = own->side == JV_SIDE_PLUS ? JV_SIDE_RETURN : JV_SIDE_PLUS;
    for (size_t k = 0; k < way->n; k++) {
        /* from the load on: the return steps as they come, the plus steps backwards */
        const jv_way_step *s = &way->steps[wanted == JV_SIDE_RETURN ? k : way->n - 1 - k];
        int32_t at = wanted == JV_SIDE_RETURN ? s->from : s->to;
        bool same = s->side == wanted && s->current_a >= same_share * own->current_a;
        if (!same || s->current_a * same_share > own->current_a)
            continue;
        if (node < 0 && at >= 0 && (size_t)at < l->c->n_terminals)
            node = at;
        uint32_t part = l->bench->net->elements[s->element].part;
        const jv_part *p = &l->c->parts[part];
        if (p->kind != &jv_kind_cable || !is_wire(l->c, p))
            continue;
        double length = jv_part_slot(l->c, p, JV_CABLE_LENGTH)->value.nominal;
        if (length > longest) {
            longest = length;
            *mate = part;
        }
    }
    if (node >= 0 || own->side == JV_SIDE_RETURN)
        return node;
    /* Nothing carries the same: a mesh. The side's end at the load will do. A return that
     * several feeds share is heated by the shorts of each of them. */
    for (size_t k = 0; k < way->n; k++) {
        const jv_way_step *s = &way->steps[wanted == JV_SIDE_RETURN ? k : way->n - 1 - k];
        int32_t at = wanted == JV_SIDE_RETURN ? s->from : s->to;
        if (s->side == wanted && at >= 0 && (size_t)at < l->c->n_terminals)
            return at;
    }
    return -1;
}

static void place_short(const look *l, const jv_way_found *way, const jv_way_step *s) {
    uint32_t part = l->bench->net->elements[s->element].part;
    for (size_t i = 0; i < l->out->n; i++) {
        jv_cable_watched *w = &l->out->cables[i];
        bool usable = s->side == JV_SIDE_PLUS || s->side == JV_SIDE_RETURN;
        if (w->part != part || w->loading != l->loading || w->known || !usable)
            continue;
        uint32_t mate = UINT32_MAX;
        int32_t to = other_side(l, way, s, &mate);
        int32_t from = s->side == JV_SIDE_PLUS ? s->to : s->from;
        w->known = to >= 0 && from != to;
        w->from = from;
        w->to = to;
        w->mate = mate;
        w->on_return = s->side == JV_SIDE_RETURN;
    }
}

/* Ways to each load of the case, until every wire has its place. */
static jv_status walk_ways(const look *l) {
    const jv_net *net = l->bench->net;
    for (uint32_t k = 0; k < net->n_elements; k++) {
        const jv_element *e = &net->elements[k];
        bool draws = (e->law == JV_SINK || e->law == JV_POWER || e->law == JV_REGULATOR) &&
                     !e->open && fabs(l->point->i[k]) > nothing_a;
        if (!draws)
            continue;
        jv_way_found way;
        jv_status status = jv_way_find(net, l->point, k, &way);
        if (status != JV_OK)
            return status;
        for (size_t s = 0; s < way.n; s++)
            place_short(l, &way, &way.steps[s]);
        jv_way_free(&way);
    }
    return JV_OK;
}

static void note_currents(const look *l) {
    for (size_t i = 0; i < l->out->n; i++) {
        jv_cable_watched *w = &l->out->cables[i];
        uint32_t k = l->bench->net->first[w->part];
        double amps = fabs(l->point->i[k]);
        /* A case that holds a motor fast counts only for wires that no other one loads. */
        bool taken = jv_case_holds_fast(&l->c->cases[l->loading]) && w->loading < l->c->n_cases &&
                     !jv_case_holds_fast(&l->c->cases[w->loading]);
        if (!(amps > nothing_a) || amps <= w->running_a * (1 + 1e-9) || taken)
            continue;
        w->running_a = amps;
        w->loading = l->loading;
        w->running_c = l->bench->net->elements[k].temperature_c;
    }
}

/* Passes over the cases (first those that run, then those that hold a motor fast): which case loads
 * each wire most, then where its short lies. */
static jv_status look_at_cases(const jv_circuit *c, jv_guards *out, bool place, bool fast) {
    jv_status status = JV_OK;
    for (size_t k = 0; k < c->n_cases && status == JV_OK; k++) {
        jv_bench *b = NULL;
        jv_point p;
        if (!place && jv_case_holds_fast(&c->cases[k]) != fast)
            continue;
        status = jv_bench_open(c, &c->cases[k], NULL, 0, &b);
        if (status == JV_OK)
            status = jv_bench_find(b, &p);
        if (status == JV_OK && jv_point_is_answer(&p)) {
            look l = {c, NULL, out, b, &p, k};
            if (place)
                status = walk_ways(&l);
            else
                note_currents(&l);
        }
        jv_bench_free(&b);
    }
    return status;
}

/* ---- the short itself ---- */

typedef struct short_bench {
    jv_bench *b;
    jv_fault fault;
    uint32_t wire;   /* element of the cable that the current reaches */
    uint32_t back;   /* the piece on the other side of the short */
    uint32_t bridge; /* element of the short */
} short_bench;

static void short_close(short_bench *s) {
    jv_bench_free(&s->b);
}

/* at_far: at the end away from the source, else at the other end. */
static jv_status short_open(const jv_circuit *c, const jv_cable_watched *w, bool at_far,
                            short_bench *s) {
    const jv_part *p = &c->parts[w->part];
    int32_t b_end = jv_part_terminal(c, p, JV_CABLE_B);
    bool at_b = (w->from == b_end) == at_far;
    s->fault = (jv_fault){.part = w->part, .way = JV_WAY_SHORT, .position = at_b ? 1 : 0};
    s->fault.to = w->to;
    jv_status status = jv_bench_open(c, &c->cases[w->loading], &s->fault, 1, &s->b);
    if (status != JV_OK)
        return status;
    if (!s->b) /* never: for the analyser */
        return JV_ERR_MEMORY;
    uint32_t first = s->b->net->first[w->part];
    s->wire = at_b ? first : first + 1;
    s->bridge = first + 2;
    /* Without bodies of their own the wires are loaded as warm as their air. */
    for (size_t k = 0; k < s->b->net->n_elements; k++)
        s->b->net->elements[k].heat = NULL;
    return JV_OK;
}

/* Relays pull in before the short comes; their state, and that of cut-offs, is held. */
static jv_status short_find(short_bench *s, jv_point *p) {
    jv_bench_load(s->b);
    s->b->net->elements[s->bridge].open = 1;
    jv_status status = jv_bench_find(s->b, p);
    s->b->net->elements[s->bridge].open = 0;
    if (status == JV_OK)
        status = jv_system_anchor(s->b->system);
    if (status == JV_OK)
        status = jv_point_refine(s->b->system, p);
    return status == JV_ERR_MEMORY ? status : JV_OK;
}

/* Does the current through the wire stop when the device opens? */
static jv_status stops(short_bench *s, uint32_t device, double amps, bool *yes) {
    jv_point p;
    jv_element *e = &s->b->net->elements[s->b->net->first[device]];
    uint8_t was = e->open;
    e->open = 1;
    jv_status status = jv_system_anchor(s->b->system);
    if (status == JV_OK)
        status = jv_point_refine(s->b->system, &p);
    *yes = status == JV_OK && jv_point_is_answer(&p) && fabs(p.i[s->wire]) <= stopped_share * amps;
    e->open = was;
    if (status != JV_ERR_MEMORY)
        status = jv_system_anchor(s->b->system);
    return status;
}

static double rating_of(const jv_circuit *c, uint32_t device) {
    const jv_slot *r = jv_part_slot(c, &c->parts[device], JV_FUSE_RATING);
    return r ? r->value.nominal : INFINITY;
}

/* The device of least rating that stops the current. */
static jv_status find_guard(const jv_circuit *c, short_bench *s, double amps, uint32_t *guard) {
    *guard = UINT32_MAX;
    double least = INFINITY;
    for (uint32_t i = 0; i < c->n_parts; i++) {
        if (!jv_fuse_is(&c->parts[i]) || rating_of(c, i) >= least)
            continue;
        bool yes = false;
        jv_status status = stops(s, i, amps, &yes);
        if (status != JV_OK)
            return status;
        if (yes) {
            least = rating_of(c, i);
            *guard = i;
        }
    }
    return JV_OK;
}

static jv_status probe(const jv_circuit *c, jv_cable_watched *w) {
    short_bench s = {0};
    jv_point p;
    jv_status status = short_open(c, w, true, &s);
    if (status != JV_OK)
        return status;
    for (int strong = 1; strong >= -1 && status == JV_OK; strong--) {
        jv_bench_turn_strong(s.b, strong);
        status = short_find(&s, &p);
        if (status != JV_OK)
            break;
        if (!jv_point_is_answer(&p)) {
            w->unsolved = true;
            continue;
        }
        double amps = fabs(p.i[s.wire]);
        if (strong > 0)
            w->strong_a = amps;
        if (strong < 0)
            w->weak_a = amps;
        if (strong == 0 && amps > nothing_a)
            status = find_guard(c, &s, amps, &w->guard);
    }
    short_close(&s);
    if (status != JV_OK)
        return status;
    status = short_open(c, w, false, &s);
    if (status == JV_OK)
        status = short_find(&s, &p);
    if (status == JV_OK && !jv_point_is_answer(&p)) {
        w->unsolved = true;
    } else if (status == JV_OK) {
        uint32_t guard = UINT32_MAX;
        w->back_a = fabs(p.i[s.wire]);
        if (w->back_a > nothing_a)
            status = find_guard(c, &s, w->back_a, &guard);
        w->back_guarded = w->back_a > nothing_a && guard != UINT32_MAX;
    }
    short_close(&s);
    return status;
}

/* A wire on no way that could be walked (behind a regulator): a short from either end to the
 * reference, whichever draws more. */
static jv_status probe_to_reference(const jv_circuit *c, jv_cable_watched *w) {
    const jv_part *p = &c->parts[w->part];
    jv_cable_watched best = *w;
    static const unsigned ends[] = {JV_CABLE_A, JV_CABLE_B};
    for (size_t i = 0; i < 2; i++) {
        jv_cable_watched trial = *w;
        trial.from = jv_part_terminal(c, p, ends[i]);
        trial.to = c->reference;
        if (trial.from == trial.to)
            continue;
        jv_status status = probe(c, &trial);
        if (status != JV_OK)
            return status;
        trial.known = true;
        if (!best.known || trial.strong_a > best.strong_a)
            best = trial;
    }
    *w = best;
    return JV_OK;
}

static double hottest_air(const jv_circuit *c) {
    double hot = fmax(c->ambient.high, c->ambient.nominal);
    for (size_t k = 0; k < c->n_cases; k++)
        if (c->cases[k].has_ambient)
            hot = fmax(hot, fmax(c->cases[k].ambient.high, c->cases[k].ambient.nominal));
    return hot;
}

static jv_status find(const jv_circuit *c, jv_arena *arena, bool all, jv_guards *out) {
    memset(out, 0, sizeof *out);
    out->hot_c = hottest_air(c);
    jv_status status = add_wires(c, arena, all, out);
    if (status == JV_OK)
        status = look_at_cases(c, out, false, false);
    if (status == JV_OK)
        status = look_at_cases(c, out, false, true);
    if (status == JV_OK)
        status = look_at_cases(c, out, true, false);
    for (size_t i = 0; i < out->n && status == JV_OK; i++)
        if (out->cables[i].known)
            status = probe(c, &out->cables[i]);
        else if (out->cables[i].loading < c->n_cases && !out->cables[i].on_return)
            status = probe_to_reference(c, &out->cables[i]);
    return status;
}

jv_status jv_guards_find(const jv_circuit *c, jv_arena *arena, jv_guards *out) {
    return find(c, arena, false, out);
}

/* What a short at the end at the source draws with everything at its best. */
static jv_status probe_near(const jv_circuit *c, jv_cable_watched *w) {
    short_bench s = {0};
    jv_point p;
    jv_status status = short_open(c, w, false, &s);
    if (status == JV_OK) {
        jv_bench_turn_strong(s.b, 1);
        status = short_find(&s, &p);
    }
    if (status == JV_OK && jv_point_is_answer(&p))
        w->near_a = fabs(p.i[s.bridge]);
    short_close(&s);
    return status;
}

jv_status jv_guards_find_all(const jv_circuit *c, jv_arena *arena, jv_guards *out) {
    jv_status status = find(c, arena, true, out);
    for (size_t i = 0; i < out->n && status == JV_OK; i++) {
        jv_cable_watched *w = &out->cables[i];
        if (!w->known && !w->on_return && w->loading == c->n_cases && c->n_cases) {
            w->loading = 0;
            status = probe_to_reference(c, w);
        }
        if (status == JV_OK && w->known)
            status = probe_near(c, w);
    }
    return status;
}

/* ---- followed in time ---- */

typedef struct follow {
    short_bench *s;
    const jv_cable_watched *cable;
    const uint32_t *elements; /* of each wire */
    const double *cold_ohm;   /* at cold_c of each wire */
    const double *cold_c;
    uint32_t device; /* element; UINT32_MAX = the wire itself */
    bool failed;     /* memory was short */
} follow;

static bool currents(void *ctx, jv_short_wire *wires, size_t n, double *device_a) {
    follow *f = ctx;
    jv_element *elements = f->s->b->net->elements;
    for (size_t i = 0; i < n; i++) {
        const jv_heat_body *body = &wires[i].cable.body;
        elements[f->elements[i]].r = f->cold_ohm[i] *
                                     jv_resistance_at(1, body->alpha, wires[i].temp_c) /
                                     jv_resistance_at(1, body->alpha, f->cold_c[i]);
    }
    jv_point p;
    jv_status status = jv_point_refine(f->s->b->system, &p);
    f->failed = status == JV_ERR_MEMORY;
    if (status != JV_OK || p.outcome == JV_POINT_NOT_FOUND)
        return false;
    for (size_t i = 0; i < n; i++)
        wires[i].current_a = p.i[f->elements[i]];
    *device_a = p.i[f->device == UINT32_MAX ? f->s->wire : f->device];
    return true;
}

/* The wires that the short heats: those given by size that carry a good share of it. */
static size_t gather_wires(const jv_circuit *c, const jv_guards *g, const short_bench *s,
                           const jv_cable_watched *cable, const jv_point *p, jv_short_wire *wires,
                           uint32_t *elements, double *cold_ohm, double *cold_c) {
    size_t n = 0;
    for (size_t i = 0; i < g->n; i++) {
        const jv_cable_watched *w = &g->cables[i];
        uint32_t k = w->part == cable->part ? s->wire : s->b->net->first[w->part];
        const jv_element *e = &s->b->net->elements[k];
        if (fabs(p->i[k]) < (1 - same_share) * fabs(p->i[s->wire]) || e->open ||
            jv_guarded_of_part(c, &c->parts[w->part], g->hot_c, &wires[n].cable) != JV_OK)
            continue;
        if (w->loading < c->n_cases && isfinite(w->running_c))
            wires[n].cable.start_c =
                fmin(fmax(w->running_c, wires[n].cable.start_c), wires[n].cable.limits.solid_c);
        elements[n] = k;
        cold_ohm[n] = e->r;
        cold_c[n] = isnan(e->temperature_c) ? e->air_c : e->temperature_c;
        n++;
    }
    return n;
}

jv_status jv_guards_follow(const jv_circuit *c, const jv_guards *g, const jv_cable_watched *cable,
                           jv_short_outcome *out, uint32_t *hot, uint8_t *heated) {
    short_bench s = {0};
    jv_point p;
    jv_short_wire *wires = jv_zalloc(g->n + 1, sizeof *wires);
    uint32_t *elements = jv_zalloc(g->n + 1, sizeof *elements);
    double *ohm = jv_zalloc(2 * (g->n + 1), sizeof *ohm);
    jv_status status = wires && elements && ohm ? JV_OK : JV_ERR_MEMORY;
    if (status == JV_OK)
        status = short_open(c, cable, true, &s);
    if (status == JV_OK) {
        jv_bench_turn_strong(s.b, -1);
        status = short_find(&s, &p);
    }
    if (status == JV_OK) {
        double *cold_c = ohm + g->n + 1;
        size_t n = gather_wires(c, g, &s, cable, &p, wires, elements, ohm, cold_c);
        for (size_t i = 0; heated && i < n; i++)
            heated[s.b->net->elements[elements[i]].part] = 1;
        follow f = {&s, cable, elements, ohm, cold_c, UINT32_MAX, false};
        jv_time_curve curve;
        double rating = 1;
        bool device = cable->guard != UINT32_MAX &&
                      jv_fuse_part_curve(c, &c->parts[cable->guard], &curve) == JV_OK;
        if (device) {
            f.device = s.b->net->first[cable->guard];
            rating = rating_of(c, cable->guard);
        }
        status = jv_short_follow(wires, n, device ? &curve : NULL, rating, currents, &f, out);
        if (f.failed)
            status = JV_ERR_MEMORY;
        *hot = status == JV_OK && n ? s.b->net->elements[elements[out->hottest]].part : cable->part;
    }
    short_close(&s);
    jv_free(wires);
    jv_free(elements);
    jv_free(ohm);
    return status;
}

jv_status jv_guards_strongest(const jv_circuit *c, const jv_guards *g,
                              const jv_cable_watched *cable, double *strong_a, double *back_a,
                              uint8_t *heated) {
    short_bench s = {0};
    jv_point p;
    double *found[] = {strong_a, back_a};
    for (size_t end = 0; end < 2; end++) {
        bool far = end == 0;
        *found[end] = NAN;
        jv_status status = short_open(c, cable, far, &s);
        if (status == JV_OK) {
            jv_bench_turn_strong(s.b, far ? 1 : 0);
            status = short_find(&s, &p);
        }
        if (status == JV_OK && jv_point_is_answer(&p))
            *found[end] = fabs(p.i[s.wire]);
        for (size_t i = 0; far && heated && status == JV_OK && i < g->n; i++) {
            uint32_t part = g->cables[i].part;
            uint32_t k = part == cable->part ? s.wire : s.b->net->first[part];
            if (fabs(p.i[k]) >= (1 - same_share) * *strong_a)
                heated[part] = 1;
        }
        short_close(&s);
        if (status != JV_OK)
            return status;
    }
    return JV_OK;
}
