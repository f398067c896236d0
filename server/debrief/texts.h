/* Texts that come again and again (labels of positions, baits, days), each kept once and known by a small number.
 *
 * Number 0 is the empty text. A text's number and address stay as long as the texts do.
 */
#ifndef STERNBOARD_DEBRIEF_TEXTS_H
#define STERNBOARD_DEBRIEF_TEXTS_H

#include <stdint.h>

struct texts {
    struct {
        char **items;
        int32_t count, room;
    } kept;
    int32_t *slots; /* an open-addressed table of numbers, -1: free */
    int32_t slot_count;
};

void texts_open(struct texts *);
void texts_release(struct texts *);

/* The number of a text, a new one if it was never seen. */
int32_t texts_number(struct texts *, const char *text);
const char *texts_get(const struct texts *, int32_t number);

#endif
