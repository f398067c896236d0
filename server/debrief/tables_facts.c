/* The tables that are rows of facts; see tables.h. */
#include "debrief/tables.h"

#include "debrief/work.h"

#define COUNT_OF(array) ((int32_t)(sizeof(array) / sizeof(array)[0]))

static const struct column calls_columns[] = {
    {"seq", "number of the entry in the log that this begins with"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"what", "the call"},
    {"station", "whom it was for"},
    {"called_ms", "called; log time, ms"},
    {"called", "called; time of day"},
    {"shown_ms", "first shown on a page; log time, ms"},
    {"got_ms", "first answered; log time, ms"},
    {"voice", "1: by voice"},
    {"done_ms", "told done; log time, ms"},
    {"ended_as", "called, got, done, not_heard or off"},
    {"late", "1: it came when it was over its time to live, and rang nowhere"},
};

static void calls_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->calls.count; i++) {
        const struct call_fact *call = &f->calls.items[i];
        row_begin(row);
        cell_int(row, call->seq);
        cell_int(row, trip);
        cell_word(row, call_what_name(call->what));
        cell_word(row, station_name(call->to));
        cell_ms(row, call->called_ms);
        cell_when(row, call->called_ms);
        cell_ms(row, call->shown_ms);
        cell_ms(row, call->got_ms);
        cell_bool(row, call->voice);
        cell_ms(row, call->done_ms);
        cell_word(row, call_state_name(call->end));
        cell_bool(row, call->late);
        row_end(row);
    }
}

static void calls_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, calls_of);
}

static const struct column clearings_columns[] = {
    {"seq", "number of the entry in the log that this begins with"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"called_ms", "called; log time, ms"},
    {"called", "called; time of day"},
    {"scope", "what was called in"},
    {"preset", "the words of the call"},
    {"reason", "why"},
    {"strike_ms", "the strike before it; log time, ms"},
    {"port_ms", "port side clear; log time, ms"},
    {"starboard_ms", "starboard side clear; log time, ms"},
    {"all_ms", "all clear; log time, ms"},
    {"done_ms", "every line asked for in, kept out or with a fish on; log time, ms"},
    {"over_ms", "told to be over before that; log time, ms"},
    {"lines_in", "lines that came in"},
};

static void clearings_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->clearings.count; i++) {
        const struct clearing_fact *clearing = &f->clearings.items[i];
        row_begin(row);
        cell_int(row, clearing->seq);
        cell_int(row, trip);
        cell_ms(row, clearing->called_ms);
        cell_when(row, clearing->called_ms);
        cell_word(row, scope_name(clearing->scope));
        cell_text(row, clearing->preset);
        cell_word(row, clear_reason_name(clearing->reason));
        cell_ms(row, clearing->strike_ms);
        cell_ms(row, clearing->port_ms);
        cell_ms(row, clearing->starboard_ms);
        cell_ms(row, clearing->all_ms);
        cell_ms(row, clearing->done_ms);
        cell_ms(row, clearing->over_ms);
        cell_int(row, clearing->in_count);
        row_end(row);
    }
}

static void clearings_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, clearings_of);
}

static const struct column cleared_lines_columns[] = {
    {"clearing", "seq of the clearing"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"line", "number of the place of the spread; 0: not named"},
    {"taken_ms", "somebody had it; log time, ms"},
    {"in_ms", "in; log time, ms"},
    {"eye", "1: told in by eye"},
    {"kept", "1: kept out on purpose"},
};

static void cleared_lines_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->clearings.count; i++) {
        for (int32_t k = 0; k < f->clearings.items[i].line_count; k++) {
            const struct cleared_line *line = &f->clearings.items[i].lines[k];
            row_begin(row);
            cell_int(row, f->clearings.items[i].seq);
            cell_int(row, trip);
            cell_int(row, line->line);
            cell_ms(row, line->taken_ms);
            cell_ms(row, line->in_ms);
            cell_bool(row, line->eye);
            cell_bool(row, line->kept);
            row_end(row);
        }
    }
}

static void cleared_lines_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, cleared_lines_of);
}

static const struct column strikes_columns[] = {
    {"seq", "number of the entry in the log that this begins with"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"at_ms", "when; log time, ms"},
    {"at", "when; time of day"},
    {"line", "number of the place of the spread; 0: not named"},
    {"label", "the place as the crew says it"},
    {"bait", "what hung there"},
    {"bait_age_ms", "since it was put on or looked at, ms"},
    {"blind", "1: no raise was up"},
    {"ended_as", "on, knockdown, gone, not_known or open"},
    {"phase", "of the trip"},
};

static void strikes_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->strikes.count; i++) {
        const struct strike_fact *strike = &f->strikes.items[i];
        row_begin(row);
        cell_int(row, strike->seq);
        cell_int(row, trip);
        cell_ms(row, strike->at_ms);
        cell_when(row, strike->at_ms);
        cell_int(row, strike->line);
        cell_text(row, strike->label);
        cell_text(row, strike->bait);
        cell_ms(row, strike->bait_age_ms);
        cell_bool(row, strike->blind);
        cell_word(row, strike_end_name(strike->end));
        cell_word(row, phase_name(strike->phase));
        row_end(row);
    }
}

static void strikes_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, strikes_of);
}

static const struct column raises_columns[] = {
    {"seq", "number of the entry in the log that this begins with"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"at_ms", "when; log time, ms"},
    {"at", "when; time of day"},
    {"line", "number of the place of the spread; 0: not named"},
    {"label", "the first place it was seen behind"},
    {"touches", "baits touched"},
    {"bites", "strikes of this fish while it was up"},
    {"ended_ms", "log time, ms"},
    {"ended_as", "bit, left, not_known or open"},
};

static void raises_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->raises.count; i++) {
        const struct raise_fact *raise = &f->raises.items[i];
        row_begin(row);
        cell_int(row, raise->seq);
        cell_int(row, trip);
        cell_ms(row, raise->at_ms);
        cell_when(row, raise->at_ms);
        cell_int(row, raise->line);
        cell_text(row, raise->label);
        cell_int(row, raise->touches);
        cell_int(row, raise->bites);
        cell_ms(row, raise->ended_ms);
        cell_word(row, raise_end_name(raise->end));
        row_end(row);
    }
}

static void raises_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, raises_of);
}

static const struct column fights_columns[] = {
    {"seq", "number of the entry in the log that this begins with"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"on_ms", "came tight; log time, ms"},
    {"on", "came tight; time of day"},
    {"line", "number of the place of the spread; 0: not named"},
    {"leader_ms", "leader first in hand; log time, ms"},
    {"leader_total_ms", "leader in hand in all, ms"},
    {"ended_ms", "end; log time, ms"},
    {"ended", "end; time of day"},
    {"ended_as", "boated, released, pulled, broke_off, bitten_off, not_known or open"},
    {"condition", "how a released fish swam off"},
};

static void fights_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->fights.count; i++) {
        const struct fight_fact *fight = &f->fights.items[i];
        row_begin(row);
        cell_int(row, fight->seq);
        cell_int(row, trip);
        cell_ms(row, fight->on_ms);
        cell_when(row, fight->on_ms);
        cell_int(row, fight->line);
        cell_ms(row, fight->leader_ms);
        cell_int(row, fight->leader_total_ms);
        cell_ms(row, fight->ended_ms);
        cell_when(row, fight->ended_ms);
        cell_word(row, fight_end_name(fight->end));
        cell_word(row, condition_name(fight->condition));
        row_end(row);
    }
}

static void fights_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, fights_of);
}

static const struct column fish_columns[] = {
    {"seq", "number of the entry that first named the fish"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"at_ms", "when it came to the boat, or was told of; log time, ms"},
    {"at", "the same; time of day"},
    {"code", "FAO 3-alpha; empty: not told"},
    {"fate", "what became of it"},
    {"length_mm", "length; mm"},
    {"measure", "how the length was taken"},
    {"girth_mm", "girth; mm"},
    {"weight_g", "weight; g"},
    {"weighed", "1: on a scale; else guessed"},
    {"condition", "how it swam off"},
    {"out_of_water_s", "time out of the water; s"},
    {"iced_ms", "on ice; log time, ms"},
    {"tag", "number of its tag"},
    {"report", "confirmation number of its report"},
};

static void length_cell(struct row *row, int64_t length_um)
{
    if (length_um > 0)
        cell_number(row, (double)length_um / 1000);
    else
        cell_none(row);
}

static void fish_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->box.count; i++) {
        const struct box_fish *fish = &f->box.fish[i];
        row_begin(row);
        cell_int(row, fish->seq);
        cell_int(row, trip);
        cell_ms(row, fish->at_ms);
        cell_when(row, fish->at_ms);
        cell_foreign(row, fish->code);
        cell_word(row, fish_fate_name(fish->fate));
        length_cell(row, fish->length_um);
        cell_word(row, measure_name(fish->measure));
        length_cell(row, fish->girth_um);
        cell_ms(row, fish->weight_g > 0 ? fish->weight_g : NEVER);
        cell_bool(row, fish->weighed);
        cell_word(row, condition_name(fish->condition));
        cell_ms(row, fish->out_of_water_s > 0 ? fish->out_of_water_s : NEVER);
        cell_ms(row, fish->iced_ms > 0 ? fish->iced_ms : NEVER);
        cell_foreign(row, fish->tag);
        cell_foreign(row, fish->report);
        row_end(row);
    }
}

static void fish_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, fish_of);
}

static const struct column checks_columns[] = {
    {"seq", "number of the entry in the log that this begins with"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"name", "of the list"},
    {"opened_ms", "opened; log time, ms"},
    {"opened", "opened; time of day"},
    {"ended_ms", "all answered, or left; log time, ms"},
    {"state", "done, left or open"},
    {"items", "of the list"},
    {"done", "seen as it should be"},
    {"not_done", "not done"},
    {"not_here", "not on this boat"},
    {"unanswered", "without an answer"},
    {"faster_than_reading", "1: in under 1.5 s an item"},
};

static void checks_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->checks.count; i++) {
        const struct check_fact *check = &f->checks.items[i];
        row_begin(row);
        cell_int(row, check->seq);
        cell_int(row, trip);
        cell_text(row, check->name);
        cell_ms(row, check->opened_ms);
        cell_when(row, check->opened_ms);
        cell_ms(row, check->ended_ms);
        cell_word(row, check_state_name(check->state));
        cell_int(row, check->items);
        cell_int(row, work_answers(check, CHECK_ANSWER_DONE));
        cell_int(row, work_answers(check, CHECK_ANSWER_NOT_DONE));
        cell_int(row, work_answers(check, CHECK_ANSWER_NOT_HERE));
        cell_int(row, work_answers(check, CHECK_ANSWER_OPEN));
        cell_bool(row, work_faster_than_reading(check));
        row_end(row);
    }
}

static void checks_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, checks_of);
}

static const struct column baits_columns[] = {
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"line", "number of the place of the spread; 0: not named"},
    {"looks", "bait checks"},
    {"missed", "times between two looks that passed without one: 30 min by day, 45 min by night"},
    {"longest_ms", "longest time out without a look, ms"},
};

static void baits_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 1; i <= BOARD_LINES_MAX; i++) {
        if (f->baits[i].line == 0)
            continue;
        row_begin(row);
        cell_int(row, trip);
        cell_int(row, f->baits[i].line);
        cell_int(row, f->baits[i].checks);
        cell_int(row, f->baits[i].missed);
        cell_int(row, f->baits[i].longest_ms);
        row_end(row);
    }
}

static void baits_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, baits_of);
}

static const struct column duties_columns[] = {
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"post", "wheel or look_out"},
    {"named_ms", "somebody's by name, ms"},
    {"unnamed_ms", "nobody's, ms"},
    {"longest_unnamed_ms", "longest time nobody's, ms"},
    {"handed_over", "from one hand to another"},
};

static void duties_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t post = 0; post < POST_COUNT_; post++) {
        row_begin(row);
        cell_int(row, trip);
        cell_word(row, post_name((enum post)post));
        cell_int(row, f->duties[post].named_ms);
        cell_int(row, f->duties[post].unnamed_ms);
        cell_int(row, f->duties[post].longest_unnamed_ms);
        cell_int(row, f->duties[post].handed_over);
        row_end(row);
    }
}

static void duties_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, duties_of);
}

static const struct column near_misses_columns[] = {
    {"seq", "number of the entry in the log that this begins with"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"at_ms", "told; log time, ms"},
    {"at", "told; time of day"},
    {"what", "kind"},
    {"words", "what was written; empty where names are left out"},
};

static void near_misses_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->near_misses.count; i++) {
        const struct near_fact *near = &f->near_misses.items[i];
        row_begin(row);
        cell_int(row, near->seq);
        cell_int(row, trip);
        cell_ms(row, near->at_ms);
        cell_when(row, near->at_ms);
        cell_word(row, near_kind_name(near->what));
        cell_person(row, near->text);
        row_end(row);
    }
}

static void near_misses_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, near_misses_of);
}

static const struct column gaps_columns[] = {
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"of", "server, helm, page, clock or missing"},
    {"from_ms", "from; log time, ms"},
    {"from", "from; time of day"},
    {"to_ms", "to; log time, ms"},
    {"estimated", "1: its length is an estimate"},
};

static void gaps_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->gaps.count; i++) {
        const struct gap_fact *gap = &f->gaps.items[i];
        row_begin(row);
        cell_int(row, trip);
        cell_word(row, gap_name(gap->of));
        cell_ms(row, gap->from_ms);
        cell_when(row, gap->from_ms);
        cell_ms(row, gap->to_ms);
        cell_bool(row, gap->estimated);
        row_end(row);
    }
}

static void gaps_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, gaps_of);
}

static const struct column events_columns[] = {
    {"seq", "number of the entry in the log that this begins with"},
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"at_ms", "when; log time, ms"},
    {"at", "when; time of day"},
    {"got_ms", "when the server had it; log time, ms"},
    {"kind", "kind of entry"},
    {"line", "number of the place of the spread; 0: not named"},
    {"hand", "whose tap it was; 0: nobody named"},
    {"words", "what happened"},
    {"standing", "plain, late, offered, corrected or moot"},
    {"was", "of a corrected one: what it said before"},
};

static void events_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->events.count; i++) {
        const struct event_fact *event = &f->events.items[i];
        row_begin(row);
        cell_int(row, event->seq);
        cell_int(row, trip);
        cell_ms(row, event->at_ms);
        cell_when(row, event->at_ms);
        cell_ms(row, event->got_ms);
        cell_word(row, kind_info(event->kind)->name);
        cell_int(row, event->line);
        cell_int(row, event->hand);
        cell_text(row, event->words);
        cell_word(row, event_standing_name(event->standing));
        cell_text(row, event->was);
        row_end(row);
    }
}

static void events_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, events_of);
}

static const struct column lanes_columns[] = {
    {"trip", "index of the trip among those of this debrief, 0 first"},
    {"line", "number of the place of the spread; 0: not named"},
    {"state", "as on the board"},
    {"unsure", "1: not seen since the server started, while it did not run, or since a strike nobody ended"},
    {"bait", "what hung there"},
    {"from_ms", "from; log time, ms"},
    {"from", "from; time of day"},
    {"to_ms", "to; log time, ms"},
};

static void lanes_of(struct row *row, const struct facts *f, int32_t trip)
{
    for (int32_t i = 0; i < f->spans.count; i++) {
        const struct span *span = &f->spans.items[i];
        row_begin(row);
        cell_int(row, trip);
        cell_int(row, span->line);
        cell_word(row, line_state_name(span->state));
        cell_bool(row, span->unsure);
        cell_text(row, span->bait);
        cell_ms(row, span->from_ms);
        cell_when(row, span->from_ms);
        cell_ms(row, span->to_ms);
        row_end(row);
    }
}

static void lanes_rows(const struct debrief *d, struct row *row)
{
    rows_each_trip(d, row, lanes_of);
}

#define TABLE(name, about)                                                  \
    {                                                                       \
#name, about, name##_columns, COUNT_OF(name##_columns), name##_rows \
    }

const struct table tables_facts[] = {
    TABLE(calls, "calls and what became of them"),
    TABLE(clearings, "calls to clear the lines"),
    TABLE(cleared_lines, "the lines of each clearing"),
    TABLE(strikes, "bites"),
    TABLE(raises, "fish raised"),
    TABLE(fights, "fish on"),
    TABLE(fish, "fish, as far as they were told of"),
    TABLE(checks, "checklists"),
    TABLE(baits, "how often baits were looked at"),
    TABLE(duties, "wheel and look-out while under way"),
    TABLE(near_misses, "what nearly went wrong"),
    TABLE(gaps, "times of which nothing, or less than usual, is known"),
    TABLE(events, "what a crew would tell, in the order of when it happened; only of a trip asked for by itself"),
    TABLE(lanes, "what hung where"),
};

const int32_t tables_facts_count = COUNT_OF(tables_facts);
