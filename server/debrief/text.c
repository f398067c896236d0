#include "debrief/text.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "debrief/day.h"
#include "debrief/effort.h"
#include "debrief/json_rows.h"
#include "debrief/reports.h"
#include "debrief/standing.h"
#include "debrief/words.h"
#include "debrief/work.h"
#include "plain.h"

enum { LINE_BYTES = 1024 };

static void line(struct out *o, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void line(struct out *o, const char *format, ...)
{
    char text[LINE_BYTES];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(text, sizeof text, format, args);
    va_end(args);
    plain_line(text);
    out_format(o, "%s\n", text);
}

static const char *s(int64_t count)
{
    return count == 1 ? "" : "s";
}

/* "14 h 20 min", "3 min 5 s", "12 s". */
static const char *lasted(double seconds, char text[32])
{
    int64_t whole = (int64_t)(seconds + 0.5);
    if (whole >= 3600)
        (void)snprintf(text, 32, "%" PRId64 " h %" PRId64 " min", whole / 3600, whole / 60 % 60);
    else if (whole >= 60)
        (void)snprintf(text, 32, "%" PRId64 " min %" PRId64 " s", whole / 60, whole % 60);
    else
        (void)snprintf(text, 32, "%" PRId64 " s", whole);
    return text;
}

/* ---- head ---- */

static void trip(const struct debrief *d, struct out *o, const struct facts *f)
{
    char when[48], long_words[32];
    struct day_clock clock = day_clock(f->utc_offset_ms, d->choice.zone_min, f->started_ms);
    bool known = day_when(&clock, d->choice.zone_min, f->started_ms, when);
    line(o, "%s, trip %d: from %s, %s%s.", texts_get(&d->texts, f->name), f->no,
         known ? when : "a time of day that was never known",
         lasted((double)(f->ended_ms - f->started_ms) / 1000, long_words),
         f->open ? "; it was never ended, so this goes up to its last entry" : "");
}

static void head(const struct debrief *d, struct out *o)
{
    enum { TRIPS_TOLD = 3 };
    for (int32_t i = 0; i < d->trips.count && i < TRIPS_TOLD; i++)
        trip(d, o, d->trips.items[i]);
    if (d->trips.count > TRIPS_TOLD)
        line(o, "... %d trips in all, taken together.", d->trips.count);
}

static void counts(const struct debrief *d, struct out *o)
{
    const struct debrief_counts *c = &d->counts;
    int32_t lost = c->pulled + c->broke_off + c->bitten_off;
    out_text(o, "\n");
    line(o, "%d raised, %d bite%s, %d on, %d caught: %d boated, %d released, %d of these with the leader in hand.",
         c->raises, c->bites, s(c->bites), c->hooked, c->caught, c->boated, c->released, c->released_leader);
    if (c->bites_blind > 0)
        line(o, "%d of the bites came blind, with no fish seen before.", c->bites_blind);
    if (lost > 0)
        line(o, "%d lost: %d pulled, %d broke off, %d bitten off.", lost, c->pulled, c->broke_off, c->bitten_off);
    int32_t open = c->ends_not_known + c->fights_not_known + c->fights_open;
    if (open > 0)
        line(o, "Of %d nobody has told how it ended.", open);
}

/* ---- rates ---- */

static void group(const struct debrief *d, struct out *o, const struct effort_group *g)
{
    const char *key = texts_get(&d->texts, g->key);
    double hours = (double)g->line_ms / 3600000;
    if (g->line_ms == 0) {
        line(o, "  %s: %d bite%s, and no time in which it fished for sure.", key, g->bites, s(g->bites));
        return;
    }
    struct limits most = rates_counts(g->bites, 0.95);
    double lo = effort_per_10h(most.lo, g->line_ms), hi = effort_per_10h(most.hi, g->line_ms);
    switch (effort_few(g->bites)) {
    case EFFORT_NONE: line(o, "  %s: no bite in %.1f line-hours; at most %.1f in 10.", key, hours, hi); break;
    case EFFORT_DOTS:
        line(o, "  %s: %d bite%s in %.1f line-hours; too few for a rate.", key, g->bites, s(g->bites), hours);
        break;
    case EFFORT_FEW:
    case EFFORT_MANY:
        line(o, "  %s: %d bites in %.1f line-hours: %.1f in 10, from %.1f to %.1f%s.", key, g->bites, hours,
             effort_per_10h(g->bites, g->line_ms), lo, hi, effort_few(g->bites) == EFFORT_FEW ? "; few events" : "");
        break;
    }
}

static void groups(const struct debrief *d, struct out *o, enum effort_by by, const char *title)
{
    bool begun = false;
    for (int32_t i = 0; i < d->effort.count; i++) {
        if (d->effort.items[i].by != by)
            continue;
        if (!begun)
            line(o, "%s", title);
        begun = true;
        group(d, o, &d->effort.items[i]);
    }
}

/* Each pair is judged by a 95 % interval of its own: among many pairs some lie apart by chance alone, and that is said. */
static void compared(const struct debrief *d, struct out *o)
{
    int32_t same = 0;
    if (d->compared.count == 0)
        return;
    line(o, "Compared in pairs (of 20 pairs that are the same, about 1 looks apart by chance)");
    for (int32_t i = 0; i < d->compared.count; i++) {
        const struct difference *difference = &d->compared.items[i];
        const char *a = texts_get(&d->texts, difference->a), *b = texts_get(&d->texts, difference->b);
        if (difference->most.lo <= 0 && difference->most.hi >= 0)
            same++;
        else
            line(o, "  %s and %s: %.1f in 10 line-hours apart, from %.1f to %.1f.", a, b, difference->per_10h,
                 difference->most.lo, difference->most.hi);
    }
    if (same > 0)
        line(o, "  %" PRId32 " of %" PRId32 " pairs: these could be the same.", same, d->compared.count);
}

static void effort(const struct debrief *d, struct out *o)
{
    out_text(o, "\n");
    line(o, "Bites in 10 line-hours, with the limits between which the rate lies 95 times in 100:");
    groups(d, o, EFFORT_ALL, "All lines and floats");
    groups(d, o, EFFORT_POSITION, "By position");
    groups(d, o, EFFORT_BAIT, "By bait");
    groups(d, o, EFFORT_LIGHT, "By day and by night");
    compared(d, o);
    for (int32_t i = 0; i < d->effort.count; i++) {
        if (d->effort.items[i].by == EFFORT_ALL && d->effort.items[i].not_known_ms > 0)
            line(o, "For %.1f more line-hours it is not known whether they fished; they are in no rate.",
                 (double)d->effort.items[i].not_known_ms / 3600000);
    }
}

/* ---- times ---- */

static void times(const struct debrief *d, struct out *o)
{
    char name[64], median[32], most[32];
    out_text(o, "\n");
    line(o, "Times: half of them took no longer than");
    for (int32_t i = 0; i < d->times.count; i++) {
        const struct times_group *times = &d->times.items[i];
        int32_t n = times->seconds.count;
        if (n == 0)
            continue;
        words_say(times_of_name(times->of), name, sizeof name);
        line(o, "  %s%s%s: %s, the longest %s (%d)", name, times->group ? ", " : "", texts_get(&d->texts, times->group),
             lasted(rates_quantile(times->seconds.items, n, 0.5), median), lasted(times->seconds.items[n - 1], most),
             n);
    }
}

/* ---- the rest ---- */

static void care(const struct debrief *d, struct out *o)
{
    int32_t missed = 0, left = 0, fast = 0, near = 0;
    int64_t unnamed_ms = 0;
    char words[32];
    for (int32_t i = 0; i < d->trips.count; i++) {
        const struct facts *f = d->trips.items[i];
        near += f->near_misses.count;
        unnamed_ms += f->duties[POST_LOOK_OUT].unnamed_ms;
        for (int32_t k = 1; k <= BOARD_LINES_MAX; k++)
            missed += f->baits[k].missed;
        for (int32_t k = 0; k < f->checks.count; k++) {
            left += f->checks.items[k].state != CHECK_STATE_DONE;
            fast += work_faster_than_reading(&f->checks.items[k]);
        }
    }
    out_text(o, "\n");
    line(o, "%d bait check%s missed. Under way the look-out was nobody's by name for %s.", missed, s(missed),
         lasted((double)unnamed_ms / 1000, words));
    line(o, "%d checklist%s left with items open; %d done faster than it can be read. %d near miss%s told.", left,
         s(left), fast, near, near == 1 ? "" : "es");
}

/* ---- the fish, by the rule set that the trip took along ---- */

static void fates(struct out *o, const struct box *box)
{
    int32_t kept = 0, released = 0, untold = standing_untold(box);
    for (int32_t i = 0; i < box->count; i++) {
        kept += box_kept(&box->fish[i]);
        released += box->fish[i].fate == FISH_FATE_RELEASED;
    }
    line(o, "Of %d fish told of or landed %d are logged as kept, %d as released.", box->count, kept, released);
    if (untold > 0)
        line(o, "  %d kept without a species told: counted in no row.", untold);
}

static void stands(struct out *o, const struct standing *row)
{
    char stated[40] = "";
    if (row->logged == 0 && row->other == 0)
        return;
    if (row->limit != STANDING_NONE)
        (void)snprintf(stated, sizeof stated, ", the limit %d", row->limit);
    line(o, "  %s: %d logged%s (%s). %s", row->row->name, row->logged, stated, row->basis, row->row->citation);
    for (int32_t i = 0; i < row->sayings.count; i++)
        line(o, "    %s", row->sayings.words[i]);
}

static void due(struct out *o, const struct box *box)
{
    struct report reports[REPORTS_MAX];
    int32_t count = reports_of(box, reports, REPORTS_MAX);
    for (int32_t i = 0; i < count; i++)
        line(o, "  Report of %s, within %d hours%s%s (%s).", reports[i].of, reports[i].hours,
             reports[i].confirmed[0] ? ": number " : ": no number is logged", reports[i].confirmed,
             reports[i].citation);
}

static void fish(const struct debrief *d, struct out *o, const struct facts *last)
{
    struct standing rows[sizeof last->box.rules.rows / sizeof last->box.rules.rows[0]];
    struct standing_when when = {.now_ms = last->ended_ms, .zone_min = d->choice.zone_min};
    char caution[STANDING_WORDS];
    out_text(o, "\n");
    fates(o, &last->box);
    if (!last->box.has_rules)
        return;
    standing_caution(&last->box.rules, &last->box, &when, caution);
    line(o, "By \"%s\", dated %s. %s", last->box.rules.name, last->box.rules.dated, caution);
    int32_t count = standing_of(&last->box, &when, rows);
    for (int32_t i = 0; i < count; i++)
        stands(o, &rows[i]);
    due(o, &last->box);
}

/* ---- cards ---- */

static void card(const struct debrief *d, struct out *o, const char *title, const struct card_line *lines,
                 int32_t count)
{
    if (count == 0)
        return;
    out_text(o, "\n");
    line(o, "%s", title);
    for (int32_t i = 0; i < count; i++)
        line(o, "  %s", texts_get(&d->texts, lines[i].words));
}

static void jobs(const struct debrief *d, struct out *o, const struct facts *f)
{
    if (f->jobs[0].no == 0)
        return;
    out_text(o, "\n");
    line(o, "What next?");
    for (int32_t i = 0; i < 3 && f->jobs[i].no != 0; i++) {
        const struct job_fact *job = &f->jobs[i];
        const char *name = json_person(d, job->name), *day = texts_get(&d->texts, job->by_day);
        line(o, "  %s%s%s%s%s%s", texts_get(&d->texts, job->text), name[0] ? ": " : "", name, day[0] ? ", by " : "",
             day, job->done ? " (done)" : "");
    }
}

static void record(const struct debrief *d, struct out *o)
{
    const struct trend_row *r = &d->record;
    char clear[32], got[32];
    if (r->trips == 0)
        return;
    out_text(o, "\n");
    line(o, "The boat's other %d trip%s: %d bite%s and %d caught in %.1f line-hours.", r->trips, s(r->trips), r->bites,
         s(r->bites), r->caught, (double)r->line_ms / 3600000);
    if (r->clear_n > 0)
        line(o, "  Lines in after %s as a rule (%d times).", lasted(r->clear_median_s, clear), r->clear_n);
    if (r->got_n > 0)
        line(o, "  Calls answered after %s as a rule (%d times).", lasted(r->got_median_s, got), r->got_n);
}

void text_write(const struct debrief *d, struct out *o)
{
    const struct facts *last = d->trips.items[d->trips.count - 1];
    head(d, o);
    counts(d, o);
    effort(d, o);
    times(d, o);
    care(d, o);
    fish(d, o, last);
    record(d, o);
    card(d, o, "What did we plan?", last->planned.items, last->planned.count);
    card(d, o, "What happened?", last->happened.items, last->happened.count);
    card(d, o, "Why? What was known then?", last->why.items, last->why.count);
    jobs(d, o, last);
    out_text(o, "\n");
    line(o, "This is what was logged. Times of day are %s.", d->choice.zone_min == 0 ? "UTC" : "of the zone asked for");
}
