/* Runs scenario files straight into the hub. The sentences are described in README.md beside this file.
 *
 *     run_hub TRIP.json SCENARIO.txt...
 *
 * The bench (tests/unit/hub_support.h) compares every screen's board with the hub's after each sentence, and the hub's with a
 * fold of its journal. A sentence that does not hold ends the run: file, line, what was found instead.
 */
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "codec.h"
#include "unit/hub_support.h"

enum { WORDS_MAX = 32, WORD_BYTES = 256, NAMES_MAX = 64, TRIP_BYTES = 16384 };

struct name {
    char name[32];
    struct entry_id id;
};

struct scenario {
    const char *file;
    int line;
    char word[WORDS_MAX][WORD_BYTES];
    int count;
    struct bench bench;
    char page_name[BENCH_PAGES][32];
    struct page_tap last[BENCH_PAGES]; /* of each page; body is owned */
    int32_t alarms_heard[BENCH_PAGES];
    struct name label[NAMES_MAX];
    int label_count;
    struct page *untold; /* its tap must have been seen, unless the next sentence says what it was told */
    char trip[TRIP_BYTES];
    int sentences;
};

__attribute__((format(printf, 2, 3))) static _Noreturn void fail(const struct scenario *scenario, const char *format,
                                                                 ...)
{
    va_list args;
    va_start(args, format);
    (void)fprintf(stderr, "%s:%d: ", scenario->file, scenario->line);
    (void)vfprintf(stderr, format, args);
    (void)fprintf(stderr, "\n");
    va_end(args);
    exit(1);
}

/* --- words ------------------------------------------------------------------------------------------------------------- */

/* Splits at spaces outside of double quotes; the quotes go, unless they are all there is to tell "" by. */
static void split(struct scenario *scenario, const char *text)
{
    bool quoted = false;
    int len = 0;
    scenario->count = 0;
    for (const char *at = text;; at++) {
        bool end = *at == '\0' || *at == '\n' || (*at == '#' && !quoted && len == 0);
        if (end || (*at == ' ' && !quoted)) {
            if (len > 0)
                scenario->word[scenario->count++][len] = '\0';
            len = 0;
            if (end)
                return;
            if (scenario->count == WORDS_MAX)
                fail(scenario, "too many words");
            continue;
        }
        if (*at == '"')
            quoted = !quoted;
        if (len == WORD_BYTES - 1)
            fail(scenario, "a word is too long");
        scenario->word[scenario->count][len++] = *at;
    }
}

static const char *word(const struct scenario *scenario, int index)
{
    return index < scenario->count ? scenario->word[index] : "";
}

static bool is(const struct scenario *scenario, int index, const char *text)
{
    return strcmp(word(scenario, index), text) == 0;
}

/* The value of name=value among the words from `first` on; NULL when it is not there. */
static const char *option(const struct scenario *scenario, int first, const char *name)
{
    size_t len = strlen(name);
    for (int i = first; i < scenario->count; i++)
        if (strncmp(scenario->word[i], name, len) == 0 && scenario->word[i][len] == '=')
            return scenario->word[i] + len + 1;
    return NULL;
}

static int64_t number(const struct scenario *scenario, const char *text)
{
    char *end;
    int64_t value = strtoll(text, &end, 10);
    if (end == text)
        fail(scenario, "%s is no number", text);
    if (strcmp(end, "s") == 0)
        return value * 1000;
    return value;
}

static void copy_name(char out[32], const char *name)
{
    size_t len = strlen(name) < 31 ? strlen(name) : 31;
    memcpy(out, name, len);
    out[len] = '\0';
}

static struct page *page_get(struct scenario *scenario, const char *name)
{
    for (int32_t i = 0; i < scenario->bench.page_count; i++)
        if (strcmp(scenario->page_name[i], name) == 0)
            return &scenario->bench.page[i];
    fail(scenario, "there is no page %s", name);
}

static struct entry_id label_get(const struct scenario *scenario, const char *name)
{
    for (int i = 0; i < scenario->label_count; i++)
        if (*name == '@' && strcmp(scenario->label[i].name, name + 1) == 0)
            return scenario->label[i].id;
    fail(scenario, "no tap was called %s", name);
}

static void unquoted(const char *text, char out[WORD_BYTES])
{
    size_t len = strlen(text);
    bool quotes = len >= 2 && text[0] == '"' && text[len - 1] == '"';
    (void)snprintf(out, WORD_BYTES, "%.*s", (int)(quotes ? len - 2 : len), text + (quotes ? 1 : 0));
}

/* A word as JSON text. */
static void value_text(const struct scenario *scenario, const char *text, char *out, size_t size)
{
    char plain[WORD_BYTES], id[40];
    bool literal = strchr("-0123456789[", *text) != NULL || strcmp(text, "true") == 0 || strcmp(text, "false") == 0;
    if (*text == '@')
        (void)snprintf(plain, sizeof plain, "%s", id_text(label_get(scenario, text), id));
    else
        unquoted(text, plain);
    const char *quote = literal && *text != '\0' ? "" : "\"";
    (void)snprintf(out, size, "%s%s%s", quote, plain, quote);
}

/* --- taps -------------------------------------------------------------------------------------------------------------- */

static bool is_option(const char *text)
{
    return strncmp(text, "ago=", 4) == 0 || strncmp(text, "by=", 3) == 0 || strncmp(text, "for=", 4) == 0;
}

/* Adds name=value, or within.name=value, to the object `of`. */
static void add_member(const struct scenario *scenario, cJSON *of, const char *text)
{
    char name[WORD_BYTES], value[WORD_BYTES + 2];
    const char *equals = strchr(text, '='), *dot = strchr(text, '.');
    if (equals == NULL)
        fail(scenario, "%s is no name=value", text);
    bool deeper = dot != NULL && dot < equals;
    (void)snprintf(name, sizeof name, "%.*s", (int)((deeper ? dot : equals) - text), text);
    if (deeper) {
        cJSON *within = cJSON_GetObjectItemCaseSensitive(of, name);
        add_member(scenario, within != NULL ? within : cJSON_AddObjectToObject(of, name), dot + 1);
        return;
    }
    value_text(scenario, equals + 1, value, sizeof value);
    if (cJSON_AddRawToObject(of, name, value) == NULL)
        fail(scenario, "no memory");
}

/* The words from `first` on that are members of the body, up to "as". */
static char *body_text(const struct scenario *scenario, int first)
{
    cJSON *body = cJSON_CreateObject();
    for (int i = first; i < scenario->count && !is(scenario, i, "as"); i++) {
        if (!is_option(scenario->word[i]))
            add_member(scenario, body, scenario->word[i]);
    }
    char *text = json_text(body);
    cJSON_Delete(body);
    return text;
}

static void send_tap(struct scenario *scenario, struct page *page)
{
    struct page_tap *tap = &scenario->last[page - scenario->bench.page];
    int32_t answers = page->answers;
    page_tap_as(page, tap);
    if (page->answers != answers + 1)
        fail(scenario, "the tap got %d answers; told %s: %s", page->answers - answers, page->told.code,
             page->told.words);
    scenario->untold = page;
}

static void tap(struct scenario *scenario, struct page *page, const char *kind, const char *body)
{
    struct page_tap *last = &scenario->last[page - scenario->bench.page];
    enum entry_kind known;
    if (!kind_find(kind, 1, &known))
        fail(scenario, "there is no kind %s", kind);
    enum lane lane = kind_info(known)->lane == KIND_LANE_EMERGENCY ? LANE_EMERGENCY : LANE_ORDINARY;
    const char *ago = option(scenario, 3, "ago"), *by = option(scenario, 3, "by"), *old = option(scenario, 3, "for");
    free((char *)(uintptr_t)last->body);
    *last = (struct page_tap){.kind = kind_info(known)->name, .body = body, .by = page->hand};
    last->id = (struct entry_id){.sender = page->id, .n = ++page->top[lane], .lane = lane};
    if (ago != NULL)
        last->ago_ms = number(scenario, ago);
    if (by != NULL)
        last->by = (int32_t)number(scenario, by);
    if (old != NULL)
        last->instead_of = label_get(scenario, old);
    send_tap(scenario, page);
    if (scenario->count < 2 || !is(scenario, scenario->count - 2, "as"))
        return;
    if (scenario->label_count == NAMES_MAX)
        fail(scenario, "too many names");
    struct name *label = &scenario->label[scenario->label_count++];
    copy_name(label->name, word(scenario, scenario->count - 1));
    label->id = last->id;
}

static void is_told(struct scenario *scenario, struct page *page)
{
    const struct msg_answer *answer = &page->answer;
    const char *found = answer_is_name(answer->is);
    char words[WORD_BYTES];
    bool code_due = answer->is == ANSWER_IS_REFUSED || answer->is == ANSWER_IS_NOT_NOW || answer->is == ANSWER_IS_ERROR;
    if (!is(scenario, 3, found))
        fail(scenario, "%s was told %s %s: %s", word(scenario, 0), found, answer->code, answer->words);
    if (code_due && !is(scenario, 4, answer->code))
        fail(scenario, "%s was told %s %s: %s", word(scenario, 0), found, answer->code, answer->words);
    for (int i = code_due ? 5 : 4; i < scenario->count; i++) {
        unquoted(word(scenario, i), words);
        bool holds = is(scenario, i, "moot")   ? answer->moot
                     : is(scenario, i, "late") ? answer->late
                                               : strcmp(words, answer->words) == 0;
        if (!holds)
            fail(scenario, "%s was told: %s", word(scenario, 0), answer->words);
    }
    scenario->untold = NULL;
}

/* Unless the story says otherwise, a tap is seen. */
static void check_untold(struct scenario *scenario)
{
    const struct page *page = scenario->untold;
    if (page != NULL && !is(scenario, 2, "told") && page->answer.is != ANSWER_IS_SEEN)
        fail(scenario, "the tap before this was told %s %s: %s", answer_is_name(page->answer.is), page->answer.code,
             page->answer.words);
    scenario->untold = NULL;
}

/* --- what is shown ----------------------------------------------------------------------------------------------------- */

static const cJSON *member(const cJSON *value, const char *path)
{
    char step[WORD_BYTES];
    while (value != NULL && *path != '\0') {
        size_t len = strcspn(path, ".");
        (void)snprintf(step, sizeof step, "%.*s", (int)len, path);
        value = cJSON_IsArray(value) ? cJSON_GetArrayItem(value, (int)strtol(step, NULL, 10))
                                     : cJSON_GetObjectItemCaseSensitive(value, step);
        path += len + (path[len] == '.');
    }
    return value;
}

/* What is not said has its zero value. */
static bool is_zero_word(const char *json)
{
    static const char *const zero[] = {"0",         "false",    "\"\"",       "\"in\"",       "\"centre\"",
                                       "\"line\"",  "\"none\"", "\"open\"",   "\"called\"",   "\"here\"",
                                       "\"ahead\"", "\"all\"",  "\"strike\"", "\"not_said\"", "\"anyone\""};
    for (size_t i = 0; i < sizeof zero / sizeof *zero; i++)
        if (strcmp(json, zero[i]) == 0)
            return true;
    return false;
}

/* CHECKs the words name=value from `first` on against the members of value. */
static void check_members(const struct scenario *scenario, const char *of, const cJSON *value, int first)
{
    char path[WORD_BYTES], wanted[WORD_BYTES + 2];
    for (int i = first; i < scenario->count; i++) {
        const char *text = scenario->word[i], *equals = strchr(text, '=');
        if (equals == NULL)
            fail(scenario, "%s is no name=value", text);
        (void)snprintf(path, sizeof path, "%.*s", (int)(equals - text), text);
        value_text(scenario, equals + 1, wanted, sizeof wanted);
        const cJSON *found = member(value, path);
        if (found == NULL && is_zero_word(wanted))
            continue;
        char *found_text = found != NULL ? json_text(found) : NULL;
        if (found_text == NULL || strcmp(found_text, wanted) != 0)
            fail(scenario, "%s: %s is %s, not %s", of, path, found_text ? found_text : "not there", wanted);
        free(found_text);
    }
}

static void part_name(const struct scenario *scenario, const char *text, char out[WORD_BYTES])
{
    char id[40];
    const char *at = strchr(text, '@');
    if (at == NULL)
        (void)snprintf(out, WORD_BYTES, "%s", text);
    else
        (void)snprintf(out, WORD_BYTES, "%.*s%s", (int)(at - text), text, id_text(label_get(scenario, at), id));
}

static void page_shows(struct scenario *scenario, const struct page *page, const char *name)
{
    char part[WORD_BYTES];
    bool gone = is(scenario, 2, "no");
    part_name(scenario, word(scenario, gone ? 3 : 2), part);
    const cJSON *value = cJSON_GetObjectItemCaseSensitive(page->parts, part);
    if (gone && value != NULL)
        fail(scenario, "%s still shows %s", name, part);
    if (!gone && value == NULL &&
        strchr(part, '/') != NULL) /* a single part that is not there has nothing but zero values */
        fail(scenario, "%s shows no %s", name, part);
    if (!gone)
        check_members(scenario, part, value, 3);
}

static void shows(struct scenario *scenario)
{
    if (!is(scenario, 0, "everyone")) {
        page_shows(scenario, page_get(scenario, word(scenario, 0)), word(scenario, 0));
        return;
    }
    for (int32_t i = 0; i < scenario->bench.page_count; i++)
        if (scenario->bench.page[i].parts != NULL && scenario->bench.page[i].conn >= 0)
            page_shows(scenario, &scenario->bench.page[i], scenario->page_name[i]);
}

static void hears(struct scenario *scenario, const struct page *page)
{
    int32_t *heard = &scenario->alarms_heard[page - scenario->bench.page];
    bool nothing = is(scenario, 2, "nothing");
    const char *kind = kind_info(page->alarm.kind)->name;
    if (nothing ? page->alarms != *heard : page->alarms == *heard || !is(scenario, 2, kind))
        fail(scenario, "%s heard %s", word(scenario, 0), page->alarms == *heard ? "nothing" : kind);
    *heard = page->alarms;
}

/* --- the log ----------------------------------------------------------------------------------------------------------- */

/* A row as /log gives it: entry's members and outcome and voided in one object, for the caller to delete. */
static cJSON *log_row(struct scenario *scenario, struct entry_id id)
{
    char wanted[40];
    struct proto_error error;
    char *text = hub_log_json(scenario->bench.hub, 1, 1000);
    cJSON *log = json_read(text, strlen(text), &error);
    free(text);
    id_text(id, wanted);
    cJSON *rows = cJSON_GetObjectItemCaseSensitive(log, "rows");
    for (cJSON *row = rows->child; row != NULL; row = row->next) {
        cJSON *entry = cJSON_GetObjectItemCaseSensitive(row, "entry");
        if (strcmp(cJSON_GetObjectItemCaseSensitive(entry, "id")->valuestring, wanted) != 0)
            continue;
        cJSON *found = cJSON_DetachItemViaPointer(row, entry);
        cJSON_AddItemToObject(found, "outcome", cJSON_DetachItemFromObjectCaseSensitive(row, "outcome"));
        cJSON_AddItemToObject(found, "voided", cJSON_DetachItemFromObjectCaseSensitive(row, "voided"));
        cJSON_Delete(log);
        return found;
    }
    fail(scenario, "the log holds no %s", wanted);
}

static void log_holds(struct scenario *scenario)
{
    if (word(scenario, 2)[0] == '@') {
        cJSON *row = log_row(scenario, label_get(scenario, word(scenario, 2)));
        check_members(scenario, word(scenario, 2), row, 3);
        cJSON_Delete(row);
        return;
    }
    int64_t count = 0, wanted = number(scenario, word(scenario, 2));
    for (int32_t i = 0; i < scenario->bench.row_count; i++) {
        const struct entry *entry = &scenario->bench.row[i].entry;
        count += is(scenario, 3, kind_info(entry->kind)->name) && entry->refused[0] == '\0';
    }
    if (count != wanted)
        fail(scenario, "the log holds %lld %s", (long long)count, word(scenario, 3));
}

/* --- sentences --------------------------------------------------------------------------------------------------------- */

static void joins(struct scenario *scenario)
{
    const char *key = is(scenario, 2, "crew") ? CREW_KEY : is(scenario, 2, "guest") ? GUEST_KEY : NULL;
    const char *hand = option(scenario, 3, "hand");
    enum view view = VIEW_NONE;
    if (key == NULL && !is(scenario, 2, "keyless"))
        fail(scenario, "a page joins crew, guest or keyless");
    if (is(scenario, 3, "as") && !view_find(word(scenario, 4), &view))
        fail(scenario, "there is no view %s", word(scenario, 4));
    copy_name(scenario->page_name[scenario->bench.page_count], word(scenario, 0));
    (void)page_open(&scenario->bench, key, view, hand == NULL ? 0 : (int32_t)number(scenario, hand));
}

static void asks(struct page *page, struct entry_id target)
{
    struct msg_up_any up = {.t = MSG_UP_PREVIEW};
    up.u.preview.target = target;
    page_say_json(page, msg_up_to_json(&up));
}

static bool disk_sentence(struct scenario *scenario)
{
    if (is(scenario, 0, "disk") && is(scenario, 1, "stalls"))
        scenario->bench.disk_stalls = true;
    else if (is(scenario, 0, "disk") && is(scenario, 1, "goes"))
        scenario->bench.disk_stalls = false;
    else if (is(scenario, 0, "server") && is(scenario, 1, "restarts"))
        bench_restart(&scenario->bench, false);
    else
        return false;
    bench_settle(&scenario->bench);
    return true;
}

static void page_sentence(struct scenario *scenario)
{
    struct page *page = page_get(scenario, word(scenario, 0));
    if (is(scenario, 1, "leaves"))
        page_cut(page);
    else if (is(scenario, 1, "returns"))
        page_hello(page, NULL, NULL);
    else if (is(scenario, 1, "takes") && is(scenario, 2, "helm"))
        page_helm(page, word(scenario, 3));
    else if (is(scenario, 1, "starts") && is(scenario, 2, "trip"))
        tap(scenario, page, "trip_started", strdup(scenario->trip));
    else if (is(scenario, 1, "taps") && is(scenario, 2, "again"))
        send_tap(scenario, page);
    else if (is(scenario, 1, "taps"))
        tap(scenario, page, word(scenario, 2), body_text(scenario, 3));
    else if (is(scenario, 1, "is") && is(scenario, 2, "told"))
        is_told(scenario, page);
    else if (is(scenario, 1, "hears"))
        hears(scenario, page);
    else if (is(scenario, 1, "asks"))
        asks(page, label_get(scenario, word(scenario, 3)));
    else if (is(scenario, 1, "is") && is(scenario, 2, "shown")) {
        if (page->preview.count != number(scenario, word(scenario, 3)))
            fail(scenario, "%s was shown %d", word(scenario, 0), page->preview.count);
    } else
        fail(scenario, "this sentence has no meaning");
}

static void sentence(struct scenario *scenario)
{
    struct page *untold = scenario->untold;
    check_untold(scenario);
    scenario->sentences++;
    if (is(scenario, 1, "joins"))
        joins(scenario);
    else if (is(scenario, 1, "shows"))
        shows(scenario);
    else if (is(scenario, 0, "log"))
        log_holds(scenario);
    else if (is(scenario, 0, "time"))
        bench_pass(&scenario->bench, number(scenario, word(scenario, 2)));
    else if (!disk_sentence(scenario))
        page_sentence(scenario);
    if (untold != NULL && is(scenario, 2, "told") && page_get(scenario, word(scenario, 0)) != untold)
        fail(scenario, "the last tap was another page's");
    scenario->bench.now.boot_ms += 100; /* hands are not that fast */
}

static void read_trip(struct scenario *scenario, const char *path)
{
    FILE *file = fopen(path, "r");
    size_t len = file == NULL ? 0 : fread(scenario->trip, 1, TRIP_BYTES - 1, file);
    if (len == 0) {
        (void)fprintf(stderr, "%s cannot be read\n", path);
        exit(1);
    }
    scenario->trip[len] = '\0';
    (void)fclose(file);
}

static void run(const char *trip, const char *path)
{
    static struct scenario scenario;
    char text[1024];
    scenario = (struct scenario){.file = path};
    read_trip(&scenario, trip);
    FILE *file = fopen(path, "r");
    if (file == NULL)
        fail(&scenario, "cannot be read");
    bench_open(&scenario.bench);
    while (fgets(text, sizeof text, file) != NULL) {
        scenario.line++;
        split(&scenario, text);
        if (scenario.count > 0)
            sentence(&scenario);
    }
    scenario.count = 0;
    check_untold(&scenario);
    bench_check(&scenario.bench);
    (void)fclose(file);
    bench_close(&scenario.bench);
    for (int32_t i = 0; i < BENCH_PAGES; i++)
        free((char *)(uintptr_t)scenario.last[i].body);
    (void)printf("%s: %d sentences hold\n", path, scenario.sentences);
}

int main(int argc, char **argv)
{
    for (int i = 2; i < argc; i++)
        run(argv[1], argv[i]);
    return argc > 2 ? 0 : 1;
}
