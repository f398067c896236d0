/* Makes a log as long as one likes, out of a real one told over and over, through the log's own code.
 *
 *   trip ROWS.jsonl DIR ENTRIES TRIPS      ROWS.jsonl: one entry of a log a line, of one trip
 *
 * Each time round every sender is another one, so every identity is new, what entries say of one another stays so, and time goes
 * on from where the last round ended. The kinds are mixed as they were that day. Each trip has as many entries; what would begin or
 * end one within it is written as refused, so that no sender's numbers have a hole. `sternboard verify` finds nothing wrong.
 */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "chain.h"
#include "log/folder.h"
#include "log/log.h"
#include "proto_json.h"

#define ROWS_MAX  8192
#define BATCH     1024
#define LINE_MAX_ (64 * 1024)

struct maker {
    struct log *log;
    struct entry *given;
    size_t given_count;
    int64_t seq, base_ms;
    uint64_t round;
    uint8_t chain[CHAIN_LEN];
    struct log_row rows[BATCH];
    size_t row_count;
};

static void die(const char *why)
{
    (void)fprintf(stderr, "trip: %s\n", why);
    exit(70);
}

static void *sure(void *memory)
{
    if (!memory)
        die("no memory");
    return memory;
}

static void read_rows(struct maker *maker, const char *path)
{
    static char line[LINE_MAX_];
    struct proto_error error = {0};
    FILE *in = fopen(path, "r");
    if (!in)
        die(path);
    maker->given = sure(calloc(ROWS_MAX, sizeof *maker->given));
    while (fgets(line, sizeof line, in) && maker->given_count < ROWS_MAX)
        if (!entry_read(line, strcspn(line, "\n"), &maker->given[maker->given_count++], &error))
            die(error.words);
    (void)fclose(in);
}

/* Another sender in each round, but for 0, which is none. */
static void move_id(const struct maker *maker, struct entry_id *id)
{
    if (id->n != 0)
        id->sender ^= maker->round * 0x9e3779b97f4a7c15u;
}

static void move(struct maker *maker, struct entry *entry)
{
    const struct kind_info *info = kind_info(entry->kind);
    move_id(maker, &entry->id);
    move_id(maker, &entry->instead_of);
    for (int32_t i = 0; i < info->id_count; i++) {
        struct entry_id id;
        char *at = (char *)&entry->body + info->ids[i];
        memcpy(&id, at, sizeof id);
        move_id(maker, &id);
        memcpy(at, &id, sizeof id);
    }
    entry->seq = ++maker->seq;
    entry->at_ms += maker->base_ms;
    entry->got_ms += maker->base_ms;
}

static void flush(struct maker *maker)
{
    struct msg why = {""};
    if (log_append(maker->log, maker->rows, maker->row_count, &why) != ERR_NONE)
        die(why.text);
    for (size_t i = 0; i < maker->row_count; i++)
        free((char *)(uintptr_t)maker->rows[i].text);
    maker->row_count = 0;
}

static void add(struct maker *maker, struct entry *entry)
{
    struct json_out text = {0};
    move(maker, entry);
    entry_encode(entry, &text);
    chain_next(maker->chain, text.text, text.len, maker->chain);
    struct log_row *row = &maker->rows[maker->row_count++];
    *row = (struct log_row){.seq = entry->seq,
                            .id = entry->id,
                            .kind = entry->kind,
                            .at_ms = entry->at_ms,
                            .got_ms = entry->got_ms,
                            .text = text.text,
                            .len = (int32_t)text.len};
    memcpy(row->chain, maker->chain, CHAIN_LEN);
    if (maker->row_count == BATCH)
        flush(maker);
}

static bool is_bound(const struct entry *entry)
{
    return entry->refused[0] == '\0' && (entry->kind == KIND_TRIP_STARTED || entry->kind == KIND_TRIP_ENDED);
}

/* The first of the rows that starts a trip starts this one; the rows before it still count to the trip before. */
static void add_trip(struct maker *maker, size_t entries)
{
    static struct entry entry;
    const int64_t span_ms = maker->given[maker->given_count - 1].got_ms + 60000;
    bool started = false;
    for (size_t i = 0, made = 0; made < entries; i++, made++) {
        if (i == maker->given_count) {
            i = 0;
            maker->round++;
            maker->base_ms += span_ms;
        }
        entry = maker->given[i];
        if (is_bound(&entry) && (started || entry.kind == KIND_TRIP_ENDED))
            (void)snprintf(entry.refused, sizeof entry.refused, "%s", refusal_code_name(REFUSAL_NOT_ALLOWED));
        started = started || is_bound(&entry);
        add(maker, &entry);
    }
    maker->round++;
    maker->base_ms += span_ms;
}

int main(int argc, char **argv)
{
    static struct maker maker;
    struct log_open_info info;
    struct msg why = {""};
    if (argc != 5)
        return 64;
    const size_t entries = (size_t)strtoul(argv[3], NULL, 10), trips = (size_t)strtoul(argv[4], NULL, 10);
    if (trips == 0 || entries < trips)
        return 64;
    read_rows(&maker, argv[1]);
    if (log_open(&maker.log, argv[2], &info, &why) != ERR_NONE)
        die(why.text);
    if (!info.made)
        die("there is a log already");
    memcpy(maker.chain, info.chain, CHAIN_LEN);
    for (size_t trip = 0; trip < trips; trip++)
        add_trip(&maker, entries / trips);
    flush(&maker);
    log_close(maker.log);
    free(maker.given);
    return 0;
}
