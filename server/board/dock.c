/* At the dock: the fish counted against the log by two, near misses, three jobs with names, gear faults.
 *
 * These are admitted while a trip runs and after its end, until the next one starts; so is what settles an end that nobody told
 * (open_ends.h). Near misses and gear faults are counted; their words are kept by their entries. The jobs go into the next
 * trip's first entry and stand on its board until they are done.
 *
 *   J1  a count is by two different hands of the roster
 *   J2  a job on the board has words, and is nobody's or a hand's of the roster
 *   J3  only a job that is no hand's has a name: one that this trip's roster does not know
 */
#include <string.h>

#include "board/aspects.h"
#include "board/check.h"
#include "board/parts.h"

static int32_t counter(const struct entry *e)
{
    return e->body.fish_counted.hand != 0 ? e->body.fish_counted.hand : e->by;
}

static enum refusal_code counted_refusal(const struct board *b, const struct entry *e)
{
    int32_t one = counter(e), two = e->body.fish_counted.second;
    if (!hand_may(b, one) || !hand_may(b, two))
        return REFUSAL_HAND_UNKNOWN;
    return one == 0 || two == 0 || one == two ? REFUSAL_COUNT_BY_TWO : REFUSAL_NONE;
}

static enum refusal_code near_refusal(const struct board *b, const struct body_near_miss *body)
{
    if (!hand_may(b, body->hand))
        return REFUSAL_HAND_UNKNOWN;
    return body->what == NEAR_KIND_NONE ? REFUSAL_WHAT_MISSING : REFUSAL_NONE;
}

static enum refusal_code job_refusal(const struct board *b, const struct body_job *body)
{
    if (!hand_may(b, body->hand))
        return REFUSAL_HAND_UNKNOWN;
    bool known = slot_find(b, PART_JOBS, &body->no) >= 0;
    return body->text[0] == '\0' && !known ? REFUSAL_JOB_UNKNOWN : REFUSAL_NONE;
}

static bool fault_line_known(const struct board *b, int32_t line)
{
    return line == 0 || line_find(b, line) != NULL;
}

enum refusal_code dock_admit(const struct board *b, const struct entry *e, struct about *about)
{
    if (e->kind == KIND_FISH_COUNTED) {
        about->hand = hand_may(b, counter(e)) ? e->body.fish_counted.second : counter(e);
        return counted_refusal(b, e);
    }
    if (e->kind == KIND_NEAR_MISS) {
        about->hand = e->body.near_miss.hand;
        return near_refusal(b, &e->body.near_miss);
    }
    if (e->kind == KIND_JOB) {
        about->hand = e->body.job.hand;
        return job_refusal(b, &e->body.job);
    }
    if (e->kind == KIND_JOB_DONE)
        return slot_find(b, PART_JOBS, &e->body.job_done.no) < 0 ? REFUSAL_JOB_UNKNOWN : REFUSAL_NONE;
    about->line = e->body.gear_fault.line;
    return fault_line_known(b, about->line) ? REFUSAL_NONE : REFUSAL_LINE_UNKNOWN;
}

static enum outcome counted_apply(struct board *b, const struct entry *e)
{
    if (entry_late(e, b->dock.counted_ms) || counted_refusal(b, e) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    b->dock.counted = true;
    b->dock.counted_ms = e->at_ms;
    b->dock.boated = e->body.fish_counted.boated;
    b->dock.hand = counter(e);
    b->dock.second = e->body.fish_counted.second;
    return OUTCOME_DONE;
}

/* A job is written anew under its number, and is to be done again; without words it comes off. */
static enum outcome job_apply(struct board *b, const struct body_job *body)
{
    if (job_refusal(b, body) != REFUSAL_NONE)
        return OUTCOME_MOOT;
    int32_t slot = slot_find(b, PART_JOBS, &body->no);
    struct board_job *job = &b->jobs[slot < 0 ? slot_free(b, PART_JOBS) : slot];
    memset(job, 0, sizeof *job);
    if (body->text[0] == '\0')
        return OUTCOME_DONE;
    job->no = body->no;
    TEXT_COPY(job->text, body->text);
    job->hand = body->hand;
    TEXT_COPY(job->by_day, body->by_day);
    return OUTCOME_DONE;
}

static enum outcome job_done_apply(struct board *b, const struct entry *e)
{
    int32_t slot = slot_find(b, PART_JOBS, &e->body.job_done.no);
    if (slot < 0)
        return OUTCOME_MOOT;
    b->jobs[slot].done = true;
    return OUTCOME_DONE;
}

enum outcome dock_apply(struct board *b, const struct entry *e)
{
    if (e->kind == KIND_FISH_COUNTED)
        return counted_apply(b, e);
    if (e->kind == KIND_JOB)
        return job_apply(b, &e->body.job);
    if (e->kind == KIND_JOB_DONE)
        return job_done_apply(b, e);
    if (e->kind == KIND_NEAR_MISS) {
        if (near_refusal(b, &e->body.near_miss) != REFUSAL_NONE)
            return OUTCOME_MOOT;
        count_up(&b->counts.near_misses);
        return OUTCOME_DONE;
    }
    if (!fault_line_known(b, e->body.gear_fault.line))
        return OUTCOME_MOOT;
    count_up(&b->counts.gear_faults);
    return OUTCOME_DONE;
}

void dock_check(const struct board *b)
{
    const struct board_dock *dock = &b->dock;
    CHECK(!dock->counted || (hand_find(b, dock->hand) != NULL && hand_find(b, dock->second) != NULL)); /* J1 */
    CHECK(!dock->counted || dock->hand != dock->second);                                               /* J1 */
    for (int32_t i = 0; i < BOARD_JOBS_MAX; i++) {
        CHECK(b->jobs[i].no == 0 || b->jobs[i].text[0] != '\0');                           /* J2 */
        CHECK(hand_may(b, b->jobs[i].hand));                                               /* J2 */
        CHECK(b->jobs[i].name[0] == '\0' || (b->jobs[i].no != 0 && b->jobs[i].hand == 0)); /* J3 */
    }
}
