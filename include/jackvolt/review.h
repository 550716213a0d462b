/* review.h - design rules over a circuit, each with source and verdict. SPDX-License-Identifier:
 * MIT */
#ifndef JACKVOLT_REVIEW_H
#define JACKVOLT_REVIEW_H

#include "jackvolt/circuit.h"
#include "jackvolt/diag.h"
#include "jackvolt/protection.h"
#include "jackvolt/read.h"
#include "jackvolt/status.h"
#include "jackvolt/tables.h"

#include <stdbool.h>
#include <stddef.h>

/* Each rule is asked of each part that it concerns and gives a row: a figure, a limit, and
 * a verdict. What was not read in a text never decides: such a row is "unknown" and names the
 * document to look in. A fault that hangs on a second-hand figure says so. A row can be
 * waived in the file, with reason, name and date; it stays in sight. */

typedef enum jv_rule_verdict {
    JV_RULE_FAIL,
    JV_RULE_UNKNOWN,
    JV_RULE_WAIVED, /* would be fail or unknown */
    JV_RULE_PASS
} jv_rule_verdict;
const char *jv_rule_verdict_word(jv_rule_verdict v); /* "fail", "unknown", "waived", "pass" */

/* One rule of the list. Static texts. */
typedef struct jv_review_rule {
    const char *id;        /* "fuse-fits-cable" */
    const char *statement; /* what it asks, one plain sentence */
    const char *source;    /* "33 CFR 183.455 (boats, a yardstick)" */
    const char *clause;    /* "(b)(1)"; "" = none */
} jv_review_rule;
size_t jv_review_rule_count(void);
const jv_review_rule *jv_review_rule_at(size_t i); /* NULL from the count on */

/* Texts live as long as the review (static texts for ever). SI. NAN = no figure. */
typedef struct jv_review_row {
    const jv_review_rule *rule;
    const char *part;    /* name of a part or watch */
    const char *loading; /* case that decides; NULL = none */
    double figure;
    double limit;
    const char *unit;    /* "A", "V", "s", "degC", "m", "%", "mm2", "" */
    bool limit_is_least; /* the figure must be at least the limit, else at most */
    jv_rule_verdict verdict;
    jv_rule_verdict without_waiver;
    jv_confidence confidence; /* of what decides */
    const char *basis;        /* what was taken: table, insulation, ambient, duty */
    const char *reason;       /* why the verdict, a plain sentence */
    const char *look_in;      /* document that would settle an unknown; NULL = none */
    const char *waiver_reason, *waiver_name, *waiver_date; /* NULL = not waived */
    size_t line; /* of the part in the file; 0 = not known */
} jv_review_row;

/* What the rules between a device and its cables worked with, to be drawn or looked up: time
 * against current. The figures are those of the rows. Infinity = without end, NAN = not known. */
typedef struct jv_review_stand {
    double current_a;
    double time_s; /* that the cable stands it (jv_damage_s) */
} jv_review_stand;

typedef struct jv_review_wire {
    const char *part;
    double carries_a;         /* for good */
    jv_confidence confidence; /* of its limits */
    double short_least_a;     /* dead short at its far end, through the device, at its weakest */
    double short_most_a;      /* and through the cable at its strongest */
    double short_opens_s;     /* the device is open by then at the weakest */
    double closest_a;         /* where the device guards it worst: its latest opening there, */
    double opens_s;
    double stands_s;                  /* and what the cable stands */
    double at_points[JV_TIME_POINTS]; /* s that it stands the current of each point of the curve */
    const jv_review_stand *curve; /* rising current, from the first that it stands not for good */
    size_t n_curve;
} jv_review_wire;

typedef struct jv_review_device {
    const char *part;
    double rating_a;
    bool known; /* the curve is */
    jv_time_curve curve;
    double must_open_a;       /* below it the device may never open */
    double running_a;         /* in its hardest case; NAN = in none, and so for those that follow */
    const char *running_case; /* NULL with NAN, and so for those that follow */
    double stall_a;           /* one motor held fast */
    const char *stall_motor;
    double inrush_a; /* all motors of a case at rest, at first */
    const char *inrush_case;
    const jv_review_wire *wires; /* that it guards, in the order of the file */
    size_t n_wires;
} jv_review_device;

typedef struct jv_review {
    const char *circuit;       /* name */
    const char *file;          /* NULL = none */
    const char *sha256;        /* of the file as read, 64 hex digits; "" = not from a file */
    const char *revision;      /* from the file; NULL = none */
    size_t changes;            /* values changed for this run (--set), 0 = the file as it stands */
    const jv_review_row *rows; /* worst first */
    size_t n_rows;
    size_t failed, unknown, waived, passed;
    const char *const *idle_waivers; /* of the file, that meet no row in need of one */
    size_t n_idle;
    const jv_review_device *devices; /* every fuse and breaker, in the order of the file */
    size_t n_devices;
} jv_review;

/* Judge. *out must be freed with jv_review_free; the circuit must outlive it. JV_ERR_MEMORY. */
jv_status jv_review_run(const jv_circuit *c, jv_review **out);
/* The same with faults in it (NULL = none): every operating point has them. What guards what, and
 * the shorts that are tried, stay those of the design. */
jv_status jv_review_run_with(const jv_circuit *c, const jv_faults *faults, jv_review **out);
void jv_review_free(jv_review **review); /* takes NULL, leaves NULL */

/* Many files. One entry a file, in the order given. */
typedef struct jv_review_entry {
    const char *path;
    jv_status status; /* JV_OK, or why the file was passed over (reasons in diags) */
    jv_diags diags;
    jv_circuit *circuit; /* NULL = passed over */
    jv_review *review;
} jv_review_entry;
typedef struct jv_review_batch {
    jv_review_entry *entries;
    size_t n;
} jv_review_batch;
/* Read and judge n files with up to `threads` threads (0 = as many as the machine has). A bad file
 * is passed over. options: the same changes for every file; may be NULL. JV_ERR_MEMORY only
 * when not even the list could be made. */
jv_status jv_review_files(const char *const *paths, size_t n, const jv_read_options *options,
                          unsigned threads, jv_review_batch *out);
void jv_review_batch_free(jv_review_batch *batch);

#endif
