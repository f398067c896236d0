#include "changes.h"

#include "board/check.h"

cJSON *changes_to_json(const struct board *old, const struct board *now)
{
    struct part_change change[BOARD_CHANGES_MAX];
    size_t count = board_diff(old, now, change, BOARD_CHANGES_MAX);
    cJSON *parts = cJSON_CreateObject();
    CHECK(parts);
    for (size_t i = 0; i < count; i++) {
        char id[64];
        board_part_id(change[i].gone ? old : now, change[i].part, change[i].slot, id);
        cJSON *value = change[i].gone ? cJSON_CreateNull() : board_part_to_json(now, change[i].part, change[i].slot);
        CHECK(value && cJSON_AddItemToObject(parts, id, value));
    }
    return parts;
}
