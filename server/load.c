#include "load.h"

#include <cjson/cJSON.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>

#include "board/check.h"
#include "clock.h"
#include "log/database.h"
#include "proto_json.h"
#include "reader.h"

static void fill(void *bytes, size_t len)
{
    CHECK(len <= 256); /* up to here getrandom() gives all or nothing: getrandom(2) */
    CHECK(getrandom(bytes, len, 0) == (ssize_t)len);
}

static void seed_devices(struct hub *hub, const struct keys *keys)
{
    for (int32_t i = 0; i < keys->device_count; i++) {
        const struct keys_device *kept = &keys->devices[i];
        struct hub_device device = {.number = kept->number, .from = kept->from, .used_utc_ms = kept->used_utc_ms};
        memcpy(device.hash, kept->hash, sizeof device.hash);
        hub_seed_device(hub, &device);
    }
}

void load_keys(struct hub *hub, struct keys *keys)
{
    struct hub_device *devices = calloc(LIMIT_DEVICES, sizeof *devices);
    CHECK(devices);
    keys->device_count = (int32_t)hub_devices(hub, devices, LIMIT_DEVICES);
    for (int32_t i = 0; i < keys->device_count; i++) {
        struct keys_device *kept = &keys->devices[i];
        *kept = (struct keys_device){
            .number = devices[i].number, .from = devices[i].from, .used_utc_ms = devices[i].used_utc_ms};
        memcpy(kept->hash, devices[i].hash, sizeof kept->hash);
    }
    free(devices);
}

static struct hub *make(const struct log_open_info *info, const struct keys *keys)
{
    struct hub_seed seed = {.log_id = info->log_id,
                            .boat_id = info->chain_id,
                            .boot_id = clock_boot_id(),
                            .fill = fill,
                            .version = STERNBOARD_VERSION};
    fill(&seed.run_id, sizeof seed.run_id);
    _Static_assert(sizeof seed.crew_key == sizeof keys->crew && sizeof seed.helm_number == sizeof keys->helm,
                   "the keys fit into the seed");
    memcpy(seed.crew_key, keys->crew, sizeof seed.crew_key);
    memcpy(seed.guest_key, keys->guest, sizeof seed.guest_key);
    memcpy(seed.helm_number, keys->helm, sizeof seed.helm_number);
    return hub_new(&seed);
}

/* What the callbacks of the log write to. */
struct replay {
    struct hub *hub;
    enum err err;
    struct msg *why;
};

static void on_top(void *context, uint64_t sender, enum lane lane, int32_t top)
{
    struct replay *replay = context;
    hub_seed_top(replay->hub, sender, lane, top);
}

/* The row before the first: its chain alone is wanted. */
static bool on_row_before(void *context, const struct log_line *line)
{
    struct replay *replay = context;
    hub_seed_last(replay->hub, line->seq, line->chain);
    return false;
}

static bool on_row(void *context, const struct log_line *line)
{
    struct replay *replay = context;
    struct proto_error error = {0};
    struct entry entry;
    if (!entry_read(line->text, (size_t)line->len, &entry, &error))
        replay->err = err_set(replay->why, ERR_DATA, "Entry %lld of the log cannot be read (%s). " DATABASE_MEND,
                              (long long)line->seq, error.words);
    else if (entry.seq != line->seq || !hub_replay(replay->hub, &entry, line->chain))
        replay->err = err_set(replay->why, ERR_DATA, "Entry %lld of the log cannot stand there. " DATABASE_MEND,
                              (long long)line->seq);
    return replay->err == ERR_NONE;
}

enum err load_log(struct log *log, uint64_t chain_id, struct hub *hub, struct msg *why)
{
    struct replay replay = {.hub = hub, .why = why};
    int64_t trip_seq = 0;
    uint8_t chain[CHAIN_LEN];
    enum err err = log_tops(log, on_top, &replay, why);
    if (!err)
        err = log_trip_start(log, &trip_seq, why);
    int64_t from_seq = trip_seq > 0 ? trip_seq : 1;
    chain_start(chain_id, chain);
    hub_seed_last(hub, 0, chain);
    if (!err && from_seq > 1)
        err = log_read(log, from_seq - 1, on_row_before, &replay, why);
    if (!err)
        err = log_read(log, from_seq, on_row, &replay, why);
    return err ? err : replay.err;
}

enum err load_hub(struct log *log, const struct log_open_info *info, const struct keys *keys, struct hub_time now,
                  struct hub **out, struct msg *why)
{
    struct hub *hub = make(info, keys);
    seed_devices(hub, keys);
    enum err err = load_log(log, info->chain_id, hub, why);
    if (err) {
        hub_free(hub);
        return err;
    }
    hub_start(hub, now);
    *out = hub;
    return ERR_NONE;
}
