/* Texts that come again and again (labels of positions, baits, days), each kept once and known by a small number.
 *
 * Number 0 is the empty text. A text's number and address stay as long as the names do.
 */
#ifndef STERNBOARD_DEBRIEF_NAMES_H
#define STERNBOARD_DEBRIEF_NAMES_H

#include <stdint.h>

struct names {
    struct {
        char **items;
        int32_t count, room;
    } texts;
    int32_t *slots; /* an open-addressed table of numbers, -1: free */
    int32_t slot_count;
};

void names_open(struct names *);
void names_release(struct names *);

/* The number of a text, a new one if it was never seen. */
int32_t names_number(struct names *, const char *text);
const char *names_text(const struct names *, int32_t number);

#endif
