/* Makes a log of entries that stand on standard input, one a line, as JSON: for logs that a test writes by hand, or makes up by the
 * million.
 *
 *     log_of_lines DIR < entries.jsonl
 *
 * Each line is an entry as the log keeps it; keys may stand in any order, and the seq must be the line's number. They are appended
 * by log_append() itself, so the log is one that the program would have written.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "codec.h"
#include "log/log.h"
#include "proto_json.h"
#include "reader.h"

enum { BATCH = 1000 };

struct batch {
    struct log *log;
    struct log_row rows[BATCH];
    size_t count;
    uint8_t chain[CHAIN_LEN];
};

static _Noreturn void give_up(int64_t line, const char *words)
{
    (void)fprintf(stderr, "log_of_lines: line %lld: %s\n", (long long)line, words);
    exit(1);
}

static void write_batch(struct batch *batch, int64_t line)
{
    struct msg why;
    if (log_append(batch->log, batch->rows, batch->count, &why) != ERR_NONE)
        give_up(line, why.text);
    for (size_t i = 0; i < batch->count; i++)
        free((void *)(uintptr_t)batch->rows[i].text);
    batch->count = 0;
}

static void add_line(struct batch *batch, struct entry *entry, const char *text, size_t len, int64_t line)
{
    struct proto_error error = {0};
    cJSON *json = json_read(text, len, &error);
    if (!json || !entry_from_json(json, entry, &error))
        give_up(line, error.words);
    cJSON_Delete(json);
    json = entry_to_json(entry);
    char *canonical = json_text(json);
    cJSON_Delete(json);
    struct log_row *row = &batch->rows[batch->count++];
    *row = (struct log_row){.seq = entry->seq, .text = canonical, .len = (int32_t)strlen(canonical)};
    chain_next(batch->chain, canonical, strlen(canonical), batch->chain);
    memcpy(row->chain, batch->chain, CHAIN_LEN);
    if (batch->count == BATCH)
        write_batch(batch, line);
}

int main(int argc, char *argv[])
{
    struct log_open_info info;
    struct msg why;
    char *text = NULL;
    size_t room = 0;
    ssize_t len;
    int64_t line = 0;
    if (argc != 2)
        return 64;
    struct batch *batch = json_sure(calloc(1, sizeof *batch));
    struct entry *entry = json_sure(calloc(1, sizeof *entry));
    if (log_open(&batch->log, argv[1], &info, &why) != ERR_NONE)
        give_up(0, why.text);
    memcpy(batch->chain, info.chain, CHAIN_LEN);
    while ((len = getline(&text, &room, stdin)) > 0)
        add_line(batch, entry, text, (size_t)len, ++line);
    write_batch(batch, line);
    log_close(batch->log);
    free(text);
    free(entry);
    free(batch);
    return 0;
}
