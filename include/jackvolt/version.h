/* version.h - the version of these headers. SPDX-License-Identifier: MIT */
#ifndef JACKVOLT_VERSION_H
#define JACKVOLT_VERSION_H

/* Major.minor.patch. The Makefile reads this line for the pkg-config file. */
#define JV_VERSION "0.1.0"

#endif
