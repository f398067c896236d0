/* Frames, and the bounded queues in which they wait for one screen.
 *
 * A frame is serialised once and shared by every connection it goes to; it is freed when the last one has dropped it.
 * A connection has two queues: one for everything, one for what must not wait behind it.
 *
 * Frames that wait behind one another leave as lines of one: a message costs the system as much as twenty times its bytes would, and
 * a phone's radio more. An alarm leaves alone, for a message is heard only when its last byte is there.
 */
#ifndef STERNBOARD_HUB_QUEUE_H
#define STERNBOARD_HUB_QUEUE_H

#include "hub.h"
#include "limit.h"

/* A frame of len bytes of text (copied), with one reference: the caller's. */
struct frame *frame_new(const char *text, size_t len);
struct frame *frame_keep(struct frame *);

/* A ring of at most max frames and max_bytes bytes. slot is the owner's memory. Zero but for slot, max and max_bytes: empty. */
struct queue {
    struct frame **slot;
    int32_t max;
    int32_t head, count;
    int64_t bytes, max_bytes;
};

/* Takes a reference of its own. false: there is no room, and nothing has changed. */
bool queue_push(struct queue *, struct frame *);
/* The oldest frame, whose reference goes to the caller; NULL when empty. */
struct frame *queue_pop(struct queue *);
/* The oldest frames as one, each a line of it, as many as max_bytes hold and one at least; as queue_pop() else. */
struct frame *queue_pop_lines(struct queue *, int64_t max_bytes);
void queue_reset(struct queue *);
void queue_check(const struct queue *);

#endif
