#include "read_back.h"

#include <inttypes.h>
#include <stdlib.h>

#include "board/check.h"
#include "log/log.h"
#include "proto_json.h"

struct reading {
    struct debrief *debrief;
    struct entry *entry; /* room for one: large */
    enum err err;
    struct msg *why;
};

static bool take_line(void *context, const struct log_line *line)
{
    struct reading *reading = context;
    struct proto_error error = {0};
    if (!entry_read(line->text, (size_t)line->len, reading->entry, &error))
        reading->err =
            err_set(reading->why, ERR_DATA, "Row %" PRId64 " of the log cannot be read: %s", line->seq, error.words);
    else
        reading->err = debrief_take(reading->debrief, reading->entry, reading->why);
    return reading->err == ERR_NONE;
}

static enum err read_all(struct log *log, struct reading *reading)
{
    enum err err = log_read(log, 1, take_line, reading, reading->why);
    if (err == ERR_NONE)
        err = reading->err;
    return err == ERR_NONE ? debrief_finish(reading->debrief, reading->why) : err;
}

enum err read_back(const char *path, const struct debrief_choice *choice, struct debrief **out, struct msg *why)
{
    struct log_open_info info;
    struct log *log = NULL;
    enum err err = log_open_read(&log, path, &info, why);
    if (err != ERR_NONE)
        return err;
    struct debrief_choice filled = *choice;
    filled.log_id = info.log_id;
    filled.version = STERNBOARD_VERSION;
    struct reading reading = {.debrief = debrief_new(&filled), .entry = calloc(1, sizeof(struct entry)), .why = why};
    CHECK(reading.entry);
    err = read_all(log, &reading);
    log_close(log);
    free(reading.entry);
    if (err == ERR_NONE)
        *out = reading.debrief;
    else
        debrief_free(reading.debrief);
    return err;
}
