/* meter.h - what a meter shows. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_METER_H
#define JACKVOLT_METER_H

#include <stdbool.h>

/* One range of a hand meter. (E1) error = percent/100 |x| + counts step. */
typedef struct jv_meter_range {
    double percent;
    double counts;
    double step;       /* one count, in V, A or ohm */
    double full_scale; /* 0 = no limit */
} jv_meter_range;

typedef struct jv_meter {
    jv_meter_range volts;
    jv_meter_range millivolts;
    jv_meter_range ohms;
    jv_meter_range amps; /* clamp */
    double input_ohm;    /* volts; 0 = 10 Mohm */
    double lead_ohm;     /* both test leads together */
    double test_a;       /* ohms, lowest range */
    double open_v;       /* ohms, greatest test volts */
    double response_s;   /* time constant of the display */
    bool peak_hold;      /* it keeps the greatest reading of a run */
} jv_meter;
/* A plain 4000-count meter: 0.5 % + 3 counts of 10 mV, ohms 0.8 % + 5 counts of 0.1, leads
 * 0.2 ohm, 0.5 mA, response 0.3 s. Accuracy from memory but the ohms range (DMM-400). */
jv_meter jv_meter_plain(void);

/* Half-width of the error band at a true value x. */
double jv_meter_error(const jv_meter_range *r, double x);
/* What it shows of x: rounded to its step. */
double jv_meter_shown(const jv_meter_range *r, double x);
/* (E2) volts shown through a source resistance: V Ri/(Ri + Rs). */
double jv_meter_loaded_v(const jv_meter *m, double open_v, double source_ohm);
/* Ohms shown with its leads not zeroed, and the error band of the corrected reading. */
double jv_meter_ohms_shown(const jv_meter *m, double ohm, double *error);
/* Test volts across an unknown: may turn a diode on above about 0.5 V. */
double jv_meter_test_v(const jv_meter *m, double ohm);
/* (E3) lowest reading of a dip from v0 to v1 that lasts dip_s, display of first order. */
double jv_meter_dip_shown(const jv_meter *m, double v0, double v1, double dip_s);
/* (E4) error of a difference of two readings: the sum of both. */
double jv_meter_difference_error(const jv_meter_range *r, double a, double b);
/* (E5) current needed so that a resistance shows `times` steps on a drop range. */
double jv_meter_current_for(const jv_meter_range *r, double ohm, double times);

#endif
