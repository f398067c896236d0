#include "board/parts.h"

#include <string.h>

#include "limit.h"

enum { COUNT_MAX = 1000000 }; /* as in board.json */

bool id_is(struct entry_id a, struct entry_id b)
{
    return a.n != 0 && a.sender == b.sender && a.n == b.n && a.lane == b.lane;
}

int32_t slot_find(const struct board *b, enum board_part part, const void *key)
{
    const struct part_info *info = part_info(part);
    const unsigned char *slot = (const unsigned char *)b + info->offset + info->key_offset;
    for (int32_t i = 0; i < info->max; i++, slot += info->size) {
        if (board_slot_used(b, part, i) && memcmp(slot, key, info->key_size) == 0)
            return i;
    }
    return -1;
}

int32_t slot_free(const struct board *b, enum board_part part)
{
    for (int32_t i = 0; i < part_info(part)->max; i++) {
        if (!board_slot_used(b, part, i))
            return i;
    }
    return -1;
}

const struct board_line *line_find(const struct board *b, int32_t id)
{
    int32_t slot = slot_find(b, PART_LINES, &id);
    return slot < 0 ? NULL : &b->lines[slot];
}

struct board_line *line_edit(struct board *b, int32_t id)
{
    int32_t slot = slot_find(b, PART_LINES, &id);
    return slot < 0 ? NULL : &b->lines[slot];
}

const struct board_hand *hand_find(const struct board *b, int32_t id)
{
    int32_t slot = slot_find(b, PART_HANDS, &id);
    return slot < 0 ? NULL : &b->hands[slot];
}

struct board_hand *hand_edit(struct board *b, int32_t id)
{
    int32_t slot = slot_find(b, PART_HANDS, &id);
    return slot < 0 ? NULL : &b->hands[slot];
}

const struct board_strike *strike_find(const struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_STRIKES, &id);
    return slot < 0 ? NULL : &b->strikes[slot];
}

struct board_strike *strike_edit(struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_STRIKES, &id);
    return slot < 0 ? NULL : &b->strikes[slot];
}

const struct board_fight *fight_find(const struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_FIGHTS, &id);
    return slot < 0 ? NULL : &b->fights[slot];
}

struct board_fight *fight_edit(struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_FIGHTS, &id);
    return slot < 0 ? NULL : &b->fights[slot];
}

const struct board_raise *raise_find(const struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_RAISES, &id);
    return slot < 0 ? NULL : &b->raises[slot];
}

struct board_raise *raise_edit(struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_RAISES, &id);
    return slot < 0 ? NULL : &b->raises[slot];
}

const struct board_hurt *hurt_find(const struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_HURTS, &id);
    return slot < 0 ? NULL : &b->hurts[slot];
}

struct board_hurt *hurt_edit(struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_HURTS, &id);
    return slot < 0 ? NULL : &b->hurts[slot];
}

const struct board_call *call_find(const struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_CALLS, &id);
    return slot < 0 ? NULL : &b->calls[slot];
}

struct board_call *call_edit(struct board *b, struct entry_id id)
{
    int32_t slot = slot_find(b, PART_CALLS, &id);
    return slot < 0 ? NULL : &b->calls[slot];
}

const struct board_strike *strike_on_line(const struct board *b, int32_t line)
{
    for (int32_t i = 0; i < BOARD_STRIKES_MAX; i++) {
        if (line != 0 && b->strikes[i].line == line)
            return &b->strikes[i];
    }
    return NULL;
}

const struct board_fight *fight_on_line(const struct board *b, int32_t line)
{
    for (int32_t i = 0; i < BOARD_FIGHTS_MAX; i++) {
        if (line != 0 && b->fights[i].line == line)
            return &b->fights[i];
    }
    return NULL;
}

bool line_sure_in(const struct board_line *line)
{
    return line->state == LINE_STATE_IN && !line->unsure;
}

bool times_join(int64_t a_ms, int64_t b_ms)
{
    return a_ms - b_ms <= LIMIT_JOIN_MS && b_ms - a_ms <= LIMIT_JOIN_MS;
}

bool hand_may(const struct board *b, int32_t hand)
{
    return hand == 0 || hand_find(b, hand) != NULL;
}

int32_t hand_of_name(const struct board *b, const char *name)
{
    for (int32_t i = 0; i < BOARD_HANDS_MAX; i++) {
        if (b->hands[i].id != 0 && strcmp(b->hands[i].name, name) == 0)
            return b->hands[i].id;
    }
    return 0;
}

bool entry_late(const struct entry *e, int64_t since_ms)
{
    return e->at_ms < since_ms;
}

bool entry_old(const struct entry *e)
{
    return e->got_ms - e->at_ms > LIMIT_LATE_MS;
}

enum refusal_code refuse_gone(const struct entry *e, enum refusal_code code)
{
    return entry_old(e) ? REFUSAL_NONE : code;
}

void count_up(int32_t *count)
{
    if (*count < COUNT_MAX)
        ++*count;
}

void count_down(int32_t *count)
{
    if (*count > 0)
        --*count;
}
