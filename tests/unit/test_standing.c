/* The box against the shipped rule set. The numbers are those of 50 CFR 635 and 622 as the rule set cites them; the cases with their
 * results are worked out by "whichever is less": persons times each one's, or the vessel's cap. */
#include "box_support.h"

#include <stdio.h>
#include <string.h>

static void kept_many(struct box_scene *s, const char *code, int32_t count)
{
    for (int32_t i = 0; i < count; i++)
        (void)box_scene_kept(s, code, 0, MEASURE_NONE);
}

static void test_limits_by_heads_and_caps(void **state)
{
    static const struct {
        const char *row;
        enum trip_use use;
        int32_t persons, paying, limit;
    } CASES[] = {
        {"dolphin (mahi)", TRIP_USE_PRIVATE, 4, 0, 40},               /* 50 CFR 622.277 */
        {"dolphin (mahi)", TRIP_USE_PRIVATE, 6, 0, 54},               /* 60, capped: 54 since 2022-05-02 */
        {"dolphin (mahi)", TRIP_USE_PRIVATE, 5, 0, 50},               /* below the cap */
        {"dolphin (mahi)", TRIP_USE_CHARTER, 8, 6, 54},               /* the cap is for charters too */
        {"dolphin (mahi), headboat", TRIP_USE_HEADBOAT, 14, 12, 120}, /* 10 a paying passenger, no cap */
        {"yellowfin", TRIP_USE_PRIVATE, 5, 0, 15},                    /* 50 CFR 635.22(d) */
        {"yellowfin", TRIP_USE_CHARTER, 8, 6, 24},                    /* captain and crew count for hire too */
        {"swordfish, private", TRIP_USE_PRIVATE, 3, 0, 3},            /* 50 CFR 635.22(f)(3) */
        {"swordfish, private", TRIP_USE_PRIVATE, 4, 0, 4},
        {"swordfish, private", TRIP_USE_PRIVATE, 6, 0, 4},
        {"swordfish, charter", TRIP_USE_CHARTER, 7, 5, 5}, /* 635.22(f)(1): crew do not count */
        {"swordfish, charter", TRIP_USE_CHARTER, 10, 8, 6},
        {"swordfish, headboat", TRIP_USE_HEADBOAT, 25, 22, 15},      /* 635.22(f)(2) */
        {"wahoo", TRIP_USE_PRIVATE, 4, 0, 8},                        /* 622.277 */
        {"bluefin under 73 in", TRIP_USE_PRIVATE, 6, 0, 1},          /* 635.23(b)(2) */
        {"bluefin of 73 in and more", TRIP_USE_PRIVATE, 6, 0, 1},    /* 635.23(b)(1) */
        {"sharks of the list, together", TRIP_USE_PRIVATE, 6, 0, 1}, /* 635.22(c) */
        {"Atlantic sharpnose", TRIP_USE_PRIVATE, 6, 0, 6},
        {"bonnethead", TRIP_USE_PRIVATE, 6, 0, 6},
        {"blue marlin", TRIP_USE_PRIVATE, 6, 0, STANDING_NONE}, /* a size, no number */
    };
    (void)state;
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        struct box_scene s;
        box_scene_open(&s, CASES[i].use, CASES[i].persons, CASES[i].paying);
        box_scene_stand(&s);
        if (box_scene_row(&s, CASES[i].row)->limit != CASES[i].limit)
            print_message("%s, %d aboard\n", CASES[i].row, (int)CASES[i].persons);
        assert_int_equal(box_scene_row(&s, CASES[i].row)->limit, CASES[i].limit);
        box_scene_close(&s);
    }
}

/* "However long the trip": the third day does not bring another three a person (50 CFR 635.22(d)). A limit of the day is anew each
 * day of the calendar. */
static void test_a_night_does_not_double_a_limit(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 5, 0);
    kept_many(&s, "YFT", 14);
    kept_many(&s, "WAH", 2);
    s.now_ms += 48 * HOUR_MS;
    kept_many(&s, "WAH", 1);
    box_scene_stand(&s);
    const struct standing *row = box_scene_row(&s, "yellowfin");
    assert_int_equal(row->logged, 14);
    assert_int_equal(row->limit, 15);
    assert_int_equal(row->left, 1);
    assert_string_equal(row->basis, "3 a person, 5 aboard; a day, and no more aboard however long the trip");
    assert_string_equal(row->min_words, "27 in, curved, over the fin, upper jaw to fork");
    row = box_scene_row(&s, "wahoo");
    assert_int_equal(row->logged, 1);
    assert_true(box_scene_says(&row->sayings, "2 more kept earlier in this trip, on another day: not counted here"));
    assert_false(box_scene_says(&box_scene_row(&s, "yellowfin")->sayings, "on another day"));
    box_scene_close(&s);
}

static void test_more_than_the_limit_is_said_as_such(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 1, 0);
    kept_many(&s, "YFT", 5);
    box_scene_stand(&s);
    assert_int_equal(box_scene_row(&s, "yellowfin")->left, -2);
    box_scene_close(&s);
}

static void test_released_fish_count_for_nothing(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 2, 0);
    struct entry_id fish = box_scene_kept(&s, "YFT", INCHES(26), MEASURE_CURVED_FORK);
    (void)box_scene_kept(&s, "YFT", INCHES(30), MEASURE_CURVED_FORK);
    box_scene_tell(&s, fish)->fate = FISH_FATE_RELEASED; /* boated, and let go after all */
    (void)box_scene_give(&s);
    box_scene_stand(&s);
    assert_int_equal(box_scene_row(&s, "yellowfin")->logged, 1);
    box_scene_close(&s);
}

static void test_nobody_said_who_is_aboard(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_NOT_SAID, 0, 0);
    kept_many(&s, "SWO", 1);
    box_scene_stand(&s);
    assert_int_equal(box_scene_row(&s, "yellowfin")->limit, STANDING_NONE);
    assert_string_equal(box_scene_row(&s, "yellowfin")->basis,
                        "3 a person, not told how many; a day, and no more aboard however long the trip");
    assert_int_equal(box_scene_row(&s, "swordfish, charter")->limit, STANDING_NONE);
    assert_non_null(strstr(box_scene_row(&s, "swordfish, charter")->basis, "if charter: 1 a paying passenger"));
    assert_int_equal(box_scene_row(&s, "bluefin under 73 in")->limit, STANDING_NONE);
    box_scene_close(&s);
}

/* A fish of 73 in and more is the year's, a smaller one the day's; one that was not measured counts among the smaller ones. */
static void test_bluefin_by_size(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    (void)box_scene_kept(&s, "BFT", INCHES(73), MEASURE_CURVED_FORK);
    (void)box_scene_kept(&s, "BFT", INCHES(73) - 1, MEASURE_CURVED_FORK);
    (void)box_scene_kept(&s, "BFT", 0, MEASURE_NONE);
    box_scene_stand(&s);
    const struct standing *small = box_scene_row(&s, "bluefin under 73 in");
    assert_int_equal(small->logged, 2);
    assert_true(box_scene_says(&small->sayings, "1 not measured so"));
    assert_int_equal(box_scene_row(&s, "bluefin of 73 in and more")->logged, 1);
    assert_string_equal(small->min_words,
                        "27 in to under 73 in, curved, over the fin, upper jaw to fork; 20 in, head off: "
                        "pectoral fin to fork, along the body");
    box_scene_close(&s);
}

/* A year's limit counts the earlier trips of the same year of the calendar, and no other year's. */
static void test_a_year_over_several_trips(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    struct body_fish_kept *kept = &box_scene_entry(&s, KIND_FISH_KEPT)->body.fish_kept;
    kept->fish_count = 2;
    for (int32_t i = 0; i < 2; i++) {
        (void)snprintf(kept->fish[i].code, 4, "BFT");
        kept->fish[i].length_um = (int32_t)INCHES(80);
        kept->fish[i].measure = MEASURE_CURVED_FORK;
    }
    /* The trip began on 2024-06-15 at log time 1 h: the log's own times may lie before that. */
    s.now_ms += 5000 * HOUR_MS;
    kept->fish[0].at_ms = s.now_ms - 4000 * HOUR_MS;
    kept->fish[1].at_ms = s.now_ms - 1000 * HOUR_MS;
    (void)box_scene_give(&s);
    box_scene_stand(&s); /* 5,000 h after 2024-06-15 12:00 it is 2025-01-09; 1,000 h before that it is 2024-11-28 */
    assert_int_equal(box_scene_row(&s, "bluefin of 73 in and more")->logged, 0);
    s.now_ms -= 1500 * HOUR_MS; /* 2024-11-08, with both in 2024 */
    box_scene_stand(&s);
    assert_int_equal(box_scene_row(&s, "bluefin of 73 in and more")->logged, 2);
    assert_int_equal(box_scene_row(&s, "bluefin of 73 in and more")->left, -1);
    assert_int_equal(box_scene_row(&s, "bluefin under 73 in")->logged, 0);
    box_scene_close(&s);
}

/* Hammerheads and tunas, swordfish or billfish are not aboard together, either way round (50 CFR 635.22(a)(2)). */
static void test_what_may_not_be_aboard_together(void **state)
{
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    kept_many(&s, "YFT", 1);
    box_scene_stand(&s);
    assert_true(box_scene_says(&box_scene_row(&s, "hammerheads, size")->sayings, "not aboard together with yellowfin"));
    assert_false(box_scene_says(&box_scene_row(&s, "yellowfin")->sayings, "not aboard together"));
    box_scene_close(&s);
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    kept_many(&s, "SPL", 1);
    box_scene_stand(&s);
    assert_true(
        box_scene_says(&box_scene_row(&s, "yellowfin")->sayings, "not aboard together with scalloped hammerhead"));
    assert_true(box_scene_says(&box_scene_row(&s, "swordfish, private")->sayings, "50 CFR 635.22(a)(2)"));
    assert_false(box_scene_says(&box_scene_row(&s, "wahoo")->sayings, "not aboard together"));
    box_scene_close(&s);
}

static void test_no_retention(void **state)
{
    struct box_scene s;
    struct sayings sayings;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    kept_many(&s, "SMA", 1);
    box_scene_stand(&s);
    const struct standing *row = box_scene_row(&s, "shortfin mako");
    assert_true(row->row->no_retention);
    assert_string_equal(row->basis, "no retention");
    assert_int_equal(row->logged, 1);
    standing_sayings(&s.box, &s.box.fish[0], &sayings);
    assert_true(box_scene_says(&sayings, "no retention of shortfin mako"));
    box_scene_close(&s);
}

/* What is said of one fish of that length. */
static bool said(const char *code, int64_t length_um, enum measure measure, const char *part)
{
    struct box_scene s;
    struct sayings sayings;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    (void)box_scene_kept(&s, code, length_um, measure);
    box_scene_stand(&s);
    standing_sayings(&s.box, &s.box.fish[0], &sayings);
    bool says = box_scene_says(&sayings, part);
    box_scene_close(&s);
    return says;
}

/* 50 CFR 635.20: a fish exactly at the size is not short, one a hundredth of an inch below it is. */
static void test_sizes_to_the_hundredth_of_an_inch(void **state)
{
    static const struct {
        const char *code;
        enum measure measure;
        int32_t least_in;
    } CASES[] = {
        {"YFT", MEASURE_CURVED_FORK, 27},    {"BET", MEASURE_CURVED_FORK, 27},    {"BFT", MEASURE_CURVED_FORK, 27},
        {"BFT", MEASURE_PECTORAL_FORK, 20},  {"BUM", MEASURE_LOWER_JAW_FORK, 99}, {"WHM", MEASURE_LOWER_JAW_FORK, 66},
        {"RSP", MEASURE_LOWER_JAW_FORK, 66}, {"SAI", MEASURE_LOWER_JAW_FORK, 63}, {"SWO", MEASURE_LOWER_JAW_FORK, 47},
        {"SWO", MEASURE_CLEITHRUM_KEEL, 25}, {"BSH", MEASURE_FORK, 54},           {"SPL", MEASURE_FORK, 78},
        {"SPK", MEASURE_FORK, 78},           {"SPZ", MEASURE_FORK, 78},           {"DOL", MEASURE_FORK, 20},
    };
    (void)state;
    for (size_t i = 0; i < sizeof CASES / sizeof CASES[0]; i++) {
        char short_of[32];
        (void)snprintf(short_of, sizeof short_of, "shorter than %d in", (int)CASES[i].least_in);
        assert_false(said(CASES[i].code, INCHES(CASES[i].least_in), CASES[i].measure, "shorter"));
        assert_true(said(CASES[i].code, INCHES(CASES[i].least_in) - 254, CASES[i].measure, short_of));
    }
    assert_false(said("YFT", 689000, MEASURE_CURVED_FORK, "shorter"));    /* 27.13 in, though not the printed 69 cm */
    assert_true(said("SWO", 1191000, MEASURE_LOWER_JAW_FORK, "shorter")); /* 46.89 in, though over the printed 119 cm */
    assert_false(said("YFT", INCHES(20), MEASURE_FORK, "shorter")); /* not measured as the rule asks: nothing is said */
}

/* One that hung on a scale says more than an estimate: over 100 lb (common practice, no source) is seldom a white marlin. */
static void test_a_weighed_fish_asks_for_its_species(void **state)
{
    (void)state;
    for (int32_t heavy = 0; heavy < 2; heavy++) {
        struct box_scene s;
        struct sayings sayings;
        box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
        struct body_fish_told *body = box_scene_tell(&s, (struct entry_id){0});
        (void)snprintf(body->code, sizeof body->code, "WHM");
        body->fate = FISH_FATE_KEPT;
        body->weight_g = heavy ? 45360 : 45359;
        body->weighed = true;
        (void)box_scene_give(&s);
        box_settle(&s.box);
        standing_sayings(&s.box, &s.box.fish[0], &sayings);
        assert_int_equal(box_scene_says(&sayings, "check the species"), heavy);
        box_scene_close(&s);
    }
}

/* 50 CFR 635.2: each class from its length up to, not including, the next one's. */
static void test_size_classes_of_bluefin(void **state)
{
    (void)state;
    assert_true(said("BFT", INCHES(27) - 254, MEASURE_CURVED_FORK, "size class: young school"));
    assert_true(said("BFT", INCHES(27), MEASURE_CURVED_FORK, "size class: school"));
    assert_true(said("BFT", INCHES(47), MEASURE_CURVED_FORK, "size class: large school"));
    assert_true(said("BFT", INCHES(59), MEASURE_CURVED_FORK, "size class: small medium"));
    assert_true(said("BFT", INCHES(73) - 254, MEASURE_CURVED_FORK, "size class: small medium"));
    assert_true(said("BFT", INCHES(73), MEASURE_CURVED_FORK, "size class: large medium"));
    assert_true(said("BFT", INCHES(81), MEASURE_CURVED_FORK, "size class: giant"));
}

static void test_a_released_billfish_stays_in_the_water(void **state)
{
    struct box_scene s;
    struct sayings sayings;
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    struct body_fish_told *body = box_scene_tell(&s, (struct entry_id){0});
    (void)snprintf(body->code, sizeof body->code, "WHM");
    body->fate = FISH_FATE_RELEASED;
    body->out_of_water_s = 12;
    (void)box_scene_give(&s);
    box_scene_stand(&s);
    standing_sayings(&s.box, &s.box.fish[0], &sayings);
    assert_true(box_scene_says(&sayings, "stays in the water (50 CFR 635.21(a))"));
    assert_true(box_scene_says(&sayings, "out of the water for 12 s"));
    box_scene_close(&s);
}

/* The words of the board: it never calls anything legal or safe, nor says what may be kept. */
static void test_no_word_decides(void **state)
{
    static const char *const NEVER[] = {"legal", "safe", "may be kept", "allowed"};
    struct box_scene s;
    (void)state;
    box_scene_open(&s, TRIP_USE_NOT_SAID, 0, 0);
    kept_many(&s, "YFT", 1);
    kept_many(&s, "SPL", 1);
    box_scene_stand(&s);
    assert_true(s.count > 20);
    for (int32_t i = 0; i < s.count; i++)
        for (size_t k = 0; k < sizeof NEVER / sizeof NEVER[0]; k++) {
            assert_null(strstr(s.rows[i].basis, NEVER[k]));
            assert_false(box_scene_says(&s.rows[i].sayings, NEVER[k]));
        }
    box_scene_close(&s);
}

static void test_the_days_of_the_rule_set(void **state)
{
    struct box_scene s;
    char caution[STANDING_WORDS];
    (void)state;
    box_scene_open(&s, TRIP_USE_PRIVATE, 4, 0);
    struct standing_when when = {.now_ms = s.now_ms};
    standing_caution(&s.box.rules, &s.box, &when, caution);
    assert_string_equal(caution, "Check the current rule.");
    (void)snprintf(s.box.rules.valid_to, sizeof s.box.rules.valid_to, "2024-06-14");
    standing_caution(&s.box.rules, &s.box, &when, caution);
    assert_non_null(strstr(caution, "Today is outside the days of this rule set, 2024-02-02 to 2024-06-14."));
    when.zone_min = -13 * 60; /* 12:00 UTC on the 15th: still the 14th there */
    standing_caution(&s.box.rules, &s.box, &when, caution);
    assert_string_equal(caution, "Check the current rule.");
    s.box.utc_offset_ms = 0;
    standing_caution(&s.box.rules, &s.box, &when, caution);
    assert_non_null(strstr(caution, "The clock was never set"));
    box_scene_close(&s);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_limits_by_heads_and_caps),
        cmocka_unit_test(test_a_night_does_not_double_a_limit),
        cmocka_unit_test(test_more_than_the_limit_is_said_as_such),
        cmocka_unit_test(test_released_fish_count_for_nothing),
        cmocka_unit_test(test_nobody_said_who_is_aboard),
        cmocka_unit_test(test_bluefin_by_size),
        cmocka_unit_test(test_a_year_over_several_trips),
        cmocka_unit_test(test_what_may_not_be_aboard_together),
        cmocka_unit_test(test_no_retention),
        cmocka_unit_test(test_sizes_to_the_hundredth_of_an_inch),
        cmocka_unit_test(test_a_weighed_fish_asks_for_its_species),
        cmocka_unit_test(test_size_classes_of_bluefin),
        cmocka_unit_test(test_a_released_billfish_stays_in_the_water),
        cmocka_unit_test(test_no_word_decides),
        cmocka_unit_test(test_the_days_of_the_rule_set),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
