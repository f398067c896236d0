/* The debrief's tables out of the boat: as CSV files, and as JSON lines.
 *
 * CSV after RFC 4180: CRLF, a first line of names, every text quoted. A text that a person could have written and that begins with
 * = + - @, a tab or a carriage return gets an apostrophe before it, so that no spreadsheet takes it for a formula; numbers stay
 * numbers. UTF-8. What is not known is an empty cell, and in JSON lines a member that is not there.
 *
 * The tables and their columns stand in tables.c alone. Beside them a file columns.csv says what every column means.
 */
#ifndef STERNBOARD_DEBRIEF_CSV_H
#define STERNBOARD_DEBRIEF_CSV_H

#include "debrief/debrief.h"
#include "debrief/out.h"
#include "err.h"

/* Writes NAME.csv of every table into the folder, which is made if it is not there. ERR_CANNOT_MAKE. */
enum err csv_files(const struct debrief *, const char *dir, struct msg *why) MUST_CHECK;

/* One row a line of all tables, {"table": ..., members as the columns}. */
void csv_lines(const struct debrief *, struct out *);

/* One table as CSV, its head included; for tests. NULL name: columns. False: there is no such table. */
bool csv_table(const struct debrief *, const char *name, struct out *);

#endif
