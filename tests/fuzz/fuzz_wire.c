/* One message or entry as it comes off the wire: the strict reader and each codec. Whatever is read is written again, and what was
 * written reads as the same: reading twice gives one canonical text. */
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "codec.h"
#include "fuzz.h"
#include "proto_json.h"

static cJSON *read_json(const char *text, size_t len)
{
    struct proto_error error = {0};
    cJSON *json = json_read(text, len, &error);
    if (json == NULL)
        CHECK(error.code[0] != '\0' && error.words[0] != '\0');
    return json;
}

/* Each reads the tree into a struct and writes that as a tree; NULL: turned down. */
static cJSON *up_again(const cJSON *json, struct proto_error *error)
{
    static struct msg_up_any up;
    return msg_up_from_json(json, &up, error) ? msg_up_to_json(&up) : NULL;
}

static cJSON *down_again(const cJSON *json, struct proto_error *error)
{
    static struct msg_down_any down;
    return msg_down_from_json(json, &down, error) ? msg_down_to_json(&down) : NULL;
}

static cJSON *entry_again(const cJSON *json, struct proto_error *error)
{
    static struct entry entry;
    return entry_from_json(json, &entry, error) ? entry_to_json(&entry) : NULL;
}

static cJSON *board_again(const cJSON *json, struct proto_error *error)
{
    static struct board board;
    return board_from_json(json, &board, error) ? board_to_json(&board) : NULL;
}

/* The tree by way of the struct, as text; NULL: turned down, with a reason. */
static char *text_again(const cJSON *json, cJSON *(*again)(const cJSON *, struct proto_error *))
{
    struct proto_error error = {0};
    cJSON *written = again(json, &error);
    if (written == NULL) {
        CHECK(error.code[0] != '\0' && error.words[0] != '\0');
        return NULL;
    }
    char *text = json_text(written);
    cJSON_Delete(written);
    return text;
}

static void check_same_again(const cJSON *json, cJSON *(*again)(const cJSON *, struct proto_error *))
{
    char *first = text_again(json, again);
    if (first == NULL)
        return;
    cJSON *read = read_json(first, strlen(first));
    CHECK(read != NULL);
    char *second = text_again(read, again);
    CHECK(second != NULL && strcmp(first, second) == 0);
    cJSON_Delete(read);
    free(first);
    free(second);
}

/* What the quick reader takes, the strict one takes as well, and to the same text. */
static void check_quick(const char *text, size_t len, const cJSON *json)
{
    static struct entry entry;
    static struct msg_up_any up;
    struct json_out out = {0};
    if (entry_decode(text, len, &entry)) {
        char *strict = json ? text_again(json, entry_again) : NULL;
        entry_encode(&entry, &out);
        CHECK(strict && strcmp(json_out_end(&out), strict) == 0);
        json_out_release(&out);
        free(strict);
    }
    if (msg_up_decode(text, len, &up)) {
        char *strict = json ? text_again(json, up_again) : NULL;
        cJSON *again = msg_up_to_json(&up);
        char *quick = json_text(again);
        CHECK(strict != NULL && strcmp(quick, strict) == 0);
        cJSON_Delete(again);
        free(quick);
        free(strict);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len)
{
    cJSON *json = read_json((const char *)bytes, len);
    check_quick((const char *)bytes, len, json);
    if (json == NULL)
        return 0;
    char *text = json_text(json);
    cJSON *back = read_json(text, strlen(text));
    CHECK(back != NULL && cJSON_Compare(json, back, true));
    cJSON_Delete(back);
    free(text);
    check_same_again(json, up_again);
    check_same_again(json, down_again);
    check_same_again(json, entry_again);
    check_same_again(json, board_again);
    cJSON_Delete(json);
    return 0;
}
