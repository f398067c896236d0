#include "debrief/facts.h"

#include <stdlib.h>

const char *event_standing_name(enum standing_of standing)
{
    static const char *const names[] = {"plain", "late", "offered", "corrected", "moot"};
    return names[standing];
}

const char *gap_name(enum gap_of of)
{
    static const char *const names[] = {"server", "helm", "page", "clock", "missing"};
    return names[of];
}

struct facts *facts_new(void)
{
    struct facts *facts = zeroed(1, sizeof *facts);
    facts->boated_counted = NEVER;
    return facts;
}

void facts_free(struct facts *facts)
{
    if (facts == NULL)
        return;
    box_release(&facts->box);
    free(facts->spots.items);
    free(facts->persons.items);
    free(facts->spans.items);
    free(facts->phases.items);
    free(facts->strikes.items);
    free(facts->raises.items);
    free(facts->fights.items);
    free(facts->calls.items);
    free(facts->clearings.items);
    free(facts->checks.items);
    free(facts->near_misses.items);
    free(facts->events.items);
    free(facts->gaps.items);
    free(facts->planned.items);
    free(facts->happened.items);
    free(facts->why.items);
    free(facts);
}
