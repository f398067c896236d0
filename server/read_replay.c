#include "read_replay.h"

#include <inttypes.h>
#include <stdlib.h>

#include "board/check.h"
#include "fold.h"
#include "log/log.h"
#include "proto_json.h"

struct reading {
    struct replay *replay;
    struct entry *entry; /* room for one: large */
    int64_t taken;
    enum err err;
    struct msg *why;
};

static bool take_line(void *context, const struct log_line *line)
{
    struct reading *reading = context;
    struct proto_error error = {0};
    if (!entry_read(line->text, (size_t)line->len, reading->entry, &error)) {
        reading->err =
            err_set(reading->why, ERR_DATA, "Row %" PRId64 " of the log cannot be read: %s", line->seq, error.words);
        return false;
    }
    if (reading->taken > 0 && fold_begins(reading->entry))
        return false;
    reading->taken++;
    reading->err = replay_take(reading->replay, reading->entry, reading->why);
    return reading->err == ERR_NONE;
}

enum err read_replay(const char *path, int64_t first_seq, const struct without *what, struct replay **out,
                     struct msg *why)
{
    struct log_open_info info;
    struct log *log = NULL;
    enum err err = log_open_read(&log, path, &info, why);
    if (err != ERR_NONE)
        return err;
    struct reading reading = {.replay = replay_new(what), .entry = calloc(1, sizeof(struct entry)), .why = why};
    CHECK(reading.entry);
    err = log_read(log, first_seq, take_line, &reading, why);
    log_close(log);
    free(reading.entry);
    err = err == ERR_NONE ? reading.err : err;
    if (err == ERR_NONE && reading.taken == 0)
        err = err_set(why, ERR_NO_INPUT, "There is no entry %" PRId64 " in this log.", first_seq);
    if (err == ERR_NONE) {
        replay_end(reading.replay);
        *out = reading.replay;
    } else {
        replay_free(reading.replay);
    }
    return err;
}
