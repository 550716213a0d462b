/* layouts.h - the example circuits as src/read/layouts.sh writes them at build time.
 * SPDX-License-Identifier: MIT */
#ifndef READ_LAYOUTS_H
#define READ_LAYOUTS_H

#include "jackvolt/layout.h"

extern const jv_layout jv_layouts_built[];
extern const size_t jv_layouts_built_count;

#endif
