/* find.h - which fault is it, and which reading next. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_FIND_H
#define JACKVOLT_FIND_H

#include "jackvolt/circuit.h"
#include "jackvolt/meter.h"
#include "jackvolt/status.h"

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A finder weighs the faults that the parts of a circuit can have (suspects: singles, likely
 * pairs) against symptoms and readings, all predicted by solving the circuit with the fault in
 * it. It names a part only after that part's own reading. One more suspect, "none of these",
 * always stays. SI units; ohms of a meter in ohm. Indexes count from 0. All texts and arrays that
 * a finder hands out are its own: valid until the next call that changes it, texts until it is
 * freed. The circuit must outlive it. The same calls give the same answers. */
typedef struct jv_finder jv_finder;

#define JV_FIND_NONE ((size_t)-1) /* no such part, case, check or suspect; "none of these" */

/* Zero means the default. */
typedef struct jv_find_options {
    const jv_meter *meter; /* NULL: jv_meter_plain */
    bool no_clamp;         /* there is no clamp for direct current */
    bool no_ohms;          /* leave out every check of ohms */
    bool owner;            /* leave out checks that want a technician (nothing under the vehicle) */
    double spread_scale;   /* every healthy spread times this; 0 = 1 */
    double none_prior;     /* prior of "none of these"; 0 = 0.03 */
    double pair_factor;    /* prior of a pair: this times the product of both; 0 = 0.7 */
    double name_at;        /* odds from which a part is named; 0 = 0.95 */
    const char *only_case; /* run only this case; NULL = all that run something */
} jv_find_options;

/* JV_ERR_UNKNOWN: no such case. JV_ERR_UNSOLVED: the sound circuit has no operating point.
 * JV_ERR_MEMORY. */
jv_status jv_finder_new(const jv_circuit *c, const jv_find_options *options, jv_finder **out);
void jv_finder_free(jv_finder **finder); /* takes NULL, leaves NULL */

/* --- what is considered --- */

typedef struct jv_suspect {
    size_t n;           /* 1, or 2 for a pair */
    size_t part[2];     /* its part or parts; JV_FIND_NONE for "none of these" */
    const char *words;  /* "ground stud: 35 mohm added"; of a pair joined by " and " */
    const char *way[2]; /* the failure as the part declares it: "<R> added" */
    double low, high;   /* of a single: severities that are considered, log-uniform, SI (<P>: a
                           fraction); 0 = it has none */
    const char *repair; /* what mends it */
    double minutes;     /* for the repair */
    double prior;
    const char *basis; /* where weight, severity and minutes come from */
    bool along;        /* severity is a place along a lead (fraction from its end a) */
} jv_suspect;

size_t jv_finder_suspects(const jv_finder *f); /* the last one is "none of these" */
const jv_suspect *jv_finder_suspect(const jv_finder *f, size_t suspect);

typedef enum jv_check_kind {
    JV_CHECK_VOLTS, /* plus probe at `plus`, minus probe at `minus` */
    JV_CHECK_AMPS,  /* clamp round one conductor of `part`; positive from a to b, plus to minus,
                       sources: as delivered */
    JV_CHECK_OHMS,  /* between the two terminals; always JV_SETUP_ISOLATED */
    JV_CHECK_LOOK   /* look at `part` and move it: value 1 = looks bad, 0 = looks good */
} jv_check_kind;

typedef enum jv_setup {
    JV_SETUP_REST,    /* powered, nothing runs */
    JV_SETUP_RUN,     /* powered, a case runs */
    JV_SETUP_ISOLATED /* every source off, proved dead, capacitors discharged */
} jv_setup;

/* Where a person stands to take it. Opening a place is paid for once. */
typedef enum jv_place_kind {
    JV_PLACE_BATTERY,
    JV_PLACE_CONTROLLER,
    JV_PLACE_FRAME,
    JV_PLACE_WAY, /* somewhere between, reached from above */
    JV_PLACE_JACK /* at one jack, under the vehicle: supports first */
} jv_place_kind;

/* Cautions that belong before a step. Bit set; the texts put them first, worst first. */
typedef enum jv_care {
    JV_CARE_SUPPORT = 1 << 0,     /* nobody under a vehicle on its jacks: stands first */
    JV_CARE_CHOCKS = 1 << 1,      /* wheels chocked, brake set, firm level ground */
    JV_CARE_UNCOMMANDED = 1 << 2, /* a jack may move by itself: key held, switch tagged */
    JV_CARE_SOURCES = 1 << 3,     /* every source off, then proved dead */
    JV_CARE_CAPACITORS = 1 << 4,  /* stored energy: wait, measure */
    JV_CARE_RINGS = 1 << 5,       /* rings and watch off, tools insulated */
    JV_CARE_MINUS_FIRST = 1 << 6, /* minus clamp first off, last on */
    JV_CARE_GAS = 1 << 7,         /* battery gas and acid */
    JV_CARE_LITHIUM = 1 << 8,     /* its maker's instructions; cut-off may open under load */
    JV_CARE_FUSE = 1 << 9,        /* same rating only, never bridged */
    JV_CARE_BREAKER = 1 << 10,    /* reset once only */
    JV_CARE_BURN = 1 << 11,       /* unfused conductors burn */
    JV_CARE_HOT = 1 << 12,        /* motors and joints are hot after a run */
    JV_CARE_CLIP_ON = 1 << 13,    /* clip leads on, come out, run, read from outside */
    JV_CARE_METER = 1 << 14,      /* function and jacks of the meter right for this */
    JV_CARE_LIMITED = 1 << 15,    /* limited current, controller unplugged, watched */
    JV_CARE_UNPLUG = 1 << 16,     /* off before unplugging; no pierced insulation */
    JV_CARE_NO_FEED = 1 << 17,    /* no battery volts into a sensor lead */
    JV_CARE_DUTY = 1 << 18,       /* keep to the duty time of the motors */
    JV_CARE_RESTORE = 1 << 19,    /* people and tools out; repaired and free of shorts first */
    JV_CARE_BEFORE_OFF = 1 << 20  /* breakaway brake, saved positions, solar: before battery off */
} jv_care;

typedef struct jv_check {
    jv_check_kind kind;
    jv_setup setup;
    size_t loading;     /* the case that runs; JV_FIND_NONE */
    size_t plus, minus; /* terminals; JV_FIND_NONE where there are none */
    size_t part;        /* the part that it measures by itself; JV_FIND_NONE = a span */
    const size_t *off;  /* parts unplugged or switched off for it (sources of ISOLATED included) */
    size_t n_off;
    jv_place_kind place;
    size_t place_part;       /* the jack of JV_PLACE_JACK, else JV_FIND_NONE */
    jv_place_kind far_place; /* of the minus probe */
    double minutes;          /* typical, places open, both probes */
    uint32_t care;           /* jv_care */
    const char *text;        /* "volts across ground stud while lifting" */
} jv_check;

size_t jv_finder_checks(const jv_finder *f);
const jv_check *jv_finder_check(const jv_finder *f, size_t check);
/* The check that a person describes: kind, setup, loading, plus, minus, part (for amps and look)
 * and off count. Swapped probes are found too: *turned. One that is not in the list is added.
 * JV_ERR_RANGE: it cannot be (ohms outside ISOLATED; no such case, terminal, part). */
jv_status jv_finder_find_check(jv_finder *f, const jv_check *wanted, size_t *check, bool *turned);

/* --- evidence --- */

typedef enum jv_symptom_kind {
    JV_SYMPTOM_TRIPS,    /* watch `subject` acts in case `loading` */
    JV_SYMPTOM_SLOW,     /* motor `subject` (part) clearly slower than the other motors */
    JV_SYMPTOM_ALL_SLOW, /* every motor of the case is clearly slower than it should be */
    JV_SYMPTOM_STILL,    /* motor `subject` does not move */
    JV_SYMPTOM_SENSOR,   /* sensor `subject` (part) is lost, in `loading` or at rest */
    JV_SYMPTOM_HINT      /* what is told before the meter: `subject` is a jv_hint */
} jv_symptom_kind;

/* When it happens, and what changed before it began. They weigh little. */
typedef enum jv_hint {
    JV_HINT_COLD,
    JV_HINT_MINUTES, /* after minutes of work */
    JV_HINT_BY_TURNS,
    JV_HINT_BATTERY, /* the battery was changed, moved or left standing */
    JV_HINT_WIRING,  /* work on the wiring, or something new was connected */
    JV_HINT_JACK,    /* a jack or a sensor was repaired or hit something */
    JV_HINT_WEATHER, /* rain, salt, a wash, a long stand outside */
    JV_HINTS
} jv_hint;

typedef struct jv_symptom {
    jv_symptom_kind kind;
    size_t subject; /* watch, part or jv_hint */
    size_t loading; /* case; JV_FIND_NONE = at rest */
    bool absent;    /* it was looked for and is not there */
} jv_symptom;

/* JV_ERR_RANGE: no such subject or case. */
jv_status jv_finder_add_symptom(jv_finder *f, const jv_symptom *symptom);

/* value: V, A, ohm, or 0 and 1 of a look. over: the display shows overload ("OL"). JV_ERR_RANGE:
 * value out of any meter's range (an impossible one: ask again). */
jv_status jv_finder_add_reading(jv_finder *f, size_t check, double value, bool over);
/* This check cannot be done: it is not offered again. */
jv_status jv_finder_skip(jv_finder *f, size_t check);
/* Takes back the newest symptom, reading, skip, repair or proof. JV_ERR_RANGE: nothing is left. */
jv_status jv_finder_undo(jv_finder *f);

/* --- answers --- */

typedef struct jv_odds {
    size_t suspect;
    double probability; /* of the faults considered */
    double severity;    /* most likely, in the way's unit (along a lead: fraction from a) */
    double severity_sd;
} jv_odds;

/* All suspects, likeliest first. */
const jv_odds *jv_finder_odds(const jv_finder *f, size_t *n);
/* Probability that a part is at fault, alone or in a pair. */
double jv_finder_part_odds(const jv_finder *f, size_t part);

/* What one check should read: the middle and 95 % of it. Volts, amps, ohms (infinity = overload).
 * suspect JV_FIND_NONE gives the sound circuit. */
typedef struct jv_expected {
    double value, low, high;
} jv_expected;
jv_expected jv_finder_expect(const jv_finder *f, size_t check, size_t suspect);

typedef enum jv_next_kind {
    JV_NEXT_CHECK,   /* take a reading */
    JV_NEXT_CONFIRM, /* the leading suspect's own reading before it is named */
    JV_NEXT_REPAIR,  /* named: do the repair, then take the proof reading */
    JV_NEXT_PROOF,   /* repaired: take the proof reading */
    JV_NEXT_DONE,    /* repaired and proved */
    JV_NEXT_OPEN     /* no check tells more than it costs: see jv_closure */
} jv_next_kind;

typedef struct jv_next {
    jv_next_kind kind;
    size_t check;      /* CHECK, CONFIRM, PROOF */
    size_t suspect;    /* CONFIRM, REPAIR, PROOF */
    double minutes;    /* for it, with opening the place */
    double bits;       /* expected information; 0 for a repair */
    double to_go;      /* expected minutes from here to a working vehicle */
    size_t leading[4]; /* suspects of which it tells most */
    size_t n_leading;
} jv_next;
jv_status jv_finder_next(jv_finder *f, jv_next *out);

/* What each symptom and reading did to one suspect. */
typedef struct jv_reason {
    size_t check;    /* JV_FIND_NONE: a symptom */
    size_t symptom;  /* number of the symptom, in the order added */
    double value;    /* as read */
    double expected; /* by this suspect, before it was read */
    double sd;       /* spread of that */
    double for_it;   /* bits for (+) or against (-) it, over all others together */
    double odds_after;
} jv_reason;
/* n reasons in the order of the evidence; valid until the finder changes. */
jv_status jv_finder_explain(jv_finder *f, size_t suspect, const jv_reason **reasons, size_t *n);

typedef enum jv_state_kind {
    JV_FIND_LOOKING,     /* still open, checks left */
    JV_FIND_NAMED,       /* one suspect stands out and its own reading agrees */
    JV_FIND_UNEXPLAINED, /* no modelled fault explains the readings */
    JV_FIND_STUCK,       /* checks are used up or not worth it; odds as they are */
    JV_FIND_REPAIRED,    /* repair done and the proof holds */
    JV_FIND_NOT_CURED    /* repair done, the proof does not hold: open again */
} jv_state_kind;

typedef struct jv_closure {
    jv_state_kind state;
    size_t suspect; /* NAMED, REPAIRED, NOT_CURED, STUCK (the leader) */
    double probability;
    bool own_read;           /* its own reading has been taken */
    size_t confirm;          /* LOOKING: its own reading, all that is missing; JV_FIND_NONE */
    size_t proof;            /* check that proves the repair; JV_FIND_NONE */
    jv_expected proof_reads; /* once mended, by the circuit as fitted */
    size_t runs;      /* NAMED, REPAIRED, NOT_CURED: full runs in which the complaint must stay away
                         before the repair counts as proved; more where no reading of the part spoke */
    size_t odd_check; /* UNEXPLAINED: the reading that fits nothing; JV_FIND_NONE */
    jv_expected odd_reads; /* what the best suspect would have read there */
    size_t twins[8];       /* suspects that no check here can tell from it: they count in
                              `probability`, are named with it */
    size_t n_twins;
} jv_closure;
jv_status jv_finder_closure(jv_finder *f, jv_closure *out);

/* The named suspect has been mended: later readings are taken of the mended circuit. */
jv_status jv_finder_repaired(jv_finder *f, size_t suspect);

/* Suspects in the order of least expected minutes to a working vehicle (theory A2). */
jv_status jv_finder_repair_order(jv_finder *f, size_t *suspects, size_t *n);

/* A quantity of the circuit as the readings leave it. */
typedef struct jv_fitted {
    size_t part;
    const char *key;  /* the key of the part ("resistance", "charge"); NULL: the load asked */
    double before;    /* nominal, SI */
    double value, sd; /* after */
    bool fault;       /* it is the named fault's severity, as an added resistance or factor */
} jv_fitted;
/* Fills up to *n entries of `list`, sets *n to how many there are. */
jv_status jv_finder_fit(jv_finder *f, jv_fitted *list, size_t *n);

#endif
