/* size.h - the least copper that holds. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_SIZE_H
#define JACKVOLT_SIZE_H

#include "jackvolt/circuit.h"
#include "jackvolt/diag.h"
#include "jackvolt/prices.h"
#include "jackvolt/quantity.h"
#include "jackvolt/status.h"
#include "jackvolt/tables.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Choose the size of several cables at once, and the rating of the fuses over them, so that
 * in every case and in the worst case of the spreads every watch holds and no motor stalls,
 * each conductor stays below what its insulation stands, and each is guarded by its fuse.
 * The objective is the mass of metal, or the cost by a price list.
 *
 * Where the currents do not hang on the sizes (constant-current loads, running motors, no
 * mesh through a sized cable) the volts at a watch fall linearly with the ohms of each
 * cable, so that branch and bound over bounds of that sum proves the least. Worst corners
 * are added one by one until the answer holds in its own worst case: a relaxation, so the
 * answer stays least. At chosen odds the same sums are kept for each of some thousand draws, and
 * enough of them must hold; the answer is checked by ten times as many others. Else few enough
 * choices are tried one and all, or the search leans on "thicker is never worse", and `proved` says
 * which. */

typedef struct jv_size_options {
    const char *const *resize; /* names of cables; NULL: every cable with a size */
    size_t n_resize;
    const jv_price *prices; /* NULL: least mass of metal */
    size_t n_prices;
    bool keep_fuses;  /* ratings of the file stand */
    bool no_budget;   /* leave out the 10 % drop budget of the review */
    bool other_basis; /* choose from `basis` instead of the system that each cable has */
    jv_size_system basis;
    double odds;      /* 0: every watch holds in its worst case; else in this share of draws, 0.5 ..
                         0.999; motors then turn at nominal values */
    unsigned threads; /* of the draws; 0 = as many as the machine has */
} jv_size_options;

typedef enum jv_size_proof {
    JV_SIZE_PROVED,   /* branch and bound with exact bounds, or every choice tried */
    JV_SIZE_MONOTONE, /* least if thicker is never worse, which was not proved here */
    JV_SIZE_NONE      /* nothing holds */
} jv_size_proof;

/* What keeps one size down from holding, or what the largest sizes still miss. */
typedef struct jv_size_miss {
    const char *part;    /* cable, or the watch, or the fuse */
    const char *loading; /* case; NULL = none */
    const char *what;    /* plain clause: "the low-voltage stop sees 9.62 V, 0.38 V short" */
} jv_size_miss;

typedef struct jv_size_run {
    const char *name;
    size_t part;
    jv_size was, size;
    double length_m; /* of this conductor */
    double mass_kg;  /* of metal */
    double cost;     /* NAN without prices */
    double current_a;
    double temp_c;      /* hottest over the cases */
    double carries_a;   /* for good */
    const char *fuse;   /* part that guards it; NULL = none */
    const char *colour; /* as the file says; NULL = not given */
    const char
        *terminals; /* as the file says of the cable, or the studs of the contacts at its ends,
                       "?" for one not given; NULL = neither is given */
    bool has_down, has_up; /* neighbours */
    jv_size down, up;
    const char *down_fails; /* why one size down does not hold; NULL when it holds */
    const char *down_brief; /* the same in two or three words, for a table; NULL likewise */
    double up_kg;           /* one size up: metal more, kg */
    double up_v;            /* and the most volts that a watch gains */
} jv_size_run;

typedef struct jv_size_fuse {
    const char *name;
    double was_a, rating_a;
    bool changed;
    double most_a;    /* largest running current through it */
    double carries_a; /* least of the cables that it guards; infinity = guards none */
    const char *note; /* plain clause; "" = none */
} jv_size_fuse;

typedef struct jv_size_watch {
    const char *name;
    const char *loading;
    double limit_v;
    double worst_v;       /* worst case of the spreads with the chosen sizes */
    double nominal_v;     /* the reading that proves the repair */
    double before_v;      /* worst case with the sizes of the file */
    double best_v;        /* other end of the spreads */
    bool proved;          /* the corner was proved the worst */
    double holds;         /* at chosen odds: share of the draws of the check; NAN = not asked */
    double low95, high95; /* its interval, Wilson */
} jv_size_watch;

typedef struct jv_sizing {
    const jv_circuit *circuit;
    bool possible;
    jv_size_proof proof;
    const char *unproved; /* plain clause: why it is not proved; NULL = it is, or nothing holds */
    size_t nodes;         /* of the search */
    double odds;          /* asked for; 0 = worst case */
    uint64_t draws;       /* of the check of the odds */
    size_t searched;      /* draws that the search counted, over which the proof holds */
    const jv_size_run *runs;
    size_t n_runs;
    const jv_size_fuse *fuses;
    size_t n_fuses;
    const jv_size_watch *watches;
    size_t n_watches;
    double copper_kg, was_kg;   /* metal of the runs */
    double cost;                /* NAN without prices */
    const jv_size_miss *misses; /* when not possible */
    size_t n_misses;
    size_t review_failed, review_unknown; /* what jackvolt review finds in the sized circuit */
    size_t beyond_odds; /* watches that fail their worst case, at chosen odds; not in the above */
    const char *const *still; /* its rows that fail: "RULE at PART" */
    size_t n_still;
    const char *const *sets; /* "feed.size=4 AWG": the changes, for --set */
    size_t n_sets;
} jv_sizing;

/* Are all names to resize cables with a size? JV_ERR_UNKNOWN: no, each reason in diags. */
jv_status jv_size_check_names(const jv_circuit *c, const jv_size_options *options, jv_diags *diags);
/* JV_ERR_RANGE: odds out of their range. JV_ERR_UNKNOWN: a name to resize that is no cable with a
 * size (reason in diags). JV_ERR_INPUT: prices that leave a cable without a size. JV_ERR_MEMORY.
 * *out must be freed with jv_sizing_free; the circuit must outlive it. options may be NULL. */
jv_status jv_size_find(const jv_circuit *c, const jv_size_options *options, jv_diags *diags,
                       jv_sizing **out);
void jv_sizing_free(jv_sizing **sizing); /* takes NULL, leaves NULL */

#endif
