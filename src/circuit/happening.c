/* happening.c - fixed words of what can happen in a sequence. SPDX-License-Identifier: MIT */
#include "jackvolt/happening.h"

#include <stddef.h>

const char *jv_happening_word(jv_happening what) {
    static const char *const words[] = {"step starts",
                                        "jack starts",
                                        "jack stops",
                                        "meets the ground",
                                        "full load",
                                        "end of stroke",
                                        "stalls",
                                        "turns again",
                                        "wrong way",
                                        "below limit",
                                        "trips",
                                        "warns",
                                        "refused",
                                        "over-current stop",
                                        "time limit",
                                        "pulses missing",
                                        "controller resets",
                                        "controller restarts",
                                        "sensor starves",
                                        "sensor works again",
                                        "relay pulls in",
                                        "relay drops out",
                                        "relay chatters",
                                        "may open",
                                        "opens",
                                        "closes again",
                                        "battery cuts off",
                                        "battery back",
                                        "cut-out opens",
                                        "cut-out closes",
                                        "too hot",
                                        "cannot deliver",
                                        "supply overloaded",
                                        "supply back",
                                        "ends"};
    size_t k = (size_t)what;
    return k < sizeof words / sizeof words[0] ? words[k] : "unknown";
}
