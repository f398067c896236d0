#include "without.h"

#include <stdio.h>
#include <string.h>

/* A text that must not be empty. */
#define LEFT_OUT "left out"

static void name_hand(char *name, size_t cap, int32_t hand)
{
    (void)snprintf(name, cap, "Hand %d", (int)hand);
}

/* Which number a hand gets that comes during a trip, only the board says; no two may bear one name, or the second is not taken. */
static void name_added(char *name, size_t cap, struct entry_id id)
{
    (void)snprintf(name, cap, "Hand %04x.%d", (unsigned)(id.sender & 0xffff), (int)id.n);
}

static void trip_without(struct body_trip_started *body)
{
    for (int32_t i = 0; i < body->crew_count; i++)
        name_hand(body->crew[i].name, sizeof body->crew[i].name, body->crew[i].id);
    body->jobs_count = 0;
    memset(body->jobs, 0, sizeof body->jobs);
    body->job_names_count = 0;
    memset(body->job_names, 0, sizeof body->job_names);
}

/* Every kind is named, so that a new one is looked at for what it may tell. */
static void names_without(struct entry *e)
{
    union entry_body *body = &e->body;
    switch (e->kind) {
    case KIND_TRIP_STARTED: trip_without(&body->trip_started); break;
    case KIND_HAND_ADDED: name_added(body->hand_added.name, sizeof body->hand_added.name, e->id); break;
    case KIND_STAMP_TOLD: memset(body->stamp_told.text, 0, sizeof body->stamp_told.text); break;
    case KIND_NOTED:
        memset(body->noted.text, 0, sizeof body->noted.text);
        (void)snprintf(body->noted.text, sizeof body->noted.text, LEFT_OUT);
        break;
    case KIND_NEAR_MISS: memset(body->near_miss.text, 0, sizeof body->near_miss.text); break;
    case KIND_JOB:
        if (body->job.text[0]) {
            memset(body->job.text, 0, sizeof body->job.text);
            (void)snprintf(body->job.text, sizeof body->job.text, LEFT_OUT);
        }
        break;
    case KIND_GEAR_FAULT:
        memset(body->gear_fault.text, 0, sizeof body->gear_fault.text);
        (void)snprintf(body->gear_fault.text, sizeof body->gear_fault.text, LEFT_OUT);
        break;
    case KIND_REPORT_TOLD:
        memset(body->report_told.number, 0, sizeof body->report_told.number);
        (void)snprintf(body->report_told.number, sizeof body->report_told.number, LEFT_OUT);
        break;
    case KIND_HURT_KEPT: memset(body->hurt_kept.who, 0, sizeof body->hurt_kept.who); break;
    case KIND_TRIP_PHASE:
    case KIND_TRIP_ENDED:
    case KIND_HAND_STATION:
    case KIND_PAGE_HAND:
    case KIND_DUTY:
    case KIND_LINE_IS:
    case KIND_LINES_ARE:
    case KIND_LINE_BAIT:
    case KIND_LINES_SEEN:
    case KIND_STRIKE:
    case KIND_STRIKE_NAMED:
    case KIND_STRIKE_ENDED:
    case KIND_FIGHT_ANGLER:
    case KIND_FIGHT_ENDED:
    case KIND_CLEAR_CALLED:
    case KIND_LINE_TAKEN:
    case KIND_LINE_KEPT:
    case KIND_CLEAR_OVER:
    case KIND_CHECK_OPENED:
    case KIND_CHECK_ANSWERED:
    case KIND_CHECK_LEFT:
    case KIND_CALL:
    case KIND_CALL_GOT:
    case KIND_CALL_DONE:
    case KIND_CALL_OFF:
    case KIND_SHOWN:
    case KIND_OVERBOARD:
    case KIND_OVERBOARD_WITHDRAWN:
    case KIND_OVERBOARD_HEARD:
    case KIND_OVERBOARD_SIGHTED:
    case KIND_OVERBOARD_PERSON:
    case KIND_OVERBOARD_ENDED:
    case KIND_STOP:
    case KIND_STOP_OVER:
    case KIND_VOIDED:
    case KIND_RAISED:
    case KIND_RAISE_TOUCHED:
    case KIND_RAISE_GEAR_MOVED:
    case KIND_RAISE_ENDED:
    case KIND_LEADER:
    case KIND_FIGHT_CONDITION:
    case KIND_DOOR:
    case KIND_GAFF:
    case KIND_ASTERN:
    case KIND_ASTERN_DECIDED:
    case KIND_HURT:
    case KIND_HURT_TOLD:
    case KIND_HURT_OVER:
    case KIND_STAMPED:
    case KIND_BAIT_CHECKED:
    case KIND_FLOAT_LIGHT:
    case KIND_SLICK:
    case KIND_STAND_BY:
    case KIND_ORDERS:
    case KIND_ORDERS_HEARD:
    case KIND_ANGLER_NEXT:
    case KIND_PLACE_SET:
    case KIND_FISH_COUNTED:
    case KIND_JOB_DONE:
    case KIND_RAISE_LAPSED:
    case KIND_RUN:
    case KIND_CLOCK:
    case KIND_PAGE_JOINED:
    case KIND_PAGE_STATE:
    case KIND_HELM_TAKEN:
    case KIND_STRIKE_LAPSED:
    case KIND_CALL_UNHEARD:
    case KIND_GAP_FILLED:
    case KIND_FISH_TOLD:
    case KIND_FISH_ICED:
    case KIND_ABOARD:
    case KIND_RULES_KEPT:
    case KIND_FISH_KEPT:
    case KIND_REPORT_KEPT:
    case KIND_COUNT_: break;
    }
}

void without(const struct without *what, struct entry *e)
{
    if (what->names)
        names_without(e);
    if (what->places)
        memset(&e->place, 0, sizeof e->place);
}
