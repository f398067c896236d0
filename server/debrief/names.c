#include "debrief/names.h"

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
static int32_t slot_of(const struct names *names, const char *text)
{
    uint32_t mask = (uint32_t)names->slot_count - 1;
    uint32_t slot = hash_of(text) & mask;
    while (names->slots[slot] >= 0 && strcmp(names->texts.items[names->slots[slot]], text) != 0)
        slot = (slot + 1) & mask;
    return (int32_t)slot;
}

static void lay_out(struct names *names, int32_t slot_count)
{
    free(names->slots);
    names->slot_count = slot_count;
    names->slots = zeroed((size_t)slot_count, sizeof *names->slots);
    for (int32_t i = 0; i < slot_count; i++)
        names->slots[i] = -1;
    for (int32_t i = 0; i < names->texts.count; i++)
        names->slots[slot_of(names, names->texts.items[i])] = i;
}

void names_open(struct names *names)
{
    memset(names, 0, sizeof *names);
    lay_out(names, SLOTS_FIRST);
    CHECK(names_number(names, "") == 0);
}

void names_release(struct names *names)
{
    for (int32_t i = 0; i < names->texts.count; i++)
        free(names->texts.items[i]);
    free(names->texts.items);
    free(names->slots);
    memset(names, 0, sizeof *names);
}

int32_t names_number(struct names *names, const char *text)
{
    int32_t slot = slot_of(names, text);
    if (names->slots[slot] >= 0)
        return names->slots[slot];
    if (names->texts.count * 2 >= names->slot_count) {
        lay_out(names, names->slot_count * 2);
        slot = slot_of(names, text);
    }
    char *copy = strdup(text);
    CHECK(copy);
    names->slots[slot] = names->texts.count;
    *GROW(names->texts) = copy;
    return names->slots[slot];
}

const char *names_text(const struct names *names, int32_t number)
{
    CHECK(number >= 0 && number < names->texts.count);
    return names->texts.items[number];
}
