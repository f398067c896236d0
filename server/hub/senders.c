#include "senders.h"

#include <stdlib.h>
#include <string.h>

#include "limit.h"
#include "must.h"

#define SENDERS_FIRST 64
/* Forgetting walks the whole table, so it is done only when it frees this many. */
#define SENDERS_FORGET 1024

/* The finisher of splitmix64 (Steele, Lea, Flood 2014). */
static uint64_t mixed(uint64_t x)
{
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9ULL;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebULL;
    return x ^ (x >> 31);
}

/* The slot that holds id, or the free one where it would go. The table is never full. */
static struct sender *slot_of(const struct senders *senders, uint64_t id)
{
    uint64_t mask = (uint64_t)senders->max - 1;
    uint64_t at = mixed(id ^ senders->secret) & mask;
    while (senders->slot[at].id != 0 && senders->slot[at].id != id)
        at = (at + 1) & mask;
    return &senders->slot[at];
}

static bool has_rows(const struct sender *sender)
{
    return sender->top[LANE_ORDINARY] > 0 || sender->top[LANE_EMERGENCY] > 0;
}

/* Moves the senders into a table of max slots; all of them, or those with rows. */
static void rebuild(struct senders *senders, int32_t max, bool all)
{
    struct sender *old = senders->slot;
    int32_t old_max = senders->max;
    senders->slot = must(calloc((size_t)max, sizeof *senders->slot));
    senders->max = max;
    senders->count = 0;
    for (int32_t i = 0; i < old_max; i++) {
        if (old[i].id == 0 || (!all && !has_rows(&old[i])))
            continue;
        *slot_of(senders, old[i].id) = old[i];
        senders->count++;
    }
    if (!all)
        senders->rowless = 0;
    free(old);
}

void senders_init(struct senders *senders, uint64_t secret)
{
    *senders = (struct senders){.secret = secret, .max = SENDERS_FIRST};
    senders->slot = must(calloc(SENDERS_FIRST, sizeof *senders->slot));
}

void senders_release(struct senders *senders)
{
    free(senders->slot);
    *senders = (struct senders){0};
}

struct sender *senders_find(const struct senders *senders, uint64_t id)
{
    CHECK(id != 0);
    struct sender *sender = slot_of(senders, id);
    return sender->id == 0 ? NULL : sender;
}

bool senders_room(struct senders *senders, uint64_t id, enum room_for who)
{
    static const int32_t reserve[] = {
        [ROOM_FOR_ORDINARY] = LIMIT_SENDERS_RESERVE,
        [ROOM_FOR_STRANGER] = LIMIT_SENDERS_RESERVE / 2,
        [ROOM_FOR_EMERGENCY] = 0,
    };
    int32_t most = LIMIT_SENDERS - reserve[who];
    if (senders_find(senders, id) != NULL)
        return true;
    if (senders->count - senders->seeded >= most && senders->rowless >= SENDERS_FORGET)
        rebuild(senders, senders->max, false);
    return senders->count - senders->seeded < most;
}

/* A quarter of the slots stays free, for short searches. */
struct sender *senders_get(struct senders *senders, uint64_t id)
{
    struct sender *sender = senders_find(senders, id);
    if (sender)
        return sender;
    if (senders->count >= senders->max / 4 * 3)
        rebuild(senders, senders->max * 2, true);
    sender = slot_of(senders, id);
    *sender = (struct sender){.id = id};
    senders->count++;
    senders->rowless++;
    return sender;
}

int32_t senders_top(const struct senders *senders, uint64_t id, enum lane lane)
{
    const struct sender *sender = senders_find(senders, id);
    return sender ? sender->top[lane] : 0;
}

void senders_seed(struct senders *senders, uint64_t id, enum lane lane, int32_t top)
{
    if (senders_find(senders, id) == NULL)
        senders->seeded++;
    senders_raise(senders, id, lane, top);
}

void senders_raise(struct senders *senders, uint64_t id, enum lane lane, int32_t top)
{
    struct sender *sender = senders_get(senders, id);
    CHECK(top > sender->top[lane]);
    senders->rowless -= !has_rows(sender);
    sender->top[lane] = top;
    sender->gap_since[lane] = 0;
    sender->name_since[lane] = 0;
    sender->waited_out[lane] = false;
    if (lane == LANE_EMERGENCY)
        sender->not_now_at = 0;
}

/* 0 stands for never. */
static uint32_t low_bits(int64_t boot_ms)
{
    uint32_t now = (uint32_t)boot_ms;
    return now == 0 ? 1 : now;
}

int64_t senders_waited_ms(uint32_t *since, int64_t boot_ms)
{
    if (*since == 0) {
        *since = low_bits(boot_ms);
        return 0;
    }
    return (int32_t)((uint32_t)boot_ms - *since);
}

void senders_not_now(struct senders *senders, uint64_t id, int64_t boot_ms)
{
    senders_get(senders, id)->not_now_at = low_bits(boot_ms);
}

bool senders_told_not_now(const struct senders *senders, uint64_t id, int64_t boot_ms)
{
    const struct sender *sender = senders_find(senders, id);
    return sender != NULL && sender->not_now_at != 0 && (uint32_t)boot_ms - sender->not_now_at < LIMIT_WAIT_MS;
}

void senders_check(const struct senders *senders)
{
    int32_t count = 0, rowless = 0;
    for (int32_t i = 0; i < senders->max; i++) {
        const struct sender *sender = &senders->slot[i];
        if (sender->id == 0)
            continue;
        count++;
        rowless += !has_rows(sender);
        CHECK(slot_of(senders, sender->id) == sender);
        CHECK(sender->top[LANE_ORDINARY] >= 0 && sender->top[LANE_EMERGENCY] >= 0);
    }
    CHECK(count == senders->count && count < senders->max && rowless == senders->rowless);
    CHECK(senders->seeded <= count);
}
