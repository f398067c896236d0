/* A file on a disk that knows what has been synced: its bytes as a running program sees them, its bytes as they would be found
 * after the power was cut at once, and the writes in between.
 *
 *      write, truncate ──▶ live, and one more unsynced change
 *      sync            ──▶ every unsynced change becomes stable
 *      failed sync     ──▶ some become stable, the others never will (live may go on showing them: the page cache)
 *      power cut       ──▶ live is what was stable, and of the unsynced changes some, whole sectors of them, in any order
 */
#ifndef TESTS_SIM_DISK_FILE_H
#define TESTS_SIM_DISK_FILE_H

#include <stdbool.h>
#include <stdint.h>

/* splitmix64 (Steele, Lea, Flood 2014): the disk's own chances, set by whoever drives it. */
uint64_t disk_chance(uint64_t *state);

struct disk_bytes {
    uint8_t *at;
    int64_t size, room;
};

struct disk_change {
    struct disk_change *next;
    bool truncates;  /* to at bytes */
    int64_t at, len; /* of a write */
    uint8_t bytes[];
};

struct disk_file {
    struct disk_bytes live, stable;
    struct disk_change *first, *last;
    int32_t refs; /* names and open handles */
};

struct disk_file *disk_file_new(void);
struct disk_file *disk_file_keep(struct disk_file *);
void disk_file_drop(struct disk_file *); /* NULL is nothing */

/* The bytes from at on, zeros past the end; false: fewer than len were there. */
bool disk_file_read(const struct disk_file *, void *to, int64_t len, int64_t at);
void disk_file_write(struct disk_file *, const void *from, int64_t len, int64_t at);
void disk_file_truncate(struct disk_file *, int64_t size);
void disk_file_sync(struct disk_file *);

/* A sync that fails (wiki.postgresql.org/wiki/Fsync_Errors): what it does not bring to the disk now no later sync will. */
void disk_file_sync_failed(struct disk_file *, int64_t sector, uint64_t *chance);

/* The system forgets what it holds in memory of changes that will never be stable. */
void disk_file_evict(struct disk_file *);

/* sector: what is written whole or not at all, 512 or 4096 bytes. */
void disk_file_cut(struct disk_file *, int64_t sector, uint64_t *chance);

#endif
