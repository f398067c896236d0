#include "one_file.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "debrief/json.h"
#include "read_back.h"
#include "read_replay.h"

/* Where in the page the data go. */
#define HERE "@DEBRIEF@"

/* A '<' stands in JSON only within strings, where \u003c is the same text (RFC 8259, 7). */
static void put_json(struct out *out, const char *json)
{
    for (size_t len; *json; json += len) {
        len = strcspn(json, "<");
        out_bytes(out, json, len);
        if (json[len] == '<') {
            out_text(out, "\\u003c");
            len++;
        }
    }
}

static void put_numbers(struct out *out, const struct debrief *debrief)
{
    struct out json;
    out_open(&json);
    json_write(debrief, &json);
    put_json(out, json.text);
    out_release(&json);
}

/* RFC 4648, 4. */
static void put_base64(struct out *out, struct replay_bytes bytes)
{
    static const char digits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    for (size_t i = 0; i < bytes.len; i += 3) {
        size_t left = bytes.len - i;
        uint32_t three = (uint32_t)bytes.data[i] << 16 | (left > 1 ? (uint32_t)bytes.data[i + 1] << 8 : 0) |
                         (left > 2 ? bytes.data[i + 2] : 0u);
        char four[4] = {digits[three >> 18 & 63], digits[three >> 12 & 63], left > 1 ? digits[three >> 6 & 63] : '=',
                        left > 2 ? digits[three & 63] : '='};
        out_bytes(out, four, sizeof four);
    }
}

static void put_replay(struct out *out, const struct replay *replay)
{
    out_text(out, "{\"head\":\"");
    put_base64(out, replay_head(replay));
    out_text(out, "\",\"pages\":[");
    for (int32_t i = 0; i < replay_pages(replay); i++) {
        out_text(out, i ? ",\"" : "\"");
        put_base64(out, replay_page(replay, i));
        out_text(out, "\"");
    }
    out_text(out, "]}");
}

static enum err put_replays(struct out *out, const char *path, const struct debrief *debrief, struct msg *why)
{
    const struct without what = {.names = debrief->choice.no_names, .places = debrief->choice.no_places};
    int64_t rows = 0;
    for (int32_t i = debrief->trips.count - 1; i >= 0; i--) {
        const struct facts *trip = debrief->trips.items[i];
        struct replay *replay = NULL;
        rows += trip->entries;
        if (rows > ONE_FILE_ROWS_MAX)
            break;
        enum err err = read_replay(path, trip->from_seq, &what, &replay, why);
        if (err != ERR_NONE)
            return err;
        out_format(out, "%s\"%" PRId64 "\":", i == debrief->trips.count - 1 ? "" : ",", trip->from_seq);
        put_replay(out, replay);
        replay_free(replay);
    }
    return ERR_NONE;
}

enum err one_file_write(const char *path, const struct debrief_choice *choice, const struct embed_file *page,
                        struct out *out, struct msg *why)
{
    const char *plain = (const char *)page->plain;
    const char *here = memmem(plain, page->plain_len, HERE, strlen(HERE));
    struct debrief *debrief = NULL;
    CHECK(here);
    enum err err = read_back(path, choice, &debrief, why);
    if (err != ERR_NONE)
        return err;
    out_bytes(out, plain, (size_t)(here - plain));
    out_text(out, "{\"debrief\":");
    put_numbers(out, debrief);
    out_text(out, ",\"replays\":{");
    err = put_replays(out, path, debrief, why);
    out_text(out, "}}");
    here += strlen(HERE);
    out_bytes(out, here, page->plain_len - (size_t)(here - plain));
    debrief_free(debrief);
    return err;
}
