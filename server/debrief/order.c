#include "debrief/order.h"

#include <stdlib.h>
#include <string.h>

#include "debrief/grow.h"

/* What a row is sorted by. at_ms is the row's own time or, where that is earlier, that of what it names; steps counts how many
 * names away the entry is that gave the time. */
struct sorted {
    int64_t at_ms;
    uint64_t sender;
    int32_t n, steps, index;
    enum lane lane;
};

static int compared(int64_t a, int64_t b)
{
    return (a > b) - (a < b);
}

static int by_time(const void *left, const void *right)
{
    const struct sorted *a = left, *b = right;
    int order = compared(a->at_ms, b->at_ms);
    order = order != 0 ? order : compared(a->steps, b->steps);
    order = order != 0 ? order : (a->sender > b->sender) - (a->sender < b->sender);
    order = order != 0 ? order : compared((int64_t)a->lane, (int64_t)b->lane);
    return order != 0 ? order : compared(a->n, b->n);
}

/* An entry names only what was in the log before it, so what it names has its place already. */
static void follow(const struct journal *j, struct sorted *all, int32_t index, struct entry_id id)
{
    struct sorted *row = &all[index];
    int32_t named = id.n == 0 ? -1 : journal_find(j, id);
    if (named < 0 || named >= index)
        return;
    const struct sorted *other = &all[named];
    if (other->at_ms > row->at_ms || (other->at_ms == row->at_ms && other->steps >= row->steps)) {
        row->at_ms = other->at_ms;
        row->steps = other->steps + 1;
    }
}

static void place(const struct journal *j, struct sorted *all, int32_t index)
{
    struct entry e;
    journal_effective(j, index, &e);
    all[index] =
        (struct sorted){.at_ms = e.at_ms, .sender = e.id.sender, .n = e.id.n, .index = index, .lane = e.id.lane};
    const struct kind_info *info = kind_info(e.kind);
    for (int32_t i = 0; i < info->id_count; i++) {
        struct entry_id id;
        memcpy(&id, (const char *)&e.body + info->ids[i], sizeof id);
        follow(j, all, index, id);
    }
    follow(j, all, index, e.instead_of);
}

int32_t *order_make(const struct journal *j)
{
    struct sorted *all = zeroed((size_t)j->count, sizeof *all);
    int32_t *order = zeroed((size_t)j->count, sizeof *order);
    for (int32_t i = 0; i < j->count; i++)
        place(j, all, i);
    if (j->count > 1)
        qsort(all + 1, (size_t)j->count - 1, sizeof *all, by_time);
    for (int32_t i = 0; i < j->count; i++)
        order[i] = all[i].index;
    free(all);
    return order;
}
