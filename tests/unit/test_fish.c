/* Fish and who is aboard, on the board: what is told is counted, never judged. */
#include <stdio.h>

#include "board_support.h"

static struct body_fish_told *fish_tap(struct scene *s, struct entry_id fish)
{
    struct body_fish_told *body = &tap(s, KIND_FISH_TOLD)->body.fish_told;
    body->fish = fish;
    return body;
}

static void aboard(struct scene *s, int32_t persons, int32_t paying, enum trip_use use)
{
    struct body_aboard *body = &tap(s, KIND_ABOARD)->body.aboard;
    *body = (struct body_aboard){.persons = persons, .paying = paying, .use = use};
    (void)send(s);
}

static void test_fish_are_told_of_and_iced(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id fight = hook(&s, PORT_FLAT);
    (void)fight_ended(&s, fight, FIGHT_END_BOATED);
    struct body_fish_told *body = fish_tap(&s, fight);
    (void)snprintf(body->code, sizeof body->code, "YFT");
    body->decided_by = INES;
    (void)send(&s);
    expect_done(&s);
    body = fish_tap(&s, fight); /* again, for what was left out */
    body->length_um = 685800;
    body->measure = MEASURE_CURVED_FORK;
    body->measured_by = RUTH;
    (void)send(&s);
    expect_done(&s);
    tap(&s, KIND_FISH_ICED)->body.fish_iced.fish = fight;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.box.fish, 2);
    assert_int_equal(s.board.box.iced, 1);
}

static void test_what_says_nothing_or_names_nobody_is_refused(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)fish_tap(&s, (struct entry_id){0});
    (void)send(&s);
    expect_refused(&s, "fish_bare");
    fish_tap(&s, (struct entry_id){0})->measured_by = RUTH; /* who measured, and nothing that was measured */
    (void)send(&s);
    expect_refused(&s, "fish_bare");
    fish_tap(&s, (struct entry_id){0})->decided_by = 12;
    (void)send(&s);
    expect_refused(&s, "hand_unknown");
    assert_int_equal(s.about.hand, 12);
    struct body_fish_told *body = fish_tap(&s, (struct entry_id){0});
    body->decided_by = INES;
    body->measured_by = 11;
    (void)send(&s);
    expect_refused(&s, "hand_unknown");
    assert_int_equal(s.about.hand, 11);
    assert_int_equal(s.board.box.fish, 0);
}

static void test_who_counts(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    struct body_trip_started *body = &trip_tap(&s)->body.trip_started;
    body->persons = 6;
    body->paying = 4;
    body->use = TRIP_USE_CHARTER;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.box.persons, 6);
    assert_int_equal(s.board.box.paying, 4);
    assert_int_equal(s.board.box.use, TRIP_USE_CHARTER);
    aboard(&s, 5, 0, TRIP_USE_PRIVATE);
    expect_done(&s);
    assert_int_equal(s.board.box.persons, 5);
    assert_int_equal(s.board.box.use, TRIP_USE_PRIVATE);
    aboard(&s, 3, 4, TRIP_USE_CHARTER);
    expect_refused(&s, "aboard_bad");
    aboard(&s, 0, 4, TRIP_USE_CHARTER); /* how many are aboard is not said */
    expect_done(&s);
    scene_ago(&s, 60000); /* before what stands was said */
    aboard(&s, 8, 0, TRIP_USE_PRIVATE);
    expect_moot(&s);
}

static void test_a_trip_with_more_paying_than_aboard(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    struct body_trip_started *body = &trip_tap(&s)->body.trip_started;
    body->persons = 2;
    body->paying = 3;
    (void)send(&s);
    expect_refused(&s, "aboard_bad");
}

static void test_reports_and_fish_after_the_end(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    struct entry_id fight = hook(&s, PORT_FLAT);
    (void)fight_ended(&s, fight, FIGHT_END_BOATED);
    (void)trip_ended(&s);
    (void)snprintf(fish_tap(&s, fight)->code, 4, "SWO");
    (void)send(&s);
    expect_done(&s);
    struct body_report_told *report = &tap(&s, KIND_REPORT_TOLD)->body.report_told;
    report->of = fight;
    (void)snprintf(report->number, sizeof report->number, "N-123456");
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.box.reports, 1);
}

static void test_the_rule_set_gives_the_trip_its_name(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    struct rule_set *set = &tap(&s, KIND_RULES_KEPT)->body.rules_kept.set;
    (void)snprintf(set->name, sizeof set->name, "Own rules");
    (void)send(&s);
    expect_done(&s);
    assert_string_equal(s.board.trip.rules, "Own rules");
    tap(&s, KIND_FISH_KEPT)->body.fish_kept.more = 2; /* what the log keeps and the board does not show */
    (void)send(&s);
    expect_done(&s);
    tap(&s, KIND_REPORT_KEPT)->body.report_kept.due_ms = 5;
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.box.fish, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_fish_are_told_of_and_iced),
        cmocka_unit_test(test_what_says_nothing_or_names_nobody_is_refused),
        cmocka_unit_test(test_who_counts),
        cmocka_unit_test(test_a_trip_with_more_paying_than_aboard),
        cmocka_unit_test(test_reports_and_fish_after_the_end),
        cmocka_unit_test(test_the_rule_set_gives_the_trip_its_name),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
