/* band.c - a reading of which only a band is known. SPDX-License-Identifier: MIT */
#include "study/find/band.h"

#include "study/find/finder.h"

#include <math.h>
#include <string.h>

static const double root_half = 0.7071067811865476, root_two_pi = 2.5066282746310002;
/* As for readings (odds.c): a slip of the probe or the pen. */
static const double wild = 0.002;
/* Below it a band says nothing of a state but that it does not fit. */
static const double least_mass = 1e-9;

void jv_finder_band(jv_finder *f, const jv_band *band) {
    f->band = band ? *band : (jv_band){false, 0.0, 0.0};
}
jv_band jv_finder_band_now(const jv_finder *f) {
    return f->band;
}

/* Normal density, and density times its place; both vanish at the ends. */
static double pdf(double z) {
    return isinf(z) ? 0.0 : exp(-0.5 * z * z) / root_two_pi;
}
static double pdf_at(double z) {
    return isinf(z) ? 0.0 : z * pdf(z);
}

/* With a = (low - mean)/sd and b alike, Z = Phi(b) - Phi(a): E z = (phi(a) - phi(b))/Z and
 * Var z = 1 + (a phi(a) - b phi(b))/Z - (E z)^2. */
double jv_band_mass(const jv_band *b, double mean, double sd, double *shift, double *shrink) {
    double low = (b->low - mean) / sd, high = (b->high - mean) / sd;
    /* From the nearer tail, where the difference keeps its digits. */
    double mass = low > 0.0 ? 0.5 * (erfc(low * root_half) - erfc(high * root_half))
                            : 0.5 * (erfc(-high * root_half) - erfc(-low * root_half));
    *shift = *shrink = 0.0;
    if (mass < least_mass)
        return fmax(mass, 0.0);
    *shift = (pdf(low) - pdf(high)) / mass;
    *shrink = fmin(fmax(*shift * *shift - (pdf_at(low) - pdf_at(high)) / mass, 0.0), 1.0);
    return mass;
}

/* Share of the wild readings that fall in it. */
static double flat_mass(const jv_finder *f, const jv_find_check *c, const jv_band *b) {
    return fmin((b->high - b->low) * jv_reading_flat(f, c), 1.0);
}

/* Of a fault that comes and goes (odds.c). */
static jv_status read_loose(jv_finder *f, size_t k, const jv_find_check *c, const jv_band *b,
                            double *fits, double *sd, double *shift, double *shrink,
                            double *middle) {
    double mean, var, other_shift, other_shrink, share = jv_loose_share(f, c), bad = share * *fits;
    jv_status status = jv_expect_gone(f, k, c->setup, c->look, &mean, &var, f->scratch);
    if (status != JV_OK)
        return status;
    double other_sd = sqrt(var + jv_reading_noise(f, c, mean));
    double good =
        (1.0 - share) * (1.0 - wild) * jv_band_mass(b, mean, other_sd, &other_shift, &other_shrink);
    *fits = bad + good;
    if (good <= bad)
        return JV_OK;
    *sd = other_sd;
    *shift = other_shift;
    *shrink = other_shrink;
    *middle = mean;
    memcpy(f->scratch2, f->scratch, f->n_unknowns * sizeof *f->scratch2);
    return JV_OK;
}

static jv_status read_state(jv_finder *f, size_t k, const jv_find_check *c, const jv_band *b,
                            double flat, double *misfit) {
    jv_find_state *s = &f->states[k];
    double mean, var, shift, shrink;
    jv_status status = jv_expect_now(f, k, c->setup, c->look, &mean, &var, f->scratch2);
    if (status != JV_OK)
        return status;
    double sd = sqrt(var + jv_reading_noise(f, c, mean) + jv_reading_bend(f, c, mean));
    double fits = (1.0 - wild) * jv_band_mass(b, mean, sd, &shift, &shrink);
    if (jv_is_loose(s))
        status = read_loose(f, k, c, b, &fits, &sd, &shift, &shrink, &mean);
    if (status != JV_OK)
        return status;
    double beyond = fmax(fmax(b->low - mean, mean - b->high), 0.0) / sd;
    *misfit = beyond * beyond;
    if (k != f->sound)
        s->log_weight += log(fits + flat);
    if (fits > flat && !jv_odds_condition(f, s, f->scratch2, shift / sd, sqrt(shrink) / sd))
        return JV_ERR_MEMORY;
    return JV_OK;
}

jv_status jv_band_read(jv_finder *f, jv_entry *e) {
    const jv_find_check *c = &f->checks[e->check];
    static const double counts = 1e-3; /* suspects that likely */
    double mean, var, flat = wild * flat_mass(f, c, &e->band), misfit = 0.0;
    jv_status status = jv_expect_now(f, f->sound, c->setup, c->look, &mean, &var, NULL);
    if (status != JV_OK)
        return status;
    f->none_log += log(jv_reading_none_band(f, c, &e->band, mean, var));
    e->misfit = INFINITY;
    for (size_t k = 0; k < f->n_states && status == JV_OK; k++) {
        if (!f->states[k].alive && k != f->sound)
            continue;
        double before = f->part_odds[f->c->n_parts + f->states[k].suspect];
        status = read_state(f, k, c, &e->band, flat, &misfit);
        if (k != f->sound && before > counts)
            e->misfit = fmin(e->misfit, misfit);
    }
    return status;
}
