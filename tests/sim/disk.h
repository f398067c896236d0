/* A disk for SQLite, in memory: a VFS (sqlite.org/vfs.html) whose files know what has been synced (disk_file.h), so that the
 * real library and the real log can be tried with power cuts, kills between any two writes, failing and lying syncs, and no room.
 *
 * It keeps the contract that the program's own VFS, "unix", gives (sqlite.org/c3ref/io_methods.html, SQLite's os_unix.c):
 * sectors of 4096 bytes, writes that leave the bytes around them alone (SQLITE_IOCAP_POWERSAFE_OVERWRITE), a folder that is
 * synced with the first sync of a journal or a -wal. The -shm of WAL mode is plain memory shared by the connections of this
 * process, with its locks; it is lost with the last connection, as the first to open it empties it anyway.
 *
 * The folder itself, the empty board.db that the log makes before SQLite opens it, and DIR/lock are the system's real files.
 *
 * One disk in a process; not for threads.
 */
#ifndef TESTS_SIM_DISK_H
#define TESTS_SIM_DISK_H

#include <stdbool.h>
#include <stdint.h>

/* Becomes the way SQLite opens files, and remains so. */
void disk_install(void);
/* All files are gone, and the disk is well. Nothing may be open. chances: for everything that the disk decides from here on. */
void disk_wipe(uint64_t chances);

/* What goes wrong, from the at-th operation of its sort on (1: the next). */
enum disk_fault {
    DISK_WELL,
    DISK_READ_FAILS,
    DISK_WRITE_FAILS, /* writes and truncations */
    DISK_SYNC_FAILS,  /* and what it did not bring to the disk is lost for good: disk_file_sync_failed() */
    DISK_FULL,        /* writes that would make a file longer */
    DISK_STOPS,       /* the program is killed before the at-th write, truncation, sync or removal */
};
void disk_arm(enum disk_fault, int32_t at, bool for_ever);
bool disk_is_well(void); /* nothing is armed, or it has come and is over */
bool disk_stopped(void); /* a kill that was armed has come */

/* The program is killed: nothing that it does from here on happens, so its log may be closed. Then one of the two: */
void disk_kill(void);
/* It starts again, and the system has kept running. evict: it no longer holds in memory what failed to reach the disk. */
void disk_restart(bool evict);
/* The power was cut and came back. sector: what the disk writes whole or not at all, 512 or 4096. */
void disk_power_cut(int64_t sector);

/* Flips one bit of what is stable on the disk, somewhere. Nothing may be open. false: there is nothing on it. */
bool disk_rot(void);

/* Writes, truncations, syncs and removals so far. */
int64_t disk_operations(void);

#endif
