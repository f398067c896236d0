#include "board_random.h"

#include <stdio.h>
#include <string.h>

enum { PAGES = 30, LINES_NAMED = 9, HANDS_NAMED = 8, LISTS_NAMED = 4 };

/* SplitMix64 (Steele, Lea, Flood: Fast splittable pseudorandom number generators, OOPSLA 2014). */
static uint64_t next(struct chance *c)
{
    uint64_t z = c->state += 0x9e3779b97f4a7c15u;
    z = (z ^ z >> 30) * 0xbf58476d1ce4e5b9u;
    z = (z ^ z >> 27) * 0x94d049bb133111ebu;
    return z ^ z >> 31;
}

void chance_open(struct chance *c, uint64_t seed)
{
    memset(c, 0, sizeof *c);
    c->state = seed;
    c->now_ms = 10000000;
}

int32_t chance_below(struct chance *c, int32_t limit)
{
    return (int32_t)(next(c) % (uint64_t)limit);
}

static bool percent(struct chance *c, int32_t chance)
{
    return chance_below(c, 100) < chance;
}

static int32_t some_line(struct chance *c)
{
    return percent(c, 97) ? 1 + chance_below(c, LINES_NAMED) : 24;
}

static int32_t some_hand(struct chance *c)
{
    return 1 + chance_below(c, HANDS_NAMED);
}

static uint64_t some_page(struct chance *c)
{
    return 100 + (uint64_t)chance_below(c, PAGES);
}

/* One of the entries made lately, of whatever kind. */
static struct entry_id late_id(struct chance *c)
{
    int32_t known = c->id_count < CHANCE_IDS ? c->id_count : CHANCE_IDS;
    return known == 0 ? (struct entry_id){1, 1, LANE_ORDINARY} : c->ids[chance_below(c, known)];
}

/* What stands on the board for an entry of that kind to name. */
static struct entry_id standing_id(struct chance *c, const struct board *b, enum entry_kind kind)
{
    int32_t slot = chance_below(c, BOARD_STRIKES_MAX);
    bool ends =
        kind == KIND_STRIKE_NAMED || kind == KIND_STRIKE_ENDED || kind == KIND_FIGHT_ENDED || kind == KIND_RAISE_ENDED;
    if (ends && percent(c, 20))
        return b->open_ends[chance_below(c, BOARD_OPEN_ENDS_MAX)].id;
    if (kind == KIND_STRIKE_NAMED)
        return percent(c, 50) ? b->strikes[slot].id : b->fights[slot].id;
    if (kind == KIND_STRIKE_ENDED || kind == KIND_STRIKE_LAPSED)
        return b->strikes[slot].id;
    if (kind == KIND_FIGHT_ANGLER || kind == KIND_FIGHT_ENDED || kind == KIND_LEADER || kind == KIND_FIGHT_CONDITION)
        return b->fights[slot].id;
    if (kind == KIND_RAISE_TOUCHED || kind == KIND_RAISE_GEAR_MOVED || kind == KIND_RAISE_ENDED ||
        kind == KIND_RAISE_LAPSED)
        return b->raises[chance_below(c, BOARD_RAISES_MAX)].id;
    if (kind == KIND_ASTERN_DECIDED)
        return b->astern.id;
    if (kind == KIND_HURT_TOLD || kind == KIND_HURT_OVER)
        return b->hurts[chance_below(c, BOARD_HURTS_MAX)].id;
    if (kind == KIND_STAMP_TOLD)
        return b->stamps[chance_below(c, BOARD_STAMPS_MAX)].id;
    if (kind == KIND_CLEAR_OVER)
        return b->clearing.id;
    if (kind == KIND_CHECK_ANSWERED || kind == KIND_CHECK_LEFT)
        return b->checks[chance_below(c, LISTS_NAMED)].run;
    if (kind == KIND_CALL_GOT || kind == KIND_CALL_UNHEARD || kind == KIND_SHOWN)
        return percent(c, 30) ? b->clearing.id : b->calls[chance_below(c, BOARD_CALLS_MAX)].id;
    if (kind == KIND_CALL_DONE || kind == KIND_CALL_OFF)
        return b->calls[chance_below(c, BOARD_CALLS_MAX)].id;
    if (kind == KIND_OVERBOARD_WITHDRAWN)
        return b->overboard.calls[chance_below(c, BOARD_OVERBOARD_CALLS_MAX)].id;
    return kind == KIND_STOP_OVER ? b->stop.id : b->overboard.id;
}

static struct entry_id some_id(struct chance *c, const struct board *b, enum entry_kind kind)
{
    if (kind == KIND_VOIDED || percent(c, 20))
        return late_id(c);
    struct entry_id id = standing_id(c, b, kind);
    return id.n != 0 ? id : late_id(c);
}

static void some_text(struct chance *c, char *text, size_t size)
{
    static const char *const WORDS[] = {"", "Wren", "Hale", "ballyhoo", "squid", "blue lure", "Marta"};
    (void)snprintf(text, size, "%s", WORDS[chance_below(c, (int32_t)(sizeof WORDS / sizeof WORDS[0]))]);
}

static void trip_body(struct chance *c, struct body_trip_started *body)
{
    (void)snprintf(body->name, sizeof body->name, "Grey Petrel");
    body->no = 1 + chance_below(c, 99);
    body->spread_count = LINES_NAMED - chance_below(c, 3);
    for (int32_t i = 0; i < body->spread_count; i++) {
        body->spread[i].id = i + 1;
        (void)snprintf(body->spread[i].name, sizeof body->spread[i].name, "place %d", (int)i + 1);
        body->spread[i].side = (enum side)chance_below(c, SIDE_COUNT_);
        body->spread[i].gear = (enum gear)chance_below(c, GEAR_COUNT_);
    }
    body->crew_count = HANDS_NAMED - 2;
    for (int32_t i = 0; i < body->crew_count; i++) {
        body->crew[i].id = i + 1;
        (void)snprintf(body->crew[i].name, sizeof body->crew[i].name, "hand %d", (int)i + 1);
        body->crew[i].station = (enum station)chance_below(c, STATION_COUNT_);
    }
    body->lists_count = LISTS_NAMED - 1;
    for (int32_t i = 0; i < body->lists_count; i++) {
        body->lists[i].id = i + 1;
        (void)snprintf(body->lists[i].name, sizeof body->lists[i].name, "list %d", (int)i + 1);
        body->lists[i].items_count = chance_below(c, 4);
        for (int32_t k = 0; k < body->lists[i].items_count; k++) {
            (void)snprintf(body->lists[i].items[k].ask, sizeof body->lists[i].items[k].ask, "thing");
            (void)snprintf(body->lists[i].items[k].state, sizeof body->lists[i].items[k].state, "seen");
        }
    }
    body->presets_count = 1;
    body->presets[0].id = 1;
    (void)snprintf(body->presets[0].name, sizeof body->presets[0].name, "all but two");
    body->presets[0].kept_count = 2;
    body->presets[0].kept[0] = 2;
    body->presets[0].kept[1] = 4;
    body->jobs_count = chance_below(c, 3);
    for (int32_t i = 0; i < body->jobs_count; i++)
        (void)snprintf(body->jobs[i], sizeof body->jobs[i], "job %d", (int)i + 1);
    body->job_names_count = chance_below(c, 3);
    body->persons = chance_below(c, 6);
    body->paying = chance_below(c, 3);
    for (int32_t i = 0; i < body->job_names_count; i++)
        (void)snprintf(body->job_names[i], sizeof body->job_names[i], "hand %d", (int)some_hand(c));
    if (percent(c, 20)) /* now and then one that names something twice */
        body->spread[0].id = body->crew[0].id = body->lists[0].id = 1 + chance_below(c, 2);
}

static void clear_body(struct chance *c, struct body_clear_called *body)
{
    body->scope = (enum scope)chance_below(c, SCOPE_COUNT_);
    body->reason = (enum clear_reason)chance_below(c, CLEAR_REASON_COUNT_);
    body->kept_count = chance_below(c, 3);
    for (int32_t i = 0; i < body->kept_count; i++)
        body->kept[i] = some_line(c);
}

/* Now and then none at all, and one named twice. */
static void lines_body(struct chance *c, struct body_lines_are *body)
{
    body->in_count = chance_below(c, 3);
    for (int32_t i = 0; i < body->in_count; i++)
        body->in[i] = some_line(c);
    body->out_count = chance_below(c, 3);
    for (int32_t i = 0; i < body->out_count; i++)
        body->out[i] = some_line(c);
    body->eye = percent(c, 30);
}

static void fill_page(struct chance *c, struct body_page_joined *body)
{
    body->page = some_page(c);
    body->hand = chance_below(c, HANDS_NAMED);
    body->view = (enum view)chance_below(c, VIEW_COUNT_);
    body->state = (enum page_reach)chance_below(c, PAGE_REACH_COUNT_);
}

static void orders_body(struct chance *c, struct body_orders *body)
{
    body->wheel = chance_below(c, HANDS_NAMED);
    body->wire = chance_below(c, HANDS_NAMED);
    body->gaff = chance_below(c, 3);
    body->door = chance_below(c, 3);
    body->keep_ahead_s = chance_below(c, 121);
    body->fish_count = chance_below(c, 3);
    for (int32_t i = 0; i < body->fish_count; i++) {
        (void)snprintf(body->fish[i].name, sizeof body->fish[i].name, "fish %d", (int)chance_below(c, 8));
        body->fish[i].preset = chance_below(c, 8) / 7 + chance_below(c, 2);
    }
    body->anglers_count = chance_below(c, 4);
    for (int32_t i = 0; i < body->anglers_count; i++)
        body->anglers[i] = percent(c, 90) ? i + 1 : some_hand(c);
    body->next = percent(c, 50) ? 0 : body->anglers[0];
}

static void place_body(struct chance *c, struct body_place_set *body)
{
    body->place.id = some_line(c);
    (void)snprintf(body->place.name, sizeof body->place.name, "place %d", (int)(percent(c, 90) ? body->place.id : 2));
    body->place.side = (enum side)chance_below(c, SIDE_COUNT_);
    body->place.gear = (enum gear)chance_below(c, GEAR_COUNT_);
    some_text(c, body->place.bait, sizeof body->place.bait);
    body->gone = percent(c, 40);
}

/* Now and then one that says nothing. */
static void fish_body(struct chance *c, struct body_fish_told *body)
{
    (void)snprintf(body->code, sizeof body->code, "%s", percent(c, 60) ? "YFT" : "");
    body->fate = (enum fish_fate)chance_below(c, FISH_FATE_COUNT_);
    body->decided_by = chance_below(c, HANDS_NAMED);
    body->measured_by = chance_below(c, HANDS_NAMED);
    body->length_um = percent(c, 50) ? 0 : chance_below(c, 3000000);
    body->measure = (enum measure)chance_below(c, MEASURE_COUNT_);
    body->weighed = percent(c, 20);
}

/* Every id of another entry in the body, wherever it stands. */
static void fill_ids(struct chance *c, const struct board *board, struct entry *e)
{
    const struct kind_info *info = kind_info(e->kind);
    for (int32_t i = 0; i < info->id_count; i++) {
        struct entry_id id = some_id(c, board, e->kind);
        memcpy((char *)&e->body + info->ids[i], &id, sizeof id);
    }
}

/* Long, and one case a kind: shorter pieces would only hide that a kind is missing. */
/* NOLINTNEXTLINE(readability-function-size) */
static void fill(struct chance *c, const struct board *board, struct entry *e)
{
    union entry_body *b = &e->body;
    fill_ids(c, board, e);
    switch (e->kind) {
    case KIND_TRIP_STARTED: trip_body(c, &b->trip_started); break;
    case KIND_TRIP_PHASE: b->trip_phase.phase = (enum phase)chance_below(c, PHASE_COUNT_); break;
    case KIND_HAND_ADDED: some_text(c, b->hand_added.name, sizeof b->hand_added.name); break;
    case KIND_HAND_STATION:
        b->hand_station.hand = some_hand(c);
        b->hand_station.station = (enum station)chance_below(c, STATION_COUNT_);
        break;
    case KIND_PAGE_HAND: b->page_hand.hand = some_hand(c); break;
    case KIND_DUTY:
        b->duty.post = (enum post)chance_below(c, POST_COUNT_);
        b->duty.hand = chance_below(c, HANDS_NAMED);
        break;
    case KIND_LINE_IS:
        b->line_is.line = some_line(c);
        b->line_is.state = (enum line_state)chance_below(c, LINE_STATE_COUNT_);
        b->line_is.eye = percent(c, 20);
        break;
    case KIND_LINES_ARE: lines_body(c, &b->lines_are); break;
    case KIND_LINE_BAIT:
        b->line_bait.line = some_line(c);
        some_text(c, b->line_bait.bait, sizeof b->line_bait.bait);
        break;
    case KIND_LINES_SEEN:
        b->lines_seen.scope = (enum scope)chance_below(c, SCOPE_COUNT_);
        b->lines_seen.state = percent(c, 50) ? LINE_STATE_IN : (enum line_state)chance_below(c, LINE_STATE_COUNT_);
        break;
    case KIND_STRIKE: b->strike.line = percent(c, 30) ? 0 : some_line(c); break;
    case KIND_STRIKE_NAMED: b->strike_named.line = some_line(c); break;
    case KIND_STRIKE_ENDED:
        b->strike_ended.end = percent(c, 50) ? STRIKE_END_ON : (enum strike_end)chance_below(c, STRIKE_END_COUNT_);
        break;
    case KIND_FIGHT_ANGLER: b->fight_angler.hand = some_hand(c); break;
    case KIND_FIGHT_ENDED: b->fight_ended.end = (enum fight_end)chance_below(c, FIGHT_END_COUNT_); break;
    case KIND_CLEAR_CALLED: clear_body(c, &b->clear_called); break;
    case KIND_LINE_TAKEN: b->line_taken.line = some_line(c); break;
    case KIND_LINE_KEPT:
        b->line_kept.line = some_line(c);
        b->line_kept.kept = percent(c, 60);
        break;
    case KIND_CHECK_OPENED: b->check_opened.list = 1 + chance_below(c, LISTS_NAMED); break;
    case KIND_CHECK_ANSWERED:
        b->check_answered.item = 1 + chance_below(c, 5);
        b->check_answered.answer = (enum check_answer)chance_below(c, CHECK_ANSWER_COUNT_);
        b->check_answered.why = (enum check_why)chance_below(c, CHECK_WHY_COUNT_);
        break;
    case KIND_CALL:
        b->call.what = (enum call_what)chance_below(c, CALL_WHAT_COUNT_);
        b->call.to = (enum station)chance_below(c, STATION_COUNT_);
        b->call.hand = percent(c, 50) ? 0 : some_hand(c);
        break;
    case KIND_CALL_GOT:
        b->call_got.hand = chance_below(c, HANDS_NAMED);
        b->call_got.voice = percent(c, 30);
        break;
    case KIND_CALL_DONE: b->call_done.hand = chance_below(c, HANDS_NAMED); break;
    case KIND_OVERBOARD_SIGHTED:
        b->overboard_sighted.hand = some_hand(c);
        b->overboard_sighted.lost = percent(c, 30);
        break;
    case KIND_OVERBOARD_PERSON: b->overboard_person.hand = some_hand(c); break;
    case KIND_OVERBOARD_ENDED:
        b->overboard_ended.how = (enum overboard_how)chance_below(c, OVERBOARD_HOW_COUNT_);
        break;
    case KIND_RAISED: b->raised.line = percent(c, 30) ? 0 : some_line(c); break;
    case KIND_RAISE_TOUCHED: b->raise_touched.line = some_line(c); break;
    case KIND_RAISE_GEAR_MOVED:
        b->raise_gear_moved.gear = (enum raise_gear)chance_below(c, RAISE_GEAR_COUNT_);
        b->raise_gear_moved.line = percent(c, 50) ? 0 : some_line(c);
        b->raise_gear_moved.eye = percent(c, 50);
        break;
    case KIND_RAISE_ENDED: b->raise_ended.end = (enum raise_end)chance_below(c, RAISE_END_COUNT_); break;
    case KIND_LEADER:
        b->leader.on = percent(c, 60);
        b->leader.hand = chance_below(c, HANDS_NAMED);
        break;
    case KIND_FIGHT_CONDITION: b->fight_condition.condition = (enum condition)chance_below(c, CONDITION_COUNT_); break;
    case KIND_DOOR: b->door.open = percent(c, 50); break;
    case KIND_GAFF:
        b->gaff.up = percent(c, 70);
        b->gaff.hand = chance_below(c, HANDS_NAMED);
        break;
    case KIND_SLICK: b->slick.on = percent(c, 50); break;
    case KIND_STAND_BY: b->stand_by.hand = chance_below(c, HANDS_NAMED); break;
    case KIND_ASTERN_DECIDED: b->astern_decided.went = percent(c, 50); break;
    case KIND_HURT_TOLD:
        b->hurt_told.hand = chance_below(c, HANDS_NAMED);
        b->hurt_told.how = (enum hurt_how)chance_below(c, HURT_HOW_COUNT_);
        break;
    case KIND_HURT_KEPT:
        b->hurt_kept.since_ms = chance_below(c, (int32_t)c->now_ms);
        (void)snprintf(b->hurt_kept.who, sizeof b->hurt_kept.who, "hand %d", (int)some_hand(c));
        b->hurt_kept.how = (enum hurt_how)chance_below(c, HURT_HOW_COUNT_);
        break;
    case KIND_STAMP_TOLD:
        b->stamp_told.what = (enum stamp_what)chance_below(c, STAMP_WHAT_COUNT_);
        b->stamp_told.line = percent(c, 50) ? 0 : some_line(c);
        break;
    case KIND_NOTED: (void)snprintf(b->noted.text, sizeof b->noted.text, "birds to the south"); break;
    case KIND_BAIT_CHECKED:
        b->bait_checked.line = some_line(c);
        b->bait_checked.result = (enum bait_result)chance_below(c, BAIT_RESULT_COUNT_);
        break;
    case KIND_FLOAT_LIGHT:
        b->float_light.line = some_line(c);
        b->float_light.light = (enum light)chance_below(c, LIGHT_COUNT_);
        break;
    case KIND_PLACE_SET: place_body(c, &b->place_set); break;
    case KIND_ORDERS: orders_body(c, &b->orders); break;
    case KIND_ORDERS_HEARD: b->orders_heard.hand = chance_below(c, HANDS_NAMED); break;
    case KIND_ANGLER_NEXT: b->angler_next.hand = 1 + chance_below(c, 4); break;
    case KIND_FISH_COUNTED:
        b->fish_counted.boated = chance_below(c, 20);
        b->fish_counted.hand = chance_below(c, 4);
        b->fish_counted.second = chance_below(c, 4);
        break;
    case KIND_NEAR_MISS:
        b->near_miss.what = (enum near_kind)chance_below(c, NEAR_KIND_COUNT_);
        b->near_miss.hand = chance_below(c, HANDS_NAMED);
        break;
    case KIND_JOB:
        b->job.no = 1 + chance_below(c, BOARD_JOBS_MAX);
        some_text(c, b->job.text, sizeof b->job.text);
        b->job.hand = chance_below(c, HANDS_NAMED);
        break;
    case KIND_JOB_DONE: b->job_done.no = 1 + chance_below(c, BOARD_JOBS_MAX); break;
    case KIND_FISH_TOLD: fish_body(c, &b->fish_told); break;
    case KIND_ABOARD:
        b->aboard.persons = chance_below(c, 9);
        b->aboard.paying = chance_below(c, 9);
        b->aboard.use = (enum trip_use)chance_below(c, TRIP_USE_COUNT_);
        break;
    case KIND_REPORT_TOLD: some_text(c, b->report_told.number, sizeof b->report_told.number); break;
    case KIND_RULES_KEPT: some_text(c, b->rules_kept.set.name, sizeof b->rules_kept.set.name); break;
    case KIND_FISH_KEPT: b->fish_kept.more = chance_below(c, 3); break;
    case KIND_REPORT_KEPT: b->report_kept.due_ms = chance_below(c, (int32_t)c->now_ms); break;
    case KIND_GEAR_FAULT: b->gear_fault.line = percent(c, 50) ? 0 : some_line(c); break;
    case KIND_RUN:
        b->run.run = next(c);
        b->run.fresh = percent(c, 20);
        b->run.estimated = percent(c, 50);
        break;
    case KIND_CLOCK:
        b->clock.utc_offset_ms = chance_below(c, 1000000);
        b->clock.source = (enum clock_source)chance_below(c, CLOCK_SOURCE_COUNT_);
        break;
    case KIND_PAGE_JOINED: fill_page(c, &b->page_joined); break;
    case KIND_PAGE_STATE:
        b->page_state.page = some_page(c);
        b->page_state.state = (enum page_reach)chance_below(c, PAGE_REACH_COUNT_);
        break;
    case KIND_HELM_TAKEN: b->helm_taken.page = some_page(c); break;
    case KIND_TRIP_ENDED:
    case KIND_CLEAR_OVER:
    case KIND_CHECK_LEFT:
    case KIND_CALL_OFF:
    case KIND_SHOWN:
    case KIND_OVERBOARD:
    case KIND_OVERBOARD_WITHDRAWN:
    case KIND_OVERBOARD_HEARD:
    case KIND_STOP:
    case KIND_STOP_OVER:
    case KIND_ASTERN:
    case KIND_HURT:
    case KIND_HURT_OVER:
    case KIND_STAMPED:
    case KIND_RAISE_LAPSED:
    case KIND_VOIDED:
    case KIND_STRIKE_LAPSED:
    case KIND_CALL_UNHEARD:
    case KIND_GAP_FILLED:
    case KIND_FISH_ICED:
    case KIND_COUNT_: break; /* nothing but the ids they name */
    }
}

/* How long before it came it happened: mostly just now. */
static int64_t some_ago_ms(struct chance *c)
{
    if (percent(c, 80))
        return chance_below(c, 200);
    return percent(c, 80) ? chance_below(c, 20000) : chance_below(c, 400000);
}

static void head(struct chance *c, struct entry *e, enum entry_kind kind)
{
    const struct kind_info *info = kind_info(kind);
    memset(e, 0, sizeof *e);
    c->now_ms += chance_below(c, percent(c, 95) ? 3000 : 60000);
    e->kind = kind;
    e->seq = ++c->seq;
    e->id.sender = info->from == SOURCE_SERVER ? 7 : some_page(c);
    e->id.lane = (enum lane)info->lane;
    e->id.n = ++c->n[e->id.lane];
    e->got_ms = c->now_ms;
    e->at_ms = info->from == SOURCE_SERVER ? c->now_ms : c->now_ms - some_ago_ms(c);
    e->by = chance_below(c, HANDS_NAMED);
    e->from = info->from;
}

static void remember(struct chance *c, const struct entry *e)
{
    c->ids[c->id_count++ % CHANCE_IDS] = e->id;
    if (c->id_count == 2 * CHANCE_IDS)
        c->id_count = CHANCE_IDS;
}

static enum entry_kind some_kind(struct chance *c, const struct board *b)
{
    bool trip_runs = b->trip.phase != PHASE_NONE && b->trip.phase != PHASE_ENDED;
    if (!trip_runs && percent(c, 10)) {
        enum entry_kind emergency = b->overboard.id.n != 0 ? KIND_OVERBOARD_ENDED
                                    : b->stop.id.n != 0    ? KIND_STOP_OVER
                                                           : KIND_HURT_OVER;
        return percent(c, 50) ? KIND_TRIP_STARTED : emergency;
    }
    enum entry_kind kind = (enum entry_kind)chance_below(c, KIND_COUNT_);
    bool rare = kind == KIND_TRIP_ENDED || kind == KIND_RUN || kind == KIND_OVERBOARD;
    return rare && percent(c, 90) ? KIND_LINE_IS : kind;
}

/* A withdrawal is a page's own, mostly. */
static void own_withdrawal(struct chance *c, struct entry *e)
{
    if (e->kind == KIND_OVERBOARD_WITHDRAWN && percent(c, 80))
        e->id.sender = e->body.overboard_withdrawn.call.sender;
}

void chance_entry(struct chance *c, const struct board *b, struct entry *e)
{
    bool corrects = percent(c, c->corrections_percent);
    head(c, e, corrects && percent(c, 60) ? KIND_VOIDED : some_kind(c, b));
    fill(c, b, e);
    if (corrects && e->kind != KIND_VOIDED)
        e->instead_of = late_id(c);
    own_withdrawal(c, e);
    remember(c, e);
}

void chance_trip(struct chance *c, struct entry *e)
{
    head(c, e, KIND_TRIP_STARTED);
    trip_body(c, &e->body.trip_started);
    e->body.trip_started.spread[0].id = e->body.trip_started.crew[0].id = e->body.trip_started.lists[0].id = 1;
}
