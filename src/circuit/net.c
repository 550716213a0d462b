/* net.c - from parts to elements. SPDX-License-Identifier: MIT */
#include "circuit/net.h"

#include "circuit/kinds.h"
#include "jackvolt/heat.h"

#include <math.h>
#include <string.h>

/* Roles of the elements that a fault adds, above any number a kind uses. */
enum { ROLE_FAR_HALF = 250, ROLE_SHORT, ROLE_LEAK, ROLE_INSIDE };

/* A leak is a steady current down to this voltage, V; below it fades to zero
 * (judgement, no source: only its current matters). */
static const double leak_knee_v = 0.5;

struct jv_wiring {
    jv_element *elements;
    size_t n, capacity;
    size_t n_nodes;
    size_t n_warm;
    const jv_circuit *circuit;
    bool failed;
};

void jv_wiring_warms(jv_wiring *w, int32_t element) {
    if (element < 0)
        return;
    w->elements[element].warms = 1;
    w->n_warm++;
}

int32_t jv_wiring_node(jv_wiring *w) {
    return (int32_t)w->n_nodes++;
}

int32_t jv_wiring_add(jv_wiring *w, const jv_part *p, jv_law law, uint8_t role, int32_t a,
                      int32_t b, int32_t c) {
    if (w->n == w->capacity) {
        /* A part makes 1.8 elements or so. */
        size_t wanted = w->capacity ? w->capacity + w->capacity / 2 : 2 * w->circuit->n_parts + 16;
        jv_element *moved = jv_resize(w->elements, wanted, sizeof *moved);
        if (!moved) {
            w->failed = true;
            return -1;
        }
        w->elements = moved;
        w->capacity = wanted;
    }
    jv_element *e = &w->elements[w->n];
    memset(e, 0, sizeof *e);
    e->law = (uint8_t)law;
    e->role = role;
    e->part = (uint32_t)(p - w->circuit->parts);
    e->a = a;
    e->b = b;
    e->c = c;
    e->limit = e->back = INFINITY;
    e->temperature_c = NAN;
    e->heat_s = INFINITY;
    return (int32_t)w->n++;
}

/* Elements that faults of this part add; `first` is the part's first element. */
static void connect_faults(jv_wiring *w, const jv_part *p, size_t first, const jv_scene *s) {
    size_t at = 0;
    const jv_fault *f;
    while (w->n > first && !w->failed && (f = jv_scene_fault(s, p, &at)) != NULL) {
        int32_t a = w->elements[first].a, b = w->elements[first].b;
        if (f->way == JV_WAY_SHORT) {
            int32_t middle = jv_wiring_node(w);
            w->elements[first].b = middle;
            jv_wiring_add(w, p, JV_SERIES, ROLE_FAR_HALF, middle, b, -1);
            jv_wiring_add(w, p, JV_SERIES, ROLE_SHORT, middle, f->to, -1);
        } else if (f->way == JV_WAY_LEAK) {
            jv_wiring_add(w, p, JV_SINK, ROLE_LEAK, a, f->to >= 0 ? f->to : b, -1);
        } else if (f->way == JV_WAY_INSIDE) {
            jv_wiring_add(w, p, JV_SERIES, ROLE_INSIDE, a, b, -1);
        }
    }
}

bool jv_net_unplugged(const jv_scene *s, const jv_part *p) {
    bool consumer = p->kind == &jv_kind_load || p->kind == &jv_kind_hall;
    return consumer && jv_scene_is_off(s, p);
}

static void load_faults(const jv_scene *s, const jv_part *p, jv_element *e, size_t own, size_t n) {
    size_t at = 0, next = own;
    const jv_fault *f;
    bool unplugged = jv_net_unplugged(s, p);
    while (next < n && (f = jv_scene_fault(s, p, &at)) != NULL) {
        jv_element *x = &e[next];
        if (f->way == JV_WAY_SHORT) {
            jv_element *near_half = &e[0], *far_half = x, *bridge = x + 1;
            int32_t a = far_half->a, b = far_half->b;
            double warm = far_half->temperature_c;
            *far_half = *near_half;
            far_half->role = ROLE_FAR_HALF;
            far_half->a = a;
            far_half->b = b;
            far_half->temperature_c = warm;
            near_half->r *= f->position;
            far_half->r *= 1.0 - f->position;
            bridge->r = f->value;
            next += 2;
        } else if (f->way == JV_WAY_LEAK) {
            x->limit = x->back = f->value;
            x->r = leak_knee_v / f->value;
            x->open = unplugged;
            next++;
        } else if (f->way == JV_WAY_INSIDE) {
            x->r = f->value;
            x->open = unplugged;
            next++;
        }
    }
}

/* What every two-terminal conductor shares: the case's openings, ADDED and OPEN. */
static void load_part(const jv_scene *s, const jv_part *p, jv_element *e, size_t own, size_t n) {
    for (size_t i = 0; i < own; i++) {
        e[i].open = 0;
        e[i].heat_a = NAN;
    }
    p->kind->load(s, p, e, own);
    if (p->kind->is_series && !p->kind->own_faults)
        jv_series_faults(s, p, e, NULL);
    if (n > own)
        load_faults(s, p, e, own, n);
}

void jv_net_load_part(jv_net *net, size_t part) {
    size_t first = net->first[part];
    load_part(&net->scene, &net->circuit->parts[part], net->elements + first, net->own[part],
              net->first[part + 1] - first);
}

void jv_net_load(jv_net *net, const double *x) {
    net->scene.x = x ? x : net->nominal;
    for (size_t i = 0; i < net->circuit->n_parts; i++)
        jv_net_load_part(net, i);
}

/* A switch or contact of a load that is drawn open is `closed: false` in the file; a
 * case's `on` and `off` lists override it. */
static void case_switches(jv_net *net, const jv_case *k) {
    if (!k)
        return;
    for (size_t i = 0; i < k->n_off; i++)
        net->off[k->off[i]] = 1;
    for (size_t i = 0; i < k->n_on; i++)
        net->off[k->on[i]] = 2;
}

/* Gives each element that warms its heat body and loads the nominal values: in one pass, since a
 * large net does not fit the cache. */
static void load_first(jv_net *net) {
    size_t next = 0;
    net->scene.x = net->nominal;
    for (size_t p = 0; p < net->circuit->n_parts; p++) {
        for (size_t k = net->first[p]; k < net->first[p + 1]; k++)
            if (net->elements[k].warms)
                net->elements[k].heat = &net->heats[next++];
        jv_net_load_part(net, p);
    }
}

static jv_status connect_all(jv_net *net) {
    const jv_circuit *c = net->circuit;
    jv_wiring w = {0};
    w.circuit = c;
    w.n_nodes = c->n_terminals;
    for (size_t i = 0; i < c->n_parts && !w.failed; i++) {
        size_t first = w.n;
        net->first[i] = (uint32_t)first;
        c->parts[i].kind->connect(&w, c, &c->parts[i]);
        net->own[i] = (uint16_t)(w.n - first);
        connect_faults(&w, &c->parts[i], first, &net->scene);
    }
    net->first[c->n_parts] = (uint32_t)w.n;
    net->elements = w.elements;
    net->n_elements = w.n;
    net->n_nodes = w.n_nodes;
    if (w.failed)
        return JV_ERR_MEMORY;
    /* The half of a cable behind a short warms with the half before it. */
    net->most_warm = w.n_warm + net->scene.n_faults;
    net->heats = jv_zalloc(w.n_warm + 1, sizeof *net->heats);
    return net->heats ? JV_OK : JV_ERR_MEMORY;
}

/* Puts item k in front of a chain of its part. Called from the last item to the first, so that
 * the chain runs in their order. */
static void put_first(int32_t *first, int32_t *next, size_t part, size_t k) {
    next[k] = first[part];
    first[part] = (int32_t)k;
}

/* Runs and faults by part: searching them for each part would cost as much as parts times
 * runs. */
static jv_status link_up(jv_net *net) {
    jv_scene *s = &net->scene;
    size_t parts = net->circuit->n_parts, runs = s->loading ? s->loading->n_runs : 0;
    size_t all = 3 * parts + runs + s->n_faults;
    net->links = jv_alloc(all + 1, sizeof *net->links);
    if (!net->links)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < all; k++)
        net->links[k] = -1;
    int32_t *run_of = net->links, *driven = run_of + parts, *fault = driven + parts;
    int32_t *next_driven = fault + parts, *next_fault = next_driven + runs;
    for (size_t k = runs; k-- > 0;) {
        uint32_t motor = s->loading->runs[k].part;
        int32_t driver = net->circuit->parts[motor].driver;
        run_of[motor] = (int32_t)k;
        if (driver >= 0)
            put_first(driven, next_driven, (size_t)driver, k);
    }
    for (size_t k = s->n_faults; k-- > 0;)
        put_first(fault, next_fault, s->faults[k].part, k);
    s->run_of = run_of;
    s->first_driven = driven;
    s->first_fault = fault;
    s->next_driven = next_driven;
    s->next_fault = next_fault;
    return JV_OK;
}

jv_status jv_net_command(jv_net *net) {
    int32_t *before = net->links;
    jv_status status = link_up(net);
    if (status != JV_OK) { /* the look-ups of before still stand */
        net->links = before;
        return status;
    }
    jv_free(before);
    return JV_OK;
}

static void set_scene(jv_net *net, const jv_case *loading, const jv_fault *faults,
                      size_t n_faults) {
    jv_scene *s = &net->scene;
    s->circuit = net->circuit;
    s->loading = loading;
    s->faults = faults;
    s->n_faults = n_faults;
    s->plugged_off = net->off;
    bool own_air = loading && loading->has_ambient;
    s->ambient_c = own_air ? loading->ambient.nominal : net->circuit->ambient.nominal;
}

jv_status jv_net_build(const jv_circuit *c, const jv_case *loading, const jv_fault *faults,
                       size_t n_faults, jv_net **out) {
    jv_net *net = jv_zalloc(1, sizeof *net);
    if (!net)
        return JV_ERR_MEMORY;
    net->circuit = c;
    net->first = jv_zalloc(c->n_parts + 1, sizeof *net->first);
    net->own = jv_zalloc(c->n_parts + 1, sizeof *net->own);
    net->off = jv_zalloc(c->n_parts + 1, sizeof *net->off);
    net->nominal = jv_zalloc(c->n_slots + 1, sizeof *net->nominal);
    jv_status status = JV_ERR_MEMORY;
    if (net->first && net->own && net->off && net->nominal) {
        set_scene(net, loading, faults, n_faults);
        status = link_up(net);
    }
    if (status == JV_OK)
        status = connect_all(net);
    if (status != JV_OK) {
        jv_net_free(&net);
        return status;
    }
    for (size_t i = 0; i < c->n_slots; i++)
        net->nominal[i] = c->slots[i].value.nominal;
    case_switches(net, loading);
    load_first(net);
    *out = net;
    return JV_OK;
}

void jv_net_free(jv_net **net) {
    if (!net || !*net)
        return;
    jv_free((*net)->elements);
    jv_free((*net)->first);
    jv_free((*net)->own);
    jv_free((*net)->off);
    jv_free((*net)->heats);
    jv_free((*net)->nominal);
    jv_free((*net)->links);
    jv_free(*net);
    *net = NULL;
}
