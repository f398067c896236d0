#include "debrief/texts.h"

#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "debrief/grow.h"

enum { SLOTS_FIRST = 64 };

/* FNV-1a (Fowler, Noll, Vo; RFC 9923). */
static uint32_t hash_of(const char *text)
{
    uint32_t hash = 2166136261u;
    for (; *text; text++)
        hash = (hash ^ (unsigned char)*text) * 16777619u;
    return hash;
}

/* The slot that holds the text, or the free one where it belongs. */
static int32_t slot_of(const struct texts *texts, const char *text)
{
    uint32_t mask = (uint32_t)texts->slot_count - 1;
    uint32_t slot = hash_of(text) & mask;
    while (texts->slots[slot] >= 0 && strcmp(texts->kept.items[texts->slots[slot]], text) != 0)
        slot = (slot + 1) & mask;
    return (int32_t)slot;
}

static void lay_out(struct texts *texts, int32_t slot_count)
{
    free(texts->slots);
    texts->slot_count = slot_count;
    texts->slots = zeroed((size_t)slot_count, sizeof *texts->slots);
    for (int32_t i = 0; i < slot_count; i++)
        texts->slots[i] = -1;
    for (int32_t i = 0; i < texts->kept.count; i++)
        texts->slots[slot_of(texts, texts->kept.items[i])] = i;
}

void texts_open(struct texts *texts)
{
    memset(texts, 0, sizeof *texts);
    lay_out(texts, SLOTS_FIRST);
    CHECK(texts_number(texts, "") == 0);
}

void texts_release(struct texts *texts)
{
    for (int32_t i = 0; i < texts->kept.count; i++)
        free(texts->kept.items[i]);
    free(texts->kept.items);
    free(texts->slots);
    memset(texts, 0, sizeof *texts);
}

int32_t texts_number(struct texts *texts, const char *text)
{
    int32_t slot = slot_of(texts, text);
    if (texts->slots[slot] >= 0)
        return texts->slots[slot];
    if (texts->kept.count * 2 >= texts->slot_count) {
        lay_out(texts, texts->slot_count * 2);
        slot = slot_of(texts, text);
    }
    char *copy = strdup(text);
    CHECK(copy);
    texts->slots[slot] = texts->kept.count;
    *GROW(texts->kept) = copy;
    return texts->slots[slot];
}

const char *texts_get(const struct texts *texts, int32_t number)
{
    CHECK(number >= 0 && number < texts->kept.count);
    return texts->kept.items[number];
}
