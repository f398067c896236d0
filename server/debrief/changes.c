#include "changes.h"

void changes_encode(const struct board *old, const struct board *now, struct json_out *out)
{
    struct part_change change[BOARD_CHANGES_MAX];
    size_t count = board_diff(old, now, change, BOARD_CHANGES_MAX);
    json_out_byte(out, '{');
    for (size_t i = 0; i < count; i++) {
        char id[64];
        board_part_id(change[i].gone ? old : now, change[i].part, change[i].slot, id);
        json_out_name(out, id);
        if (change[i].gone)
            json_out_bytes(out, "null", 4);
        else
            board_part_encode(now, change[i].part, change[i].slot, out);
    }
    json_out_byte(out, '}');
}
