/* Reports that are due (50 CFR 635.5(c), 33 CFR 173.55), their numbers, and what goes over into the next trip; and the box itself. */
#include "box_support.h"

#include <stdio.h>
#include <string.h>

#include "debrief/reports.h"

static struct report REPORTS[REPORTS_MAX];

static int32_t reports(struct box_scene *s)
{
    box_settle(&s->box);
    return reports_of(&s->box, REPORTS, REPORTS_MAX);
}

static void phase(struct box_scene *s, enum phase phase)
{
    box_scene_entry(s, KIND_TRIP_PHASE)->body.trip_phase.phase = phase;
    (void)box_scene_give(s);
}

static void test_a_day_after_the_landing(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    struct entry_id fish = box_scene_kept(&s, "SWO", INCHES(50), MEASURE_LOWER_JAW_FORK);
    (void)box_scene_kept(&s, "YFT", INCHES(30), MEASURE_CURVED_FORK); /* nobody asks for a report of this one */
    assert_int_equal(reports(&s), 1);
    assert_string_equal(REPORTS[0].of, "swordfish");
    assert_int_equal(REPORTS[0].due_ms, 0); /* not landed yet */
    assert_int_equal(REPORTS[0].hours, 24);
    phase(&s, PHASE_DOCK);
    int64_t landed_ms = s.now_ms;
    phase(&s, PHASE_DOCK); /* said again: it landed the first time */
    (void)box_scene_entry(&s, KIND_TRIP_ENDED);
    (void)box_scene_give(&s);
    assert_int_equal(reports(&s), 1);
    assert_int_equal(REPORTS[0].from_ms, landed_ms);
    assert_int_equal(REPORTS[0].due_ms, landed_ms + 24 * HOUR_MS);
    assert_string_equal(REPORTS[0].confirmed, "");
    struct body_report_told *told = &box_scene_entry(&s, KIND_REPORT_TOLD)->body.report_told;
    told->of = fish;
    (void)snprintf(told->number, sizeof told->number, "HMS-774411");
    (void)box_scene_give(&s);
    (void)reports(&s);
    assert_string_equal(REPORTS[0].confirmed, "HMS-774411");
    box_scene_close(&s);
}

/* Landed on Saturday, 2024-11-02, at 18:40 in New York, in the night that ends summer time: due 24 hours that pass later, which
 * its clocks call 17:40 on Sunday. The clock set meanwhile changes nothing. */
static void test_over_a_night_on_which_clocks_change(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    (void)box_scene_kept(&s, "BUM", INCHES(100), MEASURE_LOWER_JAW_FORK);
    s.now_ms = INT64_C(1730587200000) - s.box.utc_offset_ms; /* 2024-11-02T22:40:00Z */
    phase(&s, PHASE_DOCK);
    int64_t landed_utc_ms = s.now_ms + s.box.utc_offset_ms;
    box_scene_entry(&s, KIND_CLOCK)->body.clock.utc_offset_ms =
        s.box.utc_offset_ms + HOUR_MS; /* somebody sets the machine's clock */
    (void)box_scene_give(&s);
    int64_t set_back_ms = s.box.utc_offset_ms - HOUR_MS;
    assert_int_equal(reports(&s), 1);
    assert_int_equal(REPORTS[0].due_ms - REPORTS[0].from_ms, 24 * HOUR_MS);
    assert_int_equal(REPORTS[0].due_ms + set_back_ms, landed_utc_ms + 24 * HOUR_MS);
    box_scene_close(&s);
}

static void test_which_fish(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    struct body_fish_told *body = box_scene_tell(&s, (struct entry_id){0});
    (void)snprintf(body->code, sizeof body->code, "BFT");
    body->fate = FISH_FATE_DISCARDED_DEAD; /* reported as one kept is */
    (void)box_scene_give(&s);
    body = box_scene_tell(&s, (struct entry_id){0});
    (void)snprintf(body->code, sizeof body->code, "SWO");
    body->fate = FISH_FATE_DISCARDED_DEAD; /* of swordfish those landed alone */
    (void)box_scene_give(&s);
    body = box_scene_tell(&s, (struct entry_id){0});
    (void)snprintf(body->code, sizeof body->code, "SAI");
    body->fate = FISH_FATE_RELEASED;
    (void)box_scene_give(&s);
    assert_int_equal(reports(&s), 1);
    assert_string_equal(REPORTS[0].of, "bluefin, went back dead");
    box_scene_close(&s);
}

static void hurt(struct box_scene *s, enum hurt_how how)
{
    struct entry_id id;
    (void)box_scene_entry(s, KIND_HURT);
    id = box_scene_give(s);
    if (how == HURT_HOW_NOT_SAID)
        return;
    struct body_hurt_told *told = &box_scene_entry(s, KIND_HURT_TOLD)->body.hurt_told;
    told->hurt = id;
    told->how = how;
    (void)box_scene_give(s);
}

static void test_accidents(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    hurt(&s, HURT_HOW_FIRST_AID);
    assert_int_equal(reports(&s), 0);
    hurt(&s, HURT_HOW_BEYOND_FIRST_AID);
    int64_t called_ms = s.now_ms - 1000;
    assert_int_equal(reports(&s), 1);
    assert_int_equal(REPORTS[0].due_ms, called_ms + 48 * HOUR_MS); /* from when it happened, not from the landing */
    hurt(&s, HURT_HOW_MISSING);
    hurt(&s, HURT_HOW_DEAD);
    assert_int_equal(reports(&s), 3);
    box_scene_close(&s);
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    hurt(&s, HURT_HOW_NOT_SAID); /* either may hold */
    assert_int_equal(reports(&s), 2);
    assert_int_equal(REPORTS[0].due_ms, s.now_ms + 48 * HOUR_MS);
    assert_int_equal(REPORTS[1].due_ms, s.now_ms + 240 * HOUR_MS);
    box_scene_close(&s);
}

static void test_what_goes_over_into_the_next_trip(void **state)
{
    struct box_scene s;
    struct body_report_kept kept;
    struct body_fish_kept fish;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    struct entry_id id = box_scene_kept(&s, "SWO", INCHES(50), MEASURE_LOWER_JAW_FORK);
    (void)box_scene_kept(&s, "BFT", INCHES(80), MEASURE_CURVED_FORK);
    assert_int_equal(reports(&s), 2);
    assert_false(reports_hand_on(&REPORTS[0], s.now_ms, &kept)); /* its time has not begun */
    phase(&s, PHASE_DOCK);
    (void)reports(&s);
    assert_true(reports_hand_on(&REPORTS[1], s.now_ms, &kept));
    assert_string_equal(kept.name, "swordfish");
    assert_int_equal(kept.of.n, id.n);
    assert_false(reports_hand_on(&REPORTS[1], s.now_ms + 40 * 24 * HOUR_MS, &kept)); /* long over: no longer said */
    (void)reports_hand_on(&REPORTS[1], s.now_ms, &kept);
    box_hand_on(&s.box, s.now_ms + 47 * HOUR_MS, &fish);
    assert_int_equal(fish.fish_count, 2);
    assert_string_equal(fish.fish[0].code, "BFT"); /* the latest first */
    box_hand_on(&s.box, s.now_ms + 100 * 24 * HOUR_MS, &fish);
    assert_int_equal(fish.fish_count, 1); /* only what a year's limit is for */
    box_hand_on(&s.box, s.now_ms + 366 * 24 * HOUR_MS, &fish);
    assert_int_equal(fish.fish_count, 0);
    (void)box_scene_entry(&s, KIND_TRIP_STARTED);
    (void)box_scene_give(&s);
    box_scene_entry(&s, KIND_REPORT_KEPT)->body.report_kept = kept;
    (void)box_scene_give(&s);
    assert_int_equal(reports(&s), 1);
    assert_string_equal(REPORTS[0].of, "swordfish, an earlier trip");
    struct body_report_told *told = &box_scene_entry(&s, KIND_REPORT_TOLD)->body.report_told;
    told->of = kept.of;
    (void)snprintf(told->number, sizeof told->number, "77");
    (void)box_scene_give(&s);
    (void)reports(&s);
    assert_string_equal(REPORTS[0].confirmed, "77");
    box_scene_close(&s);
}

/* More than there is room for: the latest are carried, and how many were not is said. */
static void test_more_fish_than_room(void **state)
{
    struct box_scene s;
    struct body_fish_kept fish;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 10, 0);
    for (int32_t i = 0; i < BOX_EARLIER_MAX + 6; i++)
        (void)box_scene_kept(&s, "DOL", 0, MEASURE_NONE);
    box_settle(&s.box);
    box_hand_on(&s.box, s.now_ms, &fish);
    assert_int_equal(fish.fish_count, BOX_EARLIER_MAX);
    assert_int_equal(fish.more, 6);
    box_scene_close(&s);
}

/* Told in pieces: each piece fills or replaces what it says, and leaves the rest. What names no fish of the trip is none. */
static void test_told_in_pieces(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    struct entry_id id = box_scene_kept(&s, "YFT", INCHES(30), MEASURE_CURVED_FORK);
    (void)snprintf(box_scene_tell(&s, id)->code, 4, "BET");
    (void)box_scene_give(&s);
    box_scene_tell(&s, id)->girth_um = (int32_t)INCHES(20);
    (void)box_scene_give(&s);
    box_scene_entry(&s, KIND_FISH_ICED)->body.fish_iced.fish = id;
    (void)box_scene_give(&s);
    int64_t iced_ms = s.now_ms;
    box_scene_entry(&s, KIND_FISH_ICED)->body.fish_iced.fish = id;
    (void)box_scene_give(&s);
    struct entry_id own = (box_scene_tell(&s, (struct entry_id){0})->fate = FISH_FATE_KEPT, box_scene_give(&s));
    box_scene_tell(&s, own)->weight_g = 5000;
    (void)box_scene_give(&s);
    box_scene_tell(&s, (struct entry_id){.sender = 99, .n = 5})->weight_g = 7000; /* its fight was taken back */
    (void)box_scene_give(&s);
    box_scene_stand(&s);
    assert_int_equal(s.box.count, 2);
    assert_string_equal(s.box.fish[0].code, "BET");
    assert_int_equal(s.box.fish[0].length_um, INCHES(30));
    assert_int_equal(s.box.fish[0].girth_um, INCHES(20));
    assert_int_equal(s.box.fish[0].iced_ms, iced_ms);
    assert_int_equal(s.box.fish[1].weight_g, 5000);
    assert_int_equal(standing_untold(&s.box), 1);
    box_scene_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_day_after_the_landing),
        cmocka_unit_test(test_over_a_night_on_which_clocks_change),
        cmocka_unit_test(test_which_fish),
        cmocka_unit_test(test_accidents),
        cmocka_unit_test(test_what_goes_over_into_the_next_trip),
        cmocka_unit_test(test_more_fish_than_room),
        cmocka_unit_test(test_told_in_pieces),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
