/* xml_read.h - what the two files of the XML reader share. SPDX-License-Identifier: MIT */
#ifndef READ_XML_READ_H
#define READ_XML_READ_H

#include "read/xml_tree.h"

/* One id of the file; node 0 = free. */
typedef struct jv_xml_name {
    uint32_t hash;
    jv_xml_at node;
} jv_xml_name;

#endif
