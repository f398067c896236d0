/* The log and the board for HTTP: the debrief reads the trip a page at a time, and the board as it was at any entry. */
#include <stdlib.h>
#include <string.h>

#include "encode.h"
#include "hub_internal.h"

/* Rows in one answer, whatever was asked for. */
#define READS_ROWS_MAX 1000

enum source hub_token_source(const struct hub *hub, const char *token)
{
    int32_t index = devices_find(&hub->devices, token);
    return index < 0 ? SOURCE_ANYONE : hub->devices.row[index].from;
}

static void add(cJSON *object, const char *name, cJSON *value)
{
    CHECK(cJSON_AddItemToObject(object, name, must(value)));
}

static void add_id(cJSON *object, const char *name, struct entry_id id)
{
    struct msg_preview shape = {.target = id};
    cJSON *json = msg_preview_to_json(&shape);
    add(object, name, cJSON_DetachItemFromObjectCaseSensitive(json, "target"));
    cJSON_Delete(json);
}

/* Its own text, to stand in another. */
static cJSON *entry_raw(const struct entry *entry)
{
    struct json_out text = {0};
    entry_encode(entry, &text);
    cJSON *json = must(cJSON_CreateRaw(json_out_end(&text)));
    json_out_release(&text);
    return json;
}

static cJSON *row_json(struct hub *hub, int32_t index)
{
    const struct journal_row *row = journal_row(&hub->journal, index);
    cJSON *json = must(cJSON_CreateObject());
    journal_entry(&hub->journal, index, &hub->old_entry);
    add(json, "entry", entry_raw(&hub->old_entry));
    add(json, "outcome", cJSON_CreateString(row->outcome == OUTCOME_DONE ? "done" : "moot"));
    if (row->replaced_by >= 0)
        add_id(json, "replaced_by", journal_row(&hub->journal, row->replaced_by)->id);
    add(json, "voided", cJSON_CreateBool(row->voided));
    return json;
}

char *hub_log_json(struct hub *hub, int64_t from_seq, int32_t max)
{
    cJSON *json = must(cJSON_CreateObject());
    cJSON *rows = must(cJSON_CreateArray());
    struct log_mark mark = {.log_id = hub->seed.log_id};
    cJSON *id = log_mark_to_json(&mark);
    int32_t first = journal_find_seq(&hub->journal, from_seq - 1) + 1;
    int32_t most = max < 0 ? 0 : max < READS_ROWS_MAX ? max : READS_ROWS_MAX;
    for (int32_t i = first; i < hub->journal.count && i - first < most; i++)
        CHECK(cJSON_AddItemToArray(rows, row_json(hub, i)));
    add(json, "last", cJSON_CreateNumber((double)hub->last_seq));
    add(json, "log_id", cJSON_DetachItemFromObjectCaseSensitive(id, "log_id"));
    add(json, "rows", rows);
    add(json, "saved", cJSON_CreateNumber((double)hub->saved_seq));
    cJSON_Delete(id);
    char *text = json_text(json);
    cJSON_Delete(json);
    return text;
}

char *hub_board_json(struct hub *hub, int64_t at_seq)
{
    int32_t index = journal_find_seq(&hub->journal, at_seq);
    if (index < 0 || at_seq > hub->last_seq)
        return NULL;
    journal_at(&hub->journal, &hub->dry, index + 1);
    struct json_out text = {0};
    board_encode(&hub->dry, &text);
    (void)json_out_end(&text);
    return text.text;
}
