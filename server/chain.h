/* The chain: a hash on every row that covers all rows before it.
 *
 *   chain(0) = SHA-256("sternboard" || the log's chain_id (log/format.h) as 16 lower-case hex digits)
 *   chain(n) = SHA-256(chain(n-1) || text of row n)                       SHA-256: FIPS 180-4
 *
 * Whoever changes, drops or swaps a row breaks the chain behind it, unless all later rows are hashed anew; that shows
 * too, for screens and backups remember (log id, seq, chain). It finds mishaps and clumsy hands. It is no signature.
 */
#ifndef STERNBOARD_CHAIN_H
#define STERNBOARD_CHAIN_H

#include <stddef.h>
#include <stdint.h>

#define CHAIN_LEN 32

/* What stands before row 1. */
void chain_start(uint64_t chain_id, uint8_t out[CHAIN_LEN]);

/* The chain of the row whose text is len bytes and before which stands before. out may be before itself. */
void chain_next(const uint8_t before[CHAIN_LEN], const char *text, size_t len, uint8_t out[CHAIN_LEN]);

#endif
