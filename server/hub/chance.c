#include "chance.h"

/* The splitmix64 generator (Steele, Lea, Flood 2014). Good enough to repeat a test; never used for a token that counts. */
static uint64_t next(struct chance *chance)
{
    uint64_t x = chance->seed += 0x9e3779b97f4a7c15ULL;
    x = (x ^ (x >> 30)) * 0xbf58476d1ce4e5b9ULL;
    x = (x ^ (x >> 27)) * 0x94d049bb133111ebULL;
    return x ^ (x >> 31);
}

void chance_bytes(struct chance *chance, void *bytes, size_t len)
{
    if (chance->seed == 0) {
        chance->fill(bytes, len);
        return;
    }
    for (size_t i = 0; i < len; i++)
        ((uint8_t *)bytes)[i] = (uint8_t)next(chance);
}
