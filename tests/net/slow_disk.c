/* slow_disk: a disk that stalls, is slow or fails when the test says so. Loaded into the server under test with LD_PRELOAD, over
 * the calls by which SQLite and the board write and sync.
 *
 * While the file named by the environment variable SLOW_DISK exists, what it holds says what the disk does:
 *   nothing     a write or sync of a database file waits
 *   "late MS"   each sync takes so many milliseconds
 *   "sync"      each sync fails (EIO)
 *   "full"      each write fails (ENOSPC)
 *   "read"      each write fails (EROFS): the system has mounted the disk read-only, as it does after an error
 * Waiting before the write, not only before the sync: what a process has written outlives its kill in the system's memory, and a
 * test that kills the server there would find it all saved. Sockets and pages are not touched: they are written by other calls.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

#define LOOK_NS   5000000L
#define SECOND_MS 1000L
#define MS_NS     1000000L

enum mood { MOOD_WELL, MOOD_STALLS, MOOD_LATE, MOOD_FAILS, MOOD_FULL, MOOD_READ_ONLY };

static enum mood look(long *late_ms)
{
    const char *path = getenv("SLOW_DISK");
    char words[32] = "";
    int file = path ? open(path, O_RDONLY | O_CLOEXEC) : -1;
    if (file < 0)
        return MOOD_WELL;
    ssize_t len = read(file, words, sizeof words - 1);
    (void)close(file);
    if (len >= 4 && strncmp(words, "sync", 4) == 0)
        return MOOD_FAILS;
    if (len >= 4 && strncmp(words, "full", 4) == 0)
        return MOOD_FULL;
    if (len >= 4 && strncmp(words, "read", 4) == 0)
        return MOOD_READ_ONLY;
    if (len < 5 || strncmp(words, "late ", 5) != 0)
        return MOOD_STALLS;
    *late_ms = strtol(words + 5, NULL, 10);
    return MOOD_LATE;
}

/* Returns when the disk no longer stalls. */
static enum mood wait_for_disk(long *late_ms)
{
    const struct timespec a_moment = {.tv_nsec = LOOK_NS};
    enum mood mood;
    while ((mood = look(late_ms)) == MOOD_STALLS)
        (void)nanosleep(&a_moment, NULL);
    return mood;
}

static int sync_by(long call, int fd)
{
    long ms = 0;
    enum mood mood = wait_for_disk(&ms);
    const struct timespec late = {.tv_sec = ms / SECOND_MS, .tv_nsec = ms % SECOND_MS * MS_NS};
    if (mood == MOOD_LATE)
        (void)nanosleep(&late, NULL);
    if (mood == MOOD_FAILS) {
        errno = EIO;
        return -1;
    }
    return (int)syscall(call, fd);
}

ssize_t pwrite64(int fd, const void *bytes, size_t len, off64_t at)
{
    long ms = 0;
    enum mood mood = wait_for_disk(&ms);
    if (mood == MOOD_FULL || mood == MOOD_READ_ONLY) {
        errno = mood == MOOD_FULL ? ENOSPC : EROFS;
        return -1;
    }
    return syscall(SYS_pwrite64, fd, bytes, len, at);
}

int fdatasync(int fd)
{
    return sync_by(SYS_fdatasync, fd);
}

int fsync(int fd)
{
    return sync_by(SYS_fsync, fd);
}
