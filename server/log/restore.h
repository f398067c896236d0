/* Restore: a backup, a spare copy, or what can be read of a damaged log, becomes the boat's log.
 *
 * Each row is taken over as it is, to the last byte, after its chain was worked out again; the first that does not
 * follow ends the copy. The copy is verified (verify.h), synced, and only then put in place (swap.h); what was there
 * is kept under another name. The log gets a new log_id and keeps its chain (format.h says why). The keys are left
 * alone, so the phones still know their way in.
 */
#ifndef STERNBOARD_LOG_RESTORE_H
#define STERNBOARD_LOG_RESTORE_H

#include <stdbool.h>
#include <stdint.h>

#include "err.h"
#include "log/folder.h"

struct restored {
    uint64_t from_log_id, log_id;
    int64_t last_seq;
    bool whole; /* all of the file was good; else damage says what was not */
    struct msg damage;
    char kept[FOLDER_PATH_LEN]; /* the log that was there before; empty: there was none */
};

/* from: a log's file, or a folder with one; it may be dir's own damaged board.db. Nothing of it is changed. dir: the
 * data folder, made when it is missing. ERR_BUSY: a server runs there. ERR_NO_INPUT: there is no such file. ERR_DATA:
 * not one row of it can be read, or it is no log. ERR_NEWER, ERR_CANNOT_MAKE, ERR_IO. On an error dir's log is as it
 * was. */
enum err restore_log(const char *from, const char *dir, struct restored *restored, struct msg *why) MUST_CHECK;

#endif
