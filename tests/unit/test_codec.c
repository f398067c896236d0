/*
 * The generated codecs, on the sample protocol that has every form once: there and back byte for byte, every error with
 * its word and its place, zeros left out, and structs that memcmp may compare.
 */
#include "codec.h"
#include "proto_json.h"

#include <setjmp.h>
#include <signal.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>

static cJSON *tree_of(const char *text)
{
    struct proto_error err = {0};
    cJSON *json = json_read(text, strlen(text), &err);
    if (json == NULL)
        fail_msg("%s: %s at %s", text, err.code, err.at);
    return json;
}

/* Takes the tree. */
static void prints(cJSON *json, const char *expected)
{
    char *text = json_text(json);
    assert_string_equal(text, expected);
    free(text);
    cJSON_Delete(json);
}

static void everything_reads(const char *text, struct everything *out)
{
    struct proto_error err = {0};
    struct everything quick;
    cJSON *json = tree_of(text);
    if (!everything_from_json(json, out, &err))
        fail_msg("%s: %s at %s: %s", text, err.code, err.at, err.words);
    memset(&quick, 0x55, sizeof quick);
    if (everything_decode(text, strlen(text), &quick))
        assert_memory_equal(&quick, out, sizeof quick);
    else if (strpbrk(text, "\\ ") == NULL)
        fail_msg("not read the quick way: %s", text);
    cJSON_Delete(json);
}

static void everything_fails(const char *text, const char *code, const char *at)
{
    struct everything out;
    struct proto_error err = {0};
    cJSON *json = tree_of(text);
    assert_false(everything_from_json(json, &out, &err));
    assert_false(everything_decode(text, strlen(text), &out));
    if (strcmp(err.code, code) != 0 || strcmp(err.at, at) != 0)
        fail_msg("%s: %s at %s, not %s at %s", text, err.code, err.at, code, at);
    assert_int_not_equal(err.words[0], '\0');
    cJSON_Delete(json);
}

static const char FULL[] =
    "{\"at\":{\"east\":-3,\"north\":4},\"colour\":\"dark_blue\",\"colours\":[\"red\",\"none\"],\"flag\":true,"
    "\"id\":\"00c0ffee00c0ffee.e.12\",\"ids\":[\"ffffffffffffffff.o.999999999\"],\"large\":-999999999999999,"
    "\"last\":true,\"name\":\"a_b-3\",\"numbers\":[1,9,5],\"page\":\"0123456789abcdef\",\"points\":[{},{\"north\":1}],"
    "\"small\":2147483647,\"text\":\"\xc3\xa9\\\"\\\\x\",\"texts\":[\"\",\"abc\"],\"word\":\"\xe2\x80\xa8 \x7f\","
    "\"worded\":\"\xf0\x9f\x98\x80\xf0\x9f\x98\x80\",\"yes\":true}";

static void test_there_and_back(void **state)
{
    struct everything all;
    (void)state;
    everything_reads(FULL, &all);
    assert_true(all.yes && all.flag && all.last);
    assert_int_equal(all.small, 2147483647);
    assert_true(all.large == -999999999999999);
    assert_int_equal(all.colour, COLOUR_DARK_BLUE);
    assert_string_equal(all.text, "\xc3\xa9\"\\x");
    assert_string_equal(all.name, "a_b-3");
    assert_true(all.page == 0x0123456789abcdefULL);
    assert_true(all.id.sender == 0x00c0ffee00c0ffeeULL && all.id.n == 12 && all.id.lane == LANE_EMERGENCY);
    assert_int_equal(all.at.east, -3);
    assert_int_equal(all.numbers_count, 3);
    assert_int_equal(all.numbers[1], 9);
    assert_int_equal(all.texts_count, 2);
    assert_string_equal(all.texts[1], "abc");
    assert_int_equal(all.colours[0], COLOUR_RED);
    assert_int_equal(all.ids[0].n, 999999999);
    assert_int_equal(all.points_count, 2);
    assert_int_equal(all.points[1].north, 1);
    prints(everything_to_json(&all), FULL);
}

static void test_zero_is_left_out(void **state)
{
    struct everything all;
    (void)state;
    memset(&all, 0, sizeof all);
    prints(everything_to_json(&all), "{}");
    all.at.north = 1;
    prints(everything_to_json(&all), "{\"at\":{\"north\":1}}");
    everything_reads("{\"yes\":false,\"small\":0,\"colour\":\"none\",\"text\":\"\",\"at\":{\"east\":0},\"numbers\":[],"
                     "\"page\":\"0000000000000000\"}",
                     &all);
    prints(everything_to_json(&all), "{}");
}

static void test_needed_zero_stays(void **state)
{
    static const char text[] = "{\"at\":{},\"colour\":\"none\",\"flag\":false,\"number\":0,\"numbers\":[],"
                               "\"page\":\"0000000000000000\",\"text\":\"\"}";
    struct needed all;
    struct proto_error err = {0};
    cJSON *json = tree_of(text);
    (void)state;
    assert_true(needed_from_json(json, &all, &err));
    prints(needed_to_json(&all), text);
    cJSON_Delete(json);
}

/* Whatever lay in the memory before, equal values are equal bytes; and no byte belongs to nothing but a pad. */
static void test_memcmp(void **state)
{
    struct everything one;
    struct everything other;
    (void)state;
    memset(&one, 0x55, sizeof one);
    memset(&other, 0xaa, sizeof other);
    everything_reads(FULL, &one);
    everything_reads(FULL, &other);
    assert_memory_equal(&one, &other, sizeof one);
    everything_reads("{\"text\":\"ab\"}", &one);
    everything_reads("{\"text\":\"abcd\"}", &other);
    other.text[2] = other.text[3] = '\0';
    assert_memory_equal(&one, &other, sizeof one);
}

static void test_wrong_types(void **state)
{
    (void)state;
    everything_fails("[]", "not_object", "");
    everything_fails("{\"at\":[]}", "not_object", "at");
    everything_fails("{\"yes\":1}", "wrong_type", "yes");
    everything_fails("{\"yes\":null}", "wrong_type", "yes");
    everything_fails("{\"small\":\"1\"}", "wrong_type", "small");
    everything_fails("{\"text\":1}", "wrong_type", "text");
    everything_fails("{\"colour\":1}", "wrong_type", "colour");
    everything_fails("{\"page\":1}", "wrong_type", "page");
    everything_fails("{\"id\":1}", "wrong_type", "id");
    everything_fails("{\"numbers\":{}}", "wrong_type", "numbers");
    everything_fails("{\"numbers\":[1,true]}", "wrong_type", "numbers.1");
    everything_fails("{\"points\":[{},7]}", "not_object", "points.1");
}

static void test_out_of_bounds(void **state)
{
    (void)state;
    everything_fails("{\"at\":{\"east\":11}}", "out_of_range", "at.east");
    everything_fails("{\"at\":{\"east\":-11}}", "out_of_range", "at.east");
    everything_fails("{\"small\":2147483648}", "out_of_range", "small");
    everything_fails("{\"numbers\":[0]}", "out_of_range", "numbers.0");
    everything_fails("{\"text\":\"abcdef\"}", "too_long", "text");
    everything_fails("{\"text\":\"\xc3\xa9\xc3\xa9\xc3\xa9\"}", "too_long", "text");
    everything_fails("{\"worded\":\"\xf0\x9f\x98\x80\"}", "too_short", "worded");
    everything_fails("{\"name\":\"\"}", "too_short", "name");
    everything_fails("{\"numbers\":[1,2,3,4]}", "too_many", "numbers");
    everything_fails("{\"texts\":[\"abcd\"]}", "too_long", "texts.0");
}

static void test_bad_forms(void **state)
{
    (void)state;
    everything_fails("{\"Yes\":true}", "unknown_field", "Yes");
    everything_fails("{\"points\":[{\"up\":1}]}", "unknown_field", "points.0.up");
    everything_fails("{\"colour\":\"green\"}", "bad_form", "colour");
    everything_fails("{\"colour\":\"Red\"}", "bad_form", "colour");
    everything_fails("{\"name\":\"9a\"}", "bad_form", "name");
    everything_fails("{\"name\":\"ab c\"}", "bad_form", "name");
    everything_fails("{\"word\":\"a\\nb\"}", "bad_form", "word");
    everything_fails("{\"page\":\"0123456789ABCDEF\"}", "bad_form", "page");
    everything_fails("{\"page\":\"0123\"}", "bad_form", "page");
    everything_fails("{\"page\":\"0123456789abcdef0\"}", "bad_form", "page");
    everything_fails("{\"id\":\"00c0ffee00c0ffee.x.1\"}", "bad_form", "id");
    everything_fails("{\"id\":\"00c0ffee00c0ffee.o.0\"}", "bad_form", "id");
    everything_fails("{\"id\":\"00c0ffee00c0ffee.o.01\"}", "bad_form", "id");
    everything_fails("{\"id\":\"00c0ffee00c0ffee.o.1234567890\"}", "bad_form", "id");
    everything_fails("{\"id\":\"00c0ffee00c0ffee.o.\"}", "bad_form", "id");
    everything_fails("{\"id\":\"00c0ffee00c0ffee.o\"}", "bad_form", "id");
}

/* A tree that did not come from the reader may hold a fraction. */
static void test_fraction(void **state)
{
    struct everything out;
    struct proto_error err = {0};
    cJSON *json = cJSON_CreateObject();
    (void)state;
    cJSON_AddNumberToObject(json, "small", 1.5);
    assert_false(everything_from_json(json, &out, &err));
    assert_string_equal(err.code, "wrong_type");
    cJSON_Delete(json);
}

static void entry_fails(const char *text, const char *code, const char *at)
{
    struct entry out;
    struct proto_error err = {0};
    cJSON *json = tree_of(text);
    assert_false(entry_from_json(json, &out, &err));
    assert_false(entry_decode(text, strlen(text), &out));
    if (strcmp(err.code, code) != 0 || strcmp(err.at, at) != 0)
        fail_msg("%s: %s at %s, not %s at %s", text, err.code, err.at, code, at);
    cJSON_Delete(json);
}

static void entry_returns(const char *text, enum entry_kind kind)
{
    struct entry entry;
    struct proto_error err = {0};
    cJSON *json = tree_of(text);
    if (!entry_from_json(json, &entry, &err))
        fail_msg("%s: %s at %s", text, err.code, err.at);
    assert_int_equal(entry.kind, kind);
    prints(entry_to_json(&entry), text);
    assert_true(entry_decode(text, strlen(text), &entry));
    assert_int_equal(entry.kind, kind);
    prints(entry_to_json(&entry), text);
    cJSON_Delete(json);
}

#define HEAD "\"id\":\"0000000000000001.o.1\""

static void test_entries(void **state)
{
    (void)state;
    entry_returns("{\"body\":{},\"id\":\"0000000000000001.e.7\",\"kind\":\"bell\",\"seq\":1,\"v\":1}", KIND_BELL);
    entry_returns("{\"body\":{\"to\":{}},\"by\":2," HEAD ",\"kind\":\"moved\",\"seq\":2,\"v\":1}", KIND_MOVED);
    entry_returns("{\"body\":{\"after\":\"0000000000000002.o.3\",\"to\":{\"east\":1},\"why\":\"wind\"}," HEAD
                  ",\"kind\":\"moved\",\"seq\":3,\"v\":2}",
                  KIND_MOVED_V2);
    entry_fails("{\"body\":{}," HEAD ",\"kind\":\"bells\",\"seq\":1,\"v\":1}", "kind_unknown", "kind");
    entry_fails("{\"body\":{}," HEAD ",\"kind\":\"bell\",\"seq\":1,\"v\":2}", "version_unknown", "v");
    entry_fails("{\"body\":{}," HEAD ",\"kind\":\"bell\",\"seq\":1,\"v\":\"1\"}", "wrong_type", "v");
    entry_fails("{\"body\":{}," HEAD ",\"kind\":\"bell\",\"seq\":1}", "missing", "v");
    entry_fails("{\"body\":{}," HEAD ",\"kind\":4,\"seq\":1,\"v\":1}", "wrong_type", "kind");
    entry_fails("{\"body\":{}," HEAD ",\"seq\":1,\"v\":1}", "missing", "kind");
    entry_fails("{" HEAD ",\"kind\":\"bell\",\"seq\":1,\"v\":1}", "missing", "body");
    entry_fails("{\"body\":[]," HEAD ",\"kind\":\"bell\",\"seq\":1,\"v\":1}", "not_object", "body");
    entry_fails("{\"body\":{\"to\":{}}," HEAD ",\"kind\":\"bell\",\"seq\":1,\"v\":1}", "unknown_field", "body.to");
    entry_fails("{\"body\":{\"to\":{\"east\":99}}," HEAD ",\"kind\":\"moved\",\"seq\":1,\"v\":1}", "out_of_range",
                "body.to.east");
    entry_fails("{\"body\":{\"to\":{},\"why\":\"x\"}," HEAD ",\"kind\":\"moved\",\"seq\":1,\"v\":1}", "unknown_field",
                "body.why");
}

static void test_bodies(void **state)
{
    union entry_body body;
    struct proto_error err = {0};
    cJSON *json = tree_of("{\"to\":{\"north\":-2}}");
    (void)state;
    memset(&body, 0x55, sizeof body);
    assert_true(entry_body_from_json(json, KIND_MOVED_V2, &body, &err));
    assert_int_equal(body.moved_v2.to.north, -2);
    assert_int_equal(((const char *)&body)[sizeof body - 1], 0);
    prints(entry_body_to_json(KIND_MOVED_V2, &body), "{\"to\":{\"north\":-2}}");
    assert_false(entry_body_from_json(json, KIND_BELL, &body, &err));
    assert_string_equal(err.at, "to");
    cJSON_Delete(json);
}

static void test_kind_table(void **state)
{
    enum entry_kind kind = KIND_COUNT_;
    const struct kind_info *info = kind_info(KIND_MOVED_V2);
    (void)state;
    assert_string_equal(info->name, "moved");
    assert_int_equal(info->v, 2);
    assert_int_equal(info->from, SOURCE_CREW);
    assert_int_equal(info->lane, KIND_LANE_BOTH);
    assert_true(info->act && info->voidable && info->undoable);
    assert_int_equal(info->body_size, sizeof(struct body_moved_v2));
    assert_int_equal(info->id_count, 1);
    assert_int_equal(info->ids[0], offsetof(struct body_moved_v2, after));
    assert_false(kind_info(KIND_BELL)->voidable || kind_info(KIND_BELL)->undoable);
    assert_int_equal(kind_info(KIND_BELL)->id_count, 0);
    assert_true(kind_find("moved", 1, &kind) && kind == KIND_MOVED);
    assert_true(kind_find("moved", 2, &kind) && kind == KIND_MOVED_V2);
    assert_false(kind_find("moved", 3, &kind));
    assert_false(kind_find("move", 1, &kind));
}

static void test_names(void **state)
{
    enum colour colour = COLOUR_RED;
    enum refusal_code code = REFUSAL_NONE;
    (void)state;
    assert_string_equal(colour_name(COLOUR_DARK_BLUE), "dark_blue");
    assert_string_equal(colour_name(COLOUR_COUNT_), "?");
    assert_true(colour_find("none", &colour) && colour == COLOUR_NONE);
    assert_false(colour_find("green", &colour));
    assert_string_equal(refusal_code_name(REFUSAL_TOO_FAR), "too_far");
    assert_string_equal(refusal_words(REFUSAL_NO_BELL), "There is no \"bell\" here, is there?");
    assert_string_equal(refusal_words(REFUSAL_NONE), "");
    assert_true(refusal_code_find("no_bell", &code) && code == REFUSAL_NO_BELL);
    assert_int_equal(strlen(PROTO_ID), 16);
}

static void up_fails(const char *text, const char *code, const char *at)
{
    struct msg_up_any message;
    struct proto_error err = {0};
    cJSON *json = tree_of(text);
    assert_false(msg_up_from_json(json, &message, &err));
    assert_string_equal(err.code, code);
    assert_string_equal(err.at, at);
    cJSON_Delete(json);
}

static void test_messages_up(void **state)
{
    static const char text[] = "{\"all\":{\"yes\":true},\"page\":\"000000000000002a\",\"t\":\"hello\"}";
    struct msg_up_any message;
    struct proto_error err = {0};
    cJSON *json = tree_of(text);
    (void)state;
    assert_true(msg_up_from_json(json, &message, &err));
    assert_int_equal(message.t, MSG_UP_HELLO);
    assert_true(message.u.hello.page == 42 && message.u.hello.all.yes);
    assert_string_equal(msg_up_name(message.t), "hello");
    prints(msg_up_to_json(&message), text);
    prints(msg_hello_to_json(&message.u.hello), text);
    cJSON_Delete(json);
    up_fails("7", "not_object", "");
    up_fails("{}", "missing", "t");
    up_fails("{\"t\":1}", "wrong_type", "t");
    up_fails("{\"t\":\"bye\"}", "message_unknown", "t");
    up_fails("{\"t\":\"hello\"}", "missing", "page");
    up_fails("{\"t\":\"tap\",\"kind\":\"bell\",\"v\":1,\"body\":{\"x\":1}}", "unknown_field", "body.x");
}

/* JSON inside a message is borrowed in both directions: the tree it came from stays whole and is freed once. */
static void test_json_inside(void **state)
{
    static const char text[] = "{\"id\":\"place\",\"t\":\"part\",\"value\":{\"a\":[1,\"b\",null]}}";
    struct msg_down_any message;
    struct msg_part part = {.id = "buoys/3"};
    struct msg_hello hello;
    struct proto_error err = {0};
    cJSON *json = tree_of(text);
    (void)state;
    assert_true(msg_down_from_json(json, &message, &err));
    assert_int_equal(message.t, MSG_DOWN_PART);
    assert_null(message.u.part.more);
    prints(msg_down_to_json(&message), text);
    part.value = cJSON_GetObjectItemCaseSensitive(message.u.part.value, "a");
    part.more = cJSON_GetArrayItem(part.value, 1);
    prints(msg_part_to_json(&part), "{\"id\":\"buoys/3\",\"more\":\"b\",\"t\":\"part\",\"value\":[1,\"b\",null]}");
    assert_false(msg_hello_from_json(json, &hello, &err));
    prints(json, text);
}

static void test_const(void **state)
{
    struct msg_bye bye;
    struct proto_error err = {0};
    cJSON *json = tree_of("{\"t\":\"hello\"}");
    (void)state;
    assert_false(msg_bye_from_json(json, &bye, &err));
    assert_string_equal(err.code, "bad_form");
    assert_string_equal(err.at, "t");
    cJSON_Delete(json);
}

static struct board small_board(void)
{
    struct board board;
    memset(&board, 0, sizeof board);
    board.place.at.east = 1;
    board.buoys[0].id = 10;
    board.buoys[5].id = 2;
    board.buoys[5].colour = COLOUR_RED;
    board.depths[1].cm = 999999999999999;
    board.guests[0].page = 0xabc;
    board.bells[1].id = (struct entry_id){.sender = 1, .n = 5, .lane = LANE_EMERGENCY};
    board.bells[1].loud = true;
    return board;
}

static const char SMALL_BOARD[] =
    "{\"bells/0000000000000001.e.5\":{\"id\":\"0000000000000001.e.5\",\"loud\":true},\"buoys/10\":{\"id\":10},"
    "\"buoys/2\":{\"colour\":\"red\",\"id\":2},\"depths/999999999999999\":{\"cm\":999999999999999},"
    "\"guests/0000000000000abc\":{\"page\":\"0000000000000abc\"},\"place\":{\"at\":{\"east\":1}}}";

static void test_board(void **state)
{
    const struct board board = small_board();
    struct board back;
    struct proto_error err = {0};
    char id[64];
    cJSON *json = tree_of(SMALL_BOARD);
    (void)state;
    prints(board_to_json(&board), SMALL_BOARD);
    assert_true(board_from_json(json, &back, &err));
    assert_int_equal(back.buoys[0].id, 10);
    assert_int_equal(back.buoys[1].id, 2);
    prints(board_to_json(&back), SMALL_BOARD);
    assert_null(board_part_to_json(&board, PART_BUOYS, 1));
    prints(board_part_to_json(&board, PART_BUOYS, 5), "{\"colour\":\"red\",\"id\":2}");
    board_part_id(&board, PART_BELLS, 1, id);
    assert_string_equal(id, "bells/0000000000000001.e.5");
    assert_string_equal(part_info(PART_GUESTS)->name, "guests");
    assert_int_equal(part_info(PART_BUOYS)->max, BOARD_BUOYS_MAX);
    cJSON_Delete(json);
}

static void board_fails(const char *text, const char *code, const char *at)
{
    struct board board;
    struct proto_error err = {0};
    cJSON *json = tree_of(text);
    assert_false(board_from_json(json, &board, &err));
    assert_string_equal(err.code, code);
    assert_string_equal(err.at, at);
    cJSON_Delete(json);
}

static void test_bad_boards(void **state)
{
    (void)state;
    board_fails("[]", "not_object", "");
    board_fails("{\"place\":{},\"boat\":{}}", "unknown_field", "boat");
    board_fails("{\"place\":{},\"buoy/1\":{\"id\":1}}", "unknown_field", "buoy/1");
    board_fails("{\"place\":{},\"buoys/1\":{\"id\":2}}", "bad_form", "buoys/1");
    board_fails("{\"place\":{},\"buoys\":{\"id\":2}}", "bad_form", "buoys");
    board_fails("{\"place\":{},\"depths/0\":{\"cm\":0}}", "bad_form", "depths/0");
    board_fails("{\"place/1\":{}}", "bad_form", "place/1");
    board_fails("{\"place\":{},\"place/1\":{}}", "too_many", "place/1");
    board_fails("{\"place\":{\"at\":{\"east\":11}}}", "out_of_range", "place.at.east");
    board_fails("{\"place\":{},\"depths/1\":{\"cm\":1},\"depths/2\":{\"cm\":2},\"depths/3\":{\"cm\":3}}", "too_many",
                "depths/3");
}

/* In a child, so that its end can be looked at; the message that it prints is not of interest here. */
static void writing_aborts(const struct everything *all)
{
    int status = 0;
    const pid_t child = fork();
    assert_true(child >= 0);
    if (child == 0) {
        close(STDERR_FILENO);
        cJSON_Delete(everything_to_json(all));
        _exit(EXIT_SUCCESS);
    }
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFSIGNALED(status) && WTERMSIG(status) == SIGABRT);
}

/* What no table allows would read beyond a list or a name: that is a bug, and it ends the program. */
static void test_bugs_abort(void **state)
{
    const struct everything count_too_large = {.numbers_count = 4};
    const struct everything count_below_zero = {.texts_count = -1};
    const struct everything no_such_colour = {.colour = COLOUR_COUNT_};
    struct everything text_without_end = {0};
    (void)state;
    memset(text_without_end.text, 'x', sizeof text_without_end.text);
    writing_aborts(&count_too_large);
    writing_aborts(&count_below_zero);
    writing_aborts(&no_such_colour);
    writing_aborts(&text_without_end);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_there_and_back),
        cmocka_unit_test(test_zero_is_left_out),
        cmocka_unit_test(test_needed_zero_stays),
        cmocka_unit_test(test_memcmp),
        cmocka_unit_test(test_wrong_types),
        cmocka_unit_test(test_out_of_bounds),
        cmocka_unit_test(test_bad_forms),
        cmocka_unit_test(test_fraction),
        cmocka_unit_test(test_entries),
        cmocka_unit_test(test_bodies),
        cmocka_unit_test(test_kind_table),
        cmocka_unit_test(test_names),
        cmocka_unit_test(test_messages_up),
        cmocka_unit_test(test_json_inside),
        cmocka_unit_test(test_const),
        cmocka_unit_test(test_board),
        cmocka_unit_test(test_bad_boards),
        cmocka_unit_test(test_bugs_abort),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
