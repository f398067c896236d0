/* Any entries in any order, one a line, as a log might hold them. Each that the codec reads goes through the rules on a live board
 * and into the fold: apply is total, every invariant of the board holds after each, and the folded board is written, read and dumped
 * without loss. */
#include <stdlib.h>
#include <string.h>

#include "board/board.h"
#include "board/check.h"
#include "codec.h"
#include "fold.h"
#include "fuzz.h"
#include "proto_json.h"

enum { LINES_MAX = 200 };

static bool read_entry(const char *line, size_t len, struct entry *entry)
{
    struct proto_error error = {0};
    cJSON *json = json_read(line, len, &error);
    bool read = json != NULL && entry_from_json(json, entry, &error);
    cJSON_Delete(json);
    return read;
}

static void apply(struct board *board, const struct entry *entry)
{
    static struct board before;
    static struct part_change changes[BOARD_CHANGES_MAX];
    struct about about = {0};
    if (entry->refused[0] != '\0')
        return;
    before = *board;
    (void)board_admit(board, entry, &about);
    CHECK(memcmp(&before, board, sizeof before) == 0);
    enum outcome outcome = board_apply(board, entry);
    board_check(board);
    size_t count = board_diff(&before, board, changes, BOARD_CHANGES_MAX);
    CHECK(count <= BOARD_CHANGES_MAX);
    CHECK(outcome == OUTCOME_DONE || memcmp(&before, board, sizeof before) == 0);
}

static void check_board(const struct board *board)
{
    static struct board again;
    static char dump[BOARD_DUMP_BYTES];
    struct proto_error error = {0};
    cJSON *json = board_to_json(board);
    CHECK(board_from_json(json, &again, &error));
    cJSON *json_again = board_to_json(&again);
    CHECK(cJSON_Compare(json, json_again, true));
    size_t len = board_dump(board, dump, sizeof dump);
    CHECK(len < sizeof dump && strlen(dump) == len);
    for (size_t i = 0; i < len; i++)
        CHECK(dump[i] == '\n' || ((unsigned char)dump[i] >= ' ' && dump[i] != 0x7f));
    cJSON_Delete(json);
    cJSON_Delete(json_again);
}

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t len)
{
    static struct board live;
    static struct entry entry;
    const char *text = (const char *)bytes, *line;
    size_t left = len, line_len;
    struct msg why;
    char digest[17];
    struct fold *fold = fold_new();
    board_reset(&live);
    for (int i = 0; i < LINES_MAX && fuzz_line(&text, &left, &line, &line_len); i++) {
        if (!read_entry(line, line_len, &entry) || fold_take(fold, &entry, &why) != ERR_NONE)
            continue;
        if (fold_begins(&entry))
            board_reset(&live);
        apply(&live, &entry);
    }
    check_board(&live);
    check_board(fold_board(fold));
    fold_digest(fold, digest);
    fold_free(fold);
    return 0;
}
