#include "debrief/json_rows.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

#include <cjson/cJSON.h>

#include "codec.h"
#include "debrief/fish_json.h"
#include "debrief/work.h"

const char *json_person(const struct debrief *d, int32_t name)
{
    return d->choice.no_names ? "" : texts_get(&d->texts, name);
}

static void time_or_nothing(struct out *o, const char *name, int64_t at_ms)
{
    if (at_ms != NEVER)
        out_int(o, name, at_ms);
}

/* ---- head ---- */

static void trip(const struct debrief *d, struct out *o, const struct facts *f)
{
    out_object(o, NULL);
    out_int(o, "no", f->no);
    out_string(o, "name", texts_get(&d->texts, f->name));
    out_int(o, "from_seq", f->from_seq);
    out_int(o, "to_seq", f->to_seq);
    out_int(o, "started_ms", f->started_ms);
    out_int(o, "ended_ms", f->ended_ms);
    out_bool(o, "open", f->open);
    out_int(o, "utc_offset_ms", f->utc_offset_ms);
    out_bool(o, "clock_estimated", f->clock_estimated);
    out_int(o, "entries", f->entries);
    out_int(o, "voided", f->voided);
    out_int(o, "moot", f->moot);
    out_int(o, "refused", f->refused);
    out_int(o, "late", f->late);
    out_int(o, "persons", f->persons_aboard);
    out_int(o, "paying", f->paying);
    out_bool(o, "places_left_out", d->choice.no_places);
    out_bool(o, "names_left_out", d->choice.no_names);
    out_end(o, '}');
}

void json_trips(const struct debrief *d, struct out *o)
{
    out_list(o, "trips");
    for (int32_t i = 0; i < d->trips.count; i++)
        trip(d, o, d->trips.items[i]);
    out_end(o, ']');
}

void json_places(const struct debrief *d, struct out *o)
{
    out_list(o, "positions");
    for (int32_t i = 0; i < d->trips.count; i++) {
        for (int32_t k = 0; k < d->trips.items[i]->spots.count; k++) {
            const struct spot *spot = &d->trips.items[i]->spots.items[k];
            out_object(o, NULL);
            out_int(o, "id", spot->id);
            out_int(o, "trip", i);
            out_string(o, "name", texts_get(&d->texts, spot->name));
            out_string(o, "side", side_name(spot->side));
            out_string(o, "gear", gear_name(spot->gear));
            out_string(o, "label", texts_get(&d->texts, spot->label));
            out_end(o, '}');
        }
    }
    out_end(o, ']');
    out_list(o, "hands");
    for (int32_t i = 0; i < d->trips.count; i++) {
        for (int32_t k = 0; k < d->trips.items[i]->persons.count; k++) {
            const struct person *person = &d->trips.items[i]->persons.items[k];
            out_object(o, NULL);
            out_int(o, "id", person->id);
            out_int(o, "trip", i);
            out_string(o, "name", json_person(d, person->name));
            out_string(o, "station", station_name(person->station));
            out_end(o, '}');
        }
    }
    out_end(o, ']');
}

/* ---- rows, one function a table: { debrief, out, facts, index of the trip } ---- */

static void calls(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    (void)d;
    for (int32_t i = 0; i < f->calls.count; i++) {
        const struct call_fact *call = &f->calls.items[i];
        out_object(o, NULL);
        out_int(o, "seq", call->seq);
        out_int(o, "trip", trip);
        out_string(o, "what", call_what_name(call->what));
        out_string(o, "to", station_name(call->to));
        out_int(o, "called_ms", call->called_ms);
        time_or_nothing(o, "shown_ms", call->shown_ms);
        time_or_nothing(o, "got_ms", call->got_ms);
        if (call->got_ms != NEVER)
            out_bool(o, "voice", call->voice);
        time_or_nothing(o, "done_ms", call->done_ms);
        out_string(o, "end", call_state_name(call->end));
        out_bool(o, "late", call->late);
        out_end(o, '}');
    }
}

static void cleared_line(struct out *o, const struct cleared_line *line)
{
    out_object(o, NULL);
    out_int(o, "line", line->line);
    time_or_nothing(o, "taken_ms", line->taken_ms);
    time_or_nothing(o, "in_ms", line->in_ms);
    out_bool(o, "eye", line->eye);
    out_bool(o, "kept", line->kept);
    out_end(o, '}');
}

static void clearings(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->clearings.count; i++) {
        const struct clearing_fact *clearing = &f->clearings.items[i];
        out_object(o, NULL);
        out_int(o, "seq", clearing->seq);
        out_int(o, "trip", trip);
        out_int(o, "called_ms", clearing->called_ms);
        out_string(o, "scope", scope_name(clearing->scope));
        out_string(o, "preset", texts_get(&d->texts, clearing->preset));
        out_string(o, "reason", clear_reason_name(clearing->reason));
        time_or_nothing(o, "strike_ms", clearing->strike_ms);
        time_or_nothing(o, "port_clear_ms", clearing->port_ms);
        time_or_nothing(o, "starboard_clear_ms", clearing->starboard_ms);
        time_or_nothing(o, "all_clear_ms", clearing->all_ms);
        time_or_nothing(o, "done_ms", clearing->done_ms);
        time_or_nothing(o, "over_ms", clearing->over_ms);
        if (clearing->in_count > 0 && clearing->last_in_ms >= clearing->called_ms)
            out_int(o, "a_line_ms", (clearing->last_in_ms - clearing->called_ms) / clearing->in_count);
        out_list(o, "lines");
        for (int32_t k = 0; k < clearing->line_count; k++)
            cleared_line(o, &clearing->lines[k]);
        out_end(o, ']');
        out_end(o, '}');
    }
}

static void strikes(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->strikes.count; i++) {
        const struct strike_fact *strike = &f->strikes.items[i];
        out_object(o, NULL);
        out_int(o, "seq", strike->seq);
        out_int(o, "trip", trip);
        out_int(o, "at_ms", strike->at_ms);
        out_int(o, "line", strike->line);
        out_string(o, "bait", texts_get(&d->texts, strike->bait));
        time_or_nothing(o, "bait_age_ms", strike->bait_age_ms);
        out_bool(o, "blind", strike->blind);
        out_string(o, "end", strike_end_name(strike->end));
        out_string(o, "phase", phase_name(strike->phase));
        out_end(o, '}');
    }
}

static void raises(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    (void)d;
    for (int32_t i = 0; i < f->raises.count; i++) {
        const struct raise_fact *raise = &f->raises.items[i];
        out_object(o, NULL);
        out_int(o, "seq", raise->seq);
        out_int(o, "trip", trip);
        out_int(o, "at_ms", raise->at_ms);
        out_int(o, "line", raise->line);
        out_int(o, "touches", raise->touches);
        out_int(o, "bites", raise->bites);
        time_or_nothing(o, "ended_ms", raise->ended_ms);
        out_string(o, "end", raise_end_name(raise->end));
        out_end(o, '}');
    }
}

static void fights(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    (void)d;
    for (int32_t i = 0; i < f->fights.count; i++) {
        const struct fight_fact *fight = &f->fights.items[i];
        out_object(o, NULL);
        out_int(o, "seq", fight->seq);
        out_int(o, "trip", trip);
        out_int(o, "line", fight->line);
        out_int(o, "angler", fight->angler);
        time_or_nothing(o, "on_ms", fight->on_ms);
        time_or_nothing(o, "leader_ms", fight->leader_ms);
        out_int(o, "leader_total_ms", fight->leader_total_ms);
        time_or_nothing(o, "ended_ms", fight->ended_ms);
        out_string(o, "end", fight_end_name(fight->end));
        out_string(o, "condition", condition_name(fight->condition));
        out_end(o, '}');
    }
}

static void checks(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->checks.count; i++) {
        const struct check_fact *check = &f->checks.items[i];
        out_object(o, NULL);
        out_int(o, "seq", check->seq);
        out_int(o, "trip", trip);
        out_string(o, "name", texts_get(&d->texts, check->name));
        out_int(o, "opened_ms", check->opened_ms);
        time_or_nothing(o, "ended_ms", check->ended_ms);
        out_string(o, "state", check_state_name(check->state));
        out_int(o, "items", check->items);
        out_int(o, "done", work_answers(check, CHECK_ANSWER_DONE));
        out_int(o, "not_done", work_answers(check, CHECK_ANSWER_NOT_DONE));
        out_int(o, "not_here", work_answers(check, CHECK_ANSWER_NOT_HERE));
        out_int(o, "open", work_answers(check, CHECK_ANSWER_OPEN));
        out_bool(o, "faster_than_reading", work_faster_than_reading(check));
        out_end(o, '}');
    }
}

static void baits(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    (void)d;
    for (int32_t i = 1; i <= BOARD_LINES_MAX; i++) {
        const struct bait_fact *bait = &f->baits[i];
        if (bait->line == 0)
            continue;
        out_object(o, NULL);
        out_int(o, "line", bait->line);
        out_int(o, "trip", trip);
        out_int(o, "checks", bait->checks);
        out_int(o, "missed", bait->missed);
        out_int(o, "longest_ms", bait->longest_ms);
        out_end(o, '}');
    }
}

static void duties(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    (void)d;
    for (int32_t post = 0; post < POST_COUNT_; post++) {
        const struct duty_fact *duty = &f->duties[post];
        out_object(o, NULL);
        out_int(o, "trip", trip);
        out_string(o, "post", post_name((enum post)post));
        out_int(o, "named_ms", duty->named_ms);
        out_int(o, "unnamed_ms", duty->unnamed_ms);
        out_int(o, "longest_unnamed_ms", duty->longest_unnamed_ms);
        out_int(o, "handed_over", duty->handed_over);
        out_end(o, '}');
    }
}

static void near_misses(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->near_misses.count; i++) {
        const struct near_fact *near = &f->near_misses.items[i];
        out_object(o, NULL);
        out_int(o, "seq", near->seq);
        out_int(o, "trip", trip);
        out_int(o, "at_ms", near->at_ms);
        out_string(o, "what", near_kind_name(near->what));
        out_int(o, "hand", near->hand);
        out_string(o, "text", json_person(d, near->text));
        out_end(o, '}');
    }
}

static void events(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->events.count; i++) {
        const struct event_fact *event = &f->events.items[i];
        out_object(o, NULL);
        out_int(o, "seq", event->seq);
        out_int(o, "trip", trip);
        out_int(o, "at_ms", event->at_ms);
        out_int(o, "got_ms", event->got_ms);
        out_string(o, "kind", kind_info(event->kind)->name);
        out_int(o, "line", event->line);
        out_int(o, "hand", event->hand);
        out_string(o, "words", texts_get(&d->texts, event->words));
        out_string(o, "standing", event_standing_name(event->standing));
        if (event->was != 0)
            out_string(o, "was", texts_get(&d->texts, event->was));
        out_end(o, '}');
    }
}

static void lanes(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    if (f->events.count == 0)
        return;
    for (int32_t i = 0; i < f->spans.count; i++) {
        const struct span *span = &f->spans.items[i];
        out_object(o, NULL);
        out_int(o, "trip", trip);
        out_int(o, "line", span->line);
        out_string(o, "state", line_state_name(span->state));
        out_bool(o, "unsure", span->unsure);
        out_string(o, "bait", texts_get(&d->texts, span->bait));
        out_int(o, "from_ms", span->from_ms);
        out_int(o, "to_ms", span->to_ms);
        out_end(o, '}');
    }
}

static void gaps(const struct debrief *d, struct out *o, const struct facts *f, int32_t trip)
{
    (void)d;
    for (int32_t i = 0; i < f->gaps.count; i++) {
        const struct gap_fact *gap = &f->gaps.items[i];
        char page[17];
        (void)snprintf(page, sizeof page, "%016" PRIx64, gap->page);
        out_object(o, NULL);
        out_int(o, "trip", trip);
        out_string(o, "of", gap_name(gap->of));
        out_int(o, "from_ms", gap->from_ms);
        out_int(o, "to_ms", gap->to_ms);
        if (gap->page != 0)
            out_string(o, "page", page);
        out_bool(o, "estimated", gap->estimated);
        out_end(o, '}');
    }
}

static void table(const struct debrief *d, struct out *o, const char *name,
                  void (*rows)(const struct debrief *, struct out *, const struct facts *, int32_t))
{
    out_list(o, name);
    for (int32_t i = 0; i < d->trips.count; i++)
        rows(d, o, d->trips.items[i], i);
    out_end(o, ']');
}

/* Takes the JSON over. */
static void add_json(struct out *o, const char *name, cJSON *json)
{
    char *text = json_text(json);
    out_raw(o, name, text);
    free(text);
    cJSON_Delete(json);
}

static void list_fish(struct out *o, const struct debrief *d, int32_t trip)
{
    cJSON *list = fish_json_list(&d->trips.items[trip]->box, trip, d->choice.no_names);
    for (cJSON *one; (one = cJSON_DetachItemFromArray(list, 0)) != NULL;)
        add_json(o, NULL, one);
    cJSON_Delete(list);
}

/* How the box stands, and what is to be reported, is that of the last trip, when it ended. */
static void fish(const struct debrief *d, struct out *o)
{
    const struct facts *last = d->trips.items[d->trips.count - 1];
    struct standing_when when = {.now_ms = last->ended_ms, .zone_min = d->choice.zone_min};
    out_list(o, "fish");
    for (int32_t i = 0; i < d->trips.count; i++)
        list_fish(o, d, i);
    out_end(o, ']');
    add_json(o, "standing", fish_json_standing(&last->box, &when));
    if (last->box.has_rules)
        add_json(o, "rule_set", fish_json_head(&last->box.rules, &last->box, &when));
    add_json(o, "reports", fish_json_reports(&last->box));
}

void json_rows(const struct debrief *d, struct out *o)
{
    table(d, o, "calls", calls);
    table(d, o, "clearings", clearings);
    table(d, o, "strikes", strikes);
    table(d, o, "raises", raises);
    table(d, o, "fights", fights);
    fish(d, o);
    table(d, o, "checks", checks);
    table(d, o, "baits", baits);
    table(d, o, "duties", duties);
    table(d, o, "near_misses", near_misses);
    table(d, o, "events", events);
    table(d, o, "lanes", lanes);
    table(d, o, "gaps", gaps);
}

/* ---- cards ---- */

static void card(const struct debrief *d, struct out *o, const struct card_line *lines, int32_t count)
{
    for (int32_t i = 0; i < count; i++) {
        out_object(o, NULL);
        out_string(o, "words", texts_get(&d->texts, lines[i].words));
        out_list(o, "seqs");
        if (lines[i].seq != 0)
            out_int(o, NULL, lines[i].seq);
        out_end(o, ']');
        out_end(o, '}');
    }
}

static void jobs(const struct debrief *d, struct out *o, const struct facts *f)
{
    for (int32_t i = 0; i < 3; i++) {
        const struct job_fact *job = &f->jobs[i];
        if (job->no == 0)
            continue;
        out_object(o, NULL);
        out_int(o, "no", job->no);
        out_string(o, "text", texts_get(&d->texts, job->text));
        out_string(o, "name", json_person(d, job->name));
        out_string(o, "by_day", texts_get(&d->texts, job->by_day));
        out_bool(o, "done", job->done);
        out_end(o, '}');
    }
}

/* Of the last trip: over many, what was planned and asked does not add up. */
void json_cards(const struct debrief *d, struct out *o)
{
    const struct facts *f = d->trips.items[d->trips.count - 1];
    out_object(o, "cards");
    out_list(o, "planned");
    card(d, o, f->planned.items, f->planned.count);
    out_end(o, ']');
    out_list(o, "happened");
    card(d, o, f->happened.items, f->happened.count);
    out_end(o, ']');
    out_list(o, "why");
    card(d, o, f->why.items, f->why.count);
    out_end(o, ']');
    out_list(o, "next");
    jobs(d, o, f);
    out_end(o, ']');
    out_end(o, '}');
}
