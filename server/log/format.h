/* What a log's file looks like inside, formats 1 and 2.
 *
 * application_id 0x53424F52 ("SBOR") says whose file it is, user_version which format. Later formats read this one for
 * ever; a file of a newer format is refused, not guessed at.
 *
 * Table entry has three stored columns: seq, text (the entry's canonical JSON) and chain. All else that a query may
 * want (sender, lane, n, kind, at_ms, refused, body...) is worked out from the text when asked for, so that nothing is
 * kept in two spellings which could come to differ. Two indexes hold what is looked up: the identity, and where trips
 * start. SQLite parses the text of each new row: 50 rows in one commit took 0.9 ms on a fast disk, 0.6 ms with all
 * columns stored, and the file was a fifth smaller.
 *
 * Guards, against this program and against a person with a SQLite shell: no row is changed or deleted, a row's seq is
 * the one after the last, an identity comes once. "INSERT OR REPLACE" fires no delete guard unless recursive_triggers
 * is on, so the guards on inserting refuse whatever it would replace.
 *
 * Table meta: log_id, 16 hex digits, made with the file; about, a line for whoever finds the file in twenty years.
 *
 * Format 2 is a log that was restored: format 1, and in meta also chain_id and restored. A restored log has a new
 * log_id, so that every screen which knew the log before says that it went backwards, even when the rows that were lost
 * are replaced by as many new ones. Its chain begins where it always began, from the id of the first file: chain_id. So
 * the restored rows are the copy's rows to the last byte, chains too; none is hashed anew, which would make a changed
 * row look whole; and a chain that was written down or is in a backup is found again in every log that goes on from it.
 * restored says in words which log it was taken from and up to which row. A program that knows format 1 alone would
 * find the first row's chain wrong, and so refuses format 2 instead.
 */
#ifndef STERNBOARD_LOG_FORMAT_H
#define STERNBOARD_LOG_FORMAT_H

#include <stdbool.h>
#include <stdint.h>

#include "database.h"

#define FORMAT_APPLICATION_ID 0x53424F52
#define FORMAT_VERSION        2 /* the newest known; what a log that was never restored is, is FORMAT_VERSION_PLAIN */
#define FORMAT_VERSION_PLAIN  1
#define FORMAT_FILE_NAME      "board.db"

/* Where the log of this path is: the path itself, or board.db in it when it is a folder. */
enum err format_path(const char *path, char out[FOLDER_PATH_LEN], struct msg *why) MUST_CHECK;

/* Whether the file is still empty: new, or its maker was killed before it was done. */
enum err format_is_empty(struct database *, bool *empty, struct msg *why) MUST_CHECK;

/* Which log a file is. chain_id is log_id, and restored empty, unless it was restored. */
#define FORMAT_RESTORED_LEN 512
struct format_identity {
    uint64_t log_id, chain_id;
    char restored[FORMAT_RESTORED_LEN];
};

/* Fills an empty file, whole or not at all. */
enum err format_make(struct database *, const struct format_identity *, struct msg *why) MUST_CHECK;

/* Is it ours, and of a format we know? ERR_DATA: another program's. ERR_NEWER: from a newer release. */
enum err format_check(struct database *, struct msg *why) MUST_CHECK;

/* Is every table, index and guard as it was made? ERR_DATA: no. */
enum err format_check_guards(struct database *, struct msg *why) MUST_CHECK;

enum err format_identify(struct database *, struct format_identity *, struct msg *why) MUST_CHECK;

#endif
