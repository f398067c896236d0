#include "verify.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "log/database.h"
#include "log/log.h"
#include "proto_json.h"

/* The highest number of a sender's lane so far. */
struct lane_top {
    uint64_t sender;
    enum lane lane;
    int32_t top; /* 0: a free place */
};

struct verify {
    void (*finding)(void *context, const char *line);
    void *context;
    struct verify_sums *sums;
    struct entry *entry; /* room for one: large */
    struct json_out written;
    /* a hash table with open addressing, doubled at half full */
    struct lane_top *tops;
    size_t room;
};

static void found(struct verify *verify, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void found(struct verify *verify, const char *format, ...)
{
    char line[1024];
    va_list args;
    if (verify->sums->findings++ >= VERIFY_FINDINGS_TOLD)
        return;
    va_start(args, format);
    (void)vsnprintf(line, sizeof line, format, args);
    va_end(args);
    verify->finding(verify->context, line);
}

/* ---- numbers of each sender and lane ---- */

/* Where the lane stands or would stand. Senders are random numbers: their low bits are as good as a hash. */
static struct lane_top *place(struct lane_top *tops, size_t room, uint64_t sender, enum lane lane)
{
    size_t at = (size_t)(sender * 2 + lane) & (room - 1);
    while (tops[at].top && (tops[at].sender != sender || tops[at].lane != lane))
        at = (at + 1) & (room - 1);
    return &tops[at];
}

static void grow(struct verify *verify)
{
    size_t room = verify->room ? verify->room * 2 : 1024;
    struct lane_top *tops = calloc(room, sizeof *tops);
    CHECK(tops);
    for (size_t i = 0; i < verify->room; i++)
        if (verify->tops[i].top)
            *place(tops, room, verify->tops[i].sender, verify->tops[i].lane) = verify->tops[i];
    free(verify->tops);
    verify->tops = tops;
    verify->room = room;
}

static void check_number(struct verify *verify, int64_t seq, const struct entry_id *id)
{
    if ((size_t)verify->sums->lanes * 2 >= verify->room)
        grow(verify);
    struct lane_top *top = place(verify->tops, verify->room, id->sender, id->lane);
    if (!top->top)
        verify->sums->lanes++;
    if (id->n != top->top + 1)
        found(verify, "row %" PRId64 ": sender %016" PRIx64 ", lane %s, goes from number %d to %d", seq, id->sender,
              lane_name(id->lane), top->top, id->n);
    *top = (struct lane_top){.sender = id->sender, .lane = id->lane, .top = id->n};
}

/* ---- rows ---- */

static void check_chain(struct verify *verify, const struct log_line *line)
{
    struct verify_sums *sums = verify->sums;
    if (line->seq != sums->last_seq + 1)
        found(verify, "row %" PRId64 " follows row %" PRId64, line->seq, sums->last_seq);
    chain_next(sums->chain, line->text, (size_t)line->len, sums->chain);
    if (memcmp(sums->chain, line->chain, CHAIN_LEN) != 0)
        found(verify, "row %" PRId64 ": the chain breaks", line->seq);
    /* Go on from what is written there, so that one broken row is one finding. */
    memcpy(sums->chain, line->chain, CHAIN_LEN);
    sums->last_seq = line->seq;
}

static bool read_entry(struct verify *verify, const struct log_line *line)
{
    struct proto_error error;
    bool good = entry_read(line->text, (size_t)line->len, verify->entry, &error);
    if (!good)
        found(verify, "row %" PRId64 ": %s %s (%s)", line->seq, error.code, error.at, error.words);
    return good;
}

static bool is_written_back(struct verify *verify, const struct log_line *line)
{
    json_out_reset(&verify->written);
    entry_encode(verify->entry, &verify->written);
    return verify->written.len == (size_t)line->len &&
           memcmp(verify->written.text, line->text, verify->written.len) == 0;
}

static bool check_line(void *context, const struct log_line *line)
{
    struct verify *verify = context;
    struct verify_sums *sums = verify->sums;
    sums->rows++;
    check_chain(verify, line);
    if (!read_entry(verify, line))
        return true;
    const struct entry *entry = verify->entry;
    if (!is_written_back(verify, line))
        found(verify, "row %" PRId64 ": the text is not in its canonical form", line->seq);
    if (entry->seq != line->seq)
        found(verify, "row %" PRId64 ": the text says seq %" PRId64, line->seq, entry->seq);
    check_number(verify, line->seq, &entry->id);
    if (entry->refused[0])
        sums->refused++;
    else if (strcmp(kind_info(entry->kind)->name, "trip_started") == 0)
        sums->trips++;
    return true;
}

static enum err verify_open_log(struct verify *verify, struct log *log, struct msg *why)
{
    struct msg examined;
    enum err err = log_examine(log, &examined);
    if (err == ERR_DATA)
        found(verify, "%s", examined.text);
    else if (err != ERR_NONE)
        return err_set(why, err, "%s", examined.text);
    chain_start(verify->sums->chain_id, verify->sums->chain);
    err = log_read(log, 1, check_line, verify, why);
    if (err == ERR_DATA) {
        found(verify, "%s", why->text);
        err = ERR_NONE;
    }
    return err;
}

enum err verify_log(const char *path, void (*finding)(void *context, const char *line), void *context,
                    struct verify_sums *sums, struct msg *why)
{
    struct log_open_info info;
    struct log *log = NULL;
    struct verify verify = {.finding = finding, .context = context, .sums = sums};
    memset(sums, 0, sizeof *sums);
    enum err err = log_open_read(&log, path, &info, why);
    if (err != ERR_NONE)
        return err;
    sums->log_id = info.log_id;
    sums->chain_id = info.chain_id;
    memcpy(sums->restored, info.restored, sizeof sums->restored);
    verify.entry = calloc(1, sizeof *verify.entry);
    CHECK(verify.entry);
    err = verify_open_log(&verify, log, why);
    free(verify.entry);
    free(verify.tops);
    json_out_release(&verify.written);
    log_close(log);
    if (err == ERR_NONE && sums->findings > 0)
        return err_set(why, ERR_DATA, "The log %s is damaged in %" PRId64 " places. " DATABASE_MEND, path,
                       sums->findings);
    return err;
}
