/* Rule sets read from a file: what is shipped, what a crew may write, and every mistake with its line and its reason. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "debrief/rules.h"

/* One line a member, so that a mistake's line can be told. The row's own members stand on line 8, inside the first row. */
#define SET(species, row, rest)                                                                     \
    "{\n\"name\": \"Own\", \"place\": \"here\", \"citation\": \"x\",\n\"dated\": \"2026-07-14\",\n" \
    "\"valid_from\": \"2026-01-01\",\n\"species\": [" species                                       \
    "],\n\"rows\": [\n{\"name\": \"a\", \"codes\": [\"YFT\"],\n" row ",\n\"citation\": \"x\"}\n]" rest "\n}\n"
#define SPECIES "{\"code\": \"YFT\", \"name\": \"yellowfin\"}, {\"code\": \"SWO\", \"name\": \"swordfish\"}"

static struct rules *read_good(const char *text)
{
    struct msg why = {""};
    struct rules *rules = calloc(1, sizeof *rules);
    assert_non_null(rules);
    assert_int_equal(rules_read(text, strlen(text), "own.json", rules, &why), ERR_NONE);
    assert_string_equal(why.text, "");
    return rules;
}

/* The message has these words, and what was there before stays as it was. */
static void read_bad(const char *text, const char *words)
{
    struct msg why = {""};
    struct rules *rules = calloc(1, sizeof *rules), *before = calloc(1, sizeof *before);
    assert_non_null(rules);
    assert_non_null(before);
    rules->count = before->count = 3;
    enum err err = rules_read(text, strlen(text), "own.json", rules, &why);
    if (err != ERR_DATA || strstr(why.text, words) == NULL)
        print_message("%s\nwanted: %s\n", why.text, words);
    assert_int_equal(err, ERR_DATA);
    assert_non_null(strstr(why.text, words));
    assert_memory_equal(rules, before, sizeof *rules);
    free(rules);
    free(before);
}

static void test_the_shipped_one(void **state)
{
    (void)state;
    struct rules *rules = read_good(rules_shipped);
    assert_int_equal(rules->count, 1);
    assert_string_equal(rules_name(&rules->sets[0], "SWO"), "swordfish");
    assert_string_equal(rules_name(&rules->sets[0], "ZZZ"), "ZZZ");
    free(rules);
}

static void test_a_good_one(void **state)
{
    (void)state;
    struct rules *rules = read_good(SET(SPECIES, "\"per_head\": 3", ""));
    assert_int_equal(rules->sets[0].rows[0].per_head, 3);
    assert_int_equal(rules->sets[0].rows[0].over, LIMIT_OVER_TRIP);
    free(rules);
}

static void test_what_is_no_rule_set(void **state)
{
    (void)state;
    read_bad("", "own.json is empty");
    read_bad(" \n\n", "own.json is empty");
    read_bad("[]", "one to four rule sets");
    read_bad("7", "own.json, line 1");
    read_bad("{\"name\": \"x\"", "own.json, line 1");
    read_bad("{\n\"name\": \"x\",\n\"name\": \"y\"\n}", "own.json, line 2");
    read_bad("{\n\"name\": \"x\",\n}\n", "own.json, line 3");
    size_t len = 1024 * 1024;
    char *big = malloc(len + 1);
    assert_non_null(big);
    memset(big, ' ', len);
    big[len] = '\0';
    read_bad(big, "has 1048576 bytes");
    free(big);
}

static void test_mistakes_with_their_line(void **state)
{
    (void)state;
    read_bad(SET(SPECIES, "\"per_head\": 1001", ""), "own.json, line 8: rows.0.per_head: This must be from 0 to 1000.");
    read_bad(SET(SPECIES, "\"per_head\": 2.5", ""), "own.json, line 8");
    read_bad(SET(SPECIES, "\"limit\": 3", ""), "own.json, line 8: rows.0.limit");
    read_bad(SET(SPECIES, "\"over\": \"week\"", ""), "own.json, line 8: rows.0.over");
    read_bad(SET(SPECIES, "\"note\": \"\"", ""), "line 7: rows.0: This row says nothing");
    read_bad(SET(SPECIES, "\"per_head\": 1, \"no_retention\": true", ""),
             "line 8: rows.0.no_retention: A row with no retention");
    read_bad(SET(SPECIES ", {\"code\": \"YFT\", \"name\": \"again\"}", "\"per_head\": 3", ""),
             "line 5: species.2.code: This species is named a second time");
    read_bad(SET("{\"code\": \"SWO\", \"name\": \"swordfish\"}", "\"per_head\": 3", ""),
             "line 7: rows.0.codes.0: This code is not among the species");
    read_bad(SET("{\"code\": \"yft\", \"name\": \"x\"}", "\"per_head\": 3", ""), "line 5: species.0.code");
    read_bad(SET(SPECIES, "\"uses\": [\"private\", \"private\"], \"per_head\": 1", ""),
             "rows.0.uses.1: This use is named a second");
    read_bad(SET(SPECIES, "\"uses\": [\"not_said\"], \"per_head\": 1", ""), "rows.0.uses.0: A use is private");
    read_bad(SET(SPECIES, "\"sizes\": [{\"measure\": \"none\", \"unit\": \"inch\", \"least_tenths\": 270}]", ""),
             "rows.0.sizes.0.measure: A size needs its measure");
    read_bad(SET(SPECIES, "\"sizes\": [{\"measure\": \"fork\", \"unit\": \"inch\"}]", ""),
             "rows.0.sizes.0: This size says nothing");
    read_bad(SET(SPECIES,
                 "\"sizes\": [{\"measure\": \"fork\", \"unit\": \"cm\", \"least_tenths\": 90, \"below_tenths\": 80}]",
                 ""),
             "rows.0.sizes.0.below_tenths: Below is not above least");
    read_bad(SET(SPECIES, "\"per_head\": 3", ",\n\"valid_to\": \"2025-12-31\""),
             "line 11: valid_to: It ends before it begins");
    read_bad(SET(SPECIES, "\"per_head\": 3", ",\n\"valid_to\": \"2027-02-29\""),
             "line 11: valid_to: There is no such day");
    read_bad(
        SET(SPECIES, "\"per_head\": 3", ",\n\"reports\": [{\"of\": \"kept\", \"hours\": 24, \"citation\": \"x\"}]"),
        "line 11: reports.0: A report of fish names its species");
    read_bad(SET(SPECIES, "\"per_head\": 3",
                 ",\n\"bans\": [{\"codes\": [\"SWO\"], \"others\": [\"YFT\", \"SWO\"], \"citation\": \"x\"}]"),
             "line 11: bans.0.others.1: A species cannot be banned together with itself");
}

/* The same fish limited twice for the same trips; what is apart by trips, by size or by span is no mistake. */
static void test_rows_that_speak_of_the_same_fish(void **state)
{
    (void)state;
    read_bad(
        "{\"name\":\"O\",\"place\":\"p\",\"citation\":\"x\",\"dated\":\"2026-01-01\",\"valid_from\":\"2026-01-01\",\n"
        "\"species\":[" SPECIES "],\"rows\":[{\"name\":\"a\",\"codes\":[\"YFT\"],\"per_head\":3,\"citation\":\"x\"},\n"
        "{\"name\":\"b\",\"codes\":[\"SWO\",\"YFT\"],\"per_vessel\":4,\"citation\":\"x\"}]}",
        "line 3: rows.1.codes.1: An earlier row limits this species");
    free(read_good(
        "{\"name\":\"O\",\"place\":\"p\",\"citation\":\"x\",\"dated\":\"2026-01-01\",\"valid_from\":\"2026-01-01\","
        "\"species\":[" SPECIES "],\"rows\":["
        "{\"name\":\"a\",\"codes\":[\"YFT\"],\"uses\":[\"private\"],\"per_head\":3,\"citation\":\"x\"},"
        "{\"name\":\"b\",\"codes\":[\"YFT\"],\"uses\":[\"charter\"],\"per_head\":4,\"citation\":\"x\"},"
        "{\"name\":\"c\",\"codes\":[\"YFT\"],\"per_head\":9,\"over\":\"year\",\"citation\":\"x\"}]}"));
}

static void test_several_sets_by_their_days(void **state)
{
#define YEAR(year, row)                                                                                             \
    "{\"name\":\"" year "\",\"place\":\"p\",\"citation\":\"x\",\"dated\":\"" year "-01-01\",\"valid_from\":\"" year \
    "-01-01\",\"valid_to\":\"" year "-12-31\",\"species\":[" SPECIES                                                \
    "],\"rows\":[{\"name\":\"a\",\"codes\":[\"YFT\"]," row ",\"citation\":\"x\"}]}"
    (void)state;
    struct rules *rules = read_good("[" YEAR("2026", "\"per_head\":3") ",\n" YEAR("2027", "\"per_head\":2") "]");
    assert_int_equal(rules->count, 2);
    assert_string_equal(rules_on(rules, rules_days("2026-12-31"))->name, "2026");
    assert_string_equal(rules_on(rules, rules_days("2027-01-01"))->name, "2027");
    assert_string_equal(rules_on(rules, rules_days("2031-01-01"))->name, "2027");
    assert_string_equal(rules_on(rules, rules_days("2020-01-01"))->name, "2026");
    assert_false(rules_hold(&rules->sets[0], rules_days("2027-01-01")));
    free(rules);
    read_bad("[" YEAR("2026", "\"per_head\":3") ",\n" YEAR("2026", "\"per_head\":2") "]",
             "line 2: 1.valid_from: Its days overlap");
    read_bad("[" YEAR("2026", "\"per_head\":3") ",\n" YEAR("2027", "\"per_head\":-2") "]", "line 2: 1.rows.0.per_head");
#undef YEAR
}

/* Days since 1970-01-01: 20,454 for 2026-01-01, by `date -u -d 2026-01-01 +%s` divided by 86,400. */
static void test_days_of_the_calendar(void **state)
{
    (void)state;
    assert_int_equal(rules_days("1970-01-01"), 0);
    assert_int_equal(rules_days("2026-01-01"), 20454);
    assert_int_equal(rules_days("2024-02-29"), 19782);
    assert_int_equal(rules_days("2026-02-29"), -1);
    assert_int_equal(rules_days("2026-13-01"), -1);
    assert_int_equal(rules_days("2026-00-10"), -1);
    assert_int_equal(rules_days("2026-04-31"), -1);
    assert_int_equal(rules_year(rules_days("2025-12-31")), 2025);
    assert_int_equal(rules_year(rules_days("2026-01-01")), 2026);
    assert_int_equal(rules_year(rules_days("2024-02-29")), 2024);
}

/* Inches are the law: 27 in is 68.58 cm, and the rule's printed 69 cm is not asked. */
static void test_inches_are_the_law(void **state)
{
    char words[24];
    (void)state;
    assert_false(rules_below(689000, 270, LENGTH_UNIT_INCH)); /* 68.9 cm is 27.13 in, short of the printed 69 cm only */
    assert_true(
        rules_below(1191000, 470, LENGTH_UNIT_INCH)); /* 119.1 cm is 46.89 in, though above the printed 119 cm */
    assert_false(rules_below(1600200, 630, LENGTH_UNIT_INCH)); /* exactly 63 in */
    assert_true(rules_below(1600000, 630, LENGTH_UNIT_INCH));  /* 160.0 cm is 62.99 in */
    assert_false(rules_below(450000, 450, LENGTH_UNIT_CM));
    assert_true(rules_below(449900, 450, LENGTH_UNIT_CM));
    rules_size_words(270, LENGTH_UNIT_INCH, words);
    assert_string_equal(words, "27 in");
    rules_size_words(475, LENGTH_UNIT_CM, words);
    assert_string_equal(words, "47.5 cm");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_the_shipped_one),
        cmocka_unit_test(test_a_good_one),
        cmocka_unit_test(test_what_is_no_rule_set),
        cmocka_unit_test(test_mistakes_with_their_line),
        cmocka_unit_test(test_rows_that_speak_of_the_same_fish),
        cmocka_unit_test(test_several_sets_by_their_days),
        cmocka_unit_test(test_days_of_the_calendar),
        cmocka_unit_test(test_inches_are_the_law),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
