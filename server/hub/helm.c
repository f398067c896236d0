#include "helm.h"

#include "own.h"
#include "send.h"
#include "taps.h"

static bool trip_runs(const struct board *board)
{
    return board->trip.id.n != 0 && board->trip.phase != PHASE_ENDED;
}

/* Guesses are slowed for everybody at once: a guesser can change its address, and the helm is needed seldom. */
static enum refusal_code number_check(struct hub *hub, const char *number)
{
    if (!guard_open(&hub->number_guard, hub->now.boot_ms))
        return REFUSAL_NUMBER_WAIT;
    if (number[0] != '\0' && hash_same_text(number, hub->seed.helm_number)) {
        guard_right(&hub->number_guard);
        return REFUSAL_NONE;
    }
    guard_wrong(&hub->number_guard, hub->now.boot_ms);
    return REFUSAL_WRONG_NUMBER;
}

static enum refusal_code helm_admit(struct hub *hub, struct conn *conn, const struct msg_take_helm *take)
{
    if (conn->from != SOURCE_CREW)
        return REFUSAL_NOT_ALLOWED;
    if (!bucket_use(&conn->taps, hub->now.boot_ms, LIMIT_TAPS_PER_SECOND, LIMIT_TAPS_BURST))
        return REFUSAL_TOO_FAST;
    return trip_runs(&hub->board) ? REFUSAL_NONE : number_check(hub, take->number);
}

void helm_take(struct hub *hub, struct conn *conn, const struct msg_take_helm *take)
{
    enum refusal_code code = helm_admit(hub, conn, take);
    if (code == REFUSAL_NONE && own_helm(hub, conn->page, conn->device, take->hand) == OWN_NO_ROOM)
        code = REFUSAL_QUEUE_FULL;
    if (code != REFUSAL_NONE)
        send_refused(hub, conn, code);
}
