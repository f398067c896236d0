/* The size of a full board on the wire: 16 KB at most, on a day when everything happens at once. */
#include <stdio.h>

#include "board_support.h"
#include "codec.h"
#include "proto_json.h"

enum { WIRE_MAX = 16 * 1024 };

static const char *const PLACES[] = {
    "port long rigger",
    "port short rigger",
    "port flat",
    "shotgun",
    "starboard flat",
    "starboard short rigger",
    "starboard long rigger",
    "centre rigger",
    "bridge rod",
    "port dredge",
    "starboard dredge",
    "port teaser",
    "starboard teaser",
    "float 1",
    "float 2",
    "float 3",
    "float 4",
    "tip rod",
};

enum { PLACES_COUNT = sizeof PLACES / sizeof PLACES[0], LISTS = 6, ITEMS = 7, PAGES = 8, HANDS = 6, CALLS = 6 };

static enum gear gear_of(int32_t place)
{
    if (place < 9)
        return GEAR_LINE;
    if (place < 11)
        return GEAR_DREDGE;
    return place < 13 ? GEAR_TEASER : GEAR_FLOAT;
}

static void start(struct scene *s)
{
    static const char *const NAMES[HANDS] = {"Ines", "Tobias", "Ruth", "Amparo", "Dov", "Ottilie"};
    scene_open(s);
    s->now_ms = INT64_C(123456789);
    struct body_trip_started *body = &tap(s, KIND_TRIP_STARTED)->body.trip_started;
    (void)snprintf(body->name, sizeof body->name, "Grey Petrel, the long weekend");
    body->no = 142;
    (void)snprintf(body->rules, sizeof body->rules, "own rules, 2026-01-01");
    body->line_in_ms = 42000;
    for (int32_t i = 0; i < PLACES_COUNT; i++) {
        struct spread_line *place = &body->spread[body->spread_count++];
        place->id = i + 1;
        (void)snprintf(place->name, sizeof place->name, "%s", PLACES[i]);
        place->side = (enum side)(i % SIDE_COUNT_);
        place->gear = gear_of(i);
        place->distance_m = 100;
        (void)snprintf(place->bait, sizeof place->bait, "%s", i % 2 == 0 ? "ballyhoo, blue skirt" : "rigged squid");
    }
    for (int32_t i = 0; i < HANDS; i++) {
        struct crew_hand *hand = &body->crew[body->crew_count++];
        hand->id = i + 1;
        (void)snprintf(hand->name, sizeof hand->name, "%s", NAMES[i]);
        hand->station = STATION_STARBOARD;
    }
    for (int32_t i = 0; i < LISTS; i++) {
        struct check_list *list = &body->lists[body->lists_count++];
        list->id = i + 1;
        (void)snprintf(list->name, sizeof list->name, "Before lines go in, %c", (char)('A' + i));
        list->items_count = ITEMS;
        for (int32_t k = 0; k < ITEMS; k++) {
            (void)snprintf(list->items[k].ask, sizeof list->items[k].ask, "Fire extinguishers, forward");
            (void)snprintf(list->items[k].state, sizeof list->items[k].state, "IN PLACE, IN DATE");
            (void)snprintf(list->items[k].source, sizeof list->items[k].source,
                           "46 CFR 25.30-20; since 2022 33 CFR 175.301");
        }
    }
    for (int32_t i = 0; i < 4; i++) {
        struct preset *preset = &body->presets[body->presets_count++];
        preset->id = i + 1;
        (void)snprintf(preset->name, sizeof preset->name, "all but longs %c", (char)('A' + i));
        preset->kept_count = 3;
        for (int32_t k = 0; k < 3; k++)
            preset->kept[k] = k + 1;
    }
    body->jobs_count = body->job_names_count = 3;
    for (int32_t i = 0; i < 3; i++) {
        (void)snprintf(body->jobs[i], sizeof body->jobs[i], "new clip on the port rigger, and the spare one checked");
        (void)snprintf(body->job_names[i], sizeof body->job_names[i], "Somebody of an earlier crew, %c",
                       (char)('A' + i));
        (void)snprintf(body->job_days[body->job_days_count++], sizeof body->job_days[i], "2026-07-1%c",
                       (char)('0' + i));
    }
    body->persons = 14;
    body->paying = 11;
    body->use = TRIP_USE_HEADBOAT;
    s->page = UINT64_C(0xc0ffeec0ffee0000);
    (void)send(s);
    expect_done(s);
}

static void people(struct scene *s)
{
    for (int32_t i = 0; i < PAGES; i++) {
        struct body_page_joined *body = &tap(s, KIND_PAGE_JOINED)->body.page_joined;
        body->page = s->page + (uint64_t)i;
        body->device = i + 1;
        body->hand = i % HANDS + 1;
        body->view = VIEW_STATION;
        body->state = PAGE_REACH_ASLEEP;
        (void)send(s);
    }
    struct body_orders *orders = &tap(s, KIND_ORDERS)->body.orders;
    orders->wheel = orders->wire = orders->gaff = orders->door = 1;
    orders->keep_ahead_s = 25;
    for (int32_t i = 0; i < 6; i++) {
        struct order_fish *fish = &orders->fish[orders->fish_count++];
        (void)snprintf(fish->name, sizeof fish->name, "big eyed fish %c", (char)('A' + i));
        fish->preset = i % 4 + 1;
        orders->anglers[orders->anglers_count++] = i + 1;
    }
    (void)send(s);
    expect_done(s);
    for (int32_t i = 0; i < HANDS; i++) {
        tap(s, KIND_ORDERS_HEARD)->body.orders_heard.hand = i + 1;
        (void)send(s);
    }
}

static void lists(struct scene *s)
{
    for (int32_t i = 0; i < LISTS; i++) {
        tap(s, KIND_CHECK_OPENED)->body.check_opened.list = i + 1;
        struct entry_id run = send(s);
        for (int32_t k = 0; k < ITEMS; k++) {
            struct body_check_answered *body = &tap(s, KIND_CHECK_ANSWERED)->body.check_answered;
            body->run = run;
            body->item = k + 1;
            body->answer = CHECK_ANSWER_DONE;
            (void)send(s);
            expect_done(s);
        }
    }
}

static void spread(struct scene *s)
{
    for (int32_t i = 0; i < PLACES_COUNT; i++) {
        (void)line_is(s, i + 1, LINE_STATE_OUT);
        tap(s, KIND_BAIT_CHECKED)->body.bait_checked.line = i + 1;
        s->entry.body.bait_checked.result = BAIT_RESULT_CHANGED;
        (void)send(s);
        if (gear_of(i) != GEAR_FLOAT)
            continue;
        tap(s, KIND_FLOAT_LIGHT)->body.float_light.line = i + 1;
        s->entry.body.float_light.light = LIGHT_ORANGE;
        (void)send(s);
        expect_done(s);
    }
}

static void fish(struct scene *s)
{
    for (int32_t i = 0; i < BOARD_OPEN_ENDS_MAX; i++) {
        struct entry_id bite = strike(s, 8);
        tap(s, KIND_STRIKE_LAPSED)->body.strike_lapsed.strike = bite;
        (void)send(s);
        expect_done(s);
    }
    tap(s, KIND_RAISED)->body.raised.line = 1;
    struct entry_id raise = send(s);
    for (int32_t i = 0; i < 10; i++) {
        struct body_raise_touched *body = &tap(s, KIND_RAISE_TOUCHED)->body.raise_touched;
        body->episode = raise;
        body->line = i % 4 + 1;
        (void)send(s);
    }
    scene_ago(s, 20000);
    for (int32_t i = 0; i < 2; i++) { /* before the raise, so that it stays up */
        struct entry_id id = strike(s, 0);
        (void)strike_ended(s, id, STRIKE_END_ON);
        expect_done(s);
        scene_ago(s, 0);
        tap(s, KIND_LEADER)->body.leader.fight = id;
        s->entry.body.leader.on = true;
        (void)send(s);
        expect_done(s);
        scene_ago(s, 30000);
    }
    scene_ago(s, 0);
    (void)strike(s, 5);
    (void)strike(s, 6);
}

static void the_rest(struct scene *s)
{
    for (int32_t i = 0; i < CALLS; i++)
        (void)call_got(s, call_to(s, STATION_COCKPIT, 3));
    struct body_clear_called *clear = &tap(s, KIND_CLEAR_CALLED)->body.clear_called;
    clear->kept_count = 3;
    for (int32_t i = 0; i < 3; i++)
        clear->kept[i] = i + 1;
    (void)snprintf(clear->preset, sizeof clear->preset, "all but longs");
    (void)send(s);
    expect_done(s);
    for (int32_t i = 8; i < 14; i++) {
        (void)line_taken(s, i);
        expect_done(s);
    }
    for (int32_t i = 0; i < BOARD_STAMPS_MAX; i++) {
        (void)tap(s, KIND_STAMPED);
        (void)send(s);
    }
    (void)tap(s, KIND_ASTERN);
    (void)send(s);
    for (int32_t i = 0; i < 99; i++) {
        (void)snprintf(tap(s, KIND_FISH_TOLD)->body.fish_told.code, 4, "DOL");
        (void)send(s);
        expect_done(s);
        tap(s, KIND_FISH_ICED)->body.fish_iced.fish = s->entry.id;
        (void)send(s);
        tap(s, KIND_REPORT_TOLD)->body.report_told.of = s->entry.id;
        (void)send(s);
    }
    (void)tap(s, KIND_HURT);
    (void)send(s);
    for (int32_t i = 0; i < BOARD_HURTS_MAX; i++) {
        struct body_hurt_kept *kept = &tap(s, KIND_HURT_KEPT)->body.hurt_kept;
        *kept = (struct body_hurt_kept){.hurt = s->entry.id, .since_ms = 1, .how = HURT_HOW_BEYOND_FIRST_AID};
        (void)snprintf(kept->who, sizeof kept->who, "Somebody of an earlier crew, too");
        (void)send(s);
    }
    for (int32_t i = 0; i < 4; i++) {
        (void)tap(s, KIND_OVERBOARD);
        s->entry.id.sender += (uint64_t)i;
        (void)send(s);
    }
}

static void test_a_full_board_on_the_wire(void **state)
{
    struct scene s;
    char dump[BOARD_DUMP_BYTES];
    (void)state;
    start(&s);
    people(&s);
    lists(&s);
    spread(&s);
    fish(&s);
    the_rest(&s);
    cJSON *json = board_to_json(&s.board);
    char *text = json_text(json);
    print_message("a full board is %zu bytes on the wire\n", strlen(text));
    assert_true(strlen(text) <= WIRE_MAX);
    assert_int_equal(slot_free(&s.board, PART_OPEN_ENDS), -1);
    assert_int_equal(slot_free(&s.board, PART_STAMPS), -1);
    assert_non_null(fight_find(&s.board, s.board.fights[1].id));
    assert_int_equal(s.board.raises[0].path_count, BOARD_RAISE_PATH_MAX);
    s.board.clock.source = CLOCK_SOURCE_GPS;
    assert_true(board_dump(&s.board, dump, sizeof dump) < sizeof dump - 1);
    free(text);
    cJSON_Delete(json);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_a_full_board_on_the_wire)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
