/* Copies a log row by row into a new file, as far as each row proves itself by the chain. */
#ifndef STERNBOARD_LOG_COPY_H
#define STERNBOARD_LOG_COPY_H

#include <stdbool.h>
#include <stdint.h>

#include "chain.h"
#include "err.h"
#include "log/database.h"
#include "log/format.h"

/* What was copied. whole: the copy ends where the log ends; else why says what is wrong with the row after last_seq. */
struct copy_sums {
    int64_t last_seq;
    uint8_t chain[CHAIN_LEN];
    bool whole;
    struct msg damage;
};

/* Fills the new file of this path, which becomes the log named by identity, with the rows of `from` up to until_seq (INT64_MAX: all), the
 * first that is missing, cannot be read or breaks the chain left out with all after it. The chain begins from
 * identity's chain_id. Not synced yet: that is folder_put()'s. Damage is no error here; ERR_IO and others: the copy
 * could not be written. */
enum err copy_rows(struct database *from, const char *path, const struct format_identity *identity, int64_t until_seq,
                   struct copy_sums *sums, struct msg *why) MUST_CHECK;

#endif
