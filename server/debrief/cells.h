/* The rows of the tables that leave the boat, written cell by cell in the order of the columns: as CSV, or as JSON lines.
 *
 * A cell too many or too few is a bug. What a person may have written gets no chance to be a formula (csv.h).
 */
#ifndef STERNBOARD_DEBRIEF_CELLS_H
#define STERNBOARD_DEBRIEF_CELLS_H

#include <stdbool.h>

#include "debrief/day.h"
#include "debrief/debrief.h"
#include "debrief/out.h"

struct column {
    const char *name, *about; /* about says the unit */
};

struct row;

struct table {
    const char *name, *about;
    const struct column *columns;
    int32_t column_count;
    void (*rows)(const struct debrief *, struct row *);
};

struct row {
    struct out *out;
    const struct debrief *debrief;
    const struct table *table;
    bool json;
    int32_t at;             /* the next column */
    struct day_clock clock; /* of the row's trip */
};

void row_begin(struct row *);
void row_end(struct row *);
void cell_none(struct row *);
void cell_int(struct row *, int64_t value);
void cell_number(struct row *, double value);
void cell_bool(struct row *, bool value);
void cell_word(struct row *, const char *word);    /* one of this program's own */
void cell_foreign(struct row *, const char *text); /* a person may have written it */
void cell_text(struct row *, int32_t name);        /* among the texts; a person may have written it */
void cell_person(struct row *, int32_t name);      /* left out with the names of persons */
void cell_ms(struct row *, int64_t ms);            /* a time or a duration; NEVER: not known */
void cell_when(struct row *, int64_t at_ms); /* the time of day, 2026-07-14T13:05:09Z; not known without a clock */

/* A text as CSV quotes it. */
void cell_quoted(struct out *, const char *text);

/* The rows of one trip, for all trips in turn. */
void rows_each_trip(const struct debrief *, struct row *,
                    void (*rows)(struct row *, const struct facts *, int32_t trip));

#endif
