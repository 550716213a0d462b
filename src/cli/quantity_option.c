/* quantity_option.c - options that are quantities with units.
 * SPDX-License-Identifier: MIT */
#include "cli/cli.h"

bool cli_is_bare(const char *text) {
    double value;
    const char *end;
    while (*text == ' ')
        text++;
    if (!jv_number_read(text, &value, &end))
        return false;
    while (*end == ' ')
        end++;
    return !*end;
}

bool cli_quantity(cli_job *job, const char *name, jv_dim dim, const char *bare_unit,
                  jv_value *out) {
    const char *text = cli_value(&job->args, name);
    if (!text)
        return false;
    jv_text whole_text = {0};
    jv_text_add(&whole_text, text);
    if (bare_unit && cli_is_bare(text))
        jv_text_addf(&whole_text, " %s", bare_unit);
    jv_quantity_fault fault = {0};
    jv_status status = jv_quantity_read(jv_text_str(&whole_text), dim, out, &fault);
    if (whole_text.failed || status == JV_ERR_MEMORY)
        job->faults.out_of_memory = true;
    else if (status != JV_OK)
        cli_fault(job, (jv_code)fault.code, fault.hint[0] ? fault.hint : NULL, "--%s: %s", name,
                  fault.message);
    jv_text_clear(&whole_text);
    return status == JV_OK && !job->faults.out_of_memory;
}
