/* The data folder: made when it is not there, held by one server at a time, its files replaced whole or not at all. */
#ifndef STERNBOARD_LOG_FOLDER_H
#define STERNBOARD_LOG_FOLDER_H

#include <stddef.h>

#include "err.h"

/* Room for the path of a file in the data folder. Longer paths are refused when the folder is opened. */
#define FOLDER_PATH_LEN 4096

/* Makes the folder when it is missing (its parent must be there; 0700, for keys lie in it) and takes DIR/lock for this
 * process. *held goes to folder_release(). The kernel frees the lock when the process ends, however it ends: flock(2).
 * ERR_BUSY: another server has it. ERR_CANNOT_MAKE: the folder cannot be made or written. */
enum err folder_hold(const char *dir, int *held, struct msg *why) MUST_CHECK;
void folder_release(int held);

/* DIR/name into path; ERR_CANNOT_MAKE when it would be too long. */
enum err folder_path(const char *dir, const char *name, char path[FOLDER_PATH_LEN], struct msg *why) MUST_CHECK;

/* Makes path, 0600, hold exactly these bytes, or still what it held before, whenever the power goes: written beside it,
 * synced, renamed, the folder synced. ERR_IO. */
enum err folder_write(const char *path, const char *bytes, size_t len, struct msg *why) MUST_CHECK;

/* Makes the folders above dir, as far as they are missing: in a fresh home there is no ~/.local yet. What goes wrong is
 * told by folder_hold(). */
void folder_make_parents(const char *dir);

/* Syncs the folder that path lies in, so that a new name in it stays. ERR_IO. */
enum err folder_sync_of(const char *path, struct msg *why) MUST_CHECK;

/* Gives the finished file made its name, and syncs both file and folder. replace: whether a file of that name may go.
 * ERR_IO, and ERR_CANNOT_MAKE when there is one that must not. */
enum err folder_put(const char *made, const char *path, int replace, struct msg *why) MUST_CHECK;

#endif
