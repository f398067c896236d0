#include "net/reads.h"

#include <string.h>
#include <strings.h>

/* Digits alone, up to 999999999999999 (the protocol's largest number). "" gives what is usual. */
static bool number(const char *text, int64_t usual, int64_t *value)
{
    *value = usual;
    if (!*text)
        return true;
    size_t digits = strspn(text, "0123456789");
    if (digits == 0 || digits > 15 || text[digits])
        return false;
    *value = 0;
    for (size_t i = 0; i < digits; i++)
        *value = *value * 10 + (text[i] - '0');
    return true;
}

static bool is_crew_or_guest(const struct hub *hub, const char *authorization)
{
    const char scheme[] = "Bearer ";
    if (strncasecmp(authorization, scheme, sizeof scheme - 1) != 0)
        return false;
    return hub_token_source(hub, authorization + sizeof scheme - 1) != SOURCE_ANYONE;
}

/* Hands the hub's JSON over to the reply. */
static void give(struct reply *reply, char *json)
{
    if (!json) {
        reply_say(reply, 404, "There is no entry of that number in this log.\n");
        return;
    }
    reply_say(reply, 200, json);
    reply->type = "application/json";
    reply->owned = json;
}

static void answer_log(struct hub *hub, const struct reads_arguments *arguments, struct reply *reply)
{
    int64_t from_seq, max;
    if (!number(arguments->from, 1, &from_seq) || !number(arguments->max, READS_ROWS_MAX, &max) || from_seq < 1 ||
        max < 1 || max > READS_ROWS_MAX) {
        reply_say(reply, 400, "Ask for /log?from=SEQ&max=N, with SEQ from 1 and N from 1 to 1000.\n");
        return;
    }
    give(reply, hub_log_json(hub, from_seq, (int32_t)max));
}

static void answer_board(struct hub *hub, const struct reads_arguments *arguments, struct reply *reply)
{
    int64_t at_seq;
    if (!*arguments->at || !number(arguments->at, 0, &at_seq)) {
        reply_say(reply, 400, "Ask for /board?at=SEQ, with the number of an entry.\n");
        return;
    }
    give(reply, hub_board_json(hub, at_seq));
}

/* From 14 hours west of UTC to 14 east, as zones go. */
static void answer_fish(struct hub *hub, const struct reads_arguments *arguments, struct reply *reply)
{
    int64_t minutes;
    bool west = arguments->zone[0] == '-';
    if (!number(arguments->zone + (west ? 1 : 0), 0, &minutes) || minutes > 14 * 60) {
        reply_say(reply, 400, "Ask for /fish?zone=MINUTES, from -840 to 840 east of UTC.\n");
        return;
    }
    give(reply, hub_fish_json(hub, (int32_t)(west ? -minutes : minutes)));
}

bool reads_slow(const char *path)
{
    return strcmp(path, "/debrief.json") == 0 || strcmp(path, "/debrief.html") == 0 || strcmp(path, "/replay") == 0;
}

enum slow_what reads_what(const char *path)
{
    if (strcmp(path, "/replay") == 0)
        return SLOW_REPLAY;
    return strcmp(path, "/debrief.html") == 0 ? SLOW_FILE : SLOW_NUMBERS;
}

bool reads_allowed(const struct hub *hub, const struct request *request, struct reply *reply)
{
    bool allowed = is_crew_or_guest(hub, request->authorization);
    if (!allowed)
        reply_say(reply, 401, "This is for the crew and its guests: join the board first, with the join code.\n");
    return allowed;
}

bool reads_own(const char *path)
{
    return strcmp(path, "/log") == 0 || strcmp(path, "/board") == 0 || strcmp(path, "/fish") == 0;
}

void reads_answer(struct hub *hub, const struct request *request, const struct reads_arguments *arguments,
                  struct reply *reply)
{
    if (!reads_allowed(hub, request, reply))
        return;
    if (strcmp(request->path, "/log") == 0)
        answer_log(hub, arguments, reply);
    else if (strcmp(request->path, "/fish") == 0)
        answer_fish(hub, arguments, reply);
    else
        answer_board(hub, arguments, reply);
}
