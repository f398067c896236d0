/* slow_disk: a disk that stalls when the test says so. Loaded into the server under test with LD_PRELOAD, over the
 * two calls by which SQLite writes and syncs.
 *
 * While the file named by the environment variable SLOW_DISK exists, a write or sync of a database file waits. Waiting before
 * the write, not only before the sync: what a process has written outlives its kill in the system's memory, and a test that
 * kills the server there would find it all saved. Sockets and pages are not touched: they are written by other calls.
 */
#include <stdlib.h>
#include <sys/syscall.h>
#include <time.h>
#include <unistd.h>

#define LOOK_NS 5000000

static void wait_for_disk(void)
{
    const char *stalled = getenv("SLOW_DISK");
    const struct timespec a_moment = {.tv_nsec = LOOK_NS};

    while (stalled && access(stalled, F_OK) == 0)
        (void)nanosleep(&a_moment, NULL);
}

ssize_t pwrite64(int fd, const void *bytes, size_t len, off64_t at)
{
    wait_for_disk();
    return syscall(SYS_pwrite64, fd, bytes, len, at);
}

int fdatasync(int fd)
{
    wait_for_disk();
    return (int)syscall(SYS_fdatasync, fd);
}
