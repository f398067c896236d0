#include "follow.h"

#include <string.h>

#include "fish.h"
#include "own.h"
#include "take.h"
#include "watch.h"

struct kept_hurts {
    struct body_hurt_kept one[BOARD_HURTS_MAX];
    int32_t count;
};

static void name_of(const struct board *board, const struct board_hurt *hurt, char name[sizeof hurt->name])
{
    memcpy(name, hurt->name, sizeof hurt->name);
    for (int32_t i = 0; i < BOARD_HANDS_MAX; i++) {
        if (hurt->hand != 0 && board->hands[i].id == hurt->hand)
            memcpy(name, board->hands[i].name, sizeof hurt->name);
    }
}

/* Those whose report may still be asked for. For an injury that first aid was enough for none is (33 CFR 173.55); one of which
 * nothing was said may turn out to be worse. */
static void keep_hurts(const struct hub *hub, struct kept_hurts *kept)
{
    kept->count = 0;
    for (int32_t i = 0; i < BOARD_HURTS_MAX; i++) {
        const struct board_hurt *hurt = &hub->board.hurts[i];
        bool runs = hurt->how != HURT_HOW_FIRST_AID && hub->log_ms - hurt->since_ms < LIMIT_REPORT_MS;
        if (hurt->id.n == 0 || !runs)
            continue;
        struct body_hurt_kept *one = &kept->one[kept->count++];
        *one = (struct body_hurt_kept){.hurt = hurt->id, .since_ms = hurt->since_ms, .how = hurt->how};
        name_of(&hub->board, hurt, one->who);
    }
}

static void note_hurts(struct hub *hub, const struct kept_hurts *kept)
{
    for (int32_t i = 0; i < kept->count; i++) {
        own_begin(hub, KIND_HURT_KEPT)->hurt_kept = kept->one[i];
        (void)own_take(hub);
    }
}

enum outcome follow_take(struct hub *hub, struct entry *entry, bool rings)
{
    const struct board_helm helm = hub->board.helm;
    struct kept_hurts hurts;
    keep_hurts(hub, &hurts);
    if (entry->kind == KIND_TRIP_STARTED && entry->refused[0] == '\0')
        fish_look_back(hub);
    enum outcome outcome = take(hub, entry, rings);
    if (entry->refused[0] != '\0' || outcome == OUTCOME_MOOT)
        return outcome;
    if (entry->kind == KIND_PAGE_HAND)
        watch_hand(hub, entry->id.sender, entry->body.page_hand.hand);
    if (entry->kind == KIND_TRIP_STARTED) {
        own_run(hub, false, false);
        own_clock(hub);
        fish_note(hub);
        watch_all(hub);
        if (helm.device != 0)
            (void)own_helm(hub, helm.page, helm.device, helm.hand);
        note_hurts(hub, &hurts);
    }
    return outcome;
}
