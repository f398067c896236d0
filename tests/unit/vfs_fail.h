/* A disk that fails when it is told to: a SQLite VFS around the system's own (sqlite.org/vfs.html).
 *
 * Every write, sync and truncation of every file is counted. The one with the chosen number fails with the chosen code,
 * alone or with all that follow. Nothing else is changed, so what was written before is really on the disk.
 */
#ifndef TESTS_VFS_FAIL_H
#define TESTS_VFS_FAIL_H

#include <stdbool.h>

/* Becomes the way SQLite opens files; harmless until armed. */
void vfs_fail_install(void);
void vfs_fail_remove(void);

/* The number at-th write, sync or truncation from now fails with code (such as SQLITE_IOERR_FSYNC); for_ever: and all
 * after it. */
void vfs_fail_arm(int at, int code, bool for_ever);

/* From now on, only files opened later whose name holds this text are counted and fail; NULL: all. */
void vfs_fail_only(const char *part);

/* Reads are counted apart: the number at-th from now fails, once (0: none). How many there were since the last call. */
int vfs_fail_read(int at);

/* Disarms, and tells whether it came to a failure. */
bool vfs_fail_disarm(void);

#endif
