#include "senders.h"

#include <stdlib.h>
#include <string.h>

#include "limit.h"
#include "must.h"

#define SENDERS_FIRST  64
#define SENDERS_FORGET (LIMIT_SENDERS / 16)

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

/* Moves every sender used after `oldest` into a table of max slots. */
static void rebuild(struct senders *senders, int32_t max, uint32_t oldest)
{
    struct sender *old = senders->slot;
    int32_t old_max = senders->max;
    senders->slot = must(calloc((size_t)max, sizeof *senders->slot));
    senders->max = max;
    senders->count = 0;
    for (int32_t i = 0; i < old_max; i++) {
        if (old[i].id == 0 || old[i].used <= oldest)
            continue;
        *slot_of(senders, old[i].id) = old[i];
        senders->count++;
    }
    free(old);
}

static int older_first(const void *one, const void *two)
{
    uint32_t a = *(const uint32_t *)one, b = *(const uint32_t *)two;
    return (a > b) - (a < b);
}

/* Stamps are all different, so forgetting up to the n-th oldest forgets n. */
static void forget_oldest(struct senders *senders)
{
    uint32_t *used = must(malloc((size_t)senders->count * sizeof *used));
    int32_t count = 0;
    for (int32_t i = 0; i < senders->max; i++)
        if (senders->slot[i].id != 0)
            used[count++] = senders->slot[i].used;
    qsort(used, (size_t)count, sizeof *used, older_first);
    uint32_t oldest = used[SENDERS_FORGET - 1];
    free(used);
    rebuild(senders, senders->max, oldest);
}

/* Room for one more, with a quarter of the slots free for short searches. */
static void make_room(struct senders *senders)
{
    if (senders->count >= LIMIT_SENDERS)
        forget_oldest(senders);
    else if (senders->count >= senders->max / 4 * 3)
        rebuild(senders, senders->max * 2, 0);
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

struct sender *senders_find(struct senders *senders, uint64_t id)
{
    CHECK(id != 0);
    struct sender *sender = slot_of(senders, id);
    if (sender->id == 0)
        return NULL;
    sender->used = ++senders->stamp;
    return sender;
}

struct sender *senders_get(struct senders *senders, uint64_t id)
{
    struct sender *sender = senders_find(senders, id);
    if (sender)
        return sender;
    make_room(senders);
    sender = slot_of(senders, id);
    *sender = (struct sender){.id = id, .used = ++senders->stamp};
    senders->count++;
    return sender;
}

int32_t senders_top(struct senders *senders, uint64_t id, enum lane lane)
{
    const struct sender *sender = senders_find(senders, id);
    return sender ? sender->top[lane] : 0;
}

void senders_raise(struct senders *senders, uint64_t id, enum lane lane, int32_t top)
{
    struct sender *sender = senders_get(senders, id);
    CHECK(top > sender->top[lane]);
    sender->top[lane] = top;
    sender->gap_since[lane] = 0;
    sender->name_since[lane] = 0;
    sender->waited_out[lane] = false;
}

int64_t senders_waited_ms(uint32_t *since, int64_t boot_ms)
{
    uint32_t now = (uint32_t)boot_ms;
    if (*since == 0) {
        *since = now == 0 ? 1 : now;
        return 0;
    }
    return (int32_t)(now - *since);
}

void senders_check(const struct senders *senders)
{
    int32_t count = 0;
    for (int32_t i = 0; i < senders->max; i++) {
        const struct sender *sender = &senders->slot[i];
        if (sender->id == 0)
            continue;
        count++;
        CHECK(slot_of(senders, sender->id) == sender);
        CHECK(sender->top[LANE_ORDINARY] >= 0 && sender->top[LANE_EMERGENCY] >= 0);
    }
    CHECK(count == senders->count && count <= LIMIT_SENDERS && count < senders->max);
}
