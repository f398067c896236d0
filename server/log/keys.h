/* The keys: who may join, and which devices have. DIR/keys, a small text file of its own, 0600, apart from the log so
 * that no dump, backup or debrief ever reads it.
 *
 *   sternboard keys 1
 *   crew 7Q2M0ZK8T3V5XJ4N6R9WBYCDEF          26 letters of Crockford's base 32: 130 random bits
 *   guest ...
 *   helm 0417                                taken with this number before the trip starts
 *   device 12 crew 1767225600000 <64 hex>    number, source, last used (UTC ms, 0: not known), token's SHA-256
 *   end
 *
 * Nothing malformed is tolerated: half a file of keys could lock a crew out, or let somebody in. Tokens are kept as
 * hashes only; the two keys are in plain text, for the join codes must be shown again at every start.
 */
#ifndef STERNBOARD_LOG_KEYS_H
#define STERNBOARD_LOG_KEYS_H

#include <stdbool.h>
#include <stdint.h>

#include "err.h"
#include "limit.h"
#include "proto.h"

#define KEYS_KEY_LEN  26
#define KEYS_HELM_LEN 4

#define KEYS_FILE_NAME "keys"

struct keys_device {
    uint8_t hash[32];
    int32_t number; /* 1..4095, each once */
    enum source from;
    int64_t used_utc_ms;
};

/* The strings are ended by NUL and have the room the hub's seed has. */
struct keys {
    char crew[64], guest[64], helm[9];
    int32_t device_count;
    struct keys_device devices[LIMIT_DEVICES];
};

/* Reads DIR/keys, or makes and saves new keys when there is no such file; *made says so. ERR_DATA: damaged.
 * ERR_CANNOT_MAKE, ERR_IO: it cannot be read or written. */
enum err keys_open(const char *dir, struct keys *keys, bool *made, struct msg *why) MUST_CHECK;

/* Replaces DIR/keys as a whole; after a failure the old file stands. ERR_IO. */
enum err keys_save(const char *dir, const struct keys *keys, struct msg *why) MUST_CHECK;

#endif
