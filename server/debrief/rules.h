/* Rule sets: the rules of fishing as data, read from a file of the crew's or shipped with the program as an example.
 *
 * The file is JSON: one rule set, or a list of up to RULES_SETS_MAX whose days do not overlap, such as this year's and next
 * year's. Its members are those of rule_set in shared-proto/schema/types.json. Numbers stand in the rule's own unit: 27 in is 270
 * tenths of an inch and is never worked out of a rounded 69 cm.
 *
 * The board counts by a rule set and shows its day and its citation. It gives no advice on law and decides nothing.
 */
#ifndef STERNBOARD_DEBRIEF_RULES_H
#define STERNBOARD_DEBRIEF_RULES_H

#include <stddef.h>
#include <stdint.h>

#include "err.h"
#include "proto.h"

enum { RULES_SETS_MAX = 4, RULES_BYTES_MAX = 256 * 1024 };

struct rules {
    int32_t count;
    struct rule_set sets[RULES_SETS_MAX];
};

/* Reads a file's text, ended by NUL. ERR_DATA: *why says the line and the reason, and *out is not touched. name stands in the message. */
enum err rules_read(const char *text, size_t len, const char *name, struct rules *out, struct msg *why) MUST_CHECK;

/* The rule set shipped as an example: a file's text. */
extern const char rules_shipped[];

/* Days since 1970-01-01 of a day written as 2026-07-14, by the Gregorian calendar; -1: there is no such day. */
int64_t rules_days(const char *day);
int32_t rules_year(int64_t days);

/* The one whose days hold this one; else the last that began before it; else the first. NULL: there is none. */
const struct rule_set *rules_on(const struct rules *, int64_t days);
bool rules_hold(const struct rule_set *, int64_t days); /* is it for this day? */

/* The name of a species of the set; its code where the set does not know it. */
const char *rules_name(const struct rule_set *, const char *code);

/* Is the code one of these? */
bool rules_among(const char codes[][4], int32_t count, const char *code);

/* Is a length below so many tenths of the unit? A length exactly at it is not. */
bool rules_below(int64_t length_um, int32_t tenths, enum length_unit);

/* How it is measured, in words. */
const char *rules_measure_words(enum measure);

/* "27 in", "47.5 cm". */
void rules_size_words(int32_t tenths, enum length_unit, char out[24]);

#endif
