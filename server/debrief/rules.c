#include "debrief/rules.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "proto_json.h"

/* Days from civil date and back: proleptic Gregorian, years from March (H. Hinnant, "chrono-compatible low-level date algorithms"). */
static int64_t days_of(int32_t year, int32_t month, int32_t day)
{
    int64_t y = month <= 2 ? year - 1 : year;
    int64_t era = y / 400, of_era = y - era * 400;
    int64_t of_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + day - 1;
    return era * 146097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year - 719468;
}

int32_t rules_year(int64_t days)
{
    int64_t z = days + 719468, era = z / 146097, of_era = z - era * 146097;
    int64_t year_of_era = (of_era - of_era / 1460 + of_era / 36524 - of_era / 146096) / 365;
    int64_t of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    return (int32_t)(year_of_era + era * 400 + (of_year >= 306 ? 1 : 0));
}

static int32_t days_in(int32_t year, int32_t month)
{
    static const int32_t DAYS[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    bool leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
    return DAYS[month - 1] + (month == 2 && leap ? 1 : 0);
}

/* The schema has seen to the form already: four digits, two and two. */
int64_t rules_days(const char *day)
{
    if (strlen(day) != 10)
        return -1;
    int32_t year = (int32_t)strtol(day, NULL, 10), month = (int32_t)strtol(day + 5, NULL, 10);
    int32_t of_month = (int32_t)strtol(day + 8, NULL, 10);
    bool good = year >= 1970 && month >= 1 && month <= 12 && of_month >= 1 && of_month <= days_in(year, month);
    return good ? days_of(year, month, of_month) : -1;
}

bool rules_hold(const struct rule_set *set, int64_t days)
{
    return days >= rules_days(set->valid_from) && (set->valid_to[0] == '\0' || days <= rules_days(set->valid_to));
}

const struct rule_set *rules_on(const struct rules *rules, int64_t days)
{
    const struct rule_set *best = rules->count > 0 ? &rules->sets[0] : NULL;
    for (int32_t i = 0; i < rules->count; i++) {
        const struct rule_set *set = &rules->sets[i];
        if (rules_hold(set, days))
            return set;
        bool began = rules_days(set->valid_from) <= days;
        if (began &&
            (rules_days(best->valid_from) > days || rules_days(set->valid_from) > rules_days(best->valid_from)))
            best = set;
    }
    return best;
}

const char *rules_name(const struct rule_set *set, const char *code)
{
    for (int32_t i = 0; i < set->species_count; i++)
        if (strcmp(set->species[i].code, code) == 0)
            return set->species[i].name;
    return code;
}

bool rules_among(const char codes[][4], int32_t count, const char *code)
{
    for (int32_t i = 0; i < count; i++)
        if (strcmp(codes[i], code) == 0)
            return true;
    return false;
}

/* A tenth of an inch is 2540 micrometres, a tenth of a centimetre 1000: whole numbers, so nothing is ever rounded. */
bool rules_below(int64_t length_um, int32_t tenths, enum length_unit unit)
{
    return length_um < (int64_t)tenths * (unit == LENGTH_UNIT_INCH ? 2540 : 1000);
}

const char *rules_measure_words(enum measure measure)
{
    switch (measure) {
    case MEASURE_NONE: return "not said how";
    case MEASURE_CURVED_FORK: return "curved, over the fin, upper jaw to fork";
    case MEASURE_LOWER_JAW_FORK: return "straight, lower jaw to fork";
    case MEASURE_FORK: return "straight, snout to fork";
    case MEASURE_CLEITHRUM_KEEL: return "head off: cleithrum to keel, along the body";
    case MEASURE_PECTORAL_FORK: return "head off: pectoral fin to fork, along the body";
    case MEASURE_COUNT_: break;
    }
    return "";
}

void rules_size_words(int32_t tenths, enum length_unit unit, char out[24])
{
    const char *name = unit == LENGTH_UNIT_INCH ? "in" : "cm";
    if (tenths % 10 == 0)
        (void)snprintf(out, 24, "%d %s", (int)(tenths / 10), name);
    else
        (void)snprintf(out, 24, "%d.%d %s", (int)(tenths / 10), (int)(tenths % 10), name);
}

/* What is wrong, and where: the path is that of the member in the file. */
static bool bad(struct proto_error *error, const char *words, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
static bool bad(struct proto_error *error, const char *words, const char *format, ...)
{
    char at[sizeof error->at];
    va_list args;
    va_start(args, format);
    (void)vsnprintf(at, sizeof at, format, args);
    va_end(args);
    return proto_error_set(error, "bad_form", at, words);
}

static bool species_good(const struct rule_set *set, struct proto_error *error)
{
    if (set->species_count == 0)
        return bad(error, "A rule set names one species at least.", "species");
    for (int32_t i = 0; i < set->species_count; i++)
        for (int32_t k = 0; k < i; k++)
            if (strcmp(set->species[i].code, set->species[k].code) == 0)
                return bad(error, "This species is named a second time.", "species.%d.code", (int)i);
    return true;
}

static bool codes_good(const struct rule_set *set, const char codes[][4], int32_t count, const char *path,
                       struct proto_error *error)
{
    for (int32_t i = 0; i < count; i++) {
        bool known = false;
        for (int32_t k = 0; k < set->species_count; k++)
            known |= strcmp(set->species[k].code, codes[i]) == 0;
        if (!known)
            return bad(error, "This code is not among the species of the rule set.", "%s.%d", path, (int)i);
        if (rules_among(codes, i, codes[i]))
            return bad(error, "This code is named a second time.", "%s.%d", path, (int)i);
    }
    return true;
}

static bool sizes_good(const struct rule_row *row, int32_t index, struct proto_error *error)
{
    for (int32_t i = 0; i < row->sizes_count; i++) {
        const struct rule_size *size = &row->sizes[i];
        if (size->measure == MEASURE_NONE)
            return bad(error, "A size needs its measure.", "rows.%d.sizes.%d.measure", (int)index, (int)i);
        if (size->least_tenths == 0 && size->below_tenths == 0)
            return bad(error, "This size says nothing.", "rows.%d.sizes.%d", (int)index, (int)i);
        if (size->below_tenths != 0 && size->below_tenths <= size->least_tenths)
            return bad(error, "Below is not above least.", "rows.%d.sizes.%d.below_tenths", (int)index, (int)i);
        for (int32_t k = 0; k < i; k++)
            if (row->sizes[k].measure == size->measure)
                return bad(error, "This measure is named a second time.", "rows.%d.sizes.%d.measure", (int)index,
                           (int)i);
    }
    return true;
}

static bool uses_good(const struct rule_row *row, int32_t index, struct proto_error *error)
{
    for (int32_t i = 0; i < row->uses_count; i++) {
        if (row->uses[i] == TRIP_USE_NOT_SAID)
            return bad(error, "A use is private, charter or headboat.", "rows.%d.uses.%d", (int)index, (int)i);
        for (int32_t k = 0; k < i; k++)
            if (row->uses[k] == row->uses[i])
                return bad(error, "This use is named a second time.", "rows.%d.uses.%d", (int)index, (int)i);
    }
    return true;
}

static bool row_limits(const struct rule_row *row)
{
    return row->per_head != 0 || row->per_vessel != 0 || row->no_retention;
}

static bool row_good(const struct rule_set *set, int32_t index, struct proto_error *error)
{
    const struct rule_row *row = &set->rows[index];
    char path[32];
    (void)snprintf(path, sizeof path, "rows.%d.codes", (int)index);
    if (row->codes_count == 0)
        return bad(error, "A row names one species at least.", "%s", path);
    if (!codes_good(set, row->codes, row->codes_count, path, error))
        return false;
    if (row->no_retention && (row->per_head != 0 || row->per_vessel != 0))
        return bad(error, "A row with no retention has no limit as well.", "rows.%d.no_retention", (int)index);
    if (!row_limits(row) && row->sizes_count == 0 && row->note[0] == '\0')
        return bad(error, "This row says nothing: no limit, no size, no note.", "rows.%d", (int)index);
    return uses_good(row, index, error) && sizes_good(row, index, error);
}

static bool uses_meet(const struct rule_row *a, const struct rule_row *b)
{
    if (a->uses_count == 0 || b->uses_count == 0)
        return true;
    for (int32_t i = 0; i < a->uses_count; i++)
        for (int32_t k = 0; k < b->uses_count; k++)
            if (a->uses[i] == b->uses[k])
                return true;
    return false;
}

/* Do two rows leave no length that belongs to one of them alone? Without a size a row is for every length. */
static bool sizes_meet(const struct rule_row *a, const struct rule_row *b)
{
    if (a->sizes_count == 0 || b->sizes_count == 0)
        return true;
    const struct rule_size *x = &a->sizes[0], *y = &b->sizes[0];
    bool x_first = x->below_tenths != 0 && x->below_tenths <= y->least_tenths;
    bool y_first = y->below_tenths != 0 && y->below_tenths <= x->least_tenths;
    return !x_first && !y_first;
}

/* One species may be limited by several rows: a day's and a year's, a big fish's and a small one's, a private boat's and a charter's;
 * not twice by the same. */
static bool rows_apart(const struct rule_set *set, int32_t index, struct proto_error *error)
{
    const struct rule_row *row = &set->rows[index];
    for (int32_t k = 0; k < index; k++) {
        const struct rule_row *other = &set->rows[k];
        bool both = row_limits(row) && row_limits(other) && row->over == other->over;
        for (int32_t i = 0; both && i < row->codes_count; i++)
            if (rules_among(other->codes, other->codes_count, row->codes[i]) && uses_meet(row, other) &&
                sizes_meet(row, other))
                return bad(error, "An earlier row limits this species for the same trips already.", "rows.%d.codes.%d",
                           (int)index, (int)i);
    }
    return true;
}

static bool rest_good(const struct rule_set *set, struct proto_error *error)
{
    char path[32];
    for (int32_t i = 0; i < set->classes_count; i++) {
        const struct rule_class *one = &set->classes[i];
        if (!codes_good(set, &one->code, 1, "classes", error))
            return bad(error, "This code is not among the species of the rule set.", "classes.%d.code", (int)i);
        const struct rule_class *before = i > 0 ? &set->classes[i - 1] : NULL;
        if (before && strcmp(before->code, one->code) == 0 && before->from_tenths >= one->from_tenths)
            return bad(error, "The classes of a species rise from the smallest to the largest.",
                       "classes.%d.from_tenths", (int)i);
    }
    for (int32_t i = 0; i < set->bans_count; i++) {
        const struct rule_ban *ban = &set->bans[i];
        (void)snprintf(path, sizeof path, "bans.%d.codes", (int)i);
        if (!codes_good(set, ban->codes, ban->codes_count, path, error))
            return false;
        (void)snprintf(path, sizeof path, "bans.%d.others", (int)i);
        if (!codes_good(set, ban->others, ban->others_count, path, error))
            return false;
        for (int32_t k = 0; k < ban->others_count; k++)
            if (rules_among(ban->codes, ban->codes_count, ban->others[k]))
                return bad(error, "A species cannot be banned together with itself.", "%s.%d", path, (int)k);
    }
    for (int32_t i = 0; i < set->reports_count; i++) {
        const struct rule_report *report = &set->reports[i];
        bool fish = report->of == REPORT_OF_KEPT || report->of == REPORT_OF_KEPT_OR_DEAD;
        (void)snprintf(path, sizeof path, "reports.%d.codes", (int)i);
        if (fish != (report->codes_count > 0))
            return bad(error, "A report of fish names its species, one of an accident none.", "reports.%d", (int)i);
        if (!codes_good(set, report->codes, report->codes_count, path, error))
            return false;
    }
    return true;
}

static bool dates_good(const struct rule_set *set, struct proto_error *error)
{
    if (rules_days(set->dated) < 0)
        return bad(error, "There is no such day.", "dated");
    if (rules_days(set->valid_from) < 0)
        return bad(error, "There is no such day.", "valid_from");
    if (set->valid_to[0] != '\0' && rules_days(set->valid_to) < 0)
        return bad(error, "There is no such day.", "valid_to");
    if (set->valid_to[0] != '\0' && rules_days(set->valid_to) < rules_days(set->valid_from))
        return bad(error, "It ends before it begins.", "valid_to");
    return true;
}

static bool set_good(const struct rule_set *set, struct proto_error *error)
{
    if (!dates_good(set, error) || !species_good(set, error))
        return false;
    if (set->rows_count == 0)
        return bad(error, "A rule set has one row at least.", "rows");
    for (int32_t i = 0; i < set->rows_count; i++)
        if (!row_good(set, i, error) || !rows_apart(set, i, error))
            return false;
    return rest_good(set, error);
}

static bool days_meet(const struct rule_set *a, const struct rule_set *b)
{
    bool a_ends = a->valid_to[0] != '\0' && rules_days(a->valid_to) < rules_days(b->valid_from);
    bool b_ends = b->valid_to[0] != '\0' && rules_days(b->valid_to) < rules_days(a->valid_from);
    return !a_ends && !b_ends;
}

static bool sets_read(const cJSON *json, struct rules *rules, struct proto_error *error)
{
    char step[16];
    if (!cJSON_IsArray(json)) {
        rules->count = 1;
        return rule_set_from_json(json, &rules->sets[0], error) && set_good(&rules->sets[0], error);
    }
    int count = cJSON_GetArraySize(json);
    if (count < 1 || count > RULES_SETS_MAX)
        return bad(error, "A file holds one to four rule sets.", "%s", "");
    const cJSON *item = json->child;
    for (rules->count = 0; item; item = item->next, rules->count++) {
        struct rule_set *set = &rules->sets[rules->count];
        bool good = rule_set_from_json(item, set, error) && set_good(set, error);
        for (int32_t k = 0; good && k < rules->count; k++)
            if (days_meet(set, &rules->sets[k]))
                good = bad(error, "Its days overlap those of an earlier rule set of this file.", "valid_from");
        (void)snprintf(step, sizeof step, "%d", (int)rules->count);
        if (!good) {
            proto_error_within(error, step);
            return false;
        }
    }
    return true;
}

/* The scanner below finds the place of a member, so that a mistake can be told by its line. The text is JSON by then: nothing is
 * checked again. */
static const char *skip_space(const char *p)
{
    return p + strspn(p, " \t\r\n");
}

static const char *skip_text(const char *p)
{
    for (p++; *p != '"'; p++)
        p += *p == '\\' ? 1 : 0;
    return p + 1;
}

static const char *skip_value(const char *p)
{
    int32_t depth = 0;
    p = skip_space(p);
    do {
        if (*p == '"') {
            p = skip_text(p);
        } else {
            depth += *p == '{' || *p == '[' ? 1 : 0;
            depth -= *p == '}' || *p == ']' ? 1 : 0;
            p++;
        }
        bool plain_ends = depth == 0 && (*p == ',' || *p == '}' || *p == ']' || strchr(" \t\r\n", *p));
        if (plain_ends || *p == '\0')
            return p;
    } while (true);
}

/* Steps into one member, or item, of the value at p; NULL: it has none of that name. */
static const char *step_into(const char *p, const char *name, size_t len)
{
    bool object = *p == '{';
    if (*p != '{' && *p != '[')
        return NULL;
    long wanted = object ? 0 : strtol(name, NULL, 10);
    p = skip_space(p + 1);
    for (long i = 0; *p != '}' && *p != ']' && *p != '\0'; i++) {
        const char *key = p;
        if (object) {
            p = skip_text(p);
            bool same = (size_t)(p - key) == len + 2 && memcmp(key + 1, name, len) == 0;
            p = skip_space(skip_space(p) + 1);
            if (same)
                return p;
        } else if (i == wanted) {
            return p;
        }
        p = skip_space(skip_value(p));
        if (*p == ',')
            p = skip_space(p + 1);
    }
    return NULL;
}

static int32_t line_at(const char *text, const char *at)
{
    int32_t line = 1;
    for (; text < at; text++)
        line += *text == '\n' ? 1 : 0;
    return line;
}

/* The line of a path such as rows.3.per_head; of the innermost part of it that is there. */
static int32_t line_of(const char *text, const char *path)
{
    if (strncmp(path, "byte ", 5) == 0) {
        size_t byte = (size_t)strtol(path + 5, NULL, 10), len = strlen(text);
        return line_at(text, text + (byte < len ? byte : len));
    }
    const char *p = skip_space(text);
    while (*path != '\0') {
        size_t len = strcspn(path, ".");
        const char *inner = step_into(p, path, len);
        if (!inner)
            break;
        p = inner;
        path += len + (path[len] == '.' ? 1 : 0);
    }
    return line_at(text, p);
}

static enum err refuse(const char *text, const char *name, const struct proto_error *error, struct msg *why)
{
    bool path = error->at[0] != '\0' && strncmp(error->at, "byte ", 5) != 0;
    return err_set(why, ERR_DATA, "%s, line %d: %s%s%s", name, (int)line_of(text, error->at), path ? error->at : "",
                   path ? ": " : "", error->words);
}

enum err rules_read(const char *text, size_t len, const char *name, struct rules *out, struct msg *why)
{
    struct proto_error error = {0};
    if (len > RULES_BYTES_MAX)
        return err_set(why, ERR_DATA, "%s has %zu bytes: a file of rule sets has at most %d.", name, len,
                       RULES_BYTES_MAX);
    if (strspn(text, " \t\r\n") == len)
        return err_set(why, ERR_DATA, "%s is empty: no rule set stands in it.", name);
    cJSON *json = json_read(text, len, &error);
    if (!json)
        return refuse(text, name, &error, why);
    struct rules *read = json_sure(calloc(1, sizeof *read));
    bool good = sets_read(json, read, &error);
    if (good)
        *out = *read;
    cJSON_Delete(json);
    free(read);
    return good ? ERR_NONE : refuse(text, name, &error, why);
}
