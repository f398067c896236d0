/* Entries without what a crew may want to keep to itself: the names of people with all that was written freely, and the places.
 * Taken out before anything is folded or counted, so that neither a board nor a number made of them can hold any. */
#ifndef STERNBOARD_DEBRIEF_WITHOUT_H
#define STERNBOARD_DEBRIEF_WITHOUT_H

#include "proto.h"

#include <stdbool.h>

struct without {
    bool
        names; /* hands are called Hand 1, Hand 2, and those that came later by their entry; free text goes, for it may name anybody */
    bool places; /* where the boat was */
};

void without(const struct without *, struct entry *);

#endif
