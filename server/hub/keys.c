#include "keys.h"

#include <openssl/crypto.h>
#include <string.h>

#include "board/check.h"
#include "hash.h"

#define GUARD_FIRST_MS   1000
#define GUARD_MOST_MS    60000
#define GUARD_FORGIVE_MS 600000
#define DEVICE_MAX       4095
#define DAY_MS           86400000

bool guard_open(const struct guard *guard, int64_t boot_ms)
{
    return boot_ms >= guard->open_ms;
}

void guard_wrong(struct guard *guard, int64_t boot_ms)
{
    bool forgiven = boot_ms - guard->open_ms > GUARD_FORGIVE_MS;
    int64_t next_ms = guard->wait_ms == 0 || forgiven ? GUARD_FIRST_MS : guard->wait_ms * 2;
    guard->wait_ms = next_ms < GUARD_MOST_MS ? next_ms : GUARD_MOST_MS;
    guard->open_ms = boot_ms + guard->wait_ms;
}

void guard_right(struct guard *guard)
{
    *guard = (struct guard){0};
}

int32_t devices_find(const struct devices *devices, const char *token)
{
    uint8_t hash[32];
    int32_t found = -1;
    if (strlen(token) != TOKEN_CHARS)
        return -1;
    hash_bytes(token, TOKEN_CHARS, hash);
    for (int32_t i = 0; i < devices->count; i++)
        if (CRYPTO_memcmp(devices->row[i].hash, hash, sizeof hash) == 0)
            found = i;
    return found;
}

static bool number_free(const struct devices *devices, int32_t number)
{
    for (int32_t i = 0; i < devices->count; i++)
        if (devices->row[i].number == number)
            return false;
    return true;
}

/* Numbers go round, so that one given up is not soon another's in the same trip. */
static int32_t next_number(struct devices *devices, int32_t taken)
{
    do
        devices->last_number = devices->last_number % DEVICE_MAX + 1;
    while (devices->last_number == taken || !number_free(devices, devices->last_number));
    return devices->last_number;
}

static bool goes_before(const struct hub_device *one, const struct hub_device *other)
{
    if (one->from != other->from)
        return one->from < other->from;
    return one->used_utc_ms < other->used_utc_ms;
}

static struct hub_device *longest_unused(struct devices *devices, int32_t taken)
{
    struct hub_device *oldest = NULL;
    for (int32_t i = 0; i < devices->count; i++) {
        struct hub_device *device = &devices->row[i];
        if (device->number != taken && (oldest == NULL || goes_before(device, oldest)))
            oldest = device;
    }
    CHECK(oldest != NULL);
    return oldest;
}

struct hub_device *devices_add(struct devices *devices, const char *token, enum source from, int32_t taken)
{
    int32_t number = next_number(devices, taken);
    struct hub_device *device =
        devices->count < LIMIT_DEVICES ? &devices->row[devices->count++] : longest_unused(devices, taken);
    *device = (struct hub_device){.number = number, .from = from};
    hash_bytes(token, strlen(token), device->hash);
    devices->changed = true;
    return device;
}

void devices_used(struct devices *devices, struct hub_device *device, int64_t utc_ms)
{
    if (utc_ms < device->used_utc_ms + DAY_MS)
        return;
    device->used_utc_ms = utc_ms;
    devices->changed = true;
}
