/* An entry in the words of a deckhand, for the table of events: "strike on port long", "CLEAR all but longs called".
 *
 * Names of hands are never in them: who did it stands beside, and can be left out. What a person wrote is quoted as it was.
 */
#ifndef STERNBOARD_DEBRIEF_WORDS_H
#define STERNBOARD_DEBRIEF_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "board/board.h"

enum { WORDS_BYTES = 512 };

/* False: the entry is nothing that a crew would tell (receipts, pages, who speaks for whom). The board is the one after it. *line:
 * the place it is about, 0: none. */
bool words_of(const struct board *, const struct entry *, char out[WORDS_BYTES], int32_t *line);

/* A value of an enum as it is said: "broke off" for broke_off. */
void words_say(const char *name, char *out, size_t size);

#endif
