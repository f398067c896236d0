#include "replay.h"

#include <stdlib.h>
#include <string.h>
#include <zlib.h>

#include "board/check.h"
#include "board/journal.h"
#include "debrief/changes.h"
#include "encode.h"
#include "proto_json.h"

enum { PAGES_MAX = JOURNAL_MAX / REPLAY_PAGE_ROWS + 1 };

struct replay {
    struct without without;
    struct journal journal;
    struct refold refold;
    struct board before, now;
    struct entry entry;
    struct msg_patch patch;
    struct json_out parts, text;                       /* of one patch */
    cJSON *page;                                       /* under way, NULL: none */
    cJSON *patches;                                    /* its list, borrowed */
    cJSON *begins, *presence, *receipts, *corrections; /* of the head; NULL after the end */
    struct replay_bytes head, pages[PAGES_MAX];
    int32_t page_count;
};

/* ---- JSON ---------------------------------------------------------------------------------------------------------- */

static cJSON *made(cJSON *json)
{
    CHECK(json);
    return json;
}

static void add(cJSON *object, const char *name, cJSON *value)
{
    CHECK(value && cJSON_AddItemToObject(object, name, value));
}

static void add_number(cJSON *object, const char *name, int64_t value)
{
    add(object, name, cJSON_CreateNumber((double)value));
}

static void append(cJSON *list, cJSON *value)
{
    CHECK(value && cJSON_AddItemToArray(list, value));
}

/* zlib's own failures here are want of memory and misuse: both are bugs or the end. */
static struct replay_bytes pack(const char *text)
{
    enum { GZIP = 15 + 16 }; /* window bits, and a gzip head around (zlib.h, deflateInit2) */
    z_stream stream = {0};
    CHECK(deflateInit2(&stream, Z_DEFAULT_COMPRESSION, Z_DEFLATED, GZIP, 8, Z_DEFAULT_STRATEGY) == Z_OK);
    size_t len = strlen(text);
    CHECK(len < UINT32_MAX / 2);
    unsigned long room = deflateBound(&stream, len);
    unsigned char *data = malloc(room);
    CHECK(data);
    stream.next_in = (z_const Bytef *)text;
    stream.avail_in = (uInt)len;
    stream.next_out = data;
    stream.avail_out = (uInt)room;
    CHECK(deflate(&stream, Z_FINISH) == Z_STREAM_END);
    struct replay_bytes bytes = {.len = stream.total_out};
    CHECK(deflateEnd(&stream) == Z_OK);
    bytes.data = realloc(data, bytes.len);
    CHECK(bytes.data);
    return bytes;
}

/* Packs the JSON and frees it. */
static struct replay_bytes pack_json(cJSON *json)
{
    char *text = json_text(json);
    struct replay_bytes bytes = pack(text);
    free(text);
    cJSON_Delete(json);
    return bytes;
}

/* ---- its life ------------------------------------------------------------------------------------------------------ */

struct replay *replay_new(const struct without *what)
{
    struct replay *replay = calloc(1, sizeof *replay);
    CHECK(replay);
    replay->without = *what;
    replay->begins = made(cJSON_CreateArray());
    replay->presence = made(cJSON_CreateArray());
    replay->receipts = made(cJSON_CreateArray());
    replay->corrections = made(cJSON_CreateArray());
    journal_reset(&replay->journal);
    return replay;
}

void replay_free(struct replay *replay)
{
    for (void *chunk = NULL; (chunk = journal_take_back(&replay->journal)) != NULL;)
        free(chunk);
    for (int32_t i = 0; i < replay->page_count; i++)
        free((void *)(uintptr_t)replay->pages[i].data);
    free((void *)(uintptr_t)replay->head.data);
    json_out_release(&replay->parts);
    json_out_release(&replay->text);
    cJSON_Delete(replay->page);
    cJSON_Delete(replay->begins);
    cJSON_Delete(replay->presence);
    cJSON_Delete(replay->receipts);
    cJSON_Delete(replay->corrections);
    free(replay);
}

/* ---- what the head tells ------------------------------------------------------------------------------------------- */

static cJSON *row_of(const struct entry *e)
{
    cJSON *row = made(cJSON_CreateObject());
    add_number(row, "got_ms", e->got_ms);
    add_number(row, "seq", e->seq);
    return row;
}

/* Who was there, and what was shown to whom: the rest of the log is on the pages. */
static void note_presence(struct replay *replay, const struct entry *e)
{
    bool there = e->kind == KIND_PAGE_JOINED || e->kind == KIND_PAGE_STATE || e->kind == KIND_PAGE_HAND ||
                 e->kind == KIND_HELM_TAKEN || e->kind == KIND_RUN;
    if (!e->refused[0] && (there || e->kind == KIND_SHOWN))
        append(there ? replay->presence : replay->receipts, entry_to_json(e));
}

static void note_correction(struct replay *replay, const struct entry *e, int32_t index)
{
    int32_t target = journal_row(&replay->journal, index)->target;
    if (target < 0)
        return;
    cJSON *row = row_of(e);
    add_number(row, "target", journal_row(&replay->journal, target)->seq);
    append(replay->corrections, row);
}

/* ---- pages --------------------------------------------------------------------------------------------------------- */

static void page_begin(struct replay *replay, const struct entry *e)
{
    append(replay->begins, row_of(e));
    replay->page = made(cJSON_CreateObject());
    replay->patches = made(cJSON_CreateArray());
    add_number(replay->page, "page", replay->page_count);
    add(replay->page, "patches", replay->patches);
    add_number(replay->page, "rev", replay->journal.count);
    add(replay->page, "start", board_to_json(&replay->now));
}

static void page_end(struct replay *replay)
{
    if (!replay->page)
        return;
    CHECK(replay->page_count < PAGES_MAX);
    replay->pages[replay->page_count++] = pack_json(replay->page);
    replay->page = NULL;
}

static void correct(struct replay *replay, int32_t index)
{
    int32_t first = journal_correct(&replay->journal, index);
    if (first >= replay->journal.count)
        return;
    journal_refold_begin(&replay->journal, &replay->refold, first);
    while (!journal_refold_step(&replay->journal, &replay->refold, JOURNAL_MAX))
        continue;
    replay->now = replay->refold.board;
}

/* The entry into the board and the journal, as the hub did it. Answers whether it no longer applied. */
static bool apply(struct replay *replay, const struct entry *e)
{
    struct journal *j = &replay->journal;
    bool refused = e->refused[0] != '\0';
    enum outcome outcome = refused ? OUTCOME_MOOT : board_apply(&replay->now, e);
    int32_t index = journal_append(j, e, outcome);
    if (!refused && journal_corrects(e)) {
        note_correction(replay, e, index);
        correct(replay, index);
        outcome = OUTCOME_DONE;
    }
    journal_keep(j, &replay->now);
    return !refused && outcome == OUTCOME_MOOT;
}

/* As the text that the screens were sent. */
static cJSON *patch_of(struct replay *replay, const struct entry *e, bool moot)
{
    json_out_reset(&replay->parts);
    changes_encode(&replay->before, &replay->now, &replay->parts);
    (void)json_out_end(&replay->parts);
    cJSON parts = json_raw(replay->parts.text);
    replay->patch = (struct msg_patch){.rev = replay->journal.count, .entry = *e, .moot = moot, .parts = &parts};
    json_out_reset(&replay->text);
    msg_patch_encode(&replay->patch, &replay->text);
    replay->patch.parts = NULL;
    return made(cJSON_CreateRaw(json_out_end(&replay->text)));
}

enum err replay_take(struct replay *replay, const struct entry *entry, struct msg *why)
{
    struct journal *j = &replay->journal;
    struct entry *e = &replay->entry;
    if (journal_full(j))
        return err_set(why, ERR_DATA, "Row %lld is beyond what a trip can hold.", (long long)entry->seq);
    if (journal_find(j, entry->id) >= 0)
        return err_set(why, ERR_DATA, "Row %lld is an entry that is in the log before.", (long long)entry->seq);
    while (journal_needs(j)) {
        void *chunk = malloc(JOURNAL_CHUNK_BYTES);
        CHECK(chunk);
        journal_give(j, chunk);
    }
    *e = *entry;
    without(&replay->without, e);
    if (!replay->page)
        page_begin(replay, e);
    replay->before = replay->now;
    bool moot = apply(replay, e);
    append(replay->patches, patch_of(replay, e, moot));
    note_presence(replay, e);
    if (j->count % REPLAY_PAGE_ROWS == 0)
        page_end(replay);
    return ERR_NONE;
}

void replay_end(struct replay *replay)
{
    page_end(replay);
    cJSON *json = made(cJSON_CreateObject());
    add(json, "corrections", replay->corrections);
    add_number(json, "last_ms", replay->journal.count ? replay->entry.got_ms : 0);
    add_number(json, "last_seq", replay->journal.count ? replay->entry.seq : 0);
    add(json, "pages", replay->begins);
    add(json, "presence", replay->presence);
    add(json, "receipts", replay->receipts);
    replay->corrections = replay->begins = replay->presence = replay->receipts = NULL;
    replay->head = pack_json(json);
}

int32_t replay_pages(const struct replay *replay)
{
    return replay->page_count;
}

struct replay_bytes replay_page(const struct replay *replay, int32_t page)
{
    CHECK(page >= 0 && page < replay->page_count);
    return replay->pages[page];
}

struct replay_bytes replay_head(const struct replay *replay)
{
    CHECK(replay->head.data);
    return replay->head;
}
