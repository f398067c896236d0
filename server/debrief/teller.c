/* What every part of the fold asks of the teller. */
#include "debrief/tell.h"

int32_t teller_fact_of(const struct teller *t, struct entry_id id)
{
    int32_t index = journal_find(t->journal, id);
    return index < 0 ? -1 : t->fact_of[index];
}

void teller_began(struct teller *t, int32_t fact)
{
    t->fact_of[t->index] = fact;
}
