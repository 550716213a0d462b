/* moves.c - how drawn values reach the elements, worked out once. SPDX-License-Identifier: MIT */
#include "study/moves.h"

#include "circuit/parts/cable.h"

#include <math.h>
#include <string.h>

/* A form holds when it meets the loaded part to this share of the number. */
static const double affine_fit = 1e-12, table_fit = 1e-7;
enum {
    TRIES = 2 * JV_SIDE, /* random points at which a form is checked */
    PIECES = 256,        /* of a table */
    UNFIT_MOST = 32      /* of them may be left to loading */
};

/* A part under the glass. */
typedef struct jv_glass {
    jv_trial *t;
    jv_moves *out;
    uint32_t part;
    uint32_t first, n; /* its elements */
    uint32_t *with;    /* quantities that reach it */
    size_t n_with;
    double (*tries)[JV_SIDE]; /* values of each of them at the random points: [k * 2 + half] */
    double (*numbers)[TRIES]; /* of each element and field there: [element * JV_FIELDS + field] */
    double *nominal;          /* the same at the nominal point */
    double *ends;             /* and with one quantity at its lower, upper end: [(k * 2 + end) *
                                 numbers + number] */
    bool failed;
} jv_glass;

static size_t numbers_of(const jv_glass *g) {
    return (size_t)g->n * JV_FIELDS;
}

static double nominal_of(const jv_glass *g, size_t k) {
    return g->t->spreads->list[g->with[k]].shown.value.nominal;
}

static void put(jv_glass *g, size_t k, double value) {
    jv_trial_put(g->t, g->with[k], value);
}

static void load(jv_glass *g) {
    g->t->net->scene.x = g->t->x;
    jv_net_load_part(g->t->net, g->part);
}

static double number_of(const jv_glass *g, size_t number) {
    jv_element *e = &g->t->net->elements[g->first + number / JV_FIELDS];
    return *jv_field_of(e, (jv_field)(number % JV_FIELDS));
}

/* Does it heat as the same conductor in other air, or for another time? */
static bool heats_alike(const jv_glass *g, const jv_element *e) {
    const jv_circuit *c = g->t->spreads->circuit;
    jv_heat_body body;
    memset(&body, 0, sizeof body); /* padding too: it is compared */
    if (jv_cable_body(c, &c->parts[g->part], e->air_c, &body) != JV_OK)
        return false;
    body.repeats = e->heat->repeats;
    body.pause_s = e->heat->pause_s;
    return memcmp(&body, e->heat, sizeof body) == 0;
}

/* False when something moved that no form covers. */
static bool same_shape(const jv_glass *g, const jv_element *before) {
    for (uint32_t k = 0; k < g->n; k++) {
        const jv_element *e = &g->t->net->elements[g->first + k], *b = &before[k];
        if (e->open != b->open || e->r_slope != b->r_slope || e->r_at_c != b->r_at_c)
            return false;
        if (e->heat && !heats_alike(g, e))
            return false;
    }
    return true;
}

/* Loads the part at the ends and at the random points. False: its shape moves. */
static bool look(jv_glass *g, const jv_element *before) {
    size_t numbers = numbers_of(g);
    bool same = true;
    for (size_t k = 0; k < g->n_with; k++) {
        const jv_value *v = &g->t->spreads->list[g->with[k]].shown.value;
        for (int end = 0; end < 2; end++) {
            put(g, k, end ? v->high : v->low);
            load(g);
            same = same && same_shape(g, before);
            for (size_t m = 0; m < numbers; m++)
                g->ends[(2 * k + (size_t)end) * numbers + m] = number_of(g, m);
        }
        put(g, k, v->nominal);
    }
    for (size_t i = 0; i < TRIES; i++) {
        for (size_t k = 0; k < g->n_with; k++)
            put(g, k, g->tries[2 * k + i / JV_SIDE][i % JV_SIDE]);
        load(g);
        same = same && same_shape(g, before);
        for (size_t m = 0; m < numbers; m++)
            g->numbers[m][i] = number_of(g, m);
    }
    for (size_t k = 0; k < g->n_with; k++)
        put(g, k, nominal_of(g, k));
    load(g);
    for (size_t m = 0; m < numbers; m++)
        g->nominal[m] = number_of(g, m);
    return same;
}

static bool differs(double a, double b) {
    return a != b && !(isnan(a) && isnan(b));
}

static bool moves(const jv_glass *g, size_t number) {
    size_t numbers = numbers_of(g);
    for (size_t i = 0; i < TRIES; i++)
        if (differs(g->numbers[number][i], g->nominal[number]))
            return true;
    for (size_t k = 0; k < 2 * g->n_with; k++)
        if (differs(g->ends[k * numbers + number], g->nominal[number]))
            return true;
    return false;
}

static double slope_by(const jv_glass *g, size_t number, size_t k) {
    const jv_value *v = &g->t->spreads->list[g->with[k]].shown.value;
    size_t numbers = numbers_of(g);
    return (g->ends[(2 * k + 1) * numbers + number] - g->ends[2 * k * numbers + number]) /
           (v->high - v->low);
}

/* Sets the move and says whether the number is a sum of multiples of the values. */
static bool try_affine(jv_glass *g, size_t number, jv_move *m) {
    m->with = jv_arena_alloc(&g->out->arena, g->n_with, sizeof *m->with);
    m->per = jv_arena_alloc(&g->out->arena, g->n_with, sizeof *m->per);
    if (!m->with || !m->per) {
        g->failed = true;
        return false;
    }
    m->constant = g->nominal[number];
    m->n_terms = 0;
    for (size_t k = 0; k < g->n_with; k++) {
        double per = slope_by(g, number, k);
        if (per == 0.0)
            continue;
        m->with[m->n_terms] = g->with[k];
        m->per[m->n_terms++] = per;
        m->constant -= per * nominal_of(g, k);
    }
    for (size_t i = 0; i < TRIES; i++) {
        double sum = g->nominal[number], size = fabs(sum);
        for (size_t k = 0; k < g->n_with; k++)
            sum += slope_by(g, number, k) *
                   (g->tries[2 * k + i / JV_SIDE][i % JV_SIDE] - nominal_of(g, k));
        if (!(fabs(sum - g->numbers[number][i]) <= affine_fit * fmax(size, fabs(sum))))
            return false;
    }
    return true;
}

/* --- tables --- */

void jv_reach_of(const jv_value *v, double *least, double *most) {
    static const double far = 40.0; /* beyond every cut */
    *least = jv_value_at(v, -far);
    *most = jv_value_at(v, far);
}

static void read_now(jv_glass *g, const jv_move_part *p, double *out) {
    load(g);
    for (size_t m = 0; m < p->n_moves; m++) {
        jv_element *e = &g->t->net->elements[p->moves[m].element];
        out[m] = *jv_field_of(e, p->moves[m].field);
    }
}

/* The numbers at a value of the table's quantity, then their slopes by each of the others.
 * out: 1 + n_others rows of n_moves. */
static void read_at(jv_glass *g, const jv_move_part *p, double value, double *out) {
    size_t n = p->n_moves;
    jv_trial_put(g->t, p->quantity, value);
    for (size_t k = 0; k < p->n_others; k++) {
        const jv_value *v = &g->t->spreads->list[p->others[k]].shown.value;
        double *slope = out + (k + 1) * n;
        jv_trial_put(g->t, p->others[k], v->low);
        read_now(g, p, out);
        jv_trial_put(g->t, p->others[k], v->high);
        read_now(g, p, slope);
        for (size_t m = 0; m < n; m++)
            slope[m] = (slope[m] - out[m]) / (v->high - v->low);
        jv_trial_put(g->t, p->others[k], p->middles[k]);
    }
    read_now(g, p, out);
}

static double cubic(const double c[4], double t) {
    return c[0] + t * (c[1] + t * (c[2] + t * c[3]));
}

/* The cubic through the numbers at 0, 1/3, 2/3 and 1. */
static void fit(const double f[4], double c[4]) {
    c[0] = f[0];
    c[1] = (-11.0 * f[0] + 18.0 * f[1] - 9.0 * f[2] + 2.0 * f[3]) / 2.0;
    c[2] = (18.0 * f[0] - 45.0 * f[1] + 36.0 * f[2] - 9.0 * f[3]) / 2.0;
    c[3] = (-9.0 * f[0] + 27.0 * f[1] - 27.0 * f[2] + 9.0 * f[3]) / 2.0;
}

/* What the pieces give for move m with the others at off[k] from their middles. */
static double piece_value(const jv_move_part *p, const jv_move *m, size_t piece, double place,
                          const double *off) {
    double x = cubic(m->pieces[piece], place);
    for (size_t k = 0; k < p->n_others; k++)
        x += cubic(m->pieces[(k + 1) * p->n_pieces + piece], place) * off[k];
    return x;
}

/* Checks a piece at one place with the others at random. */
static bool fits_at(jv_glass *g, jv_move_part *p, size_t piece, double place, double *work) {
    double *off = work, *want = work + p->n_others;
    bool good = true;
    jv_trial_put(g->t, p->quantity, p->least + ((double)piece + place) / p->per_piece);
    for (size_t k = 0; k < p->n_others; k++) {
        size_t with = 0;
        while (g->with[with] != p->others[k])
            with++;
        double value = g->tries[2 * with][piece % JV_SIDE];
        off[k] = value - p->middles[k];
        jv_trial_put(g->t, p->others[k], value);
    }
    read_now(g, p, want);
    for (size_t m = 0; m < p->n_moves; m++)
        good = good && fabs(piece_value(p, &p->moves[m], piece, place, off) - want[m]) <=
                           table_fit * fabs(want[m]);
    for (size_t k = 0; k < p->n_others; k++)
        jv_trial_put(g->t, p->others[k], p->middles[k]);
    return good;
}

/* One piece: four places make it, two others check it. work: room for five reads. */
static bool make_piece(jv_glass *g, jv_move_part *p, size_t piece, double *work) {
    static const double places[] = {0.0, 1.0 / 3.0, 2.0 / 3.0, 1.0}, checks[] = {0.12, 0.55};
    enum { MADE = 4 };
    size_t rows = p->n_others + 1, read = rows * p->n_moves;
    for (size_t k = 0; k < MADE; k++)
        read_at(g, p, p->least + ((double)piece + places[k]) / p->per_piece, work + k * read);
    for (size_t r = 0; r < rows; r++)
        for (size_t m = 0; m < p->n_moves; m++) {
            double f[MADE];
            for (size_t k = 0; k < MADE; k++)
                f[k] = work[k * read + r * p->n_moves + m];
            fit(f, p->moves[m].pieces[r * p->n_pieces + piece]);
        }
    return fits_at(g, p, piece, checks[0], work + MADE * read) &&
           fits_at(g, p, piece, checks[1], work + MADE * read);
}

/* False when the table does not serve. */
static bool try_table(jv_glass *g, jv_move_part *p) {
    double least, most;
    jv_reach_of(&g->t->spreads->list[p->quantity].shown.value, &least, &most);
    p->least = least;
    p->n_pieces = PIECES;
    p->per_piece = PIECES / (most - least);
    p->unfit = jv_arena_alloc(&g->out->arena, PIECES, sizeof *p->unfit);
    size_t rows = p->n_others + 1;
    double *at = jv_alloc(5 * rows * p->n_moves + rows + p->n_moves + 1, sizeof *at);
    g->failed = !p->unfit || !at;
    for (size_t m = 0; m < p->n_moves && !g->failed; m++) {
        p->moves[m].pieces =
            jv_arena_alloc(&g->out->arena, PIECES * rows, sizeof *p->moves[m].pieces);
        g->failed = !p->moves[m].pieces;
    }
    size_t unfit = 0;
    for (size_t k = 0; k < PIECES && unfit <= UNFIT_MOST && !g->failed; k++) {
        p->unfit[k] = !make_piece(g, p, k, at);
        unfit += p->unfit[k];
    }
    jv_free(at);
    jv_trial_put(g->t, p->quantity, g->t->spreads->list[p->quantity].shown.value.nominal);
    load(g);
    return unfit <= UNFIT_MOST && !g->failed;
}

/* --- parts --- */

/* True when a number is no straight line in this quantity alone. */
static bool is_curved(const jv_glass *g, const jv_move_part *p, size_t k) {
    const jv_value *v = &g->t->spreads->list[g->with[k]].shown.value;
    size_t numbers = numbers_of(g);
    for (size_t m = 0; m < p->n_moves; m++) {
        size_t number = (size_t)(p->moves[m].element - g->first) * JV_FIELDS + p->moves[m].field;
        double low = g->ends[2 * k * numbers + number],
               high = g->ends[(2 * k + 1) * numbers + number];
        double straight = low + (high - low) * (v->nominal - v->low) / (v->high - v->low);
        if (!(fabs(straight - g->nominal[number]) <= affine_fit * fabs(straight)))
            return true;
    }
    return false;
}

/* Picks the quantity of the table: the one that is curved, the others straight. */
static bool pick_quantity(jv_glass *g, jv_move_part *p) {
    size_t curved = 0, pick = 0;
    for (size_t k = 0; k < g->n_with; k++)
        if (is_curved(g, p, k)) {
            curved++;
            pick = k;
        }
    p->others = jv_arena_alloc(&g->out->arena, g->n_with, sizeof *p->others);
    p->middles = jv_arena_alloc(&g->out->arena, g->n_with, sizeof *p->middles);
    g->failed = !p->others || !p->middles;
    if (curved > 1 || g->failed)
        return false;
    p->quantity = g->with[pick];
    for (size_t k = 0; k < g->n_with; k++)
        if (k != pick) {
            p->middles[p->n_others] = nominal_of(g, k);
            p->others[p->n_others++] = g->with[k];
        }
    return true;
}

/* How the part moves, once it has been looked at. */
static void choose(jv_glass *g, jv_move_part *p) {
    size_t numbers = numbers_of(g);
    bool affine = true;
    p->moves = jv_arena_alloc(&g->out->arena, numbers + 1, sizeof *p->moves);
    if (!p->moves) {
        g->failed = true;
        return;
    }
    for (size_t number = 0; number < numbers; number++) {
        uint32_t element = g->first + (uint32_t)(number / JV_FIELDS);
        jv_field field = (jv_field)(number % JV_FIELDS);
        bool heating = field == JV_FIELD_AIR || field == JV_FIELD_TIME;
        if (!moves(g, number) || (heating && !g->t->net->elements[element].heat))
            continue;
        jv_move *m = &p->moves[p->n_moves++];
        m->element = element;
        m->field = field;
        p->heats = p->heats || heating;
        affine = try_affine(g, number, m) && affine;
    }
    /* A state may set a limit too: what load makes of both counts. */
    if (g->t->spreads->circuit->parts[g->part].kind->settle)
        for (size_t k = 0; k < p->n_moves; k++)
            if (p->moves[k].field == JV_FIELD_LIMIT || p->moves[k].field == JV_FIELD_BACK)
                return;
    if (affine)
        p->kind = JV_MOVE_AFFINE;
    else if (pick_quantity(g, p) && try_table(g, p))
        p->kind = JV_MOVE_TABLE;
}

static jv_status glass_make(jv_glass *g) {
    size_t numbers = numbers_of(g) + 1, with = g->n_with + 1;
    g->tries = jv_alloc(2 * with, sizeof *g->tries);
    g->numbers = jv_alloc(numbers, sizeof *g->numbers);
    g->nominal = jv_alloc(numbers, sizeof *g->nominal);
    g->ends = jv_alloc(2 * with * numbers, sizeof *g->ends);
    if (!g->tries || !g->numbers || !g->nominal || !g->ends)
        return JV_ERR_MEMORY;
    for (size_t k = 0; k < g->n_with; k++)
        for (unsigned half = 0; half < 2; half++) {
            const jv_vary *v = &g->t->spreads->list[g->with[k]];
            double u[JV_SIDE];
            jv_uniforms(0, half * JV_SIDE, v->address, u);
            jv_values_at(&v->shown.value, u, g->tries[2 * k + half]);
        }
    return JV_OK;
}

static jv_status look_at_part(jv_glass *g, jv_element *before) {
    jv_status status = glass_make(g);
    for (uint32_t k = 0; k < g->n; k++)
        before[k] = g->t->net->elements[g->first + k];
    if (status == JV_OK) {
        jv_move_part *p = &g->out->parts[g->out->n];
        memset(p, 0, sizeof *p);
        p->part = g->part;
        p->kind = JV_MOVE_LOAD;
        if (look(g, before))
            choose(g, p);
        else
            g->out->shape = true;
        if (p->kind != JV_MOVE_AFFINE || p->n_moves)
            g->out->n++;
        if (g->failed)
            status = JV_ERR_MEMORY;
    }
    jv_free(g->tries);
    jv_free(g->numbers);
    jv_free(g->nominal);
    jv_free(g->ends);
    return status;
}

/* Quantities by part: row p holds list[start[p]] .. list[start[p + 1] - 1]. */
static jv_status turn_over(const jv_spreads *s, uint32_t **start, uint32_t **list) {
    size_t n_parts = s->circuit->n_parts, total = 0;
    for (size_t q = 0; q < s->n; q++)
        total += s->list[q].n_parts;
    *start = jv_zalloc(n_parts + 2, sizeof **start);
    *list = jv_alloc(total + 1, sizeof **list);
    if (!*start || !*list)
        return JV_ERR_MEMORY;
    for (size_t q = 0; q < s->n; q++)
        for (size_t k = 0; k < s->list[q].n_parts; k++)
            (*start)[s->list[q].parts[k] + 2]++;
    for (size_t p = 2; p < n_parts + 2; p++)
        (*start)[p] += (*start)[p - 1];
    for (size_t q = 0; q < s->n; q++)
        for (size_t k = 0; k < s->list[q].n_parts; k++)
            (*list)[(*start)[s->list[q].parts[k] + 1]++] = (uint32_t)q;
    return JV_OK;
}

jv_status jv_moves_find(jv_trial *t, jv_moves *out) {
    memset(out, 0, sizeof *out);
    const jv_net *net = t->net;
    size_t n_parts = t->spreads->circuit->n_parts;
    uint32_t *start = NULL, *list = NULL;
    jv_element *before = jv_alloc(net->n_elements + 1, sizeof *before);
    jv_status status = turn_over(t->spreads, &start, &list);
    out->parts = jv_alloc(n_parts + 1, sizeof *out->parts);
    if (!before || !out->parts)
        status = JV_ERR_MEMORY;
    for (size_t p = 0; p < n_parts && status == JV_OK; p++) {
        jv_glass g = {.t = t, .out = out, .part = (uint32_t)p};
        g.first = net->first[p];
        g.n = net->first[p + 1] - g.first;
        g.with = list + start[p];
        g.n_with = start[p + 1] - start[p];
        if (g.n && g.n_with)
            status = look_at_part(&g, before);
    }
    jv_free(start);
    jv_free(list);
    jv_free(before);
    if (status != JV_OK)
        jv_moves_clear(out);
    return status;
}

void jv_moves_clear(jv_moves *m) {
    jv_free(m->parts);
    jv_arena_clear(&m->arena);
    memset(m, 0, sizeof *m);
}

/* --- draws --- */

void jv_move_pieces(const jv_move_part *p, double (*values)[JV_SIDE], int piece[JV_SIDE],
                    double place[JV_SIDE], unsigned *unfit) {
    *unfit = 0;
    if (p->kind != JV_MOVE_TABLE)
        return;
    const double *x = values[p->quantity], most = (double)p->n_pieces - 1.0;
    for (unsigned k = 0; k < JV_SIDE; k++) {
        double at = (x[k] - p->least) * p->per_piece;
        double whole = fmin(fmax(floor(at), 0.0), most);
        piece[k] = (int)whole;
        place[k] = at - whole;
        *unfit |= (unsigned)p->unfit[piece[k]] << k;
    }
}

void jv_move_values(const jv_move_part *p, const jv_move *m, double (*values)[JV_SIDE],
                    const int piece[JV_SIDE], const double place[JV_SIDE], double out[JV_SIDE]) {
    if (p->kind == JV_MOVE_TABLE) {
        for (unsigned k = 0; k < JV_SIDE; k++)
            out[k] = cubic(m->pieces[piece[k]], place[k]);
        for (size_t i = 0; i < p->n_others; i++) {
            const double *x = values[p->others[i]];
            double(*slope)[4] = m->pieces + (i + 1) * p->n_pieces;
            for (unsigned k = 0; k < JV_SIDE; k++)
                out[k] += cubic(slope[piece[k]], place[k]) * (x[k] - p->middles[i]);
        }
        return;
    }
    for (unsigned k = 0; k < JV_SIDE; k++)
        out[k] = m->constant;
    for (size_t i = 0; i < m->n_terms; i++) {
        const double *x = values[m->with[i]];
        for (unsigned k = 0; k < JV_SIDE; k++)
            out[k] += m->per[i] * x[k];
    }
}
