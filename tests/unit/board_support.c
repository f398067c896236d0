#include "board_support.h"

#include <stdio.h>

void scene_open(struct scene *s)
{
    memset(s, 0, sizeof *s);
    board_reset(&s->board);
    s->now_ms = 1000000;
    s->page = PAGE_A;
    s->by = TOBIAS;
}

void scene_ago(struct scene *s, int64_t ago_ms)
{
    s->ago_ms = ago_ms;
}

struct entry *tap(struct scene *s, enum entry_kind kind)
{
    s->now_ms += 1000;
    memset(&s->entry, 0, sizeof s->entry);
    s->entry.kind = kind;
    s->entry.id = (struct entry_id){s->page, ++s->n, (enum lane)kind_info(kind)->lane};
    s->entry.seq = s->n;
    s->entry.got_ms = s->now_ms;
    s->entry.at_ms = s->now_ms - s->ago_ms;
    s->entry.by = s->by;
    s->entry.from = kind_info(kind)->from == SOURCE_SERVER ? SOURCE_SERVER : SOURCE_HELM;
    return &s->entry;
}

struct entry_id send(struct scene *s)
{
    s->before = s->board;
    s->code = board_admit(&s->board, &s->entry, &s->about);
    assert_memory_equal(&s->board, &s->before, sizeof s->board);
    s->outcome = board_apply(&s->board, &s->entry);
    if (s->code != REFUSAL_NONE)
        assert_int_equal(s->outcome, OUTCOME_MOOT);
    if (s->outcome == OUTCOME_MOOT)
        assert_memory_equal(&s->board, &s->before, sizeof s->board);
    board_check(&s->board);
    return s->entry.id;
}

static void add_line(struct body_trip_started *body, const char *name, enum side side, enum gear gear)
{
    struct spread_line *line = &body->spread[body->spread_count++];
    line->id = body->spread_count;
    (void)snprintf(line->name, sizeof line->name, "%s", name);
    line->side = side;
    line->gear = gear;
    line->distance_m = 20 * line->id;
}

static void add_hand(struct body_trip_started *body, const char *name, enum station station, bool voice)
{
    struct crew_hand *hand = &body->crew[body->crew_count++];
    hand->id = body->crew_count;
    (void)snprintf(hand->name, sizeof hand->name, "%s", name);
    hand->station = station;
    hand->voice = voice;
}

static void add_list(struct body_trip_started *body, const char *name, int32_t items)
{
    struct check_list *list = &body->lists[body->lists_count++];
    list->id = body->lists_count;
    (void)snprintf(list->name, sizeof list->name, "%s", name);
    list->items_count = items;
    for (int32_t i = 0; i < items; i++) {
        (void)snprintf(list->items[i].ask, sizeof list->items[i].ask, "thing %d", (int)i + 1);
        (void)snprintf(list->items[i].state, sizeof list->items[i].state, "seen");
    }
}

struct entry *trip_tap(struct scene *s)
{
    struct body_trip_started *body = &tap(s, KIND_TRIP_STARTED)->body.trip_started;
    (void)snprintf(body->name, sizeof body->name, "Grey Petrel");
    body->no = 7;
    add_line(body, "port flat", SIDE_PORT, GEAR_LINE);
    add_line(body, "starboard flat", SIDE_STARBOARD, GEAR_LINE);
    add_line(body, "shotgun", SIDE_CENTRE, GEAR_LINE);
    add_line(body, "port teaser", SIDE_PORT, GEAR_TEASER);
    add_line(body, "starboard dredge", SIDE_STARBOARD, GEAR_DREDGE);
    (void)snprintf(body->spread[0].bait, sizeof body->spread[0].bait, "ballyhoo");
    add_hand(body, "Ines", STATION_HELM, false);
    add_hand(body, "Tobias", STATION_PORT, false);
    add_hand(body, "Ruth", STATION_STARBOARD, false);
    add_hand(body, "Amparo", STATION_COCKPIT, false);
    add_hand(body, "Dov", STATION_BRIDGE, true);
    add_list(body, "Before leaving", LIST_DEPART_ITEMS);
    add_list(body, "Before dark", 1);
    body->presets_count = 1;
    body->presets[0].id = 1;
    (void)snprintf(body->presets[0].name, sizeof body->presets[0].name, "all but shotgun");
    body->presets[0].kept_count = 1;
    body->presets[0].kept[0] = SHOTGUN;
    (void)snprintf(body->rules, sizeof body->rules, "own rules 2026-01");
    body->line_in_ms = 9000;
    return &s->entry;
}

void scene_start(struct scene *s)
{
    scene_open(s);
    (void)trip_tap(s);
    (void)send(s);
    expect_done(s);
}

void scene_out(struct scene *s)
{
    scene_start(s);
    for (int32_t line = 1; line < LINES; line++) {
        (void)line_is(s, line, LINE_STATE_OUT);
        expect_done(s);
    }
}

struct entry_id line_is(struct scene *s, int32_t line, enum line_state state)
{
    tap(s, KIND_LINE_IS)->body.line_is.line = line;
    s->entry.body.line_is.state = state;
    return send(s);
}

struct entry_id lines_seen(struct scene *s, enum scope scope, enum line_state state)
{
    tap(s, KIND_LINES_SEEN)->body.lines_seen.scope = scope;
    s->entry.body.lines_seen.state = state;
    return send(s);
}

struct entry_id strike(struct scene *s, int32_t line)
{
    tap(s, KIND_STRIKE)->body.strike.line = line;
    return send(s);
}

struct entry_id strike_ended(struct scene *s, struct entry_id id, enum strike_end end)
{
    tap(s, KIND_STRIKE_ENDED)->body.strike_ended.strike = id;
    s->entry.body.strike_ended.end = end;
    return send(s);
}

struct entry_id strike_named(struct scene *s, struct entry_id id, int32_t line)
{
    tap(s, KIND_STRIKE_NAMED)->body.strike_named.strike = id;
    s->entry.body.strike_named.line = line;
    return send(s);
}

struct entry_id hook(struct scene *s, int32_t line)
{
    struct entry_id id = strike(s, line);
    expect_done(s);
    (void)strike_ended(s, id, STRIKE_END_ON);
    expect_done(s);
    return id;
}

struct entry_id fight_ended(struct scene *s, struct entry_id fight, enum fight_end end)
{
    tap(s, KIND_FIGHT_ENDED)->body.fight_ended.fight = fight;
    s->entry.body.fight_ended.end = end;
    return send(s);
}

struct entry_id clear_called(struct scene *s, enum scope scope, int32_t kept_line)
{
    struct body_clear_called *body = &tap(s, KIND_CLEAR_CALLED)->body.clear_called;
    body->scope = scope;
    body->reason = CLEAR_REASON_FISH;
    body->kept_count = kept_line != 0;
    body->kept[0] = kept_line;
    return send(s);
}

struct entry_id line_taken(struct scene *s, int32_t line)
{
    tap(s, KIND_LINE_TAKEN)->body.line_taken.line = line;
    return send(s);
}

struct entry_id line_kept(struct scene *s, int32_t line, bool kept)
{
    tap(s, KIND_LINE_KEPT)->body.line_kept.line = line;
    s->entry.body.line_kept.kept = kept;
    return send(s);
}

struct entry_id call_to(struct scene *s, enum station station, int32_t hand)
{
    struct body_call *body = &tap(s, KIND_CALL)->body.call;
    body->what = CALL_WHAT_COME_UP;
    body->to = station;
    body->hand = hand;
    return send(s);
}

struct entry_id call_got(struct scene *s, struct entry_id call)
{
    tap(s, KIND_CALL_GOT)->body.call_got.call = call;
    return send(s);
}

struct entry_id trip_phase(struct scene *s, enum phase phase)
{
    tap(s, KIND_TRIP_PHASE)->body.trip_phase.phase = phase;
    return send(s);
}

struct entry_id trip_ended(struct scene *s)
{
    (void)tap(s, KIND_TRIP_ENDED);
    return send(s);
}
