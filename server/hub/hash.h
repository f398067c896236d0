/* SHA-256 (FIPS 180-4) as the hub uses it: bodies, tokens, digests of the board, the chain through the log. */
#ifndef STERNBOARD_HUB_HASH_H
#define STERNBOARD_HUB_HASH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define HASH_BYTES 32

void hash_bytes(const void *bytes, size_t len, uint8_t out[HASH_BYTES]);

/* Over one and two, one after the other. */
void hash_pair(const void *one, size_t one_len, const void *two, size_t two_len, uint8_t out[HASH_BYTES]);

/* The chain value that stands before row 1 of a log: over "sternboard" and the log's id in 16 hex digits. */
void hash_log_start(uint64_t log_id, uint8_t out[HASH_BYTES]);

/* count bytes as 2 * count lower-case hex digits and a NUL. */
void hash_hex(const uint8_t *bytes, size_t count, char *out);

/* Whether two texts are the same, in a time that says nothing about where they differ. */
bool hash_same_text(const char *one, const char *two);

#endif
