/* One row of the log, as the hub hands it over and the log stores it. */
#ifndef STERNBOARD_LOG_ROW_H
#define STERNBOARD_LOG_ROW_H

#include <stdint.h>

#include "proto.h"

/* OK: the last batch is on the disk. SLOW: a batch has been under way for longer than a crew should not be told.
 * FAILED: the disk refused; nothing more is saved until it works again. */
enum log_state { LOG_OK, LOG_SLOW, LOG_FAILED };

/* text: the entry's canonical JSON, len bytes, owned by whoever filled the row in.
 * chain: SHA-256 over the chain of the row before and text (chain.h). Whoever changes, drops or swaps a row breaks
 * it. Saved are seq, text and chain; all else is in the text. */
struct log_row {
    int64_t seq;
    struct entry_id id;
    enum entry_kind kind;
    int64_t at_ms, got_ms;
    const char *text;
    int32_t len;
    uint8_t chain[32];
};

#endif
