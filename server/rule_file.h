/* The file that rule sets are read from: --rules FILE, else rules.json in the data folder, else the example that the program
 * carries. A trip takes its rule set with it when it starts, so a file that changes counts from the next start of a trip. */
#ifndef STERNBOARD_RULE_FILE_H
#define STERNBOARD_RULE_FILE_H

#include "debrief/rules.h"
#include "options.h"

/* ERR_NO_INPUT, ERR_IO: it cannot be read. ERR_DATA: a mistake, with its line and its reason. *rules is then as it was.
 * *own: it is the crew's, not the example. */
enum err rule_file_read(const struct options *, struct rules *rules, bool *own, struct msg *why) MUST_CHECK;

#endif
