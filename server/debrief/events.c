/* The table of events: what a crew would tell, in the order of when it happened.
 *
 * Drawn as what they are: late ones, those that another screen brought back after a crash, corrected ones with what they said
 * before, and those that no longer applied.
 */
#include <stdio.h>
#include <string.h>

#include "board/parts.h"
#include "debrief/tell.h"
#include "debrief/words.h"
#include "limit.h"

static enum standing_of standing(const struct teller *t, enum outcome outcome)
{
    const struct journal_row *row = journal_row(t->journal, t->index);
    if (row->replaced_by >= 0)
        return EVENT_CORRECTED;
    if (outcome == OUTCOME_MOOT)
        return EVENT_MOOT;
    if (t->entry.offered)
        return EVENT_OFFERED;
    return t->entry.got_ms - t->entry.at_ms > LIMIT_LATE_MS ? EVENT_LATE : EVENT_PLAIN;
}

/* What it said before it was corrected. */
static int32_t words_before(struct teller *t)
{
    char words[WORDS_BYTES];
    int32_t line;
    struct entry first;
    journal_entry(t->journal, t->index, &first);
    return words_of(&t->board, &first, words, &line) ? texts_number(t->texts, words) : 0;
}

/* What is taken back is said with it. */
static void add_target(struct teller *t, char words[WORDS_BYTES], int32_t *line)
{
    char target_words[WORDS_BYTES];
    struct entry target;
    int32_t index = journal_find(t->journal, t->entry.body.voided.target);
    if (index < 0)
        return;
    journal_entry(t->journal, index, &target);
    if (!words_of(&t->board, &target, target_words, line))
        return;
    size_t len = strlen(words);
    (void)snprintf(words + len, WORDS_BYTES - len, ": %.*s", (int)(WORDS_BYTES - len - 3), target_words);
}

void events_see(struct teller *t, enum outcome outcome)
{
    char words[WORDS_BYTES];
    int32_t line;
    if (!t->detail || !words_of(&t->board, &t->entry, words, &line))
        return;
    if (t->entry.kind == KIND_VOIDED)
        add_target(t, words, &line);
    enum standing_of is = standing(t, outcome);
    *GROW(t->facts->events) = (struct event_fact){.seq = t->seq,
                                                  .at_ms = t->entry.at_ms,
                                                  .got_ms = t->entry.got_ms,
                                                  .kind = t->entry.kind,
                                                  .line = line,
                                                  .hand = t->entry.by,
                                                  .words = texts_number(t->texts, words),
                                                  .was = is == EVENT_CORRECTED ? words_before(t) : 0,
                                                  .standing = is};
}
