#include "debrief/choice.h"

#include <string.h>

enum { TRIP_MOST = 99999, ZONE_LEAST = -720, ZONE_MOST = 840 };

/* Digits from *text on, moved past. False: none, or over most. */
static bool number(const char **text, int32_t most, int32_t *value)
{
    int32_t sum = 0;
    const char *at = *text;
    for (; *at >= '0' && *at <= '9'; at++) {
        sum = sum * 10 + (*at - '0');
        if (sum > most)
            return false;
    }
    bool any = at != *text;
    *text = at;
    *value = sum;
    return any;
}

static bool choose(struct debrief_choice *choice, int32_t from, int32_t to)
{
    choice->trip_from = from;
    choice->trip_to = to;
    return true;
}

bool choice_trips(struct debrief_choice *choice, const char *text)
{
    int32_t from, to;
    if (strcmp(text, "last") == 0)
        return choose(choice, 0, 0);
    if (strcmp(text, "all") == 0)
        return choose(choice, 1, INT32_MAX);
    if (!number(&text, TRIP_MOST, &from) || from < 1)
        return false;
    if (*text == '\0')
        return choose(choice, from, from);
    if (*text++ != '-')
        return false;
    if (*text == '\0')
        return choose(choice, from, INT32_MAX);
    return number(&text, TRIP_MOST, &to) && *text == '\0' && from <= to && choose(choice, from, to);
}

bool choice_months(struct debrief_choice *choice, const char *text)
{
    uint32_t months = 0;
    for (;;) {
        int32_t month;
        if (!number(&text, 12, &month) || month < 1)
            return false;
        months |= UINT32_C(1) << month;
        if (*text == '\0')
            break;
        if (*text++ != ',')
            return false;
    }
    choice->months = months;
    return true;
}

bool choice_zone(struct debrief_choice *choice, const char *text)
{
    int32_t value, minutes = 0;
    bool west = *text == '-';
    if (*text == '-' || *text == '+')
        text++;
    if (!number(&text, ZONE_MOST, &value))
        return false;
    if (*text == ':') {
        text++;
        if (value > 14 || strlen(text) != 2 || !number(&text, 59, &minutes))
            return false;
        value = value * 60 + minutes;
    }
    value = west ? -value : value;
    if (*text != '\0' || value < ZONE_LEAST || value > ZONE_MOST)
        return false;
    choice->zone_min = value;
    return true;
}
