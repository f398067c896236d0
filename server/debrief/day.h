/* Hours, days and months of log time, by the clock of the debrief's zone.
 *
 * Dates are of the Gregorian calendar, worked out from days since 1970 by arithmetic alone (E. G. Richards, in: Explanatory
 * Supplement to the Astronomical Almanac, 3rd ed., 15.11). While the clock was never known there are no hours and no dates.
 */
#ifndef STERNBOARD_DEBRIEF_DAY_H
#define STERNBOARD_DEBRIEF_DAY_H

#include <stdbool.h>
#include <stdint.h>

#define DAY_MS  INT64_C(86400000)
#define HOUR_MS INT64_C(3600000)

struct day_clock {
    bool known;
    int64_t shift_ms;   /* local time minus log time */
    int64_t started_ms; /* of the trip, in log time: day 1 begins then where the clock is not known */
};

struct day_date {
    int32_t year, month, day;
};

/* Of the trip that started then. utc_offset_ms 0: not known. */
struct day_clock day_clock(int64_t utc_offset_ms, int32_t zone_min, int64_t started_ms);

/* 0 to 23; only while the clock is known. */
int32_t day_hour(const struct day_clock *, int64_t at_ms);
/* When the hour that holds this moment ends; without a clock, the hour counted from the start. */
int64_t day_hour_end_ms(const struct day_clock *, int64_t at_ms);
/* Days since 1970-01-01, or since the trip started. */
int64_t day_number(const struct day_clock *, int64_t at_ms);
struct day_date day_date_of(int64_t days_since_1970);
/* "2026-07-14", or "day 1". */
void day_words(const struct day_clock *, int64_t at_ms, char out[32]);

/* ISO 8601, "2026-07-14T13:05:09Z" or with the zone's minutes behind it. False: the clock is not known. */
bool day_when(const struct day_clock *, int32_t zone_min, int64_t at_ms, char out[48]);

#endif
