/* What is shared stands in struct shared and is touched with its lock held, never for long: the disk is waited for
 * without it.
 *
 * A batch: NONE -> POSTED (loop) -> NONE with news (thread). The rows array is the thread's from POSTED until the news
 * was taken, which is why log_writer_put() refuses while the loop has not taken it.
 *
 * Two rooms for keys: `next` is filled by the loop under the lock, `saving` is the thread's own.
 */
#include "writer.h"

#include <pthread.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "board/check.h"
#include "limit.h"
#include "log/folder.h"

#define SCRUB_ROWS   256
#define STOP_LOOK_MS 5

enum chore { CHORE_NONE, CHORE_SCRUB, CHORE_CHECKPOINT, CHORE_MEND };

struct shared {
    pthread_mutex_t lock;
    pthread_cond_t work;
    bool stop;
    bool batch_posted;
    bool keys_posted;
    enum chore chore;
    bool busy; /* the thread works on something */
    bool scrubbed;
    struct keys next;
    /* news, one of each kind at most */
    bool told[LOG_NEWS_KEYS + 1];
    struct log_report news[LOG_NEWS_KEYS + 1];
};

struct log_writer {
    struct shared shared;

    /* The loop's own. */
    bool under_way, failed;
    int64_t put_ms, last_ms;
    int64_t to_checkpoint; /* rows since the last checkpoint */
    int64_t mend_ms,
        mend_wait_ms; /* after a failure: the last look at the disk, and how long until the next; 0: none yet */
    pthread_t thread;

    /* Set before the thread starts. */
    struct log *log;
    char dir[FOLDER_PATH_LEN];
    void (*wake)(void *context);
    void *context;

    /* Given to the thread with batch_posted, and back with the news. */
    size_t row_count;
    struct log_row rows[LIMIT_BATCH_ROWS];

    /* The thread's own. */
    struct keys saving;
    struct log_scrub scrub;
};

static void lock(struct log_writer *writer)
{
    CHECK(pthread_mutex_lock(&writer->shared.lock) == 0);
}

static void unlock(struct log_writer *writer)
{
    CHECK(pthread_mutex_unlock(&writer->shared.lock) == 0);
}

/* ---- the thread ---- */

/* A thread that was left behind has nobody to wake any more. */
static void tell(struct log_writer *writer, enum log_news news, int64_t up_to_seq, const struct msg *why)
{
    lock(writer);
    writer->shared.told[news] = true;
    writer->shared.news[news] = (struct log_report){.news = news, .up_to_seq = up_to_seq, .why = *why};
    if (!writer->shared.stop)
        writer->wake(writer->context);
    unlock(writer);
}

static bool stopping(struct log_writer *writer)
{
    lock(writer);
    bool stop = writer->shared.stop;
    unlock(writer);
    return stop;
}

/* A file that another program has locked is waited for, as a slow disk is: nothing is lost, and the crew is told
 * "slow". */
static void save_batch(struct log_writer *writer)
{
    struct msg why = {""};
    enum err err = ERR_NONE;
    do
        err = log_append(writer->log, writer->rows, writer->row_count, &why);
    while (err == ERR_BUSY && !stopping(writer));
    if (err == ERR_NONE)
        tell(writer, LOG_NEWS_SAVED, writer->rows[writer->row_count - 1].seq, &why);
    else
        tell(writer, LOG_NEWS_FAILED, 0, &why);
}

static void save_keys(struct log_writer *writer)
{
    struct msg why;
    if (keys_save(writer->dir, &writer->saving, &why) != ERR_NONE)
        tell(writer, LOG_NEWS_KEYS, 0, &why);
}

static void scrub(struct log_writer *writer)
{
    struct msg why;
    bool done = false;
    if (log_scrub(writer->log, &writer->scrub, SCRUB_ROWS, &done, &why) != ERR_NONE)
        tell(writer, LOG_NEWS_DAMAGED, 0, &why);
    lock(writer);
    writer->shared.scrubbed = done;
    unlock(writer);
}

static void checkpoint(struct log_writer *writer)
{
    struct msg why;
    if (log_checkpoint(writer->log, &why) != ERR_NONE)
        tell(writer, LOG_NEWS_FAILED, 0, &why);
}

/* That the disk is still bad is no news. */
static void mend(struct log_writer *writer)
{
    struct msg why = {""};
    if (log_mend(writer->log, &why) != ERR_NONE)
        return;
    writer->scrub = (struct log_scrub){0}; /* it may be another file */
    lock(writer);
    writer->shared.scrubbed = false;
    unlock(writer);
    tell(writer, LOG_NEWS_MENDED, 0, &why);
}

static void do_chore(struct log_writer *writer, enum chore chore)
{
    switch (chore) {
    case CHORE_NONE: break;
    case CHORE_SCRUB: scrub(writer); break;
    case CHORE_CHECKPOINT: checkpoint(writer); break;
    case CHORE_MEND: mend(writer); break;
    }
}

/* Takes the most urgent piece of work and does it without the lock. Called and left with the lock held; false: none
 * there. */
static bool work_once(struct log_writer *writer)
{
    struct shared *shared = &writer->shared;
    void (*work)(struct log_writer *) = NULL;
    enum chore chore = CHORE_NONE;
    if (shared->batch_posted) {
        shared->batch_posted = false;
        work = save_batch;
    } else if (shared->keys_posted) {
        shared->keys_posted = false;
        writer->saving = shared->next;
        work = save_keys;
    } else if (shared->chore != CHORE_NONE) {
        chore = shared->chore;
        shared->chore = CHORE_NONE;
    }
    if (!work && chore == CHORE_NONE)
        return false;
    shared->busy = true;
    unlock(writer);
    if (work)
        work(writer);
    do_chore(writer, chore);
    lock(writer);
    shared->busy = false;
    return true;
}

static void *run(void *argument)
{
    struct log_writer *writer = argument;
    lock(writer);
    for (;;) {
        if (work_once(writer))
            continue;
        if (writer->shared.stop)
            break;
        CHECK(pthread_cond_wait(&writer->shared.work, &writer->shared.lock) == 0);
    }
    unlock(writer);
    return NULL;
}

/* ---- the loop's side ---- */

/* Signals are the loop's: the thread is born with all of them blocked. */
struct log_writer *log_writer_start(struct log *log, const char *dir, void (*wake)(void *context), void *context)
{
    sigset_t all;
    sigset_t before;
    struct log_writer *writer = calloc(1, sizeof *writer);
    CHECK(writer);
    CHECK(strlen(dir) < sizeof writer->dir);
    strncpy(writer->dir, dir, sizeof writer->dir);
    writer->log = log;
    writer->wake = wake;
    writer->context = context;
    CHECK(pthread_mutex_init(&writer->shared.lock, NULL) == 0);
    CHECK(pthread_cond_init(&writer->shared.work, NULL) == 0);
    (void)sigfillset(&all);
    CHECK(pthread_sigmask(SIG_SETMASK, &all, &before) == 0);
    CHECK(pthread_create(&writer->thread, NULL, run, writer) == 0);
    CHECK(pthread_sigmask(SIG_SETMASK, &before, NULL) == 0);
    return writer;
}

bool log_writer_stop(struct log_writer *writer)
{
    const struct timespec a_moment = {.tv_nsec = STOP_LOOK_MS * 1000000L};
    bool ended = false;
    lock(writer);
    writer->shared.stop = true;
    CHECK(pthread_cond_signal(&writer->shared.work) == 0);
    unlock(writer);
    for (int waited_ms = 0; !ended && waited_ms <= LOG_WRITER_STOP_MS; waited_ms += STOP_LOOK_MS) {
        ended = pthread_tryjoin_np(writer->thread, NULL) == 0;
        if (!ended)
            (void)nanosleep(&a_moment, NULL);
    }
    if (!ended) {
        CHECK(pthread_detach(writer->thread) == 0);
        return false;
    }
    CHECK(pthread_cond_destroy(&writer->shared.work) == 0);
    CHECK(pthread_mutex_destroy(&writer->shared.lock) == 0);
    free(writer);
    return true;
}

bool log_writer_put(struct log_writer *writer, const struct log_row *rows, size_t count, int64_t now_ms)
{
    CHECK(count > 0 && count <= LIMIT_BATCH_ROWS);
    if (writer->under_way || writer->failed)
        return false;
    memcpy(writer->rows, rows, count * sizeof *rows);
    writer->row_count = count;
    writer->under_way = true;
    writer->put_ms = now_ms;
    writer->last_ms = now_ms;
    writer->to_checkpoint += (int64_t)count;
    lock(writer);
    writer->shared.batch_posted = true;
    unlock(writer);
    CHECK(pthread_cond_signal(&writer->shared.work) ==
          0); /* without the lock, or the thread wakes only to wait for it */
    return true;
}

void log_writer_put_keys(struct log_writer *writer, const struct keys *keys)
{
    lock(writer);
    writer->shared.next = *keys;
    writer->shared.keys_posted = true;
    CHECK(pthread_cond_signal(&writer->shared.work) == 0);
    unlock(writer);
}

/* When to look at a disk that failed. Called with the lock held. */
static enum chore next_mend(struct log_writer *writer, int64_t now_ms)
{
    if (writer->mend_wait_ms == 0) {
        writer->mend_ms = now_ms;
        writer->mend_wait_ms = LOG_WRITER_MEND_MS;
    }
    if (now_ms - writer->mend_ms < writer->mend_wait_ms)
        return CHORE_NONE;
    writer->mend_ms = now_ms;
    writer->mend_wait_ms *= 2;
    if (writer->mend_wait_ms > LOG_WRITER_MEND_MAX_MS)
        writer->mend_wait_ms = LOG_WRITER_MEND_MAX_MS;
    return CHORE_MEND;
}

/* Called with the lock held. */
static enum chore next_chore(struct log_writer *writer, int64_t now_ms)
{
    if (writer->failed)
        return next_mend(writer, now_ms);
    if (writer->to_checkpoint > 0 && now_ms - writer->last_ms >= LOG_WRITER_QUIET_MS)
        return CHORE_CHECKPOINT;
    return writer->shared.scrubbed ? CHORE_NONE : CHORE_SCRUB;
}

/* With nothing to do the thread is left asleep: the machine may run off a battery. */
void log_writer_tick(struct log_writer *writer, int64_t now_ms)
{
    if (writer->under_way)
        return;
    lock(writer);
    struct shared *shared = &writer->shared;
    if (!shared->busy && shared->chore == CHORE_NONE) {
        shared->chore = next_chore(writer, now_ms);
        if (shared->chore == CHORE_CHECKPOINT)
            writer->to_checkpoint = 0;
        if (shared->chore != CHORE_NONE)
            CHECK(pthread_cond_signal(&shared->work) == 0);
    }
    unlock(writer);
}

bool log_writer_take(struct log_writer *writer, struct log_report *out)
{
    bool found = false;
    lock(writer);
    for (int news = 0; news <= LOG_NEWS_KEYS && !found; news++) {
        found = writer->shared.told[news];
        if (found)
            *out = writer->shared.news[news];
        writer->shared.told[news] = writer->shared.told[news] && !found;
    }
    unlock(writer);
    if (found && (out->news == LOG_NEWS_SAVED || out->news == LOG_NEWS_FAILED))
        writer->under_way = false;
    if (found && out->news == LOG_NEWS_FAILED)
        writer->failed = true;
    if (found && out->news == LOG_NEWS_MENDED) {
        writer->failed = false;
        writer->mend_wait_ms = 0;
    }
    return found;
}

enum log_state log_writer_state(const struct log_writer *writer, int64_t now_ms)
{
    if (writer->failed)
        return LOG_FAILED;
    return writer->under_way && now_ms - writer->put_ms > LOG_WRITER_SLOW_MS ? LOG_SLOW : LOG_OK;
}
