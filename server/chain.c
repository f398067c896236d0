#include "chain.h"

#include <inttypes.h>
#include <stdio.h>

#include "hash.h"

_Static_assert(CHAIN_LEN == HASH_BYTES, "a chain is a hash");

void chain_start(uint64_t chain_id, uint8_t out[CHAIN_LEN])
{
    char text[32];
    int len = snprintf(text, sizeof text, "sternboard%016" PRIx64, chain_id);
    hash_bytes(text, (size_t)len, out);
}

void chain_next(const uint8_t before[CHAIN_LEN], const char *text, size_t len, uint8_t out[CHAIN_LEN])
{
    hash_pair(before, CHAIN_LEN, text, len, out);
}
