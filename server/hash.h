/* SHA-256 (FIPS 180-4): of bodies, tokens, the board, and the chain through the log (chain.h). */
#ifndef STERNBOARD_HASH_H
#define STERNBOARD_HASH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define HASH_BYTES 32

void hash_bytes(const void *bytes, size_t len, uint8_t out[HASH_BYTES]);

/* Over one and two, one after the other. */
void hash_pair(const void *one, size_t one_len, const void *two, size_t two_len, uint8_t out[HASH_BYTES]);

/* count bytes as 2 * count lower-case hex digits and a NUL. */
void hash_hex(const uint8_t *bytes, size_t count, char *out);

/* Whether two texts are the same, in a time that says nothing about where they differ. */
bool hash_same_text(const char *one, const char *two);

#endif
