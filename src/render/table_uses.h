/* table_uses.h - which sources a table rests on. SPDX-License-Identifier: MIT
 */
#ifndef JACKVOLT_RENDER_TABLE_USES_H
#define JACKVOLT_RENDER_TABLE_USES_H

#include "jackvolt/tables.h"

/* True when a row of the table names the source; every source when table is
 * NULL. */
bool jv_table_uses(const jv_table *table, const jv_source *source);

#endif
