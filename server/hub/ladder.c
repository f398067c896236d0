#include "ladder.h"

#include "own.h"
#include "send.h"

/* What could not be noted (the log is behind) is tried again after this. */
#define LADDER_AGAIN_MS 1000

static int64_t sooner(int64_t one_ms, int64_t two_ms)
{
    return one_ms < two_ms ? one_ms : two_ms;
}

/* Log time: when this slot's strike lapses; INT64_MAX when it is free. One that was told as of some minutes ago is given the
 * same time from when it was told: somebody has to see it before its end can be asked of him. */
static int64_t strike_due(struct hub *hub, const struct board_strike *strike)
{
    int32_t index = strike->id.n == 0 ? -1 : journal_find(&hub->journal, strike->id);
    if (index < 0)
        return strike->id.n == 0 ? INT64_MAX : strike->at_ms + LIMIT_STRIKE_MS;
    journal_entry(&hub->journal, index, &hub->old_entry);
    return hub->old_entry.got_ms + LIMIT_STRIKE_MS;
}

/* As long as something is told of a raise, it goes on. */
static int64_t raise_due(const struct board_raise *raise)
{
    return raise->id.n == 0 ? INT64_MAX : raise->told_ms + LIMIT_RAISE_MS;
}

/* A sleeper who is called by name is given longer than a hand on deck. */
static int64_t call_due(const struct board_call *call)
{
    bool wakes_one = call->what == CALL_WHAT_WAKE && call->hand != 0;
    if (call->id.n == 0 || call->state != CALL_STATE_CALLED)
        return INT64_MAX;
    return call->at_ms + (wakes_one ? LIMIT_WAKE_MS : LIMIT_UNHEARD_MS);
}

static int64_t clearing_due(const struct board_clearing *clearing)
{
    bool open = clearing->state == CLEAR_STATE_OPEN && !clearing->heard && !clearing->not_heard;
    return open ? clearing->since_ms + LIMIT_UNHEARD_MS : INT64_MAX;
}

static bool lapse(struct hub *hub, struct entry_id strike)
{
    own_begin(hub, KIND_STRIKE_LAPSED)->strike_lapsed.strike = strike;
    return own_take(hub) == OWN_TAKEN;
}

static bool raise_lapse(struct hub *hub, struct entry_id episode)
{
    own_begin(hub, KIND_RAISE_LAPSED)->raise_lapsed.episode = episode;
    return own_take(hub) == OWN_TAKEN;
}

static bool unheard(struct hub *hub, struct entry_id call)
{
    own_begin(hub, KIND_CALL_UNHEARD)->call_unheard.call = call;
    return own_take(hub) == OWN_TAKEN;
}

/* An entry taken may move what stands in the slots, so the walk begins anew after each: at most as often as there are slots. */
static int64_t strikes_run(struct hub *hub)
{
    int64_t next = INT64_MAX;
    for (int32_t i = 0; i < BOARD_STRIKES_MAX; i++) {
        const struct board_strike *strike = &hub->board.strikes[i];
        int64_t due = strike_due(hub, strike);
        if (due > hub->log_ms)
            next = sooner(next, due);
        else if (lapse(hub, strike->id))
            return strikes_run(hub);
        else
            next = sooner(next, hub->log_ms + LADDER_AGAIN_MS);
    }
    return next;
}

static int64_t raises_run(struct hub *hub)
{
    int64_t next = INT64_MAX;
    for (int32_t i = 0; i < BOARD_RAISES_MAX; i++) {
        const struct board_raise *raise = &hub->board.raises[i];
        int64_t due = raise_due(raise);
        if (due > hub->log_ms)
            next = sooner(next, due);
        else if (raise_lapse(hub, raise->id))
            return raises_run(hub);
        else
            next = sooner(next, hub->log_ms + LADDER_AGAIN_MS);
    }
    return next;
}

static int64_t calls_run(struct hub *hub)
{
    int64_t next = INT64_MAX;
    for (int32_t i = 0; i < BOARD_CALLS_MAX; i++) {
        const struct board_call *call = &hub->board.calls[i];
        int64_t due = call_due(call);
        if (due > hub->log_ms)
            next = sooner(next, due);
        else if (unheard(hub, call->id))
            return calls_run(hub);
        else
            next = sooner(next, hub->log_ms + LADDER_AGAIN_MS);
    }
    return next;
}

static int64_t clearing_run(struct hub *hub)
{
    int64_t due = clearing_due(&hub->board.clearing);
    if (due > hub->log_ms)
        return due;
    return unheard(hub, hub->board.clearing.id) ? INT64_MAX : hub->log_ms + LADDER_AGAIN_MS;
}

/* --- held alarms ------------------------------------------------------------------------------------------------------- */

static bool stands(const struct board_overboard *overboard, struct entry_id id)
{
    for (int32_t i = 0; i < overboard->calls_count; i++) {
        const struct overboard_call *call = &overboard->calls[i];
        if (call->id.sender == id.sender && call->id.n == id.n && call->id.lane == id.lane)
            return !call->withdrawn;
    }
    return false;
}

static void ring(struct hub *hub, struct entry_id id)
{
    int32_t index = journal_find(&hub->journal, id);
    if (index < 0 || !stands(&hub->board.overboard, id))
        return;
    journal_entry(&hub->journal, index, &hub->old_entry);
    send_alarm(hub, &hub->old_entry);
}

/* Too many at once: this one does not wait. Better one ring too many than one too few. */
void ladder_hold_alarm(struct hub *hub, struct entry_id id)
{
    for (int32_t i = 0; i < HELD_MAX; i++)
        if (hub->held[i].id.n == 0) {
            hub->held[i] = (struct held_alarm){.id = id, .due_ms = hub->now.boot_ms + LIMIT_HOLD_ALARM_MS};
            return;
        }
    ring(hub, id);
}

static int64_t held_run(struct hub *hub)
{
    int64_t next = INT64_MAX;
    for (int32_t i = 0; i < HELD_MAX; i++) {
        struct held_alarm *held = &hub->held[i];
        if (held->id.n == 0)
            continue;
        if (held->due_ms > hub->now.boot_ms) {
            next = sooner(next, held->due_ms);
            continue;
        }
        ring(hub, held->id);
        *held = (struct held_alarm){0};
    }
    return next;
}

int64_t ladder_run(struct hub *hub)
{
    int64_t fish_ms = sooner(strikes_run(hub), raises_run(hub));
    int64_t next_log = sooner(fish_ms, sooner(calls_run(hub), clearing_run(hub)));
    int64_t next = next_log == INT64_MAX ? INT64_MAX : next_log - hub->base_ms;
    return sooner(next, held_run(hub));
}
