#include "own.h"

#include <stdio.h>

#include "take.h"

union entry_body *own_begin(struct hub *hub, enum entry_kind kind)
{
    hub->own_entry = (struct entry){.kind = kind, .from = SOURCE_SERVER};
    return &hub->own_entry.body;
}

/* On a disk that failed take_room() lets everything in, as emergencies must be; but pages that come and go for hours must not use up
 * the emergencies' reserve of what can still be saved when the disk works again. */
static bool room(const struct hub *hub)
{
    return take_room(hub, ROOM_FOR_ORDINARY, 1) && unsaved_room(&hub->unsaved, ROOM_FOR_ORDINARY, 1);
}

/* The id is given last, so that an entry not taken leaves no gap. */
enum own_is own_take(struct hub *hub)
{
    struct entry *entry = &hub->own_entry;
    entry->at_ms = entry->got_ms = hub->log_ms;
    if (!room(hub))
        return OWN_NO_ROOM;
    hub->dry = hub->board;
    if (board_apply(&hub->dry, entry) == OUTCOME_MOOT)
        return OWN_MOOT;
    int32_t top = senders_top(&hub->senders, hub->seed.run_id, LANE_ORDINARY);
    entry->id = (struct entry_id){.sender = hub->seed.run_id, .n = top + 1, .lane = LANE_ORDINARY};
    (void)take(hub, entry, false);
    return OWN_TAKEN;
}

void own_run(struct hub *hub, bool fresh, bool estimated)
{
    struct body_run *run = &own_begin(hub, KIND_RUN)->run;
    run->run = hub->seed.run_id;
    run->boot = hub->seed.boot_id;
    run->base_ms = hub->base_ms;
    run->estimated = estimated;
    run->fresh = fresh;
    (void)snprintf(run->version, sizeof run->version, "%s", hub->seed.version);
    (void)own_take(hub);
}

void own_clock(struct hub *hub)
{
    if (hub->now.utc_ms == 0)
        return;
    int64_t offset_ms = hub->now.utc_ms - hub->log_ms;
    int64_t off_by_ms = offset_ms - hub->board.clock.utc_offset_ms;
    bool known = hub->board.clock.source != CLOCK_SOURCE_NONE;
    if (hub->board.clock.source > CLOCK_SOURCE_SYSTEM) /* told by a better clock, or by a hand */
        return;
    if (known && off_by_ms <= LIMIT_CLOCK_MS && off_by_ms >= -LIMIT_CLOCK_MS)
        return;
    struct body_clock *clock = &own_begin(hub, KIND_CLOCK)->clock;
    clock->utc_offset_ms = offset_ms;
    clock->source = CLOCK_SOURCE_SYSTEM;
    (void)own_take(hub);
}

enum own_is own_helm(struct hub *hub, uint64_t page, int32_t device, int32_t hand)
{
    struct body_helm_taken *taken = &own_begin(hub, KIND_HELM_TAKEN)->helm_taken;
    taken->page = page;
    taken->device = device;
    taken->hand = hand;
    return own_take(hub);
}
