/* vec.c - VEC harness files. SPDX-License-Identifier: MIT */
#include "read/harness_build.h"
static const char *const words[] = {"", "VecContent"};
static bool keep(uint16_t parent, uint16_t name, uint16_t type) {
    (void)type;
    return parent == 0 && name == 1;
}
const jv_xml_form jv_vec_form = {words, 2, keep};
jv_status jv_vec_read(jv_xml *xml, jv_harness *h, jv_diags *diags) {
    (void)h;
    jv_xml_fault(xml, 1, diags, JV_CODE_HARNESS_NONE, NULL, "no harness found");
    return JV_ERR_INPUT;
}
