/* Messages out: made once, put into the queues of those they are for, fetched by hub_next().
 *
 * Who is too slow loses what is queued for it and gets a fresh board when it can be written to again (fresh_due). While that
 * is due, what belongs to the board is not queued at all: the fresh board will have it.
 */
#ifndef STERNBOARD_HUB_SEND_H
#define STERNBOARD_HUB_SEND_H

#include "hub_internal.h"

/* Does this connection see the board? (It has shown a key.) */
bool sees_board(const struct conn *);

/* Where the next message is to be written, and then to one connection, by a lane: msg_x_encode(&x, send_begin(hub)); send_one(). */
struct json_out *send_begin(struct hub *);
void send_one(struct hub *, struct conn *, enum lane);
void send_told(struct hub *, struct conn *, const char *code, const char *words, const char *at);
void send_refused(struct hub *, struct conn *, enum refusal_code); /* as told, with the refusal's own words */

/* The last message, and the end of the connection. */
void close_conn(struct conn *, enum close_code);
void send_no(struct hub *, struct conn *, enum refusal_code, enum close_code);

/* To every connection that sees the board. */
void send_alarm(struct hub *, const struct entry *);
void send_patch(struct hub *, const struct board *old, const struct entry *, bool moot); /* the next revision */
void send_fresh_to_all(struct hub *); /* the next revision, when it has no entry of its own */

/* How far the log is saved: at once to those who wait for a row of their own, for whom send_saved_later() was called when they were told its
 * seq. All others have it from the pulse: a word to each would take as long as the tap itself did, and wake every phone's radio. */
void send_saved(struct hub *);
void send_saved_later(const struct hub *, struct conn *, int64_t seq);

/* To every connection that has said hello. */
void send_pulse(struct hub *);

/* The first 8 bytes of the SHA-256 of the board's canonical encoding, as 16 hex digits; worked out when it has changed. */
const char *board_digest(struct hub *);

/* The words of a refusal, with {line} and {hand} filled in from the board. */
void refusal_fill(const struct board *, enum refusal_code, const struct about *, char out[161]);

#endif
