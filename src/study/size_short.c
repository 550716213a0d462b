/* size_short.c - shorts while the sizes are chosen. SPDX-License-Identifier: MIT */
#include "study/size_model.h"

#include "circuit/kinds.h"
#include "circuit/parts/cable.h"
#include "circuit/parts/fuse.h"

#include <math.h>

static double rating_of(const jv_size_model *m, uint32_t device) {
    const jv_slot *s = jv_part_slot(&m->copy, &m->copy.parts[device], JV_FUSE_RATING);
    return s ? s->value.nominal : NAN;
}

/* Only what a sheet that may decide shows to fail, fails. */
static bool curve_decides(const jv_size_model *m, uint32_t device, jv_time_curve *curve) {
    return device != UINT32_MAX &&
           jv_fuse_part_curve(&m->copy, &m->copy.parts[device], curve) == JV_OK &&
           curve->confidence != JV_WEAK;
}

/* Past its short-time limit at some current up to the strongest, before the device must open? */
static bool burns(const jv_size_model *m, uint32_t device, const jv_time_curve *curve,
                  const jv_guarded *cable, double strong_a, double *at_a) {
    jv_guard guard;
    if (!(strong_a > jv_carries_a(cable)) ||
        jv_guard_check(curve, rating_of(m, device), cable, strong_a, &guard) != JV_OK)
        return false;
    *at_a = guard.current_a;
    return guard.verdict == JV_GUARD_FAILS;
}

jv_status jv_size_short_of(jv_size_model *m, const jv_cable_watched *cable, uint8_t *heated,
                           jv_size_short *out) {
    jv_guarded g;
    jv_time_curve curve;
    double strong_a = 0, back_a = 0, at_a;
    *out = JV_SHORT_HOLDS;
    if (!curve_decides(m, cable->guard, &curve) ||
        jv_guarded_of_part(&m->copy, &m->copy.parts[cable->part], m->guards.hot_c, &g) != JV_OK)
        return JV_OK;
    double carries = jv_carries_a(&g);
    bool most = !cable->unsolved; /* strong_a and back_a are the most that any size passes */
    if (most && cable->strong_a <= carries && cable->back_a <= carries)
        return JV_OK;
    jv_status status = jv_guards_strongest(&m->copy, &m->guards, cable, &strong_a, &back_a, heated);
    if (status == JV_ERR_MEMORY || (status == JV_OK && strong_a <= carries && back_a <= carries))
        return status;
    *out = JV_SHORT_UNKNOWN;
    if (status != JV_OK || isnan(strong_a) || isnan(back_a))
        return JV_OK;
    if (burns(m, cable->guard, &curve, &g, strong_a, &at_a)) {
        *out = JV_SHORT_BURNS;
        return JV_OK;
    }
    jv_short_outcome o;
    uint32_t hot;
    status = jv_guards_follow(&m->copy, &m->guards, cable, &o, &hot, heated);
    if (status != JV_OK)
        return status == JV_ERR_MEMORY ? status : JV_OK;
    *out = o.over_short || !o.opens ? JV_SHORT_FADES : JV_SHORT_HOLDS;
    return JV_OK;
}

/* ---- the same in words ---- */

static const char *name_of(const jv_size_model *m, uint32_t part) {
    return m->copy.parts[part].name;
}

static const char *burns_words(jv_size_model *m, const jv_cable_watched *cable,
                               const jv_time_curve *curve, const jv_guarded *g, double strong_a) {
    jv_guard guard;
    const char *own = name_of(m, cable->part), *fuse = name_of(m, cable->guard);
    double rating = rating_of(m, cable->guard);
    if (jv_guard_check(curve, rating, g, strong_a, &guard) != JV_OK)
        return "";
    if (isfinite(guard.opens_s))
        return jv_size_model_say(m,
                                 "at %.0f A, which a short at the far end of \"%s\" can pass, its "
                                 "fuse \"%s\" of %g A may take %.3g s to open, and the cable "
                                 "stands that for %.3g s",
                                 guard.current_a, own, fuse, rating, guard.opens_s, guard.damage_s);
    if (isinf(guard.temp_c))
        return jv_size_model_say(m,
                                 "just below %.0f A its fuse \"%s\" of %g A may never open, and "
                                 "\"%s\" would find no steady temperature: it burns",
                                 guard.current_a, fuse, rating, own);
    return jv_size_model_say(m,
                             "just below %.0f A its fuse \"%s\" of %g A may never open, and \"%s\" "
                             "would settle at %.0f degC, %.0f degC past its short-time limit",
                             guard.current_a, fuse, rating, own, guard.temp_c,
                             guard.temp_c - g->limits.short_c);
}

static const char *fades_words(jv_size_model *m, const jv_cable_watched *cable,
                               const jv_time_curve *curve) {
    jv_short_outcome o;
    uint32_t hot = cable->part;
    jv_guarded g;
    const char *own = name_of(m, cable->part), *fuse = name_of(m, cable->guard);
    double rating = rating_of(m, cable->guard), opens_a = jv_must_open_a(curve, rating);
    if (jv_guards_follow(&m->copy, &m->guards, cable, &o, &hot, NULL) != JV_OK ||
        jv_guarded_of_part(&m->copy, &m->copy.parts[hot], m->guards.hot_c, &g) != JV_OK)
        return "";
    if (!o.opens && o.last_a < opens_a)
        return jv_size_model_say(m,
                                 "a short at the far end of \"%s\" passes %.0f A, and %.0f A when "
                                 "the wires are hot; its fuse \"%s\" of %g A is sure to open only "
                                 "from %.0f A, %.0f A more",
                                 own, o.first_a, o.last_a, fuse, rating, opens_a,
                                 opens_a - o.last_a);
    return jv_size_model_say(m,
                             "a short at the far end of \"%s\" passes %.0f A and heats \"%s\" to "
                             "%.0f degC before its fuse \"%s\" of %g A must open: its short-time "
                             "limit is %.0f degC",
                             own, o.first_a, name_of(m, hot), o.hottest_c, fuse, rating,
                             g.limits.short_c);
}

jv_status jv_size_short_words(jv_size_model *m, const jv_cable_watched *cable, const char **out) {
    jv_size_short now;
    jv_guarded g;
    jv_time_curve curve;
    double strong_a = 0, back_a = 0;
    *out = NULL;
    jv_status status = jv_size_short_of(m, cable, NULL, &now);
    bool fails = now == JV_SHORT_FADES || now == JV_SHORT_BURNS;
    if (status != JV_OK || !fails || !curve_decides(m, cable->guard, &curve) ||
        jv_guarded_of_part(&m->copy, &m->copy.parts[cable->part], m->guards.hot_c, &g) != JV_OK)
        return status;
    status = jv_guards_strongest(&m->copy, &m->guards, cable, &strong_a, &back_a, NULL);
    if (status != JV_OK)
        return status;
    *out = now == JV_SHORT_BURNS ? burns_words(m, cable, &curve, &g, strong_a)
                                 : fades_words(m, cable, &curve);
    for (size_t r = 0; r < m->n_runs; r++)
        if (m->runs[r].part == cable->part)
            return JV_OK;
    *out = jv_size_model_say(m, "%s; \"%s\" keeps its size: size that cable too", *out,
                             name_of(m, cable->part));
    return JV_OK;
}

/* ---- what burns whatever the others are ---- */

static jv_status strongest(const jv_size_model *m, const jv_cable_watched *cable, double *amps) {
    double back_a = 0;
    return jv_guards_strongest(&m->copy, &m->guards, cable, amps, &back_a, NULL);
}

/* Turn every other run to the end that makes the short weakest: thin on its way, thick beside it.
 */
static jv_status weaken(jv_size_model *m, size_t run) {
    double now = 0, least = 0;
    jv_status status = JV_OK;
    for (size_t r = 0; r < m->n_runs; r++)
        if (r != run)
            jv_size_put(m, r, 0);
    status = strongest(m, m->runs[run].watched, &least);
    for (size_t r = 0; r < m->n_runs && status == JV_OK; r++) {
        if (r == run)
            continue;
        jv_size_put(m, r, m->runs[r].n - 1);
        status = strongest(m, m->runs[run].watched, &now);
        if (now < least)
            least = now;
        else
            jv_size_put(m, r, 0);
    }
    return status;
}

jv_status jv_size_refuse_burning(jv_size_model *m, size_t run) {
    jv_choices *r = &m->runs[run];
    jv_time_curve curve;
    if (!r->watched || !curve_decides(m, r->watched->guard, &curve))
        return JV_OK;
    jv_status status = weaken(m, run);
    for (size_t c = 0; c < r->n && status == JV_OK; c++) {
        jv_choice *choice = &r->list[c];
        jv_guarded g;
        double amps = 0, at_a;
        jv_size_put(m, run, c);
        if (choice->why_not ||
            jv_guarded_of_part(&m->copy, &m->copy.parts[r->part], m->guards.hot_c, &g) != JV_OK)
            continue;
        status = strongest(m, r->watched, &amps);
        if (status != JV_OK || !burns(m, r->watched->guard, &curve, &g, amps, &at_a))
            continue;
        choice->why_brief = "burns first";
        choice->why_not =
            jv_size_model_say(m,
                              "at %.0f A it is past its short-time limit before its fuse \"%s\" "
                              "must open",
                              at_a, m->copy.parts[r->watched->guard].name);
    }
    for (size_t k = 0; k < m->n_runs; k++)
        jv_size_put(m, k, m->runs[k].n - 1);
    return status;
}
