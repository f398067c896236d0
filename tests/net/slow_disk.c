/* slow_disk: a disk that stalls, is slow or fails when the test says so. Loaded into the server under test with LD_PRELOAD, over
 * the calls by which SQLite and the board write and sync.
 *
 * While the file named by the environment variable SLOW_DISK exists, what it holds says what the disk does:
 *   nothing     a write or sync of a database file waits
 *   "late MS"   each sync takes so many milliseconds
 *   "sync"      each sync fails (EIO)
 *   "full"      each write fails (ENOSPC)
 *   "read"      nothing can be written, made, renamed or removed any more (EROFS): what ext4 does to itself after an error
 *               (errors=remount-ro). Asked to, a kernel does so only to a disk without files open for writing.
 * Waiting before the write, not only before the sync: what a process has written outlives its kill in the system's memory, and a
 * test that kills the server there would find it all saved. Sockets and pages are not touched: they are written by other calls.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
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
    int file = path ? (int)syscall(SYS_openat, AT_FDCWD, path, O_RDONLY | O_CLOEXEC) : -1;
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

/* -1 with errno, or 0: the call may go on. */
static int refused(enum mood mood, bool syncs)
{
    if (mood == MOOD_READ_ONLY)
        errno = EROFS;
    else if (mood == MOOD_FULL && !syncs)
        errno = ENOSPC;
    else if (mood == MOOD_FAILS && syncs)
        errno = EIO;
    else
        return 0;
    return -1;
}

static int sync_by(long call, int fd)
{
    long ms = 0;
    enum mood mood = wait_for_disk(&ms);
    const struct timespec late = {.tv_sec = ms / SECOND_MS, .tv_nsec = ms % SECOND_MS * MS_NS};
    if (mood == MOOD_LATE)
        (void)nanosleep(&late, NULL);
    return refused(mood, true) ? -1 : (int)syscall(call, fd);
}

ssize_t pwrite64(int fd, const void *bytes, size_t len, off64_t at)
{
    long ms = 0;
    return refused(wait_for_disk(&ms), false) ? -1 : syscall(SYS_pwrite64, fd, bytes, len, at);
}

int fdatasync(int fd)
{
    return sync_by(SYS_fdatasync, fd);
}

int fsync(int fd)
{
    return sync_by(SYS_fsync, fd);
}

/* ---- only a disk that has turned read-only minds these -------------------------------------------------------------- */

static int refused_now(void)
{
    long ms = 0;
    enum mood mood = look(&ms);
    return mood == MOOD_READ_ONLY ? refused(mood, false) : 0;
}

int ftruncate64(int fd, off64_t len)
{
    return refused_now() ? -1 : (int)syscall(SYS_ftruncate, fd, len);
}

int access(const char *path, int how)
{
    return how & W_OK && refused_now() ? -1 : (int)syscall(SYS_faccessat, AT_FDCWD, path, how);
}

int unlink(const char *path)
{
    return refused_now() ? -1 : (int)syscall(SYS_unlinkat, AT_FDCWD, path, 0);
}

int rename(const char *from, const char *to)
{
    return refused_now() ? -1 : (int)syscall(SYS_renameat2, AT_FDCWD, from, AT_FDCWD, to, 0);
}

int open64(const char *path, int flags, ...)
{
    va_list more;
    va_start(more, flags);
    mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0;
    va_end(more);
    bool writes = (flags & (O_WRONLY | O_RDWR | O_CREAT)) != 0;
    return writes && refused_now() ? -1 : (int)syscall(SYS_openat, AT_FDCWD, path, flags, mode);
}

int open(const char *path, int flags, ...)
{
    va_list more;
    va_start(more, flags);
    mode_t mode = flags & O_CREAT ? va_arg(more, mode_t) : 0;
    va_end(more);
    return open64(path, flags, mode);
}
