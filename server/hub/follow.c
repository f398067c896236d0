#include "follow.h"

#include "own.h"
#include "take.h"
#include "watch.h"

enum outcome follow_take(struct hub *hub, struct entry *entry, bool rings)
{
    const struct board_helm helm = hub->board.helm;
    enum outcome outcome = take(hub, entry, rings);
    if (entry->refused[0] != '\0' || outcome == OUTCOME_MOOT)
        return outcome;
    if (entry->kind == KIND_PAGE_HAND)
        watch_hand(hub, entry->id.sender, entry->body.page_hand.hand);
    if (entry->kind == KIND_TRIP_STARTED) {
        own_run(hub, false, false);
        own_clock(hub);
        watch_all(hub);
        if (helm.device != 0)
            (void)own_helm(hub, helm.page, helm.device, helm.hand);
    }
    return outcome;
}
