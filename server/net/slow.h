/* Answers that take longer than the loop may wait: asked on the loop, made on a thread of somebody else's, fetched on the loop.
 *
 *     ask ─▶ ticket ─▶ (net_wake() by whoever made the answer) ─▶ take ─▶ sent
 *                 └──▶ forget: the connection went first
 *
 * The net knows neither the thread nor what it works out.
 */
#ifndef STERNBOARD_NET_SLOW_H
#define STERNBOARD_NET_SLOW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Asked at the same time; over it a request is told to come again (503). */
#define SLOW_MAX 4

/* What is asked for, by its path: the numbers, a trip's replay, the file that holds both. */
enum slow_what { SLOW_NUMBERS, SLOW_REPLAY, SLOW_FILE };

/* The arguments as they stood in the address, "" for one that did not. */
struct slow_question {
    enum slow_what what;
    char trip[20], page[12]; /* of a replay */
    char part[12], trips[24], months[40], bait[64], position[64], zone[8], names[4], places[4];
};

/* text is the taker's, to be freed. */
struct slow_answer {
    int32_t status;
    const char *type; /* the content type, NULL: a sentence for a person */
    bool gzip;
    char *text;
    size_t len;
};

/* ask: a ticket over 0, or 0 while there is no room. take: false while the answer is not there; true once. */
struct slow {
    void *context;
    int64_t (*ask)(void *context, const struct slow_question *);
    bool (*take)(void *context, int64_t ticket, struct slow_answer *);
    void (*forget)(void *context, int64_t ticket);
};

#endif
