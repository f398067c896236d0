#include "desk.h"

#include <pthread.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <unistd.h>

#include "board/check.h"
#include "clock.h"
#include "debrief/choice.h"
#include "debrief/json.h"
#include "one_file.h"
#include "read_back.h"
#include "read_replay.h"

enum { NICE = 10, STOP_MS = 1000 };

/*      ask             the thread          the thread          take
 * FREE ────▶ WAITING ────────────▶ WORKING ────────────▶ DONE ────▶ FREE
 *               └─ forget ─▶ FREE     └─ forget ─▶ LEFT ─▶ FREE */
enum stage { STAGE_FREE, STAGE_WAITING, STAGE_WORKING, STAGE_LEFT, STAGE_DONE };

struct seat {
    enum stage stage;
    int64_t ticket;
    struct slow_question question;
    struct slow_answer answer;
};

struct desk {
    const char *data;
    const struct embed_file *page;
    struct replay *replay; /* the last that was asked for, kept for its pages: the thread's own; NULL: none */
    int64_t replay_trip;
    void (*wake)(void *context);
    void *context;
    pthread_t thread;
    pthread_mutex_t lock;
    pthread_cond_t changed;
    bool stop;
    int64_t last_ticket;
    struct seat seats[SLOW_MAX];
};

static void lock(struct desk *desk)
{
    CHECK(pthread_mutex_lock(&desk->lock) == 0);
}

static void unlock(struct desk *desk)
{
    CHECK(pthread_mutex_unlock(&desk->lock) == 0);
}

/* ---- the thread ---- */

static void say(struct slow_answer *answer, int32_t status, const char *words)
{
    size_t len = strlen(words);
    answer->status = status;
    answer->type = NULL;
    answer->text = malloc(len + 2);
    CHECK(answer->text);
    memcpy(answer->text, words, len);
    memcpy(answer->text + len, "\n", 2);
    answer->len = len + 1;
}

static bool choose(const struct slow_question *question, struct debrief_choice *choice)
{
    *choice = (struct debrief_choice){.bait = question->bait, .position = question->position};
    choice->no_names = strcmp(question->names, "no") == 0;
    choice->no_places = strcmp(question->places, "no") == 0;
    return (!question->trips[0] || choice_trips(choice, question->trips)) &&
           (!question->months[0] || choice_months(choice, question->months)) &&
           (!question->zone[0] || choice_zone(choice, question->zone));
}

static void make_numbers(struct desk *desk, const struct slow_question *question, const struct debrief_choice *choice,
                         struct slow_answer *answer)
{
    struct debrief *debrief = NULL;
    struct msg why;
    enum err err = read_back(desk->data, choice, &debrief, &why);
    if (err != ERR_NONE) {
        say(answer, err == ERR_NO_INPUT ? 404 : 500, why.text);
        return;
    }
    struct out out;
    out_open(&out);
    if (strcmp(question->part, "learned") == 0)
        json_learned(debrief, &out);
    else
        json_write(debrief, &out);
    debrief_free(debrief);
    *answer = (struct slow_answer){.status = 200, .type = "application/json", .len = out.len};
    answer->text = out_take(&out);
}

static void make_file(struct desk *desk, const struct debrief_choice *choice, struct slow_answer *answer)
{
    struct out out;
    struct msg why;
    out_open(&out);
    enum err err = one_file_write(desk->data, choice, desk->page, &out, &why);
    if (err == ERR_NONE) {
        *answer = (struct slow_answer){.status = 200, .type = "text/html; charset=utf-8", .len = out.len};
        answer->text = out_take(&out);
    } else {
        say(answer, err == ERR_NO_INPUT ? 404 : 500, why.text);
    }
    out_release(&out);
}

/* The replay goes on with the log: a head is always made anew, its pages are of the replay that the head was of. */
static enum err open_replay(struct desk *desk, int64_t trip, bool anew, struct msg *why)
{
    const struct without nothing = {0};
    if (desk->replay && (anew || desk->replay_trip != trip)) {
        replay_free(desk->replay);
        desk->replay = NULL;
    }
    if (desk->replay)
        return ERR_NONE;
    desk->replay_trip = trip;
    return read_replay(desk->data, trip, &nothing, &desk->replay, why);
}

static void make_replay(struct desk *desk, const struct slow_question *question, struct slow_answer *answer)
{
    struct msg why;
    char *end = NULL;
    long long trip = strtoll(question->trip, &end, 10);
    bool whole = !question->page[0];
    if (!question->trip[0] || *end || trip < 1) {
        say(answer, 400, "Ask for /replay?trip=SEQ, with the number of a trip's first entry, and &page=N.");
        return;
    }
    enum err err = open_replay(desk, trip, whole, &why);
    if (err != ERR_NONE) {
        say(answer, err == ERR_NO_INPUT ? 404 : 500, why.text);
        return;
    }
    long long page = whole ? 0 : strtoll(question->page, &end, 10);
    if (*end || page < 0 || page >= replay_pages(desk->replay)) {
        say(answer, 404, "This replay has no such page.");
        return;
    }
    struct replay_bytes bytes = whole ? replay_head(desk->replay) : replay_page(desk->replay, (int32_t)page);
    *answer = (struct slow_answer){.status = 200, .type = "application/json", .gzip = true, .len = bytes.len};
    answer->text = malloc(bytes.len + 1);
    CHECK(answer->text);
    memcpy(answer->text, bytes.data, bytes.len);
    answer->text[bytes.len] = '\0';
}

static void work(struct desk *desk, const struct slow_question *question, struct slow_answer *answer)
{
    struct debrief_choice choice;
    if (question->what == SLOW_REPLAY)
        make_replay(desk, question, answer);
    else if (!choose(question, &choice))
        say(answer, 400, "Ask for trips=3, 3-7, all or last, months=6,7, zone=-240 (minutes east of UTC).");
    else if (question->what == SLOW_FILE)
        make_file(desk, &choice, answer);
    else
        make_numbers(desk, question, &choice, answer);
}

/* The one that was asked first; NULL: none waits. */
static struct seat *next_seat(struct desk *desk)
{
    struct seat *next = NULL;
    for (int32_t i = 0; i < SLOW_MAX; i++) {
        struct seat *seat = &desk->seats[i];
        if (seat->stage == STAGE_WAITING && (next == NULL || seat->ticket < next->ticket))
            next = seat;
    }
    return next;
}

static void *run(void *context)
{
    struct desk *desk = context;
    (void)setpriority(PRIO_PROCESS, (id_t)gettid(),
                      NICE); /* on Linux of this thread alone: setpriority(2), bugs; refused, it is as any other */
    lock(desk);
    while (!desk->stop) {
        struct seat *seat = next_seat(desk);
        if (seat == NULL) {
            CHECK(pthread_cond_wait(&desk->changed, &desk->lock) == 0);
            continue;
        }
        struct slow_question question = seat->question;
        struct slow_answer answer = {0};
        seat->stage = STAGE_WORKING;
        unlock(desk);
        work(desk, &question, &answer);
        lock(desk);
        bool left = seat->stage == STAGE_LEFT;
        seat->stage = left ? STAGE_FREE : STAGE_DONE;
        seat->answer = answer;
        if (left)
            free(answer.text);
        else if (!desk->stop)
            desk->wake(desk->context);
    }
    unlock(desk);
    return NULL;
}

/* Signals are for the loop alone. */
struct desk *desk_start(const char *data, const struct embed_file *page, void (*wake)(void *context), void *context)
{
    sigset_t all, before;
    struct desk *desk = calloc(1, sizeof *desk);
    CHECK(desk);
    desk->data = data;
    desk->page = page;
    desk->wake = wake;
    desk->context = context;
    CHECK(pthread_mutex_init(&desk->lock, NULL) == 0 && pthread_cond_init(&desk->changed, NULL) == 0);
    (void)sigfillset(&all);
    CHECK(pthread_sigmask(SIG_BLOCK, &all, &before) == 0);
    CHECK(pthread_create(&desk->thread, NULL, run, desk) == 0);
    CHECK(pthread_sigmask(SIG_SETMASK, &before, NULL) == 0);
    return desk;
}

bool desk_stop(struct desk *desk)
{
    struct timespec until;
    lock(desk);
    desk->stop = true;
    CHECK(pthread_cond_signal(&desk->changed) == 0);
    unlock(desk);
    until = clock_deadline(STOP_MS);
    return pthread_timedjoin_np(desk->thread, NULL, &until) == 0;
}

void desk_free(struct desk *desk)
{
    if (desk->replay)
        replay_free(desk->replay);
    for (int32_t i = 0; i < SLOW_MAX; i++) {
        if (desk->seats[i].stage == STAGE_DONE)
            free(desk->seats[i].answer.text);
    }
    CHECK(pthread_mutex_destroy(&desk->lock) == 0 && pthread_cond_destroy(&desk->changed) == 0);
    free(desk);
}

/* ---- the loop's side ---- */

static int64_t ask(void *context, const struct slow_question *question)
{
    struct desk *desk = context;
    int64_t ticket = 0;
    lock(desk);
    for (int32_t i = 0; i < SLOW_MAX && ticket == 0; i++) {
        struct seat *seat = &desk->seats[i];
        if (seat->stage != STAGE_FREE)
            continue;
        ticket = ++desk->last_ticket;
        *seat = (struct seat){.stage = STAGE_WAITING, .ticket = ticket, .question = *question};
        CHECK(pthread_cond_signal(&desk->changed) == 0);
    }
    unlock(desk);
    return ticket;
}

static struct seat *seat_of(struct desk *desk, int64_t ticket)
{
    for (int32_t i = 0; i < SLOW_MAX; i++) {
        if (desk->seats[i].stage != STAGE_FREE && desk->seats[i].ticket == ticket)
            return &desk->seats[i];
    }
    return NULL;
}

static bool take(void *context, int64_t ticket, struct slow_answer *answer)
{
    struct desk *desk = context;
    lock(desk);
    struct seat *seat = seat_of(desk, ticket);
    bool there = seat != NULL && seat->stage == STAGE_DONE;
    if (there) {
        *answer = seat->answer;
        seat->stage = STAGE_FREE;
    }
    unlock(desk);
    return there;
}

static void forget(void *context, int64_t ticket)
{
    struct desk *desk = context;
    lock(desk);
    struct seat *seat = seat_of(desk, ticket);
    if (seat != NULL && seat->stage == STAGE_DONE)
        free(seat->answer.text);
    if (seat != NULL)
        seat->stage = seat->stage == STAGE_WORKING ? STAGE_LEFT : STAGE_FREE;
    unlock(desk);
}

struct slow desk_slow(struct desk *desk)
{
    return (struct slow){.context = desk, .ask = ask, .take = take, .forget = forget};
}
