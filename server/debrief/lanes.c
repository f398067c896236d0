/* What hangs where, and when: the lanes of the timeline, from which effort is worked out, the phases, the clocks of the baits, and
 * the two posts.
 *
 * A bait wants a look every 30 minutes by day and every 45 by night (common practice, no source: baits are looked at every 15 to
 * 30 and every 20 to 45 minutes). Its clock runs while it is out and starts anew at a look, with a fresh bait, and when it goes out.
 */
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "board/parts.h"
#include "debrief/tell.h"

/* 30 min x 3 by day, 45 min x 2 by night: the same amount of wear. */
enum { WEAR_DAY = 3, WEAR_NIGHT = 2 };
#define BAIT_WORN INT64_C(5400000)

static bool has_word(const char *text, const char *word)
{
    size_t len = strlen(word);
    for (; *text; text++) {
        if (strncasecmp(text, word, len) == 0)
            return true;
    }
    return false;
}

/* The side is said once: "port long", but "Long port" as the boat has it. */
int32_t lanes_label(struct texts *texts, const struct board_line *line)
{
    char label[sizeof line->name + 16];
    const char *side = side_name(line->side);
    bool said = line->side == SIDE_CENTRE || has_word(line->name, side);
    (void)snprintf(label, sizeof label, "%s%s%s", said ? "" : side, said ? "" : " ", line->name);
    return texts_number(texts, label);
}

static void note_spot(struct teller *t, int32_t slot)
{
    const struct board_line *line = &t->board.lines[slot];
    struct facts *f = t->facts;
    t->line_label[slot] = lanes_label(t->texts, line);
    for (int32_t i = 0; i < f->spots.count; i++) {
        const struct spot *spot = &f->spots.items[i];
        if (spot->id == line->id && spot->label == t->line_label[slot] && spot->gear == line->gear)
            return;
    }
    *GROW(f->spots) = (struct spot){.id = line->id,
                                    .name = texts_number(t->texts, line->name),
                                    .label = t->line_label[slot],
                                    .side = line->side,
                                    .gear = line->gear};
}

/* ---- spans ---- */

static void add_span(struct teller *t, int32_t slot, int64_t from_ms, int64_t to_ms, bool unsure)
{
    const struct board_line *line = &t->lines[slot];
    if (from_ms < to_ms)
        *GROW(t->facts->spans) = (struct span){.line = line->id,
                                               .label = t->line_label[slot],
                                               .bait = texts_number(t->texts, line->bait),
                                               .side = line->side,
                                               .gear = line->gear,
                                               .state = line->state,
                                               .unsure = unsure,
                                               .from_ms = from_ms,
                                               .to_ms = to_ms};
}

/* The first time away that ends after at_ms. */
static int32_t next_away(const struct teller *t, int64_t at_ms)
{
    int32_t low = 0, high = t->away.count;
    while (low < high) {
        int32_t middle = low + (high - low) / 2;
        if (t->away.items[middle].to_ms > at_ms)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

/* A line that was out when the server went, and stood so when it came back, may have been in between: that part is unsure. What
 * phones told of that time later cuts the span, and is known. */
static void close_span(struct teller *t, int32_t slot)
{
    const struct board_line *line = &t->lines[slot];
    int64_t from_ms = t->line_since_ms[slot];
    bool aboard = line->state == LINE_STATE_IN && !line->unsure;
    if (line->id == 0 || aboard)
        return;
    for (int32_t i = next_away(t, from_ms); i < t->away.count && t->away.items[i].to_ms <= t->now_ms; i++) {
        const struct away *away = &t->away.items[i];
        if (away->from_ms < from_ms)
            continue;
        add_span(t, slot, from_ms, away->from_ms, line->unsure);
        add_span(t, slot, away->from_ms, away->to_ms, true);
        from_ms = away->to_ms;
    }
    add_span(t, slot, from_ms, t->now_ms, line->unsure);
}

/* Does it hang as it did? */
static bool hangs_same(const struct board_line *a, const struct board_line *b)
{
    return a->id == b->id && a->state == b->state && a->unsure == b->unsure && a->side == b->side &&
           a->gear == b->gear && strcmp(a->bait, b->bait) == 0 && strcmp(a->name, b->name) == 0;
}

/* ---- baits ---- */

static int64_t later(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

static void wear(struct teller *t, struct bait_watch *watch)
{
    if (watch->runs)
        watch->worn += (t->now_ms - watch->seen_ms) * (t->phase == PHASE_NIGHT ? WEAR_NIGHT : WEAR_DAY);
    watch->seen_ms = t->now_ms;
}

static void stop_watch(struct teller *t, int32_t line)
{
    struct bait_watch *watch = &t->baits[line];
    struct bait_fact *fact = &t->facts->baits[line];
    if (!watch->runs)
        return;
    wear(t, watch);
    fact->missed += (int32_t)(watch->worn / BAIT_WORN);
    fact->longest_ms = later(fact->longest_ms, t->now_ms - watch->since_ms);
    watch->runs = false;
}

static void start_watch(struct teller *t, int32_t line)
{
    t->baits[line] = (struct bait_watch){.runs = true, .since_ms = t->now_ms, .seen_ms = t->now_ms};
}

static void see_bait(struct teller *t, const struct board_line *old, const struct board_line *now)
{
    bool baited = now->gear == GEAR_LINE || now->gear == GEAR_FLOAT;
    bool out = baited && now->id != 0 && now->state == LINE_STATE_OUT;
    bool was_out = old->id == now->id && old->state == LINE_STATE_OUT;
    bool looked = old->id == now->id && (old->bait_ms != now->bait_ms || old->checked_ms != now->checked_ms);
    if (looked && now->id != 0)
        t->facts->baits[now->id].line = now->id;
    if (old->id != 0 && (!out || looked || !was_out))
        stop_watch(t, old->id);
    if (out && (looked || !was_out))
        start_watch(t, now->id);
    if (out)
        t->facts->baits[now->id].line = now->id;
}

/* ---- phases and posts ---- */

static void close_phase(struct teller *t)
{
    if (t->phase != PHASE_NONE && t->phase_since_ms < t->now_ms)
        *GROW(t->facts->phases) =
            (struct phase_span){.phase = t->phase, .from_ms = t->phase_since_ms, .to_ms = t->now_ms};
    t->phase_since_ms = t->now_ms;
}

/* At the dock nobody needs the wheel. */
static bool under_way(enum phase phase)
{
    return phase == PHASE_RUNNING || phase == PHASE_FISHING || phase == PHASE_NIGHT || phase == PHASE_HOME;
}

static void close_duty(struct teller *t, enum post post)
{
    struct duty_fact *fact = &t->facts->duties[post];
    int64_t long_ms = t->now_ms - t->duty_since_ms[post];
    t->duty_since_ms[post] = t->now_ms;
    if (!under_way(t->phase))
        return;
    if (t->duty[post] != 0) {
        fact->named_ms += long_ms;
        return;
    }
    fact->unnamed_ms += long_ms;
    fact->longest_unnamed_ms = later(fact->longest_unnamed_ms, long_ms);
}

static void see_duty(struct teller *t, enum post post, int32_t hand)
{
    if (t->duty[post] == hand)
        return;
    close_duty(t, post);
    if (t->duty[post] != 0 && hand != 0)
        t->facts->duties[post].handed_over++;
    t->duty[post] = hand;
}

/* A phase cuts every span of effort, every post and every bait's wear. */
static void see_phase(struct teller *t)
{
    if (t->phase == t->board.trip.phase)
        return;
    for (int32_t line = 1; line <= BOARD_LINES_MAX; line++)
        wear(t, &t->baits[line]);
    close_duty(t, POST_WHEEL);
    close_duty(t, POST_LOOK_OUT);
    close_phase(t);
    t->phase = t->board.trip.phase;
}

/* ---- the door ---- */

static void see_line(struct teller *t, int32_t slot)
{
    const struct board_line *now = &t->board.lines[slot];
    struct board_line *old = &t->lines[slot];
    see_bait(t, old, now);
    if (!hangs_same(old, now)) {
        close_span(t, slot);
        t->line_since_ms[slot] = t->now_ms;
        if (now->id != 0)
            note_spot(t, slot);
    }
    *old = *now;
}

static void see_lines(struct teller *t)
{
    if (memcmp(t->lines, t->board.lines, sizeof t->lines) == 0)
        return;
    for (int32_t slot = 0; slot < BOARD_LINES_MAX; slot++) {
        if (memcmp(&t->lines[slot], &t->board.lines[slot], sizeof t->lines[slot]) != 0)
            see_line(t, slot);
    }
}

void lanes_begin(struct teller *t)
{
    t->phase_since_ms = t->now_ms;
    t->duty_since_ms[POST_WHEEL] = t->duty_since_ms[POST_LOOK_OUT] = t->now_ms;
}

static void count_checks(struct teller *t)
{
    if (t->entry.kind == KIND_BAIT_CHECKED)
        t->facts->baits[t->entry.body.bait_checked.line].checks++;
}

void lanes_see(struct teller *t)
{
    if (t->over)
        return;
    count_checks(t);
    see_lines(t);
    see_phase(t);
    see_duty(t, POST_WHEEL, t->board.duty.wheel);
    see_duty(t, POST_LOOK_OUT, t->board.duty.look_out);
    if (t->phase == PHASE_ENDED)
        lanes_end(t);
}

void lanes_end(struct teller *t)
{
    if (t->over)
        return;
    for (int32_t slot = 0; slot < BOARD_LINES_MAX; slot++) {
        close_span(t, slot);
        if (t->lines[slot].id != 0)
            stop_watch(t, t->lines[slot].id);
    }
    close_phase(t);
    close_duty(t, POST_WHEEL);
    close_duty(t, POST_LOOK_OUT);
    t->facts->ended_ms = t->now_ms;
    t->over = true;
}
