#include "queue.h"

#include <stdlib.h>
#include <string.h>

#include "must.h"

static struct frame *frame_room(size_t len)
{
    struct frame *frame = must(malloc(sizeof *frame + FRAME_PRE + len));
    frame->refs = 1;
    frame->len = (int32_t)len;
    frame->text = (char *)(frame + 1) + FRAME_PRE;
    return frame;
}

struct frame *frame_new(const char *text, size_t len)
{
    struct frame *frame = frame_room(len);
    memcpy(frame->text, text, len);
    return frame;
}

struct frame *frame_keep(struct frame *frame)
{
    CHECK(frame->refs > 0);
    frame->refs++;
    return frame;
}

void frame_drop(struct frame *frame)
{
    CHECK(frame->refs > 0);
    if (--frame->refs == 0)
        free(frame);
}

bool queue_push(struct queue *queue, struct frame *frame)
{
    if (queue->count == queue->max || queue->bytes + frame->len > queue->max_bytes)
        return false;
    queue->slot[(queue->head + queue->count) % queue->max] = frame_keep(frame);
    queue->count++;
    queue->bytes += frame->len;
    return true;
}

struct frame *queue_pop(struct queue *queue)
{
    if (queue->count == 0)
        return NULL;
    struct frame *frame = queue->slot[queue->head];
    queue->head = (queue->head + 1) % queue->max;
    queue->count--;
    queue->bytes -= frame->len;
    return frame;
}

static const struct frame *queue_at(const struct queue *queue, int32_t i)
{
    return queue->slot[(queue->head + i) % queue->max];
}

struct frame *queue_pop_lines(struct queue *queue, int64_t max_bytes)
{
    int32_t count = queue->count > 0 ? 1 : 0;
    int64_t len = count > 0 ? queue_at(queue, 0)->len : 0;
    while (count < queue->count && len + 1 + queue_at(queue, count)->len <= max_bytes)
        len += 1 + queue_at(queue, count++)->len;
    if (count <= 1)
        return queue_pop(queue);
    struct frame *lines = frame_room((size_t)len);
    char *at = lines->text;
    while (count-- > 0) {
        struct frame *frame = queue_pop(queue);
        memcpy(at, frame->text, (size_t)frame->len);
        at += frame->len;
        if (count > 0)
            *at++ = '\n';
        frame_drop(frame);
    }
    return lines;
}

void queue_reset(struct queue *queue)
{
    for (struct frame *frame; (frame = queue_pop(queue)) != NULL;)
        frame_drop(frame);
    queue->head = 0;
}

void queue_check(const struct queue *queue)
{
    int64_t bytes = 0;
    CHECK(queue->count >= 0 && queue->count <= queue->max);
    for (int32_t i = 0; i < queue->count; i++) {
        const struct frame *frame = queue_at(queue, i);
        CHECK(frame->refs > 0);
        bytes += frame->len;
    }
    CHECK(bytes == queue->bytes && bytes <= queue->max_bytes);
}
