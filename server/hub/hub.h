/* The hub: who is connected, who may do what, taps in, patches out.
 *
 * The hub is the one place that knows the order
 *
 *     read -> identity -> admit -> apply -> diff -> patch to every screen -> row for the log -> saved
 *
 * It has no socket, no clock and no thread. Time, connections, random bytes and the fate of the disk come in through the
 * functions below; frames and log rows are fetched out of it. So the same hub runs under libwebsockets, in the tests, and in
 * the simulator, where a seed decides everything that comes in.
 *
 * Ownership. A frame is counted by reference: hub_next() gives one to the caller, who drops it with frame_drop(). A log row's
 * text belongs to the hub and stays where it is until hub_saved() has passed its seq; after
 * LOG_FAILED it is not to be read any more.
 *
 * Errors. A bug is a CHECK. A message that cannot be read is answered to its sender. Nothing a client does is an error here.
 */
#ifndef STERNBOARD_HUB_H
#define STERNBOARD_HUB_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "err.h"
#include "log/row.h"
#include "proto.h"

struct hub;
struct rules;

/* Passed in with every call. boot_ms: the machine's clock since it booted, sleep included; never runs backwards. utc_ms: since
 * 1970, 0 when not known. */
struct hub_time {
    int64_t boot_ms, utc_ms;
};

/* What is known of a connection before it has said anything. address is only compared (caps for each address). */
struct peer {
    uint64_t address;
};

/* A serialised message, or several with a line feed between each and the next (JSON has none inside). text is len bytes, not ended by NUL;
 * the LWS_PRE bytes before it are the socket layer's to overwrite. */
#define FRAME_PRE 32
struct frame {
    int32_t refs;
    int32_t len;
    char *text;
};
void frame_drop(struct frame *);

/* Everything random or remembered that the hub starts with. */
struct hub_seed {
    uint64_t log_id;  /* of the file */
    uint64_t boat_id; /* of the boat's first file, which this one goes on from; 0: this is the first */
    uint64_t run_id;  /* new at each start; also the sender of the server's own entries */
    uint64_t boot_id; /* of the machine's boot */
    uint64_t random;  /* seed of the tokens' generator in tests; 0 = use the system's random source through fill() */
    void (*fill)(void *bytes, size_t len); /* cryptographic random bytes */
    const char *version;
    /* keys in plain text, at most 63 bytes; helm_number 4 digits */
    char crew_key[64], guest_key[64], helm_number[9];
};

/* A device that showed a key once. hash is SHA-256 of its token. */
struct hub_device {
    uint8_t hash[32];
    int32_t number; /* 1..4095 */
    enum source from;
    int64_t used_utc_ms;
};

struct hub *hub_new(const struct hub_seed *);
void hub_free(struct hub *);

/* Start, in this order: the devices; the tops of all pages in the log, one for each sender and lane; the row before the first
 * replayed (seq 0: none, and the chain is what stands before row 1); the rows of the current trip, each once, in order of seq
 * (the first is the trip's own first entry, or seq 1); then hub_start(), after which the hub is live. */
void hub_seed_device(struct hub *, const struct hub_device *);
void hub_seed_top(struct hub *, uint64_t sender, enum lane lane, int32_t top);
void hub_seed_last(struct hub *, int64_t seq, const uint8_t chain[32]);
bool hub_replay(struct hub *, const struct entry *,
                const uint8_t chain[32]) MUST_CHECK; /* false: it cannot stand there */
void hub_start(struct hub *, struct hub_time);

/* The rule sets that trips start with (debrief/rules.h); they stay the caller's. NULL, as at first: the next trip goes on with the rule
 * set of the last one. */
void hub_rules(struct hub *, const struct rules *);

/* Connections are small numbers, 0 up to LIMIT_CONNS - 1. hub_join() answers -1 when there is no room (say so and close). */
int hub_join(struct hub *, struct hub_time, const struct peer *);
void hub_recv(struct hub *, struct hub_time, int conn_index, const char *text, size_t len); /* one whole message */
void hub_gone(struct hub *, struct hub_time, int conn_index);

/* An entry of the server's own: position, clock, a wired button. Only kind and body are read. One that would do nothing, or for
 * which there is no room, is not taken. */
void hub_note(struct hub *, struct hub_time, const struct entry *);

/* Does what is due, and answers when to come back (boot_ms); now, while a long fold after a correction goes on in slices. */
int64_t hub_tick(struct hub *, struct hub_time);

/* A pulse out of turn: the last word to every screen before the board is ended. */
void hub_pulse(struct hub *, struct hub_time);

/* The next frame for a connection: each message of the emergency lane on its own and first, then what waits, in one; NULL when there is
 * none. *close_code is 0, or the websocket close code to end the connection with once NULL is returned. */
struct frame *hub_next(struct hub *, int conn_index, int *close_code);
bool hub_wants(const struct hub *, int conn_index); /* hub_next() would return a frame, or a close code */

/* The rows to commit next, in order; 0 when there are none. A second call before hub_saved() gives the same rows again. */
size_t hub_batch(struct hub *, struct log_row *, size_t max);
/* What became of a batch. Every row up to up_to_seq is on the disk. LOG_SLOW: a batch is still under way, and has been for long.
 * LOG_FAILED: nothing is saved for now; ordinary taps are told NOT NOW and stay on their phones, emergencies go on live, and
 * what is not saved waits here, as far as there is room. Another state after LOG_FAILED: the disk works again, and
 * hub_batch() gives what waits. Where hub_lost() says that there was no room, it stays LOG_FAILED for this run. */
void hub_saved(struct hub *, struct hub_time, int64_t up_to_seq, enum log_state);

bool hub_lost(const struct hub *);

/* How it stands with the log's copy on a second disk; told with the pulse. */
void hub_spare(struct hub *, enum spare_copy);

/* Devices to be kept on disk changed; hub_devices() copies them out and clears the mark. max is at least LIMIT_DEVICES. */
bool hub_devices_changed(const struct hub *);
size_t hub_devices(struct hub *, struct hub_device *, size_t max);

/* Reads over HTTP. JSON text is the caller's, to be freed with free(). */
enum source hub_token_source(const struct hub *, const char *token); /* SOURCE_ANYONE: no such token */
/* The fish of the current trip, how they stand against its rule set, reports that are due; zone_min: minutes east of UTC. */
char *hub_fish_json(struct hub *, int32_t zone_min);
/* Rows of the current trip from a seq on, at most max and at most 1000; corrections as they stand now. */
char *hub_log_json(struct hub *, int64_t from_seq, int32_t max);
/* The board as screens had it once that entry was in. NULL: not an entry of the current trip. */
char *hub_board_json(struct hub *, int64_t at_seq);

/* For tests, the simulator and the commands. */
const struct board *hub_board(const struct hub *);
int64_t hub_rev(const struct hub *);
int64_t hub_last_seq(const struct hub *);
int64_t hub_saved_up_to(const struct hub *);
void hub_digest(struct hub *, char out[17]);
void hub_check(const struct hub *); /* CHECKs the invariants, the board's own included, and live == folded */

#endif
