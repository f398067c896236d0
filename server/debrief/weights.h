/* Estimates of a fish's weight by its length and girth, or by its length alone. An estimate is never shown as a weight: it goes
 * with the formula's name, and says so where it is rough or was fed what it was not made for.
 */
#ifndef STERNBOARD_DEBRIEF_WEIGHTS_H
#define STERNBOARD_DEBRIEF_WEIGHTS_H

#include <stdbool.h>
#include <stdint.h>

#include "proto.h"

enum { WEIGHT_WORDS = 200 };

struct weight_estimate {
    int64_t grams;         /* 0: there is no formula; by says why */
    char by[WEIGHT_WORDS]; /* which formula, whose, for what, and how rough */
    bool check_species;    /* heavier than fish of this kind are known to become */
};

/* Girth squared times length by 800, in inches and pounds, where the girth was measured; else the species' own formula of length.
 * code empty: the species is not told. A length that was not measured gives nothing and no words. */
void weight_estimate(const char *code, int64_t length_um, enum measure, int64_t girth_um, struct weight_estimate *);

/* Is a fish of this weight heavy for its species? Asked of a weight that was told as well as of an estimate. */
bool weight_asks_species(const char *code, int64_t grams);

#endif
