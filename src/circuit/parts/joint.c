/* joint.c - the ohms of joints whose file gives none. SPDX-License-Identifier: MIT */
#include "circuit/parts/joint.h"

#include <math.h>

/* Two standard deviations of a joint nobody measured, as a factor: e, for a deviation of
 * 0.5 in the logarithm (judgement, no published source). */
static const double wide_factor = 2.7;
/* A maker keeps a new joint below the limit of its sheet: half of it, and a factor of two
 * up to the limit (judgement, no published source). */
static const double of_limit = 0.5;

typedef struct jv_guess {
    jv_contact_kind kind;
    double ohm;
} jv_guess;

/* Sound joints for which no text prints ohms; judgement, no published source. */
static const jv_guess guesses[] = {
    {JV_CONTACT_CRIMP, 0.2e-3},         {JV_CONTACT_BLADE, 1.5e-3},
    {JV_CONTACT_STUD, 0.2e-3},          {JV_CONTACT_POST_CLAMP, 0.25e-3},
    {JV_CONTACT_BOND, 0.3e-3},          {JV_CONTACT_HOLDER, 0.3e-3},
    {JV_CONTACT_CONNECTOR_SMALL, 4e-3}, {JV_CONTACT_CONNECTOR_LARGE, 1.5e-3},
    {JV_CONTACT_RELAY, 2e-3},           {JV_CONTACT_SWITCH, 2e-3},
};

static jv_value log_normal(double nominal, double factor) {
    jv_value v = {nominal, nominal / factor, nominal * factor, JV_LOG_NORMAL};
    return factor > 1.0 ? v : jv_value_exact(nominal);
}

jv_value jv_joint_spread(const jv_range *range) {
    double up = range->high / range->typical, down = range->typical / range->low;
    double factor = isfinite(up) && up > 1.0 ? up : 1.0;
    if (isfinite(down) && down > factor)
        factor = down;
    return log_normal(range->typical, factor);
}

void jv_joint_assume(jv_circuit *c, unsigned key, jv_contact_kind kind) {
    jv_contact_figures known;
    jv_status status = jv_table_contact(kind, &known);
    if (status == JV_OK && known.has_typical) {
        jv_value v = jv_joint_spread(&known.typical);
        jv_circuit_assume(c, key, &v, "typical of a sound %s: %s", jv_contact_kind_name(kind),
                          known.typical.source->title);
        return;
    }
    if (status == JV_OK && known.has_limit) {
        jv_value v = log_normal(known.limit.value * of_limit, 1.0 / of_limit);
        jv_circuit_assume(c, key, &v, "half the largest allowed of a new %s: %s",
                          jv_contact_kind_name(kind), known.limit.source->title);
        return;
    }
    for (size_t i = 0; i < sizeof guesses / sizeof guesses[0]; i++) {
        if (guesses[i].kind != kind)
            continue;
        jv_value v = log_normal(guesses[i].ohm, wide_factor);
        jv_circuit_assume(c, key, &v, "a sound %s: judgement, no published source",
                          jv_contact_kind_name(kind));
    }
}
