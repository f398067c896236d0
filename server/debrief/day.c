#include "debrief/day.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

static int64_t floor_div(int64_t a, int64_t b)
{
    return a / b - (a % b < 0);
}

struct day_clock day_clock(int64_t utc_offset_ms, int32_t zone_min, int64_t started_ms)
{
    bool known = utc_offset_ms != 0;
    return (struct day_clock){
        .known = known,
        .shift_ms = known ? utc_offset_ms + (int64_t)zone_min * 60000 : -started_ms,
        .started_ms = started_ms,
    };
}

int32_t day_hour(const struct day_clock *clock, int64_t at_ms)
{
    int64_t local_ms = at_ms + clock->shift_ms;
    return (int32_t)((local_ms - floor_div(local_ms, DAY_MS) * DAY_MS) / HOUR_MS);
}

int64_t day_hour_end_ms(const struct day_clock *clock, int64_t at_ms)
{
    return (floor_div(at_ms + clock->shift_ms, HOUR_MS) + 1) * HOUR_MS - clock->shift_ms;
}

int64_t day_number(const struct day_clock *clock, int64_t at_ms)
{
    return floor_div(at_ms + clock->shift_ms, DAY_MS);
}

/* Julian day of the day's noon, then Richards' algorithm for the Gregorian calendar. */
struct day_date day_date_of(int64_t days_since_1970)
{
    int64_t julian = days_since_1970 + 2440588;
    int64_t f = julian + 1401 + (4 * julian + 274277) / 146097 * 3 / 4 - 38;
    int64_t e = 4 * f + 3;
    int64_t h = 5 * (e % 1461 / 4) + 2;
    int64_t month = (h / 153 + 2) % 12 + 1;
    return (struct day_date){
        .year = (int32_t)(e / 1461 - 4716 + (12 + 2 - month) / 12),
        .month = (int32_t)month,
        .day = (int32_t)(h % 153 / 5 + 1),
    };
}

void day_words(const struct day_clock *clock, int64_t at_ms, char out[32])
{
    int64_t number = day_number(clock, at_ms);
    struct day_date date = day_date_of(number);
    if (clock->known && date.year >= 1 && date.year <= 9999)
        (void)snprintf(out, 32, "%04d-%02d-%02d", date.year, date.month, date.day);
    else
        (void)snprintf(out, 32, "day %" PRId64, number + 1);
}

bool day_when(const struct day_clock *clock, int32_t zone_min, int64_t at_ms, char out[48])
{
    int64_t number = day_number(clock, at_ms);
    struct day_date date = day_date_of(number);
    int32_t second = (int32_t)((at_ms + clock->shift_ms - number * DAY_MS) / 1000);
    if (!clock->known || date.year < 1 || date.year > 9999)
        return false;
    int len = snprintf(out, 48, "%04d-%02d-%02dT%02d:%02d:%02d", date.year, date.month, date.day, second / 3600,
                       second / 60 % 60, second % 60);
    if (zone_min == 0)
        (void)snprintf(out + len, (size_t)(48 - len), "Z");
    else
        (void)snprintf(out + len, (size_t)(48 - len), "%c%02d:%02d", zone_min < 0 ? '-' : '+', abs(zone_min) / 60,
                       abs(zone_min) % 60);
    return true;
}
