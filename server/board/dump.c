/* The board as text for people: one line a thing, what is open first. Times are log time, hours:minutes:seconds; where the clock is
 * known the time of day stands beside them, in UTC, for the log knows no other. */
#include <string.h>

#include "board/board.h"
#include "board/check.h"
#include "board/parts.h"
#include "plain.h"

#define DAY_MS 86400000

struct text {
    char *buf;
    size_t cap, len;
    bool clock_known;
    int64_t utc_offset_ms;
};

static void put(struct text *t, const char *words)
{
    while (*words != '\0' && t->len + 1 < t->cap)
        t->buf[t->len++] = *words++;
}

/* What people wrote, without what would be an order to the reader's terminal. */
static void put_written(struct text *t, const char *words)
{
    char shown[2] = "";
    for (size_t left = strlen(words); left > 0;) {
        size_t bad = plain_unprintable(words, left);
        shown[0] = bad ? '?' : *words;
        put(t, shown);
        words += bad ? bad : 1;
        left -= bad ? bad : 1;
    }
}

static void put_number(struct text *t, int64_t number, int least_digits)
{
    char digits[24];
    int at = (int)sizeof digits - 1;
    uint64_t rest = number < 0 ? 0 - (uint64_t)number : (uint64_t)number;
    digits[at] = '\0';
    for (int count = 0; rest != 0 || count < least_digits; count++, rest /= 10)
        digits[--at] = (char)('0' + rest % 10);
    put(t, number < 0 ? "-" : "");
    put(t, &digits[at]);
}

static void put_time(struct text *t, int64_t ms, int hour_digits)
{
    put_number(t, ms / 3600000, hour_digits);
    put(t, ":");
    put_number(t, ms / 60000 % 60, 2);
    put(t, ":");
    put_number(t, ms / 1000 % 60, 2);
}

static void put_hex(struct text *t, uint64_t number)
{
    char digits[17];
    for (int i = 0; i < 16; i++)
        digits[i] = "0123456789abcdef"[number >> (60 - 4 * i) & 15];
    digits[16] = '\0';
    put(t, digits);
}

static void put_id(struct text *t, struct entry_id id)
{
    put_hex(t, id.sender);
    put(t, id.lane == LANE_EMERGENCY ? ".e." : ".o.");
    put_number(t, id.n, 1);
}

static void put_since(struct text *t, const char *words, int64_t ms)
{
    put(t, words);
    put_time(t, ms, 1);
    if (t->clock_known && ms > 0) { /* 0: never */
        put(t, " (");
        put_time(t, (ms % DAY_MS + t->utc_offset_ms % DAY_MS + DAY_MS) % DAY_MS, 2);
        put(t, " UTC)");
    }
}

static void put_if(struct text *t, bool is_so, const char *words)
{
    put(t, is_so ? words : "");
}

/* A hand by name, "nobody" for 0. The roster may have lost a hand that a correction took away. */
static void put_hand(struct text *t, const struct board *b, const char *words, int32_t id)
{
    const struct board_hand *hand = hand_find(b, id);
    put(t, words);
    if (id == 0)
        put(t, "nobody");
    else if (hand != NULL)
        put_written(t, hand->name);
    else
        put_number(t, id, 1);
}

/* Who said it. A tap of a screen that all share names no hand, and still somebody made it. */
static void put_by(struct text *t, const struct board *b, const char *words, int32_t id)
{
    if (id == 0)
        put(t, ", no hand named");
    else
        put_hand(t, b, words, id);
}

static void put_line_name(struct text *t, const struct board *b, int32_t id)
{
    const struct board_line *line = line_find(b, id);
    put_written(t, line == NULL ? "line not named" : line->name);
}

static void dump_emergencies(struct text *t, const struct board *b)
{
    const struct board_overboard *emergency = &b->overboard;
    if (emergency->id.n != 0) {
        put_since(t, "OVERBOARD called ", emergency->since_ms);
        put_hand(t, b, ", person ", emergency->person);
        put_hand(t, b, ", spotter ", emergency->spotter);
        put_if(t, emergency->sight_lost, ", out of sight");
        put(t, ", calls ");
        put_number(t, emergency->calls_count, 1);
        put_if(t, emergency->more, " and more");
        put(t, ", heard by ");
        put_number(t, emergency->heard_count, 1);
        put(t, "\n");
    }
    if (b->stop.id.n != 0) {
        put_since(t, "STOP called ", b->stop.since_ms);
        put_by(t, b, " by ", b->stop.by);
        put(t, "\n");
    }
    for (int32_t i = 0; i < BOARD_HURTS_MAX; i++) {
        const struct board_hurt *hurt = &b->hurts[i];
        if (hurt->id.n == 0)
            continue;
        put_since(t, "HURT called ", hurt->since_ms);
        put_by(t, b, " by ", hurt->by);
        put_hand(t, b, ": ", hurt->hand);
        put_if(t, hurt->name[0] != '\0', ": ");
        put_written(t, hurt->name);
        put(t, ", ");
        put(t, hurt_how_name(hurt->how));
        put_if(t, hurt->over, ", looked after");
        put(t, "\n");
    }
}

static void dump_astern(struct text *t, const struct board *b)
{
    if (b->astern.state == ASTERN_STATE_NONE)
        return;
    put_since(t, "astern asked ", b->astern.since_ms);
    put_by(t, b, " by ", b->astern.by);
    put(t, ": ");
    put(t, astern_state_name(b->astern.state));
    put(t, ", logged in the way ");
    put_number(t, b->astern.out, 1);
    put_if(t, b->astern.door, " and an open door");
    put(t, "\n");
}

static void dump_deck(struct text *t, const struct board *b)
{
    put(t, b->deck.door ? "door open" : "door not open");
    put_since(t, " since ", b->deck.door_ms);
    if (b->deck.gaff) {
        put_since(t, ", gaff up since ", b->deck.gaff_ms);
        put_hand(t, b, ": ", b->deck.gaff_by);
    }
    if (b->deck.slick)
        put_since(t, ", slick since ", b->deck.slick_ms);
    put_hand(t, b, ", stand-by ", b->deck.stand_by);
    put(t, "\n");
}

static void put_hands(struct text *t, const struct board *b, const char *words, const int32_t *hands, int32_t count)
{
    put_if(t, count > 0, words);
    for (int32_t i = 0; i < count; i++)
        put_hand(t, b, i == 0 ? "" : ", ", hands[i]);
}

static void dump_orders(struct text *t, const struct board *b)
{
    const struct board_orders *orders = &b->orders;
    if (orders->id.n == 0)
        return;
    put_since(t, "orders since ", orders->since_ms);
    put_hand(t, b, ": wheel ", orders->wheel);
    put_hand(t, b, ", wire ", orders->wire);
    put_hand(t, b, ", gaff ", orders->gaff);
    put_hand(t, b, ", door ", orders->door);
    put(t, ", keep ahead ");
    put_number(t, orders->keep_ahead_s, 1);
    put(t, " s");
    for (int32_t i = 0; i < orders->fish_count; i++) {
        put(t, i == 0 ? "; stays out for " : ", ");
        put_written(t, orders->fish[i].name);
        put(t, ": preset ");
        put_number(t, orders->fish[i].preset, 1);
    }
    put_hands(t, b, "; anglers ", orders->anglers, orders->anglers_count);
    put_hand(t, b, ", next ", orders->next);
    put_hands(t, b, "; heard by ", orders->heard, orders->heard_count);
    put(t, "\n");
}

static void dump_trip(struct text *t, const struct board *b)
{
    if (b->trip.id.n == 0) {
        put(t, "no trip\n");
        return;
    }
    put(t, "trip ");
    put_number(t, b->trip.no, 1);
    put(t, " of ");
    put_written(t, b->trip.name);
    put(t, ": ");
    put(t, phase_name(b->trip.phase));
    put_since(t, " since ", b->trip.since_ms);
    put_since(t, ", started ", b->trip.started_ms);
    put_if(t, b->trip.rules[0] != '\0', ", rules ");
    put(t, b->trip.rules);
    put(t, "\n");
}

static void dump_posts(struct text *t, const struct board *b)
{
    put_hand(t, b, "wheel ", b->duty.wheel);
    put_hand(t, b, ", look-out ", b->duty.look_out);
    put_hand(t, b, "; helm's buttons: ", b->helm.hand);
    put(t, ", device ");
    put_number(t, b->helm.device, 1);
    put(t, "\nclock ");
    put(t, clock_source_name(b->clock.source));
    put(t, ", UTC minus log time ");
    put_number(t, b->clock.utc_offset_ms, 1);
    put(t, " ms, run ");
    put_hex(t, b->clock.run);
    put_if(t, b->clock.estimated, ", estimated since a gap");
    put(t, "\n");
}

static void dump_clearing(struct text *t, const struct board *b)
{
    const struct board_clearing *clearing = &b->clearing;
    if (clearing->state != CLEAR_STATE_NONE) {
        put(t, "clear ");
        put(t, scope_name(clearing->scope));
        put_if(t, clearing->preset[0] != '\0', ", ");
        put_written(t, clearing->preset);
        put_since(t, ", called ", clearing->since_ms);
        put_by(t, b, " by ", clearing->by);
        put(t, ": ");
        put(t, clear_state_name(clearing->state));
        put(t, ", ");
        put_number(t, clearing->lines_in, 1);
        put(t, " of ");
        put_number(t, clearing->total, 1);
        put(t, " in");
        put_if(t, clearing->heard, ", heard");
        put_if(t, clearing->not_heard, ", not heard");
        put(t, "\n");
    }
    put(t, b->clear.is_clear ? "all clear" : "not all clear");
    if (b->clear.is_clear)
        put_since(t, " since ", b->clear.since_ms);
    put(t, ": ");
    put_number(t, b->clear.tapped, 1);
    put(t, " in as tapped, ");
    put_number(t, b->clear.seen, 1);
    put(t, " as seen\n");
}

static void dump_line(struct text *t, const struct board *b, const struct board_line *line)
{
    put(t, "  ");
    put_written(t, line->name);
    put(t, " (");
    put(t, side_name(line->side));
    put(t, " ");
    put(t, gear_name(line->gear));
    put(t, "): ");
    put(t, line_state_name(line->state));
    put_since(t, " since ", line->since_ms);
    put_by(t, b, ", said by ", line->by);
    put_if(t, line->eye, " by eye");
    put_if(t, line->unsure, ", not seen since the start");
    if (line->taken_by != 0)
        put_hand(t, b, ", taken by ", line->taken_by);
    put_if(t, line->kept, ", kept out");
    put_if(t, line->asked, ", asked for");
    put_if(t, line->bait[0] != '\0', ", bait ");
    put_written(t, line->bait);
    put_if(t, line->assumed, " (assumed)");
    put_if(t, line->check, ", look at the bait");
    if (line->result != BAIT_RESULT_NONE) {
        put_since(t, ", looked at ", line->checked_ms);
        put(t, ": ");
        put(t, bait_result_name(line->result));
    }
    put_if(t, line->light != LIGHT_NONE, ", light ");
    put_if(t, line->light != LIGHT_NONE, light_name(line->light));
    put(t, "\n");
}

static void dump_raises(struct text *t, const struct board *b)
{
    for (int32_t i = 0; i < BOARD_RAISES_MAX; i++) {
        const struct board_raise *raise = &b->raises[i];
        if (raise->id.n == 0)
            continue;
        put(t, "raise ");
        put_id(t, raise->id);
        put_since(t, ": since ", raise->at_ms);
        put(t, ", touched ");
        put_number(t, raise->touches, 1);
        for (int32_t k = 0; k < raise->path_count; k++) {
            put(t, k == 0 ? ", at " : ", then ");
            put_line_name(t, b, raise->path[k].line);
        }
        put_if(t, raise->teaser_in, ", teaser in");
        put_if(t, raise->pitch, ", pitch bait in the water");
        put(t, "\n");
    }
}

static void dump_open_ends(struct text *t, const struct board *b)
{
    for (int32_t i = 0; i < BOARD_OPEN_ENDS_MAX; i++) {
        const struct board_open_end *open = &b->open_ends[i];
        if (open->id.n == 0)
            continue;
        put(t, "end not known of ");
        put(t, end_of_name(open->of));
        put(t, " ");
        put_id(t, open->id);
        put(t, ": ");
        put_line_name(t, b, open->line);
        put_since(t, ", at ", open->at_ms);
        put(t, "\n");
    }
}

static void dump_fish(struct text *t, const struct board *b)
{
    for (int32_t i = 0; i < BOARD_STRIKES_MAX; i++) {
        const struct board_strike *strike = &b->strikes[i];
        if (strike->id.n == 0)
            continue;
        put(t, "strike ");
        put_id(t, strike->id);
        put(t, ": ");
        put_line_name(t, b, strike->line);
        put_since(t, ", at ", strike->at_ms);
        put(t, "\n");
    }
    for (int32_t i = 0; i < BOARD_FIGHTS_MAX; i++) {
        const struct board_fight *fight = &b->fights[i];
        if (fight->id.n == 0)
            continue;
        put(t, "fight ");
        put_id(t, fight->id);
        put(t, ": ");
        put_line_name(t, b, fight->line);
        put_since(t, ", since ", fight->since_ms);
        put_hand(t, b, ", angler ", fight->angler);
        if (fight->leader) {
            put_since(t, ", leader held since ", fight->leader_ms);
            put_hand(t, b, " by ", fight->wire);
        }
        put_if(t, fight->leader_total_ms > 0, ", before that for ");
        if (fight->leader_total_ms > 0)
            put_time(t, fight->leader_total_ms, 1);
        put(t, "\n");
    }
}

static void dump_calls(struct text *t, const struct board *b)
{
    for (int32_t i = 0; i < BOARD_CALLS_MAX; i++) {
        const struct board_call *call = &b->calls[i];
        if (call->id.n == 0)
            continue;
        put(t, "call ");
        put(t, call_what_name(call->what));
        put(t, " to ");
        put(t, station_name(call->to));
        if (call->hand != 0)
            put_hand(t, b, ", ", call->hand);
        put_since(t, ", at ", call->at_ms);
        put(t, ": ");
        put(t, call_state_name(call->state));
        for (int32_t k = 0; k < call->got_count; k++) {
            put_hand(t, b, ", got by ", call->got[k].hand);
            put_if(t, call->got[k].voice, " by voice");
        }
        put(t, "\n");
    }
}

static void dump_checks(struct text *t, const struct board *b)
{
    for (int32_t i = 0; i < BOARD_CHECKS_MAX; i++) {
        const struct board_check *check = &b->checks[i];
        if (check->list == 0)
            continue;
        put(t, "checklist ");
        put_written(t, b->lists[i].name);
        put(t, ": ");
        put(t, check_state_name(check->state));
        put(t, ", ");
        put_number(t, check->state == CHECK_STATE_DONE ? b->lists[i].items_count : check->marks_count, 1);
        put(t, " of ");
        put_number(t, b->lists[i].items_count, 1);
        put(t, " answered\n");
    }
}

static void dump_people(struct text *t, const struct board *b)
{
    for (int32_t i = 0; i < BOARD_HANDS_MAX; i++) {
        if (b->hands[i].id == 0)
            continue;
        put(t, "hand ");
        put_written(t, b->hands[i].name);
        put(t, ": ");
        put(t, station_name(b->hands[i].station));
        put_if(t, b->hands[i].voice, ", by voice");
        put(t, "\n");
    }
    for (int32_t i = 0; i < BOARD_PAGES_MAX; i++) {
        if (b->pages[i].page == 0)
            continue;
        put(t, "page ");
        put_hex(t, b->pages[i].page);
        put_hand(t, b, " of ", b->pages[i].hand);
        put(t, ": ");
        put(t, view_name(b->pages[i].view));
        put(t, ", ");
        put(t, page_reach_name(b->pages[i].state));
        put_since(t, " since ", b->pages[i].since_ms);
        put(t, "\n");
    }
}

static void dump_dock(struct text *t, const struct board *b)
{
    for (int32_t i = 0; i < BOARD_STAMPS_MAX; i++) {
        if (b->stamps[i].id.n == 0)
            continue;
        put_since(t, "stamp at ", b->stamps[i].at_ms);
        put_by(t, b, " by ", b->stamps[i].by);
        put(t, "\n");
    }
    if (b->dock.counted) {
        put(t, "in the box ");
        put_number(t, b->dock.boated, 1);
        put_hand(t, b, ", counted by ", b->dock.hand);
        put_hand(t, b, " and ", b->dock.second);
        put(t, "\n");
    }
    for (int32_t i = 0; i < BOARD_JOBS_MAX; i++) {
        if (b->jobs[i].no == 0)
            continue;
        put(t, "job ");
        put_number(t, b->jobs[i].no, 1);
        put(t, ": ");
        put_written(t, b->jobs[i].text);
        put_hand(t, b, ", ", b->jobs[i].hand);
        put_if(t, b->jobs[i].name[0] != '\0', ", ");
        put_written(t, b->jobs[i].name);
        put_if(t, b->jobs[i].by_day[0] != '\0', ", by ");
        put_written(t, b->jobs[i].by_day);
        put_if(t, b->jobs[i].done, ", done");
        put(t, "\n");
    }
}

static void dump_box(struct text *t, const struct board_box *box)
{
    if (box->persons != 0 || box->use != TRIP_USE_NOT_SAID) {
        put(t, "aboard ");
        put_number(t, box->persons, 1);
        put(t, ", paying ");
        put_number(t, box->paying, 1);
        put(t, ", trip ");
        put(t, trip_use_name(box->use));
        put(t, "\n");
    }
    if (box->fish != 0 || box->iced != 0 || box->reports != 0) {
        put(t, "of fish told ");
        put_number(t, box->fish, 1);
        put(t, ", on ice ");
        put_number(t, box->iced, 1);
        put(t, ", reports ");
        put_number(t, box->reports, 1);
        put(t, "\n");
    }
}

static void dump_counts(struct text *t, const struct board_counts *counts)
{
    const struct {
        const char *name;
        int32_t count;
    } all[] = {
        {"strikes", counts->strikes},
        {"hooked", counts->hooked},
        {"knockdowns", counts->knockdowns},
        {"gone", counts->gone},
        {"ends not known", counts->ends_not_known},
        {"boated", counts->boated},
        {"released", counts->released},
        {"pulled", counts->pulled},
        {"broke off", counts->broke_off},
        {"bitten off", counts->bitten_off},
        {"fights not known", counts->fights_not_known},
        {"clearings", counts->clearings},
        {"calls", counts->calls},
        {"checks", counts->checks},
        {"overboards", counts->overboards},
        {"stops", counts->stops},
        {"raises", counts->raises},
        {"raises bit", counts->raises_bit},
        {"raises left", counts->raises_left},
        {"raises not known", counts->raises_not_known},
        {"touches", counts->touches},
        {"bait checks", counts->bait_checks},
        {"asterns", counts->asterns},
        {"hurts", counts->hurts},
        {"notes", counts->notes},
        {"near misses", counts->near_misses},
        {"gear faults", counts->gear_faults},
    };
    put(t, "counts");
    for (size_t i = 0; i < sizeof all / sizeof all[0]; i++) {
        put(t, i == 0 ? ": " : ", ");
        put(t, all[i].name);
        put(t, " ");
        put_number(t, all[i].count, 1);
    }
    put(t, "\n");
}

size_t board_dump(const struct board *b, char *buf, size_t cap)
{
    struct text t = {.buf = buf,
                     .cap = cap,
                     .clock_known = b->clock.source != CLOCK_SOURCE_NONE,
                     .utc_offset_ms = b->clock.utc_offset_ms};
    CHECK(cap > 0);
    dump_emergencies(&t, b);
    dump_astern(&t, b);
    dump_trip(&t, b);
    dump_posts(&t, b);
    dump_deck(&t, b);
    dump_orders(&t, b);
    dump_clearing(&t, b);
    put(&t, "lines\n");
    for (int32_t i = 0; i < BOARD_LINES_MAX; i++) {
        if (b->lines[i].id != 0)
            dump_line(&t, b, &b->lines[i]);
    }
    dump_fish(&t, b);
    dump_raises(&t, b);
    dump_open_ends(&t, b);
    dump_calls(&t, b);
    dump_checks(&t, b);
    dump_people(&t, b);
    dump_dock(&t, b);
    dump_box(&t, &b->box);
    dump_counts(&t, &b->counts);
    buf[t.len] = '\0';
    return t.len;
}
