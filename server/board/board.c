#include "board/board.h"

#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/open_ends.h"
#include "board/parts.h"

/* on_trip: its entries mean nothing without a running trip. Safety, the roster and the calls need none. After the trip's end,
 * at the dock, some are still taken: see at_dock(). */
struct aspect {
    enum refusal_code (*admit)(const struct board *, const struct entry *, struct about *);
    enum outcome (*apply)(struct board *, const struct entry *);
    bool on_trip;
};

static const struct aspect TRIP = {trip_admit, trip_apply, false};
static const struct aspect CREW = {crew_admit, crew_apply, false};
static const struct aspect LINES = {lines_admit, lines_apply, true};
static const struct aspect STRIKES = {strikes_admit, strikes_apply, true};
static const struct aspect FIGHTS = {fights_admit, fights_apply, true};
static const struct aspect RAISES = {raises_admit, raises_apply, true};
static const struct aspect DECK = {deck_admit, deck_apply, true};
static const struct aspect ASTERN = {astern_admit, astern_apply, false};
static const struct aspect HURT = {hurt_admit, hurt_apply, false};
static const struct aspect STAMPS = {stamps_admit, stamps_apply, true};
static const struct aspect BAITS = {baits_admit, baits_apply, true};
static const struct aspect PLACES = {places_admit, places_apply, true};
static const struct aspect ORDERS = {orders_admit, orders_apply, true};
static const struct aspect DOCK = {dock_admit, dock_apply, true};
static const struct aspect FISH = {fish_admit, fish_apply, true};
static const struct aspect CLEARING = {clearing_admit, clearing_apply, true};
static const struct aspect CHECKS = {checks_admit, checks_apply, true};
static const struct aspect CALLS = {calls_admit, calls_apply, false};
static const struct aspect OVERBOARD = {overboard_admit, overboard_apply, false};
static const struct aspect STOP = {stop_admit, stop_apply, false};
static const struct aspect CORRECT = {correct_admit, correct_apply, false};
static const struct aspect PRESENCE = {presence_admit, presence_apply, false};

/* A call to clear is answered, shown and not heard by the same entries as any call. */
static const struct aspect *call_or_clearing(const struct board *b, struct entry_id call)
{
    return id_is(b->clearing.id, call) ? &CLEARING : &CALLS;
}

static const struct aspect *aspect_of(const struct board *b, const struct entry *e)
{
    switch (e->kind) {
    case KIND_TRIP_STARTED:
    case KIND_TRIP_PHASE:
    case KIND_TRIP_ENDED: return &TRIP;
    case KIND_HAND_ADDED:
    case KIND_HAND_STATION:
    case KIND_PAGE_HAND:
    case KIND_DUTY: return &CREW;
    case KIND_LINE_IS:
    case KIND_LINES_ARE:
    case KIND_LINES_SEEN: return &LINES;
    case KIND_LINE_BAIT:
    case KIND_BAIT_CHECKED:
    case KIND_FLOAT_LIGHT: return &BAITS;
    case KIND_PLACE_SET: return &PLACES;
    case KIND_STRIKE:
    case KIND_STRIKE_NAMED:
    case KIND_STRIKE_ENDED:
    case KIND_STRIKE_LAPSED: return &STRIKES;
    case KIND_FIGHT_ANGLER:
    case KIND_LEADER:
    case KIND_FIGHT_CONDITION:
    case KIND_FIGHT_ENDED: return &FIGHTS;
    case KIND_RAISED:
    case KIND_RAISE_TOUCHED:
    case KIND_RAISE_GEAR_MOVED:
    case KIND_RAISE_ENDED:
    case KIND_RAISE_LAPSED: return &RAISES;
    case KIND_DOOR:
    case KIND_GAFF:
    case KIND_SLICK:
    case KIND_STAND_BY: return &DECK;
    case KIND_ASTERN:
    case KIND_ASTERN_DECIDED: return &ASTERN;
    case KIND_STAMPED:
    case KIND_STAMP_TOLD:
    case KIND_NOTED: return &STAMPS;
    case KIND_ORDERS:
    case KIND_ORDERS_HEARD:
    case KIND_ANGLER_NEXT: return &ORDERS;
    case KIND_FISH_COUNTED:
    case KIND_NEAR_MISS:
    case KIND_JOB:
    case KIND_JOB_DONE:
    case KIND_GEAR_FAULT: return &DOCK;
    case KIND_FISH_TOLD:
    case KIND_FISH_ICED:
    case KIND_ABOARD:
    case KIND_REPORT_TOLD:
    case KIND_RULES_KEPT:
    case KIND_FISH_KEPT:
    case KIND_REPORT_KEPT: return &FISH;
    case KIND_CLEAR_CALLED:
    case KIND_LINE_TAKEN:
    case KIND_LINE_KEPT:
    case KIND_CLEAR_OVER: return &CLEARING;
    case KIND_CHECK_OPENED:
    case KIND_CHECK_ANSWERED:
    case KIND_CHECK_LEFT: return &CHECKS;
    case KIND_CALL_GOT: return call_or_clearing(b, e->body.call_got.call);
    case KIND_SHOWN: return call_or_clearing(b, e->body.shown.call);
    case KIND_CALL_UNHEARD: return call_or_clearing(b, e->body.call_unheard.call);
    case KIND_CALL:
    case KIND_CALL_DONE:
    case KIND_CALL_OFF: return &CALLS;
    case KIND_OVERBOARD:
    case KIND_OVERBOARD_WITHDRAWN:
    case KIND_OVERBOARD_HEARD:
    case KIND_OVERBOARD_SIGHTED:
    case KIND_OVERBOARD_PERSON:
    case KIND_OVERBOARD_ENDED: return &OVERBOARD;
    case KIND_STOP:
    case KIND_STOP_OVER: return &STOP;
    case KIND_HURT:
    case KIND_HURT_TOLD:
    case KIND_HURT_OVER:
    case KIND_HURT_KEPT: return &HURT;
    case KIND_VOIDED:
    case KIND_GAP_FILLED: return &CORRECT;
    case KIND_RUN:
    case KIND_CLOCK:
    case KIND_PAGE_JOINED:
    case KIND_PAGE_STATE:
    case KIND_HELM_TAKEN: return &PRESENCE;
    case KIND_COUNT_: break;
    }
    return &CORRECT;
}

void board_reset(struct board *b)
{
    memset(b, 0, sizeof *b);
}

/* Taken after the trip's end as well: what is counted, told and settled at the dock. */
static bool at_dock(enum entry_kind kind)
{
    static const enum entry_kind KINDS[] = {
        KIND_LINE_IS,     KIND_LINES_ARE,       KIND_LINES_SEEN, KIND_STRIKE_NAMED, KIND_STRIKE_ENDED, KIND_RAISE_ENDED,
        KIND_FIGHT_ENDED, KIND_FIGHT_CONDITION, KIND_STAMP_TOLD, KIND_NOTED,        KIND_FISH_COUNTED, KIND_NEAR_MISS,
        KIND_JOB,         KIND_JOB_DONE,        KIND_GEAR_FAULT, KIND_LINE_BAIT,    KIND_FISH_TOLD,    KIND_FISH_ICED,
        KIND_ABOARD,      KIND_REPORT_TOLD,
    };
    for (size_t i = 0; i < sizeof KINDS / sizeof KINDS[0]; i++) {
        if (KINDS[i] == kind)
            return true;
    }
    return false;
}

/* What happened before the trip began is no part of it; the server itself may still put an ended trip's board in order. */
static bool outside_trip(const struct board *b, const struct entry *e)
{
    if (kind_info(e->kind)->from == SOURCE_SERVER)
        return b->trip.phase == PHASE_NONE;
    bool open = trip_runs(b) || (b->trip.phase == PHASE_ENDED && at_dock(e->kind));
    return !open || entry_late(e, b->trip.started_ms);
}

/* A tap made while the trip still ran, or before it began, is history. */
static enum refusal_code outside_refusal(const struct board *b, const struct entry *e)
{
    if (b->trip.phase == PHASE_NONE)
        return REFUSAL_NO_TRIP;
    if (b->trip.phase == PHASE_ENDED && !at_dock(e->kind) && !entry_late(e, b->trip.ended_ms))
        return REFUSAL_TRIP_OVER;
    return REFUSAL_NONE;
}

enum refusal_code board_admit(const struct board *b, const struct entry *e, struct about *about)
{
    memset(about, 0, sizeof *about);
    if (e->instead_of.n != 0)
        return REFUSAL_NONE;
    const struct aspect *aspect = aspect_of(b, e);
    if (aspect->on_trip && outside_trip(b, e))
        return outside_refusal(b, e);
    return aspect->admit(b, e, about);
}

enum outcome board_apply(struct board *b, const struct entry *e)
{
    CHECK(e->refused[0] == '\0');
    if (e->instead_of.n != 0)
        return OUTCOME_DONE;
    const struct aspect *aspect = aspect_of(b, e);
    if (aspect->on_trip && outside_trip(b, e))
        return OUTCOME_MOOT;
    enum outcome outcome = aspect->apply(b, e);
    if (outcome == OUTCOME_DONE) {
        raises_settle(b, e);
        orders_settle(b, e);
        deck_settle(b, e);
        clearing_settle(b, e);
    }
    return outcome;
}

/* A keyed part has each key once, and a free slot is all zero: boards are compared as bytes. */
static void slots_check(const struct board *b, enum board_part part)
{
    static const unsigned char ZERO[sizeof(struct board_list)];
    const struct part_info *info = part_info(part);
    for (int32_t i = 0; i < info->max; i++) {
        const unsigned char *slot = (const unsigned char *)b + info->offset + (size_t)i * info->size;
        if (board_slot_used(b, part, i))
            CHECK(slot_find(b, part, slot + info->key_offset) == i);
        else
            CHECK(info->size <= sizeof ZERO && memcmp(slot, ZERO, info->size) == 0);
    }
}

void board_check(const struct board *b)
{
    for (int32_t part = 0; part < PART_COUNT_; part++) {
        if (part_info((enum board_part)part)->key != PART_SINGLE)
            slots_check(b, (enum board_part)part);
    }
    trip_check(b);
    crew_check(b);
    lines_check(b);
    strikes_check(b);
    fights_check(b);
    raises_check(b);
    open_ends_check(b);
    clearing_check(b);
    deck_check(b);
    astern_check(b);
    hurt_check(b);
    stamps_check(b);
    baits_check(b);
    places_check(b);
    orders_check(b);
    dock_check(b);
    fish_check(b);
    checks_check(b);
    calls_check(b);
    overboard_check(b);
    stop_check(b);
    correct_check(b);
    presence_check(b);
}
