/* The tables that leave the boat: what they are called, what their columns mean, and their rows. One spelling for CSV, for JSON
 * lines and for the list of columns.
 */
#ifndef STERNBOARD_DEBRIEF_TABLES_H
#define STERNBOARD_DEBRIEF_TABLES_H

#include "debrief/cells.h"

int32_t tables_count(void);
const struct table *tables_get(int32_t index);

/* Those whose rows are facts. */
extern const struct table tables_facts[];
extern const int32_t tables_facts_count;

#endif
