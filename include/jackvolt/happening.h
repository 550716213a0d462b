/* happening.h - what can happen in a sequence. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_HAPPENING_H
#define JACKVOLT_HAPPENING_H

typedef enum jv_happening {
    JV_STEP_STARTS,
    JV_JACK_STARTS,
    JV_JACK_STOPS, /* the controller lets it go: its goal is reached */
    JV_GROUND,     /* the foot meets the ground */
    JV_FULL_LOAD,  /* the whole load has come on */
    JV_STROKE_END,
    JV_STALLS,      /* commanded, and stands still */
    JV_TURNS_AGAIN, /* after a stall, its command still on */
    JV_WRONG_WAY,   /* it moves against its command: leads exchanged */
    JV_WATCH_BELOW, /* under the limit; nothing follows yet */
    JV_WATCH_TRIPS, /* for its dwell: its action follows */
    JV_WATCH_WARNS,
    JV_REFUSED,        /* not started: too few volts at rest */
    JV_OVER_CURRENT,   /* the controller's over-current stop */
    JV_TIME_LIMIT,     /* the controller's time limit */
    JV_PULSES_MISSING, /* the controller stops a jack that gives no pulses */
    JV_BROWN_OUT,      /* the controller resets: all its outputs open */
    JV_RESTART,        /* it works again */
    JV_SENSORS_STARVE, /* a sensor gets too few volts: pulses are lost from here */
    JV_SENSORS_BACK,
    JV_RELAY_PULLS,
    JV_RELAY_DROPS,
    JV_CHATTERS, /* a relay that lets go and pulls in again and again */
    JV_MAY_OPEN, /* a fuse or breaker: the earliest moment of its band */
    JV_OPENS,    /* a fuse or breaker: the latest moment of its band */
    JV_CLOSES,   /* a breaker resets itself */
    JV_CUT_OFF,  /* a managed battery opens */
    JV_CUT_OFF_ENDS,
    JV_WINDING_OPENS, /* thermal cut-out of a motor */
    JV_WINDING_CLOSES,
    JV_TOO_HOT,           /* a cable above what its insulation stands */
    JV_CANNOT_DELIVER,    /* loads of constant power ask for more than reaches them */
    JV_SUPPLY_OVERLOADED, /* a supply in hiccup: it gives its mean current */
    JV_SUPPLY_BACK,
    JV_ENDS /* the sequence is over; `text` says how */
} jv_happening;

/* A short fixed word of a happening for scripts ("step starts"); never NULL. */
const char *jv_happening_word(jv_happening what);

#endif
