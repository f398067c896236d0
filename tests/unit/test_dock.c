/* At the dock: the count by two, near misses, jobs, gear faults; and the jobs of the last trip. */
#include <stdio.h>

#include "board_support.h"

static void counted(struct scene *s, int32_t boated, int32_t hand, int32_t second)
{
    struct body_fish_counted *body = &tap(s, KIND_FISH_COUNTED)->body.fish_counted;
    body->boated = boated;
    body->hand = hand;
    body->second = second;
    (void)send(s);
}

static void job(struct scene *s, int32_t no, const char *text, int32_t hand)
{
    struct body_job *body = &tap(s, KIND_JOB)->body.job;
    body->no = no;
    (void)snprintf(body->text, sizeof body->text, "%s", text);
    body->hand = hand;
    (void)send(s);
}

static void job_done(struct scene *s, int32_t no)
{
    tap(s, KIND_JOB_DONE)->body.job_done.no = no;
    (void)send(s);
}

static void near_miss(struct scene *s, enum near_kind what, int32_t hand)
{
    tap(s, KIND_NEAR_MISS)->body.near_miss.what = what;
    s->entry.body.near_miss.hand = hand;
    (void)send(s);
}

static void gear_fault(struct scene *s, int32_t line)
{
    tap(s, KIND_GEAR_FAULT)->body.gear_fault.line = line;
    (void)send(s);
}

static void test_counted_by_two(void **state)
{
    struct scene s;
    (void)state;
    scene_out(&s);
    (void)trip_ended(&s);
    counted(&s, 4, 0, RUTH);
    expect_done(&s);
    assert_true(s.board.dock.counted);
    assert_int_equal(s.board.dock.boated, 4);
    assert_int_equal(s.board.dock.hand, TOBIAS);
    assert_int_equal(s.board.dock.second, RUTH);
    counted(&s, 4, RUTH, RUTH);
    expect_refused(&s, "count_by_two");
    counted(&s, 4, RUTH, 0);
    expect_refused(&s, "count_by_two");
    counted(&s, 4, RUTH, 12);
    expect_refused(&s, "hand_unknown");
    assert_int_equal(s.about.hand, 12);
    counted(&s, 4, 11, RUTH);
    expect_refused(&s, "hand_unknown");
    assert_int_equal(s.about.hand, 11);
    s.by = 0;
    counted(&s, 4, 0, RUTH);
    expect_refused(&s, "count_by_two");
    scene_ago(&s, 8000); /* before the count that stands */
    counted(&s, 9, RUTH, INES);
    expect_moot(&s);
}

static void test_jobs(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    (void)trip_ended(&s);
    job(&s, 2, "", 0);
    expect_refused(&s, "job_unknown");
    job_done(&s, 2);
    expect_refused(&s, "job_unknown");
    job(&s, 2, "new clip", 12);
    expect_refused(&s, "hand_unknown");
    job(&s, 2, "new clip", DOV);
    expect_done(&s);
    job(&s, 1, "grease the reel", 0);
    job_done(&s, 2);
    expect_done(&s);
    assert_int_equal(s.board.jobs[0].no, 2);
    assert_string_equal(s.board.jobs[0].text, "new clip");
    assert_int_equal(s.board.jobs[0].hand, DOV);
    assert_true(s.board.jobs[0].done);
    job(&s, 2, "two new clips", 0);
    assert_false(s.board.jobs[0].done);
    assert_int_equal(s.board.jobs[0].hand, 0);
    job(&s, 2, "", 0);
    expect_done(&s);
    assert_int_equal(s.board.jobs[0].no, 0);
    assert_int_equal(s.board.jobs[1].no, 1);
}

/* What the last trip left to do stands on the board of the next until it is done. */
static void test_jobs_of_the_last_trip(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    struct body_trip_started *body = &trip_tap(&s)->body.trip_started;
    body->jobs_count = 2;
    (void)snprintf(body->jobs[0], sizeof body->jobs[0], "new clip");
    (void)snprintf(body->jobs[1], sizeof body->jobs[1], "gaff guard");
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.jobs[1].no, 2);
    assert_string_equal(s.board.jobs[1].text, "gaff guard");
    assert_false(s.board.jobs[1].done);
    job_done(&s, 2);
    expect_done(&s);
    assert_true(s.board.jobs[1].done);
    assert_int_equal(s.board.jobs[2].no, 0);
}

static void test_near_misses_and_faults_are_counted(void **state)
{
    struct scene s;
    (void)state;
    scene_start(&s);
    near_miss(&s, NEAR_KIND_WRAPPED_HAND, INES);
    expect_done(&s);
    near_miss(&s, NEAR_KIND_NONE, INES);
    expect_refused(&s, "what_missing");
    near_miss(&s, NEAR_KIND_DOOR, 12);
    expect_refused(&s, "hand_unknown");
    gear_fault(&s, SHOTGUN);
    expect_done(&s);
    gear_fault(&s, 24);
    expect_refused(&s, "line_unknown");
    (void)trip_ended(&s);
    near_miss(&s, NEAR_KIND_DOOR, 0);
    expect_done(&s);
    gear_fault(&s, 0);
    expect_done(&s);
    assert_int_equal(s.board.counts.near_misses, 2);
    assert_int_equal(s.board.counts.gear_faults, 2);
    scene_open(&s);
    near_miss(&s, NEAR_KIND_DOOR, 0);
    expect_refused(&s, "no_trip");
}

/* The crew was numbered anew. Whose job it is goes by name: a hand's of this trip, or somebody's who is not aboard. */
static void test_jobs_keep_their_names(void **state)
{
    struct scene s;
    (void)state;
    scene_open(&s);
    struct body_trip_started *body = &trip_tap(&s)->body.trip_started;
    body->jobs_count = 3;
    body->job_names_count = 2;
    for (int32_t i = 0; i < 3; i++)
        (void)snprintf(body->jobs[i], sizeof body->jobs[i], "new clip");
    (void)snprintf(body->job_names[0], sizeof body->job_names[0], "Ruth");
    (void)snprintf(body->job_names[1], sizeof body->job_names[1], "Karin");
    (void)send(&s);
    expect_done(&s);
    assert_int_equal(s.board.jobs[0].hand, RUTH);
    assert_string_equal(s.board.jobs[0].name, "");
    assert_int_equal(s.board.jobs[1].hand, 0);
    assert_string_equal(s.board.jobs[1].name, "Karin");
    assert_int_equal(s.board.jobs[2].hand, 0);
    assert_string_equal(s.board.jobs[2].name, "");
    struct body_job *job = &tap(&s, KIND_JOB)->body.job;
    job->no = 2;
    job->hand = DOV;
    (void)snprintf(job->text, sizeof job->text, "new clip");
    (void)send(&s);
    assert_int_equal(s.board.jobs[1].hand, DOV);
    assert_string_equal(s.board.jobs[1].name, "");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_counted_by_two),
        cmocka_unit_test(test_jobs),
        cmocka_unit_test(test_jobs_of_the_last_trip),
        cmocka_unit_test(test_jobs_keep_their_names),
        cmocka_unit_test(test_near_misses_and_faults_are_counted),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
