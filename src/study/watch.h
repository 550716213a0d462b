/* watch.h - what a watch sees at an operating point. SPDX-License-Identifier: MIT */
#ifndef STUDY_WATCH_H
#define STUDY_WATCH_H

#include "circuit/net.h"
#include "jackvolt/drop.h"

/* Volts that a watch sees at node volts v. */
double jv_watch_seen(const jv_scene *s, const jv_watch *w, const double *v);
/* True when the watch counts while motors run / while none does. */
bool jv_watch_counts(const jv_watch *w, bool running);

#endif
