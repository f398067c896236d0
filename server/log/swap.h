/* A whole new log in the place of the folder's own: what restore does, and a running log after its disk has failed.
 *
 * A log may be two files, board.db and board.db-wal, and no file system gives two files new names in one step. A -wal
 * left beside a database that it does not belong to would be read into it. So the new log first gets a name that says
 * all: a file board.next.db is whole, synced, and the truth from then on. Whoever opens the folder next, after a kill
 * or a power cut as well, finishes what is left:
 *
 *     board.new.db  ──made, verified, synced──▶  board.next.db  ──▶  board.db
 *                                                  board.db-wal  ──▶  board.kept-N.db-wal     (first)
 *                                                  board.db      ──▶  board.kept-N.db         (then)
 *
 * Nothing is destroyed. To be called with the folder held (folder.h).
 */
#ifndef STERNBOARD_LOG_SWAP_H
#define STERNBOARD_LOG_SWAP_H

#include "err.h"
#include "log/folder.h"

/* The name to make the new log under, in one file without -wal; a half made one of an earlier time is removed. */
enum err swap_begin(const char *dir, char path[FOLDER_PATH_LEN], struct msg *why) MUST_CHECK;

/* The log made under that name takes the place of board.db. kept: the name of what was there, or empty. On an error
 * board.db is as it was, or the next swap_finish() goes on. */
enum err swap_commit(const char *dir, char kept[FOLDER_PATH_LEN], struct msg *why) MUST_CHECK;

/* Finishes what was cut off; nothing to do in most folders. */
enum err swap_finish(const char *dir, char kept[FOLDER_PATH_LEN], struct msg *why) MUST_CHECK;

/* Takes board.db and what belongs to it out of the way, under a name of its own. kept: empty when there was none. */
enum err swap_keep(const char *dir, char kept[FOLDER_PATH_LEN], struct msg *why) MUST_CHECK;

#endif
