/* The replay: its patches, put on the board before each page, give the board that the screens had after every entry, whatever
 * corrected what; and nothing that was to be left out is in it. */
#include <zlib.h>

#include "board/journal.h"
#include "board_random.h"
#include "board_support.h"
#include "codec.h"
#include "debrief/replay.h"
#include "proto_json.h"

enum { ENTRIES = 1500, MOST_BYTES = 16 * 1024 * 1024 };

static cJSON *unpacked(struct replay_bytes bytes)
{
    static char text[MOST_BYTES];
    z_stream stream = {.next_in = (z_const Bytef *)(uintptr_t)bytes.data,
                       .avail_in = (uInt)bytes.len,
                       .next_out = (Bytef *)text,
                       .avail_out = sizeof text - 1};
    assert_int_equal(inflateInit2(&stream, 15 + 16), Z_OK);
    assert_int_equal(inflate(&stream, Z_FINISH), Z_STREAM_END);
    text[stream.total_out] = '\0';
    assert_int_equal(inflateEnd(&stream), Z_OK);
    struct proto_error error;
    cJSON *json = json_read(text, stream.total_out, &error);
    assert_non_null(json);
    return json;
}

static const cJSON *member(const cJSON *object, const char *name)
{
    const cJSON *value = cJSON_GetObjectItemCaseSensitive(object, name);
    assert_non_null(value);
    return value;
}

/* As a page does it: whole new values, null for gone. */
static void put(cJSON *flat, const cJSON *parts)
{
    const cJSON *part;
    cJSON_ArrayForEach(part, parts)
    {
        cJSON_DeleteItemFromObjectCaseSensitive(flat, part->string);
        if (!cJSON_IsNull(part))
            assert_true(cJSON_AddItemToObject(flat, part->string, cJSON_Duplicate(part, true)));
    }
}

struct trip {
    struct replay *replay;
    struct journal journal;
    struct board live[ENTRIES]; /* after each entry, by a fold that knows only what had come by then */
    struct entry entry;
    struct chance chance;
};

static void note(struct trip *trip, int32_t index)
{
    struct msg why;
    while (journal_needs(&trip->journal)) {
        void *chunk = malloc(JOURNAL_CHUNK_BYTES);
        assert_non_null(chunk);
        journal_give(&trip->journal, chunk);
    }
    (void)journal_append(&trip->journal, &trip->entry, OUTCOME_MOOT);
    struct board *live = &trip->live[index];
    if (index != 0)
        *live = live[-1];
    if (!journal_corrects(&trip->entry)) {
        (void)board_apply(&trip->live[index], &trip->entry);
    } else {
        (void)journal_correct(&trip->journal, index);
        journal_at(&trip->journal, &trip->live[index], index + 1);
    }
    assert_int_equal(replay_take(trip->replay, &trip->entry, &why), ERR_NONE);
}

static struct trip *trip_open(uint64_t seed, int32_t corrections_percent, const struct without *what)
{
    struct trip *trip = calloc(1, sizeof *trip);
    assert_non_null(trip);
    journal_reset(&trip->journal);
    trip->replay = replay_new(what);
    chance_open(&trip->chance, seed);
    trip->chance.corrections_percent = corrections_percent;
    chance_trip(&trip->chance, &trip->entry);
    note(trip, 0);
    for (int32_t i = 1; i < ENTRIES; i++) {
        chance_entry(&trip->chance, &trip->live[i - 1], &trip->entry);
        note(trip, i);
    }
    replay_end(trip->replay);
    return trip;
}

static void trip_close(struct trip *trip)
{
    void *chunk;
    while ((chunk = journal_take_back(&trip->journal)) != NULL)
        free(chunk);
    replay_free(trip->replay);
    free(trip);
}

static void expect_page(const struct trip *trip, int32_t number)
{
    cJSON *page = unpacked(replay_page(trip->replay, number));
    cJSON *flat = cJSON_Duplicate(member(page, "start"), true);
    int32_t index = (int32_t)member(page, "rev")->valuedouble;
    assert_int_equal(index, number * REPLAY_PAGE_ROWS);
    const cJSON *patch;
    cJSON_ArrayForEach(patch, member(page, "patches"))
    {
        put(flat, member(patch, "parts"));
        cJSON *board = board_to_json(&trip->live[index]);
        if (!cJSON_Compare(flat, board, true))
            fail_msg("after entry %d the replay has another board", (int)index);
        cJSON_Delete(board);
        index++;
        assert_int_equal((int)member(patch, "rev")->valuedouble, index);
    }
    cJSON_Delete(flat);
    cJSON_Delete(page);
}

static void replay_gives_the_board_after_every_entry(void **state)
{
    (void)state;
    const struct without nothing = {0};
    for (uint64_t seed = 1; seed <= 4; seed++) {
        struct trip *trip = trip_open(seed, (int32_t)seed * 3, &nothing);
        assert_int_equal(replay_pages(trip->replay), (ENTRIES + REPLAY_PAGE_ROWS - 1) / REPLAY_PAGE_ROWS);
        for (int32_t i = 0; i < replay_pages(trip->replay); i++)
            expect_page(trip, i);
        cJSON *head = unpacked(replay_head(trip->replay));
        assert_int_equal(cJSON_GetArraySize(member(head, "pages")), replay_pages(trip->replay));
        assert_int_equal((int64_t)member(head, "last_seq")->valuedouble, trip->entry.seq);
        assert_true(cJSON_GetArraySize(member(head, "corrections")) > 5);
        assert_true(cJSON_GetArraySize(member(head, "presence")) > 5);
        cJSON_Delete(head);
        trip_close(trip);
    }
}

static bool says(struct replay_bytes bytes, const char *words)
{
    cJSON *json = unpacked(bytes);
    char *text = json_text(json);
    bool found = strstr(text, words) != NULL;
    free(text);
    cJSON_Delete(json);
    return found;
}

static void take(struct replay *replay, struct entry *e)
{
    struct msg why;
    e->seq++;
    e->id.n++;
    assert_int_equal(replay_take(replay, e, &why), ERR_NONE);
}

/* A trip with a name and a place in every kind that can hold one. */
static struct replay *told(const struct without *what)
{
    struct replay *replay = replay_new(what);
    struct entry *e = calloc(1, sizeof *e);
    assert_non_null(e);
    e->id = (struct entry_id){.sender = 7, .lane = LANE_ORDINARY};
    e->place = (struct place){.lat_e7 = 361234567, .lon_e7 = -751234567};
    e->kind = KIND_TRIP_STARTED;
    e->body.trip_started = (struct body_trip_started){.name = "Grey Petrel",
                                                      .no = 1,
                                                      .crew_count = 1,
                                                      .crew = {{.id = 1, .name = "Amparo"}},
                                                      .jobs_count = 1,
                                                      .jobs = {"Amparo: look at the reel"},
                                                      .job_names_count = 1,
                                                      .job_names = {"Amparo"}};
    take(replay, e);
    const struct {
        enum entry_kind kind;
        size_t offset;
    } texts[] = {
        {KIND_HAND_ADDED, offsetof(struct body_hand_added, name)},
        {KIND_STAMP_TOLD, offsetof(struct body_stamp_told, text)},
        {KIND_NOTED, offsetof(struct body_noted, text)},
        {KIND_NEAR_MISS, offsetof(struct body_near_miss, text)},
        {KIND_JOB, offsetof(struct body_job, text)},
        {KIND_GEAR_FAULT, offsetof(struct body_gear_fault, text)},
        {KIND_HURT_KEPT, offsetof(struct body_hurt_kept, who)},
    };
    for (size_t i = 0; i < sizeof texts / sizeof texts[0]; i++) {
        memset(&e->body, 0, sizeof e->body);
        e->kind = texts[i].kind;
        memcpy((char *)&e->body + texts[i].offset, "Amparo", sizeof "Amparo");
        if (e->kind == KIND_JOB)
            e->body.job.no = 1;
        take(replay, e);
    }
    replay_end(replay);
    free(e);
    return replay;
}

static void replay_holds_no_names_and_no_places_when_they_are_left_out(void **state)
{
    (void)state;
    const struct without nothing = {0}, names = {.names = true}, places = {.places = true};
    struct replay *whole = told(&nothing), *nameless = told(&names), *nowhere = told(&places);
    assert_true(says(replay_page(whole, 0), "Amparo") && says(replay_page(whole, 0), "361234567"));
    assert_true(!says(replay_page(nameless, 0), "Amparo") && says(replay_page(nameless, 0), "361234567"));
    assert_true(says(replay_page(nameless, 0), "Hand 1"));
    assert_true(says(replay_page(nowhere, 0), "Amparo") && !says(replay_page(nowhere, 0), "361234567"));
    assert_true(!says(replay_page(nowhere, 0), "751234567"));
    replay_free(whole);
    replay_free(nameless);
    replay_free(nowhere);
}

static void replay_of_a_log_that_repeats_itself_is_refused(void **state)
{
    (void)state;
    const struct without nothing = {0};
    struct replay *replay = replay_new(&nothing);
    struct entry *e = calloc(1, sizeof *e);
    struct msg why;
    assert_non_null(e);
    e->seq = 4;
    e->kind = KIND_TRIP_ENDED;
    e->id = (struct entry_id){.sender = 7, .n = 1, .lane = LANE_ORDINARY};
    assert_int_equal(replay_take(replay, e, &why), ERR_NONE);
    assert_int_equal(replay_take(replay, e, &why), ERR_DATA);
    assert_non_null(strstr(why.text, "Row 4"));
    replay_end(replay);
    assert_int_equal(replay_pages(replay), 1);
    replay_free(replay);
    free(e);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(replay_gives_the_board_after_every_entry),
        cmocka_unit_test(replay_holds_no_names_and_no_places_when_they_are_left_out),
        cmocka_unit_test(replay_of_a_log_that_repeats_itself_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
