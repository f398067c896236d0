/* Backup: a copy of the log as one file, made while the server runs or not.
 *
 * A plain copy of board.db would miss what is still in its -wal. This one is made by SQLite (sqlite.org/backup.html)
 * from a connection that only reads, in one snapshot, under a name of its own; then it is verified, synced, given its
 * name, and the folder synced. So a file of that name is a whole and clean log, or is not there. The keys are not in
 * it.
 */
#ifndef STERNBOARD_LOG_BACKUP_H
#define STERNBOARD_LOG_BACKUP_H

#include "err.h"
#include "log/verify.h"

/* from: the data folder, or a log's file. to: a file that must not be there yet (0600 after). *sums tells what is in
 * it. ERR_CANNOT_MAKE: to is there already, or its folder cannot be written. ERR_DATA: the log is damaged, and no
 * backup was made. */
enum err backup_log(const char *from, const char *to, struct verify_sums *sums, struct msg *why) MUST_CHECK;

#endif
