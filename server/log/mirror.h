/* A second log file that follows the first row by row: the spare copy, without its thread (spare.h).
 *
 * The rows come out of the log itself, through a connection that only reads, and never before the log's writer has told
 * them saved. So the copy holds nothing that the log does not, catching up is the same work as keeping up, and the
 * writer knows nothing of it.
 *
 * DIR/board.db on the stick has the log's tables, guards, ids, texts and chains: a log like any other, for verify, show,
 * backup and restore. It is no WAL database: between two writes it is one file that can be copied by hand, and a stick
 * pulled out in a write leaves a journal beside it, out of which the next opening mends it.
 */
#ifndef STERNBOARD_LOG_MIRROR_H
#define STERNBOARD_LOG_MIRROR_H

#include <stdbool.h>
#include <stdint.h>

#include "err.h"

struct mirror;

/* log_dir: the board's data folder. dir: a folder that is there already; it is never made, for a mount point without its
 * stick would then be filled in its place. What is in its board.db already is kept if it is of this log, to be checked
 * by mirror_check(); else it is put aside under another name, and *note says so (else it is empty). Fails as a log does
 * (ERR_NO_INPUT: no such folder; ERR_DATA: another program's file). */
enum err mirror_open(struct mirror **out, const char *log_dir, const char *dir, struct msg *note,
                     struct msg *why) MUST_CHECK;
void mirror_close(struct mirror *mirror);

/* Checks some of the rows that the copy held when it was opened, read from the disk and not from memory: chains, and
 * that the last is the log's own. *done: it is whole, and its rows are the log's. ERR_DATA: not so; it was put aside, and
 * the next opening begins a new one. */
enum err mirror_check(struct mirror *mirror, bool *done, struct msg *why) MUST_CHECK;

/* Appends some of the log's rows, up to this seq, in one synced commit. To be called after the check. On any error the
 * copy is to be closed, and opened and checked anew: a failed sync is never taken for a good one. */
enum err mirror_follow(struct mirror *mirror, int64_t up_to_seq, struct msg *why) MUST_CHECK;

int64_t mirror_last_seq(const struct mirror *mirror);

#endif
