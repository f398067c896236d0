#include "debrief/reports.h"

#include <stdio.h>
#include <string.h>

#include "debrief/rules.h"

#define HOUR_MS INT64_C(3600000)

/* One that nobody reported is still said for this long after it was due. */
#define OVERDUE_MS (14 * 24 * HOUR_MS)

/* Injury beyond first aid, death and disappearance: 48 hours; other accidents ten days (33 CFR 173.55). One of which nobody said
 * how bad it was may be either. */
static const char *accident_words(enum report_of of, enum hurt_how how)
{
    if (of == REPORT_OF_ACCIDENT)
        return how == HURT_HOW_NOT_SAID ? "HURT: if nobody was hurt beyond first aid" : NULL;
    switch (how) {
    case HURT_HOW_NOT_SAID: return "HURT: if it is beyond first aid";
    case HURT_HOW_FIRST_AID: return NULL;
    case HURT_HOW_BEYOND_FIRST_AID: return "HURT: injury beyond first aid";
    case HURT_HOW_MISSING: return "HURT: somebody is missing";
    case HURT_HOW_DEAD: return "HURT: somebody died";
    case HURT_HOW_COUNT_: break;
    }
    return NULL;
}

static bool fish_counts(const struct rule_report *rule, const struct box_fish *fish)
{
    bool fate =
        fish->fate == FISH_FATE_KEPT || (rule->of == REPORT_OF_KEPT_OR_DEAD && fish->fate == FISH_FATE_DISCARDED_DEAD);
    bool of_fish = rule->of == REPORT_OF_KEPT || rule->of == REPORT_OF_KEPT_OR_DEAD;
    return of_fish && fate && rules_among(rule->codes, rule->codes_count, fish->code);
}

static void timed(struct report *report, int64_t from_ms, int32_t hours)
{
    report->hours = hours;
    report->from_ms = from_ms;
    report->due_ms = from_ms == 0 ? 0 : from_ms + hours * HOUR_MS;
}

static void of_fish(const struct box *box, const struct rule_report *rule, const struct box_fish *fish,
                    struct report *out)
{
    const char *dead = fish->fate == FISH_FATE_DISCARDED_DEAD ? ", went back dead" : "";
    memset(out, 0, sizeof *out);
    (void)snprintf(out->of, sizeof out->of, "%s%s", rules_name(&box->rules, fish->code), dead);
    out->id = fish->id;
    out->confirmed = fish->report;
    out->note = rule->note;
    out->citation = rule->citation;
    timed(out, box->landed_ms, rule->hours);
}

static void of_hurt(const struct rule_report *rule, const struct box_hurt *hurt, const char *words, struct report *out)
{
    memset(out, 0, sizeof *out);
    (void)snprintf(out->of, sizeof out->of, "%s", words);
    out->id = hurt->id;
    out->confirmed = hurt->report;
    out->note = rule->note;
    out->citation = rule->citation;
    timed(out, hurt->at_ms, rule->hours);
}

static void left_due(const struct box_due *due, struct report *out)
{
    memset(out, 0, sizeof *out);
    (void)snprintf(out->of, sizeof out->of, "%s, an earlier trip", due->kept.name);
    out->id = due->kept.of;
    out->confirmed = due->report;
    out->note = "";
    out->citation = due->kept.citation;
    out->from_ms = due->kept.from_ms;
    out->due_ms = due->kept.due_ms;
    out->hours = (int32_t)((due->kept.due_ms - due->kept.from_ms) / HOUR_MS);
}

int32_t reports_of(const struct box *box, struct report *out, int32_t max)
{
    int32_t count = 0;
    for (int32_t i = 0; i < box->due_count && count < max; i++)
        left_due(&box->due[i], &out[count++]);
    for (int32_t i = 0; box->has_rules && i < box->rules.reports_count; i++) {
        const struct rule_report *rule = &box->rules.reports[i];
        for (int32_t k = 0; k < box->count && count < max; k++)
            if (fish_counts(rule, &box->fish[k]))
                of_fish(box, rule, &box->fish[k], &out[count++]);
        bool accident = rule->of == REPORT_OF_ACCIDENT || rule->of == REPORT_OF_ACCIDENT_GRAVE;
        for (int32_t k = 0; accident && k < box->hurts_count && count < max; k++) {
            const char *words = accident_words(rule->of, box->hurts[k].how);
            if (words)
                of_hurt(rule, &box->hurts[k], words, &out[count++]);
        }
    }
    return count;
}

bool reports_hand_on(const struct report *report, int64_t now_ms, struct body_report_kept *out)
{
    if (report->confirmed[0] != '\0' || report->due_ms == 0 || now_ms - report->due_ms > OVERDUE_MS)
        return false;
    const char *earlier = strstr(report->of, ", an earlier trip");
    int len = earlier ? (int)(earlier - report->of) : (int)strlen(report->of);
    memset(out, 0, sizeof *out);
    out->of = report->id;
    (void)snprintf(out->name, sizeof out->name, "%.*s", len, report->of);
    out->from_ms = report->from_ms;
    out->due_ms = report->due_ms;
    (void)snprintf(out->citation, sizeof out->citation, "%s", report->citation);
    return true;
}
