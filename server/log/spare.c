/* What is shared stands in struct shared and is touched with its lock held, never for long: the stick is waited for without
 * it.
 */
#include "spare.h"

#include <inttypes.h>
#include <pthread.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>

#include "board/check.h"
#include "log/folder.h"
#include "log/mirror.h"

#define NEWS_MAX     4
#define STOP_LOOK_MS 10

struct news {
    bool trouble;
    struct msg words;
};

struct shared {
    pthread_mutex_t lock;
    pthread_cond_t work;
    bool stop, look; /* look: try to open the copy again */
    bool stopped;    /* the copy is not open */
    int64_t wanted;  /* the log's last saved row */
    int64_t done;    /* the copy's last row, on the stick; 0 until it was looked at */
    int news_count;
    struct news news[NEWS_MAX];
};

struct spare {
    struct shared shared;

    /* The loop's own. */
    int64_t behind_ms; /* since when the copy lacks rows; 0: it does not */
    int64_t looked_ms;
    pthread_t thread;

    /* Set before the thread starts. */
    char log_dir[FOLDER_PATH_LEN], dir[FOLDER_PATH_LEN];
    void (*wake)(void *context);
    void *context;

    /* The thread's own. */
    struct mirror *mirror;
    bool current, elsewhere, said_beside;
    struct msg said; /* the last trouble, so that it is told once */
};

static void lock(struct spare *spare)
{
    CHECK(pthread_mutex_lock(&spare->shared.lock) == 0);
}

static void unlock(struct spare *spare)
{
    CHECK(pthread_mutex_unlock(&spare->shared.lock) == 0);
}

/* ---- the thread ---- */

static bool stopping(struct spare *spare)
{
    lock(spare);
    bool stop = spare->shared.stop;
    unlock(spare);
    return stop;
}

/* A thread that was left behind has nobody to wake any more. */
static void wake_loop(struct spare *spare)
{
    if (!stopping(spare))
        spare->wake(spare->context);
}

/* News that nobody took makes room for newer. */
static void tell(struct spare *spare, bool trouble, const char *words)
{
    struct shared *shared = &spare->shared;
    lock(spare);
    if (shared->news_count == NEWS_MAX)
        memmove(&shared->news[0], &shared->news[1], sizeof shared->news[0] * (size_t)--shared->news_count);
    struct news *news = &shared->news[shared->news_count++];
    news->trouble = trouble;
    (void)err_set(&news->words, ERR_NONE, "%s", words);
    unlock(spare);
    wake_loop(spare);
}

/* Closes the copy. The same trouble is told once, until the copy was current again. */
static void give_up(struct spare *spare, const struct msg *why)
{
    struct msg words;
    if (spare->mirror)
        mirror_close(spare->mirror);
    spare->mirror = NULL;
    spare->current = false;
    lock(spare);
    spare->shared.stopped = true;
    unlock(spare);
    if (strcmp(spare->said.text, why->text) != 0) {
        (void)err_set(&words, ERR_NONE,
                      "The spare copy in %.120s has stopped. %.300s The log itself is saved as before.", spare->dir,
                      why->text);
        tell(spare, true, words.text);
    }
    spare->said = *why;
    wake_loop(spare);
}

/* A stick that is pulled out leaves its mount point behind, a folder on the log's own disk: a copy there would be none. So
 * once the folder has been on another disk, it is the stick only while it is. */
static enum err look_at_disk(struct spare *spare, struct msg *why)
{
    struct stat log;
    struct stat copy;
    if (stat(spare->log_dir, &log) != 0 || stat(spare->dir, &copy) != 0)
        return ERR_NONE; /* mirror_open() says it better */
    bool same = log.st_dev == copy.st_dev;
    if (same && spare->elsewhere)
        return err_set(why, ERR_NO_INPUT, "The stick is no longer at %s. Put it in again.", spare->dir);
    if (same && !spare->said_beside)
        tell(spare, true, "The spare copy lies on the same disk as the log, and would be lost with it.");
    spare->said_beside = spare->said_beside || same;
    spare->elsewhere = spare->elsewhere || !same;
    return ERR_NONE;
}

static enum err open_again(struct spare *spare, struct msg *why)
{
    struct msg note;
    enum err err = look_at_disk(spare, why);
    if (err == ERR_NONE)
        err = mirror_open(&spare->mirror, spare->log_dir, spare->dir, &note, why);
    if (err == ERR_NONE && note.text[0])
        tell(spare, true, note.text);
    return err;
}

/* The check may take a while; a board that ends does not wait for it. */
static enum err check_all(struct spare *spare, bool *done, struct msg *why)
{
    enum err err = ERR_NONE;
    *done = false;
    while (err == ERR_NONE && !*done && !stopping(spare))
        err = mirror_check(spare->mirror, done, why);
    return err;
}

static void publish(struct spare *spare, int64_t wanted)
{
    struct msg words;
    int64_t done = mirror_last_seq(spare->mirror);
    lock(spare);
    spare->shared.done = done;
    spare->shared.stopped = false;
    unlock(spare);
    if (spare->current || done < wanted)
        return;
    spare->current = true;
    spare->said.text[0] = '\0';
    (void)err_set(&words, ERR_NONE, "The spare copy in %.200s is whole, up to row %" PRId64 ".", spare->dir, done);
    tell(spare, false, words.text);
}

static void look(struct spare *spare, int64_t wanted)
{
    struct msg why;
    bool done = false;
    if (open_again(spare, &why) != ERR_NONE || check_all(spare, &done, &why) != ERR_NONE)
        give_up(spare, &why);
    else if (done)
        publish(spare, wanted);
}

static void follow(struct spare *spare, int64_t wanted)
{
    struct msg why;
    if (mirror_follow(spare->mirror, wanted, &why) != ERR_NONE)
        give_up(spare, &why);
    else
        publish(spare, wanted);
}

/* Called and left with the lock held; false: nothing to do. */
static bool work_once(struct spare *spare)
{
    struct shared *shared = &spare->shared;
    int64_t wanted = shared->wanted;
    bool behind = spare->mirror && shared->done < wanted;
    if (!behind && (spare->mirror || !shared->look))
        return false;
    shared->look = false;
    unlock(spare);
    if (behind)
        follow(spare, wanted);
    else
        look(spare, wanted);
    lock(spare);
    return true;
}

static void *run(void *argument)
{
    struct spare *spare = argument;
    lock(spare);
    for (;;) {
        if (work_once(spare))
            continue;
        if (spare->shared.stop)
            break;
        CHECK(pthread_cond_wait(&spare->shared.work, &spare->shared.lock) == 0);
    }
    unlock(spare);
    if (spare->mirror)
        mirror_close(spare->mirror);
    return NULL;
}

/* ---- the loop's side ---- */

/* Signals are the loop's: the thread is born with all of them blocked. */
struct spare *spare_start(const char *log_dir, const char *dir, int64_t saved_seq, void (*wake)(void *context),
                          void *context)
{
    sigset_t all;
    sigset_t before;
    struct spare *spare = calloc(1, sizeof *spare);
    CHECK(spare && strlen(log_dir) < sizeof spare->log_dir && strlen(dir) < sizeof spare->dir);
    strncpy(spare->log_dir, log_dir, sizeof spare->log_dir);
    strncpy(spare->dir, dir, sizeof spare->dir);
    spare->wake = wake;
    spare->context = context;
    spare->shared.wanted = saved_seq;
    spare->shared.look = true;
    CHECK(pthread_mutex_init(&spare->shared.lock, NULL) == 0);
    CHECK(pthread_cond_init(&spare->shared.work, NULL) == 0);
    (void)sigfillset(&all);
    CHECK(pthread_sigmask(SIG_SETMASK, &all, &before) == 0);
    CHECK(pthread_create(&spare->thread, NULL, run, spare) == 0);
    CHECK(pthread_sigmask(SIG_SETMASK, &before, NULL) == 0);
    return spare;
}

void spare_stop(struct spare *spare, int64_t *behind)
{
    const struct timespec a_moment = {.tv_nsec = STOP_LOOK_MS * 1000000L};
    bool ended = false;
    lock(spare);
    spare->shared.stop = true;
    CHECK(pthread_cond_signal(&spare->shared.work) == 0);
    unlock(spare);
    for (int waited_ms = 0; !ended && waited_ms <= SPARE_STOP_MS; waited_ms += STOP_LOOK_MS) {
        ended = pthread_tryjoin_np(spare->thread, NULL) == 0;
        if (!ended)
            (void)nanosleep(&a_moment, NULL);
    }
    lock(spare);
    *behind = spare->shared.wanted - spare->shared.done;
    unlock(spare);
    if (!ended) {
        CHECK(pthread_detach(spare->thread) == 0);
        return;
    }
    CHECK(pthread_cond_destroy(&spare->shared.work) == 0);
    CHECK(pthread_mutex_destroy(&spare->shared.lock) == 0);
    free(spare);
}

void spare_saved(struct spare *spare, int64_t up_to_seq, int64_t now_ms)
{
    lock(spare);
    if (spare->behind_ms == 0 || spare->shared.done >= spare->shared.wanted)
        spare->behind_ms = now_ms;
    spare->shared.wanted = up_to_seq;
    CHECK(pthread_cond_signal(&spare->shared.work) == 0);
    unlock(spare);
}

void spare_tick(struct spare *spare, int64_t now_ms)
{
    lock(spare);
    if (spare->shared.done >= spare->shared.wanted)
        spare->behind_ms = 0;
    else if (spare->behind_ms == 0)
        spare->behind_ms = now_ms;
    if (spare->shared.stopped && now_ms - spare->looked_ms >= SPARE_RETRY_MS) {
        spare->looked_ms = now_ms;
        spare->shared.look = true;
        CHECK(pthread_cond_signal(&spare->shared.work) == 0);
    }
    unlock(spare);
}

bool spare_take(struct spare *spare, bool *trouble, struct msg *news)
{
    struct shared *shared = &spare->shared;
    lock(spare);
    bool found = shared->news_count > 0;
    if (found) {
        *trouble = shared->news[0].trouble;
        *news = shared->news[0].words;
        memmove(&shared->news[0], &shared->news[1], sizeof shared->news[0] * (size_t)--shared->news_count);
    }
    unlock(spare);
    return found;
}

enum spare_copy spare_state(struct spare *spare, int64_t now_ms)
{
    lock(spare);
    enum spare_copy state = SPARE_COPY_CURRENT;
    if (spare->shared.stopped)
        state = SPARE_COPY_STOPPED;
    else if (spare->behind_ms && spare->shared.done < spare->shared.wanted &&
             now_ms - spare->behind_ms >= SPARE_BEHIND_MS)
        state = SPARE_COPY_BEHIND;
    unlock(spare);
    return state;
}
