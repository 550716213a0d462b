/* suspects.c - faults and pairs that the parts can have. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"
#include "jackvolt/text.h"

#include <math.h>
#include <string.h>

/* Singles of which pairs are made: the likeliest of the trunk, whose faults people live with
 * until a second one comes (engine trial: pairs are the largest single gain). */
enum { PAIRED = 9 };
/* A part of the trunk carries at least this share of the battery's current (judgement). */
static const double trunk_share = 0.6;

/* Nets of thin leads: what a chafed lead may touch. */
typedef enum jv_lead_net { NET_OTHER, NET_SUPPLY, NET_GROUND, NET_SIGNAL } jv_lead_net;

typedef struct jv_maker {
    jv_finder *f;
    int32_t *net; /* root of each terminal, joined by leads and pins */
    double *weight;
    size_t cap;
    jv_status status;
} jv_maker;

static int32_t root(int32_t *parent, int32_t i) {
    while (parent[i] != i)
        i = parent[i] = parent[parent[i]];
    return i;
}

static void join_leads(jv_maker *m) {
    const jv_circuit *c = m->f->c;
    for (size_t t = 0; t < c->n_terminals; t++)
        m->net[t] = (int32_t)t;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        size_t n = 0;
        if (p->kind == &jv_kind_lead) {
            int32_t a = jv_part_terminal(c, p, 0), b = jv_part_terminal(c, p, 1);
            if (a >= 0 && b >= 0)
                m->net[root(m->net, a)] = root(m->net, b);
        } else if (p->kind == &jv_kind_connector) {
            const jv_slot *pins = jv_part_entries(c, p, 0, &n);
            for (size_t k = 0; k < n; k++)
                if (pins[k].index >= 0 && pins[k].second >= 0)
                    m->net[root(m->net, pins[k].index)] = root(m->net, pins[k].second);
        }
    }
}

/* The sensor supply (keys in, minus, out) whose rail or ground this net is. */
static const jv_part *supply_of(jv_maker *m, int32_t net, jv_lead_net *kind) {
    const jv_circuit *c = m->f->c;
    *kind = NET_OTHER;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        if (p->kind != &jv_kind_sensor_supply)
            continue;
        int32_t minus = jv_part_terminal(c, p, 1), out = jv_part_terminal(c, p, 2);
        if (out >= 0 && root(m->net, out) == net)
            *kind = NET_SUPPLY;
        else if (minus >= 0 && root(m->net, minus) == net)
            *kind = NET_GROUND;
        if (*kind != NET_OTHER)
            return p;
    }
    return NULL;
}

static const jv_part *any_supply(const jv_circuit *c) {
    for (size_t i = 0; i < c->n_parts; i++)
        if (c->parts[i].kind == &jv_kind_sensor_supply)
            return &c->parts[i];
    return NULL;
}

/* The sensor with an end of this lead; -1 when the lead is a trunk. */
static int32_t signal_beside(const jv_circuit *c, const jv_part *lead, bool *is_signal) {
    enum { SUPPLY = 0, SIGNAL = 2 };
    int32_t a = jv_part_terminal(c, lead, 0), b = jv_part_terminal(c, lead, 1);
    *is_signal = false;
    for (size_t i = 0; i < c->n_parts; i++) {
        const jv_part *p = &c->parts[i];
        if (p->kind != &jv_kind_hall)
            continue;
        int32_t supply = jv_part_terminal(c, p, SUPPLY), signal = jv_part_terminal(c, p, SIGNAL);
        if (signal >= 0 && (signal == a || signal == b))
            *is_signal = true;
        if (supply >= 0 && (supply == a || supply == b))
            return signal;
    }
    return -1;
}

static bool is_signal_net(jv_maker *m, int32_t net) {
    enum { SIGNAL = 2 };
    const jv_circuit *c = m->f->c;
    for (size_t i = 0; i < c->n_parts; i++) {
        if (c->parts[i].kind != &jv_kind_hall)
            continue;
        int32_t signal = jv_part_terminal(c, &c->parts[i], SIGNAL);
        if (signal >= 0 && root(m->net, signal) == net)
            return true;
    }
    return false;
}

/* Terminals that a lead may be shorted to. */
static size_t short_targets(jv_maker *m, const jv_part *p, int32_t to[4]) {
    const jv_circuit *c = m->f->c;
    int32_t net = root(m->net, jv_part_terminal(c, p, 0));
    jv_lead_net kind;
    bool beside_signal;
    size_t n = 0;
    const jv_part *supply = supply_of(m, net, &kind);
    int32_t signal = signal_beside(c, p, &beside_signal);
    if (kind == NET_OTHER && is_signal_net(m, net)) {
        kind = NET_SIGNAL;
        supply = any_supply(c);
    }
    if (!supply || kind == NET_GROUND || kind == NET_OTHER)
        return 0;
    to[n++] = jv_part_terminal(c, supply, 1);
    to[n++] = jv_part_terminal(c, supply, 0);
    if (kind == NET_SIGNAL)
        to[n++] = jv_part_terminal(c, supply, 2);
    else if (signal >= 0)
        to[n++] = signal;
    return n;
}

static jv_find_suspect *add(jv_maker *m, double weight) {
    jv_finder *f = m->f;
    if (f->n_suspects == f->cap_suspects) {
        size_t wanted = f->cap_suspects ? 2 * f->cap_suspects : 64;
        jv_find_suspect *moved = jv_resize(f->suspects, wanted, sizeof *moved);
        if (moved)
            f->suspects = moved;
        double *w = jv_resize(m->weight, wanted, sizeof *w);
        if (w)
            m->weight = w;
        if (!moved || !w) {
            m->status = JV_ERR_MEMORY;
            return NULL;
        }
        f->cap_suspects = wanted;
    }
    jv_find_suspect *s = &f->suspects[f->n_suspects];
    memset(s, 0, sizeof *s);
    if (m->weight) /* always: it grew with the suspects */
        m->weight[f->n_suspects++] = weight;
    for (size_t k = 0; k < JV_OWN; k++)
        s->own[k] = JV_FIND_NONE;
    s->view.part[0] = s->view.part[1] = JV_FIND_NONE;
    return s;
}

/* Ways that have a commoner like of the same part take wider cells: a factor of 2.2 or so each. */
static size_t cells_of(const jv_failure *how) {
    static const double log_width = 0.8;
    if (!(how->low > 0.0))
        return 1;
    if (how->way != JV_WAY_HOT && how->way != JV_WAY_LOOSE && how->way != JV_WAY_THIN)
        return JV_CELLS;
    return (size_t)fmax(2.0, round(log(how->high / how->low) / log_width));
}

static void add_single(jv_maker *m, size_t part, size_t failure, const char *pin, int32_t to,
                       double weight) {
    const jv_failure *how = &m->f->c->parts[part].kind->failures[failure];
    jv_find_suspect *s = add(m, weight);
    if (!s)
        return;
    jv_fault *x = &s->fault[0];
    x->part = (uint32_t)part;
    x->way = (uint8_t)how->way;
    x->failure = (uint8_t)failure;
    x->to = to;
    x->pin = pin;
    x->value = how->low > 0.0 ? sqrt(how->low * how->high) : 0.0;
    x->position = how->way == JV_WAY_SHORT ? 0.5 : 0.0;
    s->cells = cells_of(how);
    s->view.n = 1;
    s->view.part[0] = part;
    s->view.way[0] = how->words;
    s->view.low = how->low;
    s->view.high = how->high;
    s->view.repair = how->repair;
    s->view.minutes = how->minutes;
    s->view.basis = how->basis;
    s->view.along = how->way == JV_WAY_SHORT;
    s->view.words = jv_find_suspect_words(m->f, x, 1);
    if (!s->view.words)
        m->status = JV_ERR_MEMORY;
}

/* Names that stand for <N>: pins, outputs, points. */
static size_t count_pins(const jv_circuit *c, const jv_part *p, const char **name, size_t most) {
    size_t n = 0;
    for (uint32_t i = 0; i < p->n_slots; i++) {
        const jv_slot *s = &c->slots[p->first_slot + i];
        jv_key_type type = p->kind->keys[s->key].type;
        bool named = type == JV_KEY_PINS || type == JV_KEY_POINTS ||
                     (type == JV_KEY_OUTPUTS && strcmp(p->kind->keys[s->key].name, "outputs") == 0);
        if (named && s->text && n < most)
            name[n++] = s->text;
    }
    return n;
}

/* Metals worse than the one in the file, of a cable that is given by its size. */
static void other_metals(jv_maker *m, size_t part, size_t failure) {
    const jv_circuit *c = m->f->c;
    const jv_part *p = &c->parts[part];
    const jv_failure *how = &p->kind->failures[failure];
    jv_conductor wire;
    jv_metal_figures was, is;
    jv_metal written = (jv_metal)jv_part_word(c, p, JV_CABLE_METAL, JV_METAL_COPPER);
    if (jv_cable_conductor(c, p, &wire) != JV_OK || jv_table_metal(written, &was) != JV_OK)
        return;
    for (int k = JV_METAL_COPPER_CLAD_ALUMINIUM; k <= JV_METAL_ALUMINIUM; k++) {
        if (jv_table_metal((jv_metal)k, &is) != JV_OK ||
            is.resistivity.value <= was.resistivity.value)
            continue;
        size_t at = m->f->n_suspects;
        add_single(m, part, failure, NULL, -1, how->weight / 2.0);
        if (m->status != JV_OK)
            return;
        jv_find_suspect *s = &m->f->suspects[at];
        s->fault[0].value = k;
        s->view.words = jv_find_suspect_words(m->f, &s->fault[0], 1);
        if (!s->view.words)
            m->status = JV_ERR_MEMORY;
    }
}

static void singles_of(jv_maker *m, size_t part) {
    enum { MOST_PINS = 32 };
    const jv_circuit *c = m->f->c;
    const jv_part *p = &c->parts[part];
    for (size_t k = 0; k < p->kind->n_failures && m->status == JV_OK; k++) {
        const jv_failure *how = &p->kind->failures[k];
        if (how->way == JV_WAY_METAL) {
            other_metals(m, part, k);
        } else if (how->way == JV_WAY_SHORT) {
            /* A heavy cable to ground opens its fuse: the open fuse is the suspect then. */
            int32_t to[4];
            size_t n = p->kind == &jv_kind_lead ? short_targets(m, p, to) : 0;
            for (size_t t = 0; t < n; t++)
                if (to[t] >= 0)
                    add_single(m, part, k, NULL, to[t], how->weight / (double)n);
        } else if (strstr(how->words, "<N>")) {
            const char *name[MOST_PINS];
            size_t n = count_pins(c, p, name, MOST_PINS);
            for (size_t t = 0; t < n; t++)
                add_single(m, part, k, name[t], -1, how->weight / (double)n);
        } else {
            add_single(m, part, k, NULL, -1, how->weight);
        }
    }
}

/* Carries most of what the battery gives in the heaviest run. */
static bool in_trunk(const jv_finder *f, size_t part) {
    const jv_find_setup *heavy = NULL;
    for (size_t k = 0; k < f->n_setups; k++)
        if (f->setups[k].usable && (!heavy || f->setups[k].n_motors > heavy->n_motors))
            heavy = &f->setups[k];
    if (!heavy || !heavy->n_motors)
        return false;
    double most = 0.0, own = 0.0;
    for (size_t k = 0; k < heavy->net->n_elements; k++) {
        int32_t j = heavy->system->current[k];
        if (j < 0)
            continue;
        double i = fabs(heavy->x[j]);
        most = fmax(most, i);
        if (heavy->net->elements[k].part == part)
            own = fmax(own, i);
    }
    return own >= trunk_share * most && own > 0.0;
}

static bool may_pair(const jv_finder *f, const jv_find_suspect *s) {
    jv_way way = (jv_way)s->fault[0].way;
    return (way == JV_WAY_ADDED || way == JV_WAY_WEAK || way == JV_WAY_CHARGE) &&
           in_trunk(f, s->view.part[0]);
}

static void add_pair(jv_maker *m, size_t a, size_t b) {
    jv_finder *f = m->f;
    double weight = f->options.pair_factor * m->weight[a] * m->weight[b];
    jv_find_suspect *s = add(m, weight);
    if (!s)
        return;
    const jv_find_suspect *one = &f->suspects[a], *two = &f->suspects[b];
    s->fault[0] = one->fault[0];
    s->fault[1] = two->fault[0];
    s->single[0] = a;
    s->single[1] = b;
    s->cells = JV_PAIR_CELLS;
    s->view = one->view;
    s->view.n = 2;
    s->view.low = s->view.high = 0.0;
    s->view.part[1] = two->view.part[0];
    s->view.way[1] = two->view.way[0];
    s->view.minutes = one->view.minutes + two->view.minutes;
    s->view.words = jv_find_suspect_words(f, s->fault, 2);
    jv_text t = {0};
    jv_text_addf(&t, "%s: %s; %s: %s", f->c->parts[one->view.part[0]].name, one->view.repair,
                 f->c->parts[two->view.part[0]].name, two->view.repair);
    s->view.repair = t.failed ? NULL : jv_arena_copy(&f->arena, jv_text_str(&t), t.length);
    jv_text_clear(&t);
    if (!s->view.words || !s->view.repair)
        m->status = JV_ERR_MEMORY;
}

static void make_pairs(jv_maker *m) {
    jv_finder *f = m->f;
    size_t chosen[PAIRED] = {0}, n = 0, singles = f->n_suspects;
    while (n < PAIRED) {
        size_t best = singles;
        for (size_t k = 0; k < singles; k++) {
            bool had = !may_pair(f, &f->suspects[k]);
            for (size_t t = 0; t < n && !had; t++)
                had = chosen[t] == k;
            if (!had && (best == singles || m->weight[k] > m->weight[best]))
                best = k;
        }
        if (best == singles)
            break;
        chosen[n++] = best;
    }
    for (size_t a = 0; a < n; a++)
        for (size_t b = a + 1; b < n && m->status == JV_OK; b++)
            if (f->suspects[chosen[a]].view.part[0] != f->suspects[chosen[b]].view.part[0])
                add_pair(m, chosen[a], chosen[b]);
}

/* Priors: singles share 1, pairs follow by the product of the shares; all made to sum to what
 * "none of these" leaves. */
static void make_priors(jv_maker *m, size_t singles) {
    jv_finder *f = m->f;
    if (!m->weight) /* no suspect was made */
        return;
    double sum = 0.0, all = 0.0;
    for (size_t k = 0; k < singles; k++)
        sum += m->weight[k];
    for (size_t k = 0; k < f->n_suspects; k++)
        m->weight[k] /= k < singles ? sum : sum * sum;
    for (size_t k = 0; k < f->n_suspects; k++)
        all += m->weight[k];
    for (size_t k = 0; k < f->n_suspects; k++)
        f->suspects[k].view.prior = m->weight[k] / all * (1.0 - f->options.none_prior);
}

/* --- states --- */

/* Severity of cell k of n: the middle of equal shares of the log-uniform spread. */
static double cell_value(const jv_failure *how, size_t k, size_t n) {
    return how->low * pow(how->high / how->low, ((double)k + 0.5) / (double)n);
}

/* Ohms of a chafed lead's short: from a clean touch to a dirty one (judgement, no source). */
static const double short_low_ohm = 0.01, short_high_ohm = 2.0;

static void state_cells(const jv_finder *f, const jv_find_suspect *s, size_t *first,
                        size_t *second) {
    (void)f;
    *first = s->cells;
    *second = s->view.n == 2 ? s->cells : 1;
    if (s->view.along) {
        *first = JV_SHORT_CELLS;
        *second = JV_SHORT_OHMS;
    }
}

static void fill_state(const jv_finder *f, const jv_find_suspect *s, size_t a, size_t b,
                       jv_find_state *out) {
    size_t na, nb;
    state_cells(f, s, &na, &nb);
    out->n_faults = (uint8_t)s->view.n;
    out->cell[0] = (uint8_t)a;
    out->cell[1] = (uint8_t)b;
    for (size_t k = 0; k < s->view.n; k++) {
        const jv_failure *how = &f->c->parts[s->fault[k].part].kind->failures[s->fault[k].failure];
        out->fault[k] = s->fault[k];
        if (how->low > 0.0)
            out->fault[k].value = cell_value(how, k ? b : a, k ? nb : na);
    }
    if (s->view.along) {
        out->fault[0].position = ((double)a + 0.5) / (double)na;
        out->fault[0].value =
            short_low_ohm * pow(short_high_ohm / short_low_ohm, ((double)b + 0.5) / (double)nb);
    }
    out->log_prior = log(s->view.prior / (double)(na * nb));
}

static jv_status make_states(jv_finder *f) {
    size_t n = 1, na, nb;
    for (size_t k = 0; k + 1 < f->n_suspects; k++) {
        state_cells(f, &f->suspects[k], &na, &nb);
        n += na * nb;
    }
    f->states = jv_zalloc(n, sizeof *f->states);
    if (!f->states)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k + 1 < f->n_suspects; k++) {
        jv_find_suspect *s = &f->suspects[k];
        state_cells(f, s, &na, &nb);
        s->first = f->n_states;
        s->n = na * nb;
        for (size_t a = 0; a < na; a++)
            for (size_t b = 0; b < nb; b++) {
                jv_find_state *state = &f->states[f->n_states++];
                state->suspect = k;
                fill_state(f, s, a, b, state);
            }
    }
    f->sound = f->n_states++;
    f->states[f->sound].suspect = f->n_suspects - 1;
    f->suspects[f->n_suspects - 1].first = f->sound;
    f->suspects[f->n_suspects - 1].n = 1;
    return JV_OK;
}

/* What a fault of a part is mended with: 0 = as its other ways, else the row of its own. */
static unsigned mending(const jv_finder *f, const jv_fault *x) {
    bool apart = f->c->parts[x->part].kind->mended_apart >> x->failure & 1;
    return apart ? x->failure + 1U : 0;
}

/* Suspects of the same part or parts are one group; but a battery that wants charging is told
 * from one that wants replacing. */
static void make_groups(jv_finder *f) {
    for (size_t k = 0; k < f->n_suspects; k++) {
        jv_find_suspect *a = &f->suspects[k];
        a->group = f->n_groups;
        for (size_t t = 0; t < k && a->group == f->n_groups; t++) {
            const jv_find_suspect *b = &f->suspects[t];
            /* A pair is the same pair whichever stands first. */
            bool turned = a->view.n == 2 && a->view.part[0] == b->view.part[1];
            bool same = a->view.n == b->view.n && a->view.part[0] == b->view.part[turned] &&
                        a->view.part[1] == b->view.part[!turned];
            for (size_t i = 0; same && i < a->view.n; i++)
                same = mending(f, &a->fault[i]) == mending(f, &b->fault[turned ? 1 - i : i]);
            if (same)
                a->group = b->group;
        }
        f->n_groups += a->group == f->n_groups;
    }
}

jv_status jv_suspects_make(jv_finder *f) {
    jv_maker m = {f, NULL, NULL, 0, JV_OK};
    m.net = jv_alloc(f->c->n_terminals + 1, sizeof *m.net);
    if (!m.net)
        return JV_ERR_MEMORY;
    join_leads(&m);
    for (size_t i = 0; i < f->c->n_parts && m.status == JV_OK; i++)
        singles_of(&m, i);
    size_t singles = f->n_suspects;
    if (m.status == JV_OK)
        make_pairs(&m);
    jv_find_suspect *none = m.status == JV_OK ? NULL : f->suspects;
    if (m.status == JV_OK && singles > 0)
        make_priors(&m, singles);
    if (m.status == JV_OK)
        none = add(&m, 0.0);
    if (m.status == JV_OK && none) {
        none->view.words = "none of these";
        none->view.repair = "";
        none->view.basis = "judgement";
        none->view.prior = f->options.none_prior;
        make_groups(f);
        m.status = make_states(f);
    }
    jv_free(m.net);
    jv_free(m.weight);
    return m.status;
}
