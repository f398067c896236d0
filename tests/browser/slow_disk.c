/* slow_disk: a disk that stalls or fails when the test says so. Loaded into the server under test with LD_PRELOAD, over the
 * calls by which SQLite and the board write and sync.
 *
 * While the file named by the environment variable SLOW_DISK exists, a write or sync of a database file waits; if the file
 * holds the word "sync", each sync fails (EIO) instead. Waiting before
 * the write, not only before the sync: what a process has written outlives its kill in the system's memory, and a test that
 * kills the server there would find it all saved. Sockets and pages are not touched: they are written by other calls.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

#define LOOK_NS 5000000

/* Does the file hold the word "sync"? */
static bool syncs_fail(const char *stalled)
{
    char word[5] = "";
    int file = open(stalled, O_RDONLY | O_CLOEXEC);
    if (file < 0)
        return false;
    ssize_t len = read(file, word, 4);
    (void)close(file);
    return len == 4 && strcmp(word, "sync") == 0;
}

static void wait_for_disk(void)
{
    const char *stalled = getenv("SLOW_DISK");
    const struct timespec a_moment = {.tv_nsec = LOOK_NS};

    while (stalled && access(stalled, F_OK) == 0 && !syncs_fail(stalled))
        (void)nanosleep(&a_moment, NULL);
}

static int sync_by(long call, int fd)
{
    const char *stalled = getenv("SLOW_DISK");
    wait_for_disk();
    if (stalled && syncs_fail(stalled)) {
        errno = EIO;
        return -1;
    }
    return (int)syscall(call, fd);
}

ssize_t pwrite64(int fd, const void *bytes, size_t len, off64_t at)
{
    wait_for_disk();
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
