/* Keys, tokens and guesses.
 *
 * A page shows a key once (from the join code), and gets a token that is kept hashed. Keys and tokens are too long to be
 * guessed. The helm's number is not: guesses at it are slowed for everybody at once, because a guesser on the boat's network
 * can change its address.
 *
 * A fence, not a wall: whoever reads the boat's Wi-Fi reads keys and tokens too, unless --tls is on.
 */
#ifndef STERNBOARD_HUB_KEYS_H
#define STERNBOARD_HUB_KEYS_H

#include "hub.h"
#include "limit.h"

#define TOKEN_CHARS 32 /* 128 random bits in hex */

/* After a wrong guess the next is looked at only after a while: 1 s, doubled up to 60 s; ten quiet minutes forgive all. */
struct guard {
    int64_t open_ms, wait_ms; /* boot clock */
};
bool guard_open(const struct guard *, int64_t boot_ms);
void guard_wrong(struct guard *, int64_t boot_ms);
void guard_right(struct guard *);

struct devices {
    struct hub_device row[LIMIT_DEVICES];
    int32_t count, last_number;
    bool changed;
};

/* The index of a token's device; -1: none. */
int32_t devices_find(const struct devices *, const char *token);
/* A device for a token just made; its number is free and not `taken`. Over LIMIT_DEVICES the one longest unused is forgotten, the
 * guests' first: their key is shown to strangers, who must not push the crew off. */
struct hub_device *devices_add(struct devices *, const char *token, enum source, int32_t taken);
/* The token was shown. Written down once a day at most: the file is not worth a write at every hello. */
void devices_used(struct devices *, struct hub_device *, int64_t utc_ms);

#endif
