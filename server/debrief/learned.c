#include "debrief/learned.h"

#include <stdlib.h>
#include <string.h>

enum { TALLIED_LINES = 6, TALLIED_MS = 15000, PACE_MOST_MS = 600000 };

static void take_clearing(struct learned *learned, const struct clearing_fact *clearing)
{
    int64_t long_ms = clearing->last_in_ms - clearing->called_ms;
    if (clearing->in_count == 0 || long_ms <= 0)
        return;
    if (clearing->in_count >= TALLIED_LINES && long_ms < TALLIED_MS)
        return;
    int64_t pace_ms = long_ms / clearing->in_count;
    for (int32_t i = 0; i < clearing->in_count; i++)
        learned->pace_ms[learned->count++ % LEARNED_LINES] = (int32_t)(pace_ms < PACE_MOST_MS ? pace_ms : PACE_MOST_MS);
}

void learned_take(struct learned *learned, const struct facts *f)
{
    for (int32_t i = 0; i < f->clearings.count; i++)
        take_clearing(learned, &f->clearings.items[i]);
}

static int by_size(const void *left, const void *right)
{
    int32_t a = *(const int32_t *)left, b = *(const int32_t *)right;
    return (a > b) - (a < b);
}

int32_t learned_line_ms(const struct learned *learned, int32_t *lines)
{
    int32_t sorted[LEARNED_LINES];
    int32_t count = learned->count < LEARNED_LINES ? (int32_t)learned->count : LEARNED_LINES;
    *lines = count < LEARNED_LEAST ? 0 : count;
    if (*lines == 0)
        return LEARNED_USUAL_MS;
    memcpy(sorted, learned->pace_ms, (size_t)count * sizeof sorted[0]);
    qsort(sorted, (size_t)count, sizeof sorted[0], by_size);
    return (sorted[(count - 1) / 2] + sorted[count / 2]) / 2;
}
