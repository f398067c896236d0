#include "debrief/words.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "board/parts.h"

void words_say(const char *name, char *out, size_t size)
{
    (void)snprintf(out, size, "%s", name);
    for (; *out; out++) {
        if (*out == '_')
            *out = ' ';
    }
}

/* A sentence being put together; what does not fit is cut. */
struct sentence {
    const struct board *board;
    char *text;
    size_t len;
    int32_t line;
};

static void say(struct sentence *s, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void say(struct sentence *s, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    int len = vsnprintf(s->text + s->len, WORDS_BYTES - s->len, format, args);
    va_end(args);
    if (len > 0)
        s->len = s->len + (size_t)len < WORDS_BYTES ? s->len + (size_t)len : WORDS_BYTES - 1;
}

static void say_enum(struct sentence *s, const char *name)
{
    char words[64];
    words_say(name, words, sizeof words);
    say(s, "%s", words);
}

static bool says_side(const struct board_line *line)
{
    const char *side = side_name(line->side);
    size_t len = strlen(side);
    for (const char *at = line->name; *at; at++) {
        if (strncasecmp(at, side, len) == 0)
            return true;
    }
    return line->side == SIDE_CENTRE;
}

static void say_line(struct sentence *s, int32_t id)
{
    const struct board_line *line = line_find(s->board, id);
    s->line = id;
    if (line == NULL)
        say(s, "a line not named");
    else if (says_side(line))
        say(s, "%s", line->name);
    else
        say(s, "%s %s", side_name(line->side), line->name);
}

/* What a strike, fight or raise was on, where the board still knows; else nothing is added. */
static void say_on(struct sentence *s, int32_t line)
{
    if (line == 0)
        return;
    say(s, " on ");
    say_line(s, line);
}

static int32_t line_of_strike(const struct board *b, struct entry_id id)
{
    const struct board_strike *strike = strike_find(b, id);
    const struct board_fight *fight = fight_find(b, id);
    if (strike != NULL)
        return strike->line;
    return fight != NULL ? fight->line : 0;
}

/* ---- by kind ---- */

static void say_lines(struct sentence *s, const int32_t *lines, int32_t count, const char *state)
{
    for (int32_t i = 0; i < count; i++) {
        say(s, s->len > 0 ? ", " : "");
        say_line(s, lines[i]);
    }
    if (count > 0)
        say(s, " %s", state);
}

static void say_told(struct sentence *s, const struct entry *e)
{
    const struct body_lines_are *body = &e->body.lines_are;
    say_lines(s, body->in, body->in_count, "in");
    say_lines(s, body->out, body->out_count, "out");
    say(s, body->eye ? ", by eye" : "");
    if (body->in_count + body->out_count > 1)
        s->line = 0;
}

static bool line_words(struct sentence *s, const struct entry *e)
{
    const union entry_body *body = &e->body;
    switch ((int)e->kind) {
    case KIND_LINE_IS:
        say_line(s, body->line_is.line);
        say(s, " ");
        say_enum(s, line_state_name(body->line_is.state));
        say(s, body->line_is.eye ? ", by eye" : "");
        return true;
    case KIND_LINES_ARE: say_told(s, e); return true;
    case KIND_LINES_SEEN:
        say(s, "seen by eye: %s ", scope_name(body->lines_seen.scope));
        say_enum(s, line_state_name(body->lines_seen.state));
        return true;
    case KIND_LINE_BAIT:
        say(s, body->line_bait.bait[0] ? "bait %s" : "a fresh bait%s", body->line_bait.bait);
        say_on(s, body->line_bait.line);
        return true;
    case KIND_BAIT_CHECKED:
        say(s, "bait looked at, %s", bait_result_name(body->bait_checked.result));
        say_on(s, body->bait_checked.line);
        return true;
    case KIND_LINE_TAKEN:
        say_line(s, body->line_taken.line);
        say(s, " is being brought in");
        return true;
    case KIND_LINE_KEPT:
        say_line(s, body->line_kept.line);
        say(s, body->line_kept.kept ? " stays out on purpose" : " is not kept out any more");
        return true;
    case KIND_PLACE_SET:
        s->line = body->place_set.place.id;
        say(s, "the place %s is %s", body->place_set.place.name, body->place_set.gone ? "gone" : "set up");
        return true;
    case KIND_CLEAR_CALLED:
        say(s, "CLEAR %s called",
            body->clear_called.preset[0] ? body->clear_called.preset : scope_name(body->clear_called.scope));
        return true;
    case KIND_CLEAR_OVER: say(s, "the call to clear is over"); return true;
    }
    return false;
}

static bool fish_words(struct sentence *s, const struct entry *e)
{
    const union entry_body *body = &e->body;
    switch ((int)e->kind) {
    case KIND_STRIKE:
        say(s, "strike");
        say_on(s, body->strike.line);
        return true;
    case KIND_STRIKE_NAMED:
        say(s, "the strike was");
        say_on(s, body->strike_named.line);
        return true;
    case KIND_STRIKE_ENDED:
        say(s, "the strike: ");
        say_enum(s, strike_end_name(body->strike_ended.end));
        say_on(s, line_of_strike(s->board, body->strike_ended.strike));
        return true;
    case KIND_STRIKE_LAPSED: say(s, "nobody said how the strike went on"); return true;
    case KIND_RAISED:
        say(s, "a fish is up");
        say_on(s, body->raised.line);
        return true;
    case KIND_RAISE_TOUCHED:
        say(s, "the raised fish touched ");
        say_line(s, body->raise_touched.line);
        return true;
    case KIND_RAISE_GEAR_MOVED: say_enum(s, raise_gear_name(body->raise_gear_moved.gear)); return true;
    case KIND_RAISE_ENDED:
        say(s, "the raised fish: ");
        say_enum(s, raise_end_name(body->raise_ended.end));
        return true;
    case KIND_RAISE_LAPSED: say(s, "nobody said how the raise ended"); return true;
    case KIND_LEADER:
        say(s, body->leader.on ? "leader in hand" : "leader let go");
        say_on(s, line_of_strike(s->board, body->leader.fight));
        return true;
    case KIND_FIGHT_ENDED:
        say(s, "the fight: ");
        say_enum(s, fight_end_name(body->fight_ended.end));
        return true;
    case KIND_FIGHT_CONDITION:
        say(s, "the fish swam off: ");
        say_enum(s, condition_name(body->fight_condition.condition));
        return true;
    }
    return false;
}

static bool call_words(struct sentence *s, const struct entry *e)
{
    const union entry_body *body = &e->body;
    switch ((int)e->kind) {
    case KIND_CALL:
        say(s, "call ");
        say_enum(s, call_what_name(body->call.what));
        if (body->call.to != STATION_NONE)
            say(s, " to %s", station_name(body->call.to));
        return true;
    case KIND_CALL_GOT: say(s, body->call_got.voice ? "got it, by voice" : "got it"); return true;
    case KIND_CALL_DONE: say(s, "done"); return true;
    case KIND_CALL_OFF: say(s, "the call was called off"); return true;
    case KIND_CALL_UNHEARD: say(s, "nobody answered the call"); return true;
    case KIND_STOP: say(s, "STOP"); return true;
    case KIND_STOP_OVER: say(s, "STOP is over"); return true;
    case KIND_HURT: say(s, "HURT: somebody is hurt"); return true;
    case KIND_HURT_TOLD:
        say(s, "the one hurt: ");
        say_enum(s, hurt_how_name(body->hurt_told.how));
        return true;
    case KIND_HURT_OVER: say(s, "the one hurt is looked after"); return true;
    case KIND_OVERBOARD: say(s, "OVERBOARD called"); return true;
    case KIND_OVERBOARD_WITHDRAWN: say(s, "overboard: a call was taken back"); return true;
    case KIND_OVERBOARD_SIGHTED:
        say(s, body->overboard_sighted.lost ? "overboard: out of sight" : "overboard: in sight");
        return true;
    case KIND_OVERBOARD_ENDED:
        say(s, "overboard is over: ");
        say_enum(s, overboard_how_name(body->overboard_ended.how));
        return true;
    case KIND_ASTERN: say(s, "astern was asked for"); return true;
    case KIND_ASTERN_DECIDED:
        say(s, body->astern_decided.went ? "went astern" : "stopped, did not go astern");
        return true;
    case KIND_DOOR: say(s, body->door.open ? "the door is open" : "the door is shut"); return true;
    case KIND_GAFF: say(s, body->gaff.up ? "a gaff is called for" : "the gaff is put away"); return true;
    }
    return false;
}

static const char *list_name(const struct board *b, int32_t list)
{
    int32_t slot = slot_find(b, PART_LISTS, &list);
    return slot < 0 ? "" : b->lists[slot].name;
}

static bool trip_words(struct sentence *s, const struct entry *e)
{
    const union entry_body *body = &e->body;
    switch ((int)e->kind) {
    case KIND_TRIP_STARTED: say(s, "trip %d starts", body->trip_started.no); return true;
    case KIND_TRIP_PHASE:
        say(s, "phase: ");
        say_enum(s, phase_name(body->trip_phase.phase));
        return true;
    case KIND_TRIP_ENDED: say(s, "the trip ends"); return true;
    case KIND_DUTY:
        say_enum(s, post_name(body->duty.post));
        say(s, body->duty.hand != 0 ? " by name" : " is nobody's");
        return true;
    case KIND_CHECK_OPENED: say(s, "list opened: %s", list_name(s->board, body->check_opened.list)); return true;
    case KIND_CHECK_LEFT: say(s, "the list was left with items open"); return true;
    case KIND_ORDERS: say(s, "the brief"); return true;
    case KIND_SLICK: say(s, body->slick.on ? "the slick goes on" : "the slick ends"); return true;
    case KIND_STAMPED: say(s, "something happened"); return true;
    case KIND_STAMP_TOLD:
        say(s, "the moment kept was: %s", stamp_what_name(body->stamp_told.what));
        if (body->stamp_told.text[0])
            say(s, ", \"%s\"", body->stamp_told.text);
        return true;
    case KIND_NOTED: say(s, "note: \"%s\"", body->noted.text); return true;
    case KIND_GEAR_FAULT:
        say(s, "gear: \"%s\"", body->gear_fault.text);
        say_on(s, body->gear_fault.line);
        return true;
    case KIND_NEAR_MISS:
        say(s, "near miss: ");
        say_enum(s, near_kind_name(body->near_miss.what));
        return true;
    case KIND_FISH_TOLD:
        say(s, "told of a fish%s%s", body->fish_told.code[0] ? ": " : "", body->fish_told.code);
        return true;
    case KIND_FISH_ICED: say(s, "a fish is on ice"); return true;
    case KIND_ABOARD: say(s, "%d aboard", body->aboard.persons); return true;
    case KIND_REPORT_TOLD: say(s, "a report was made"); return true;
    case KIND_FISH_COUNTED: say(s, "%d fish counted in the box", body->fish_counted.boated); return true;
    case KIND_RUN: say(s, "the server started"); return body->run.fresh;
    case KIND_VOIDED: say(s, body->voided.undo ? "undone" : "taken back"); return true;
    }
    return false;
}

bool words_of(const struct board *b, const struct entry *e, char out[WORDS_BYTES], int32_t *line)
{
    struct sentence s = {.board = b, .text = out};
    out[0] = '\0';
    bool told = line_words(&s, e) || fish_words(&s, e) || call_words(&s, e) || trip_words(&s, e);
    *line = s.line;
    return told && out[0] != '\0';
}
