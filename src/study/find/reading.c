/* reading.c - the meter in the likelihood. SPDX-License-Identifier: MIT */
#include "study/find/finder.h"

#include <math.h>

/* A band of so many counts is taken as uniform: standard deviation = band / sqrt 3. */
static const double uniform = 0.5773502691896258;
/* What the probes and a bouncing display add, V; what the linear model leaves, of the value
 * (judgement). */
static const double probe_sd_v = 1e-3, model_share = 0.005;
/* Reading a needle of ohms: leads not zeroed, on the scale of the look; over the top, its width. */
static const double ohms_model_sd = 0.03;
/* "None of these": this share reads as a sound circuit does, the rest lies about it with this
 * scale (engine trial): V, A, and on the scale of ohms. */
static const double none_sound = 0.6;
static const double none_scale[] = {1.5, 25.0, 1.5};
/* Range over which a wild reading is spread: V, A, scale of ohms. */
static const double flat_range[] = {20.0, 400.0, 16.0};

static double square(double x) {
    return x * x;
}

double jv_reading_of_value(const jv_finder *f, const jv_find_check *c, double value, bool over) {
    if (c->view.kind != JV_CHECK_OHMS)
        return value;
    double full = f->setups[c->setup].looks[c->look].full;
    return jv_ohms_to_scale(over ? full : fmax(value - f->meter.lead_ohm, 0.0), full);
}

double jv_reading_to_value(const jv_finder *f, const jv_find_check *c, double y) {
    if (c->view.kind != JV_CHECK_OHMS)
        return y;
    return jv_ohms_from_scale(y, f->setups[c->setup].looks[c->look].full) + f->meter.lead_ohm;
}

static double ohms_noise(const jv_finder *f, const jv_find_check *c, double y) {
    double ohms = jv_ohms_from_scale(y, f->setups[c->setup].looks[c->look].full);
    if (isinf(ohms))
        return 1.0; /* overload: from the end of the scale on */
    /* Above its lowest range the meter's step grows with the value. */
    double error = jv_meter_error(&f->meter.ohms, ohms + f->meter.lead_ohm) * uniform;
    double half = ohms / expm1(fmax(y, 1e-9));
    double slope = 1.0 / (half + ohms);
    return square(error * slope) + square(ohms_model_sd);
}

double jv_reading_noise(const jv_finder *f, const jv_find_check *c, double y) {
    const jv_meter *m = &f->meter;
    if (c->view.kind == JV_CHECK_OHMS)
        return ohms_noise(f, c, y);
    if (c->view.kind == JV_CHECK_AMPS)
        return square(m->amps.counts * m->amps.step * uniform) + square(model_share * y);
    bool fine = m->millivolts.step > 0.0 && fabs(y) < m->millivolts.full_scale;
    const jv_meter_range *r = fine ? &m->millivolts : &m->volts;
    return square(r->counts * r->step * uniform) + square(probe_sd_v) + square(model_share * y);
}

double jv_reading_bend(jv_finder *f, const jv_find_check *c, double mean) {
    /* Between severity cells a reading bends by a few percent of what the fault does to it. */
    static const double bend = 0.04;
    double sound = c->sound;
    if (isnan(sound)) {
        if (jv_expect_look(f, f->sound, c->setup, c->look, &sound, NULL) != JV_OK)
            return 0.0;
        f->checks[c - f->checks].sound = sound;
    }
    return square(bend * (mean - sound));
}

double jv_reading_flat(const jv_finder *f, const jv_find_check *c) {
    (void)f;
    return 1.0 / flat_range[c->view.kind < JV_CHECK_LOOK ? c->view.kind : 0];
}

double jv_reading_none(const jv_finder *f, const jv_find_check *c, double y, double mean,
                       double var) {
    static const double root_two_pi = 2.5066282746310002;
    double noise = jv_reading_noise(f, c, y), s2 = var + noise;
    double sound = exp(-0.5 * square(y - mean) / s2) / (root_two_pi * sqrt(s2));
    double scale = none_scale[c->view.kind < JV_CHECK_LOOK ? c->view.kind : 0];
    double about = exp(-fabs(y - mean) / scale) / (2.0 * scale);
    return none_sound * sound + (1.0 - none_sound) * about;
}

/* P(a Laplace variable of this scale about 0 lies below x). */
static double laplace_cdf(double x, double scale) {
    return x < 0.0 ? 0.5 * exp(x / scale) : 1.0 - 0.5 * exp(-x / scale);
}

double jv_reading_none_band(const jv_finder *f, const jv_find_check *c, const jv_band *b,
                            double mean, double var) {
    double shift, shrink, scale = none_scale[c->view.kind < JV_CHECK_LOOK ? c->view.kind : 0];
    double sound = jv_band_mass(b, mean, sqrt(var + jv_reading_noise(f, c, mean)), &shift, &shrink);
    double about = laplace_cdf(b->high - mean, scale) - laplace_cdf(b->low - mean, scale);
    return none_sound * sound + (1.0 - none_sound) * about;
}
