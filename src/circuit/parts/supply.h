/* supply.h - keys of a supply. SPDX-License-Identifier: MIT */
#ifndef CIRCUIT_PARTS_SUPPLY_H
#define CIRCUIT_PARTS_SUPPLY_H

enum {
    JV_SUPPLY_PLUS,
    JV_SUPPLY_MINUS,
    JV_SUPPLY_SET_VOLTAGE,
    JV_SUPPLY_LIMIT,
    JV_SUPPLY_OVERLOAD,
    JV_SUPPLY_RESISTANCE,
    JV_SUPPLY_HICCUP_SHARE,
    JV_SUPPLY_KEYS
};

/* State of its element: once overloaded in hiccup it goes on trying, and gives its mean. */
enum { JV_SUPPLY_STEADY, JV_SUPPLY_TRIES };

#endif
