#include "fish.h"

#include <stdlib.h>

#include "codec.h"
#include "debrief/fish_json.h"
#include "debrief/order.h"
#include "debrief/reports.h"
#include "own.h"

static void gather(struct hub *hub)
{
    int32_t *order = order_make(&hub->journal);
    box_gather(&hub->box, &hub->journal, order);
    free(order);
}

void hub_rules(struct hub *hub, const struct rules *rules)
{
    hub->rules = rules;
}

/* The rule set for a trip that starts now, by the day in UTC; while the clock is not known, the first. Without any, that of the trip
 * whose box was gathered last. NULL: there is none. */
static const struct rule_set *next_rules(const struct hub *hub)
{
    const struct rules *rules = hub->rules;
    if (!rules || rules->count == 0)
        return hub->box.has_rules ? &hub->box.rules : NULL;
    return hub->now.utc_ms == 0 ? &rules->sets[0] : rules_on(rules, hub->now.utc_ms / INT64_C(86400000));
}

char *hub_fish_json(struct hub *hub, int32_t zone_min)
{
    struct standing_when when = {.now_ms = hub->log_ms, .zone_min = zone_min};
    gather(hub);
    cJSON *json = fish_json_answer(&hub->box, &when, next_rules(hub));
    char *text = json_text(json);
    cJSON_Delete(json);
    return text;
}

void fish_look_back(struct hub *hub)
{
    struct report reports[REPORTS_MAX];
    struct fish_over *over = &hub->fish_over;
    gather(hub);
    const struct rule_set *rules = next_rules(hub);
    over->has_rules = rules != NULL;
    if (rules)
        over->rules = *rules;
    box_hand_on(&hub->box, hub->log_ms, &over->fish);
    over->reports_count = 0;
    int32_t count = reports_of(&hub->box, reports, REPORTS_MAX);
    for (int32_t i = 0; i < count && over->reports_count < BOX_DUE_MAX; i++)
        if (reports_hand_on(&reports[i], hub->log_ms, &over->reports[over->reports_count]))
            over->reports_count++;
}

void fish_note(struct hub *hub)
{
    const struct fish_over *over = &hub->fish_over;
    if (over->has_rules) {
        own_begin(hub, KIND_RULES_KEPT)->rules_kept.set = over->rules;
        (void)own_take(hub);
    }
    if (over->fish.fish_count > 0 || over->fish.more > 0) {
        own_begin(hub, KIND_FISH_KEPT)->fish_kept = over->fish;
        (void)own_take(hub);
    }
    for (int32_t i = 0; i < over->reports_count; i++) {
        own_begin(hub, KIND_REPORT_KEPT)->report_kept = over->reports[i];
        (void)own_take(hub);
    }
}
