/* status.c - names of the statuses. SPDX-License-Identifier: MIT */
#include "jackvolt/status.h"

const char *jv_status_text(jv_status status) {
    switch (status) {
    case JV_OK:
        return "ok";
    case JV_ERR_MEMORY:
        return "memory is short";
    case JV_ERR_INPUT:
        return "the input was refused";
    case JV_ERR_RANGE:
        return "a value is out of range";
    case JV_ERR_UNKNOWN:
        return "not known";
    case JV_ERR_UNSOLVED:
        return "no solution was reached";
    case JV_ERR_SYSTEM:
        return "the operating system refused";
    }
    return "unknown status";
}
