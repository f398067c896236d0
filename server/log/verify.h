/* Verify: is this log whole? Everything that can be said without folding it; the fold is the command's (commands.h).
 *
 * Checked: whose file it is and that its tables and guards are as they were made; SQLite's own integrity_check; that
 * rows are numbered from 1 without a gap; the chain, row by row; that each sender's numbers run 1, 2, 3... in each
 * lane, in the order of the log; that every entry is read by the codec and written back to the very same bytes, and
 * says the seq of its row.
 *
 * Reads only, in one snapshot, and may run beside the server. Not found: a log of which every row since some change was
 * hashed anew; only a screen or a backup that remembers the chain finds that.
 */
#ifndef STERNBOARD_LOG_VERIFY_H
#define STERNBOARD_LOG_VERIFY_H

#include <stdint.h>

#include "chain.h"
#include "err.h"
#include "log/format.h"

/* Findings told one by one; further ones are only counted. */
#define VERIFY_FINDINGS_TOLD 20

struct verify_sums {
    uint64_t log_id, chain_id;
    char restored[FORMAT_RESTORED_LEN];  /* where the log was restored from, in words; or empty */
    int64_t rows, refused, trips, lanes; /* lanes: senders with each of their lanes */
    int64_t findings;
    int64_t last_seq;
    uint8_t chain[CHAIN_LEN]; /* of the last row */
};

/* path: the data folder, or a file such as a backup. finding is told one line for each thing wrong. ERR_NONE: nothing
 * is wrong. ERR_DATA: something is; or it is no log at all, then with no finding and why alone. Others: it cannot be
 * read. */
enum err verify_log(const char *path, void (*finding)(void *context, const char *line), void *context,
                    struct verify_sums *sums, struct msg *why) MUST_CHECK;

#endif
