#include "hub_support.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "board/check.h"
#include "codec.h"
#include "limit.h"

const char trip_body[] =
    "{'name':'Grey Petrel','no':1,'spread':["
    "{'id':1,'name':'port long','side':'port','gear':'line','distance_m':60},"
    "{'id':2,'name':'port short','side':'port','gear':'line','distance_m':30},"
    "{'id':3,'name':'centre','side':'centre','gear':'line','distance_m':80},"
    "{'id':4,'name':'starboard short','side':'starboard','gear':'line','distance_m':30},"
    "{'id':5,'name':'starboard long','side':'starboard','gear':'line','distance_m':60},"
    "{'id':6,'name':'port teaser','side':'port','gear':'teaser','distance_m':15},"
    "{'id':7,'name':'starboard teaser','side':'starboard','gear':'teaser','distance_m':15}],"
    "'crew':[{'id':1,'name':'Ines','station':'helm'},{'id':2,'name':'Tobias','station':'port'},"
    "{'id':3,'name':'Ruth','station':'starboard'},{'id':4,'name':'Amparo','station':'cockpit'},"
    "{'id':5,'name':'Dov','station':'cockpit','voice':true}],"
    "'lists':[{'id':1,'name':'Leaving the dock','kind':'do_confirm','items':["
    "{'ask':'Lines ashore','state':'let go'},{'ask':'Bilge','state':'dry'},{'ask':'Kill cord','state':'worn'}]}],"
    "'presets':[{'id':1,'name':'all but longs','kept':[1,5]}]}";

/* --- text -------------------------------------------------------------------------------------------------------------- */

char *id_text(struct entry_id id, char out[40])
{
    (void)snprintf(out, 40, "%016llx.%c.%d", (unsigned long long)id.sender, id.lane == LANE_EMERGENCY ? 'e' : 'o',
                   id.n);
    return out;
}

static cJSON *read_text(const char *text, size_t len)
{
    struct proto_error error;
    cJSON *json = json_read(text, len, &error);
    if (json == NULL)
        fprintf(stderr, "cannot be read: %s (%s): %.*s\n", error.words, error.at, (int)len, text);
    CHECK(json != NULL);
    return json;
}

/* Tests write ' for ", which no text of theirs contains. */
static cJSON *read_quoted(const char *text)
{
    char *copy = strdup(text);
    CHECK(copy != NULL);
    for (char *at = copy; *at != '\0'; at++)
        if (*at == '\'')
            *at = '"';
    cJSON *json = read_text(copy, strlen(copy));
    free(copy);
    return json;
}

/* --- what a page hears ------------------------------------------------------------------------------------------------- */

static void put_part(struct page *page, const char *id, const cJSON *value)
{
    cJSON_DeleteItemFromObjectCaseSensitive(page->parts, id);
    if (!cJSON_IsNull(value))
        CHECK(cJSON_AddItemToObject(page->parts, id, cJSON_Duplicate(value, true)));
}

static void hear_patch(struct page *page, const struct msg_patch *patch)
{
    page->patches++;
    page->patched = patch->entry;
    page->patched_moot = patch->moot;
    CHECK(page->parts != NULL && !page->fresh && patch->rev == page->rev + 1);
    page->rev = patch->rev;
    for (const cJSON *part = patch->parts->child; part != NULL; part = part->next)
        put_part(page, part->string, part);
}

static void hear_fresh_start(struct page *page, const struct msg_fresh_start *start)
{
    cJSON_Delete(page->parts);
    page->parts = cJSON_CreateObject();
    page->rev = start->rev;
    page->fresh = true;
}

static void hear_welcome(struct page *page, const struct msg_welcome *welcome)
{
    page->welcome = *welcome;
    page->welcomes++;
    page->device = welcome->device;
    if (welcome->token[0] != '\0')
        memcpy(page->token, welcome->token, sizeof page->token);
}

static void hear(struct page *page, const struct msg_down_any *down)
{
    switch (down->t) {
    case MSG_DOWN_WELCOME: hear_welcome(page, &down->u.welcome); break;
    case MSG_DOWN_NO: page->no = down->u.no, page->nos++; break;
    case MSG_DOWN_FRESH_START: hear_fresh_start(page, &down->u.fresh_start); break;
    case MSG_DOWN_PART: put_part(page, down->u.part.part, down->u.part.value); break;
    case MSG_DOWN_FRESH_END:
        CHECK(page->fresh && down->u.fresh_end.rev == page->rev);
        page->fresh = false;
        page->fresh_boards++;
        break;
    case MSG_DOWN_PATCH: hear_patch(page, &down->u.patch); break;
    case MSG_DOWN_ALARM: page->alarm = down->u.alarm.entry, page->alarms++; break;
    case MSG_DOWN_ANSWER: page->answer = down->u.answer, page->answers++; break;
    case MSG_DOWN_SAVED: page->saved = down->u.saved, page->saves++; break;
    case MSG_DOWN_PULSE: page->pulse = down->u.pulse, page->pulses++; break;
    case MSG_DOWN_TOLD: page->told = down->u.told, page->tolds++; break;
    case MSG_DOWN_PREVIEW_IS: page->preview = down->u.preview_is, page->previews++; break;
    case MSG_DOWN_COUNT_: CHECK(false);
    }
}

static void hear_text(struct page *page, const char *text, size_t len)
{
    static struct msg_down_any down;
    struct proto_error error;
    cJSON *json = read_text(text, len);
    bool read = msg_down_from_json(json, &down, &error);
    CHECK(read);
    hear(page, &down);
    cJSON_Delete(json);
}

/* Messages that waited for one another, a line each. */
static void hear_lines(struct page *page, const struct frame *frame)
{
    size_t at = 0;
    while (at < (size_t)frame->len) {
        const char *end = memchr(frame->text + at, '\n', (size_t)frame->len - at);
        size_t len = end != NULL ? (size_t)(end - frame->text) - at : (size_t)frame->len - at;
        hear_text(page, frame->text + at, len);
        at += len + 1;
    }
}

static void read_frames(struct page *page)
{
    while (page->conn >= 0) {
        int close_code;
        struct frame *frame = hub_next(page->bench->hub, page->conn, &close_code);
        if (frame == NULL) {
            page->close_code = close_code;
            if (close_code != 0)
                page_cut(page);
            return;
        }
        hear_lines(page, frame);
        frame_drop(frame);
    }
}

/* --- the log ----------------------------------------------------------------------------------------------------------- */

static void keep_row(struct bench *bench, const struct log_row *row)
{
    struct proto_error error;
    CHECK(row->seq == bench->row_count + 1);
    if (bench->row_count == bench->row_max) {
        bench->row_max = bench->row_max * 2 + 64;
        bench->row = realloc(bench->row, (size_t)bench->row_max * sizeof *bench->row);
        CHECK(bench->row != NULL);
    }
    struct bench_row *kept = &bench->row[bench->row_count++];
    cJSON *json = read_text(row->text, (size_t)row->len);
    bool read = entry_from_json(json, &kept->entry, &error);
    CHECK(read && kept->entry.seq == row->seq);
    memcpy(kept->chain, row->chain, sizeof kept->chain);
    cJSON_Delete(json);
}

void bench_save(struct bench *bench)
{
    static struct log_row rows[LIMIT_BATCH_ROWS];
    for (size_t count; (count = hub_batch(bench->hub, rows, LIMIT_BATCH_ROWS)) > 0;) {
        for (size_t i = 0; i < count; i++)
            keep_row(bench, &rows[i]);
        hub_saved(bench->hub, bench->now, rows[count - 1].seq, LOG_OK);
    }
}

static int32_t trip_start(const struct bench *bench)
{
    for (int32_t i = bench->row_count - 1; i > 0; i--)
        if (bench->row[i].entry.kind == KIND_TRIP_STARTED && bench->row[i].entry.refused[0] == '\0')
            return i;
    return 0;
}

/* The top of a sender's lane, told once, at its last row. */
static void seed_tops(struct bench *bench)
{
    for (int32_t i = 0; i < bench->row_count; i++) {
        struct entry_id id = bench->row[i].entry.id;
        bool last = true;
        for (int32_t k = i + 1; k < bench->row_count && last; k++) {
            struct entry_id other = bench->row[k].entry.id;
            last = other.sender != id.sender || other.lane != id.lane;
        }
        if (last)
            hub_seed_top(bench->hub, id.sender, id.lane, id.n);
    }
}

static void start(struct bench *bench)
{
    int32_t first = trip_start(bench);
    bench->seed.run_id++;
    bench->hub = hub_new(&bench->seed);
    for (size_t i = 0; i < bench->device_count; i++)
        hub_seed_device(bench->hub, &bench->device[i]);
    seed_tops(bench);
    if (first > 0)
        hub_seed_last(bench->hub, first, bench->row[first - 1].chain);
    for (int32_t i = first; i < bench->row_count; i++) {
        bool follows = hub_replay(bench->hub, &bench->row[i].entry, bench->row[i].chain);
        CHECK(follows);
    }
    hub_start(bench->hub, bench->now);
}

void bench_restart(struct bench *bench, bool new_boot)
{
    bench->device_count = hub_devices(bench->hub, bench->device, 64);
    for (int32_t i = 0; i < bench->page_count; i++)
        bench->page[i].conn = -1;
    hub_free(bench->hub);
    if (new_boot) {
        bench->now.boot_ms = 1000;
        bench->seed.boot_id++;
    }
    start(bench);
}

/* --- the bench --------------------------------------------------------------------------------------------------------- */

void bench_open(struct bench *bench)
{
    *bench = (struct bench){.now = {.boot_ms = 1000, .utc_ms = 0}};
    bench->seed = (struct hub_seed){.log_id = 0x1111222233334444, .run_id = 0xaa00, .boot_id = 0xb007, .random = 7};
    bench->seed.version = "test";
    memcpy(bench->seed.crew_key, CREW_KEY, sizeof CREW_KEY);
    memcpy(bench->seed.guest_key, GUEST_KEY, sizeof GUEST_KEY);
    memcpy(bench->seed.helm_number, HELM_NUMBER, sizeof HELM_NUMBER);
    start(bench);
}

void bench_close(struct bench *bench)
{
    for (int32_t i = 0; i < bench->page_count; i++)
        cJSON_Delete(bench->page[i].parts);
    hub_free(bench->hub);
    free(bench->row);
}

int32_t bench_count(const struct bench *bench, enum entry_kind kind)
{
    int32_t count = 0;
    for (int32_t i = 0; i < bench->row_count; i++)
        count += bench->row[i].entry.kind == kind && bench->row[i].entry.refused[0] == '\0';
    return count;
}

static char *board_text(const struct board *board)
{
    cJSON *json = board_to_json(board);
    char *text = json_text(json);
    cJSON_Delete(json);
    return text;
}

/* A page's board, made of what it was sent, is the hub's. */
static void check_page(struct bench *bench, const struct page *page, const char *hubs)
{
    static struct board board;
    struct proto_error error;
    bool read = board_from_json(page->parts, &board, &error);
    CHECK(read && page->rev == hub_rev(bench->hub));
    char *own = board_text(&board);
    CHECK(strcmp(own, hubs) == 0);
    free(own);
}

void bench_check(struct bench *bench)
{
    hub_check(bench->hub);
    char *hubs = board_text(hub_board(bench->hub));
    for (int32_t i = 0; i < bench->page_count; i++) {
        const struct page *page = &bench->page[i];
        if (page->conn >= 0 && page->parts != NULL && !page->slow)
            check_page(bench, page, hubs);
    }
    free(hubs);
}

void bench_settle(struct bench *bench)
{
    if (!bench->disk_stalls)
        bench_save(bench);
    for (int32_t i = 0; i < bench->page_count; i++)
        if (!bench->page[i].slow)
            read_frames(&bench->page[i]);
    bench_check(bench);
}

void bench_pass(struct bench *bench, int64_t ms)
{
    int64_t end_ms = bench->now.boot_ms + ms;
    int64_t utc_off_ms = bench->now.utc_ms - bench->now.boot_ms;
    for (;;) {
        int64_t next_ms = hub_tick(bench->hub, bench->now);
        bench_settle(bench);
        if (bench->now.boot_ms == end_ms)
            return;
        CHECK(next_ms >= bench->now.boot_ms);
        bench->now.boot_ms = next_ms < end_ms ? next_ms : end_ms;
        if (bench->now.utc_ms != 0)
            bench->now.utc_ms = bench->now.boot_ms + utc_off_ms;
    }
}

/* --- pages ------------------------------------------------------------------------------------------------------------- */

void page_hello(struct page *page, const char *key, const struct log_mark *mark)
{
    struct bench *bench = page->bench;
    struct peer peer = {.address = page->id};
    struct msg_hello hello = {.proto = PROTO_ID, .page = page->id, .view = page->view, .hand = page->hand};
    if (key != NULL)
        (void)snprintf(hello.key, sizeof hello.key, "%s", key);
    else
        memcpy(hello.token, page->token, sizeof hello.token);
    if (mark != NULL)
        hello.log = *mark;
    cJSON_Delete(page->parts);
    page->parts = NULL;
    page->close_code = 0;
    page->conn = hub_join(bench->hub, bench->now, &peer);
    CHECK(page->conn >= 0);
    struct msg_up_any up = {.t = MSG_UP_HELLO};
    up.u.hello = hello;
    page_say_json(page, msg_up_to_json(&up));
}

struct page *page_open(struct bench *bench, const char *key, enum view view, int32_t hand)
{
    CHECK(bench->page_count < BENCH_PAGES);
    struct page *page = &bench->page[bench->page_count++];
    *page = (struct page){.bench = bench, .view = view, .hand = hand, .conn = -1};
    page->id = 0x9a9e000000000000U + (uint64_t)bench->page_count;
    page_hello(page, key, NULL);
    return page;
}

void page_cut(struct page *page)
{
    hub_gone(page->bench->hub, page->bench->now, page->conn);
    page->conn = -1;
}

void page_say(struct page *page, const char *text)
{
    hub_recv(page->bench->hub, page->bench->now, page->conn, text, strlen(text));
    bench_settle(page->bench);
}

void page_say_json(struct page *page, cJSON *json)
{
    char *text = json_text(json);
    page_say(page, text);
    free(text);
    cJSON_Delete(json);
}

void page_tap_as(struct page *page, const struct page_tap *tap)
{
    char id[40], instead_of[40];
    cJSON *json = cJSON_CreateObject();
    cJSON_AddStringToObject(json, "t", "tap");
    cJSON_AddStringToObject(json, "id", id_text(tap->id, id));
    cJSON_AddStringToObject(json, "kind", tap->kind);
    cJSON_AddNumberToObject(json, "v", 1);
    cJSON_AddNumberToObject(json, "ago_ms", (double)tap->ago_ms);
    cJSON_AddNumberToObject(json, "by", tap->by);
    if (tap->told_no != NULL)
        cJSON_AddStringToObject(json, "told_no", tap->told_no);
    if (tap->instead_of.n != 0)
        cJSON_AddStringToObject(json, "instead_of", id_text(tap->instead_of, instead_of));
    CHECK(cJSON_AddItemToObject(json, "body", read_quoted(tap->body)));
    page_say_json(page, json);
}

static enum lane lane_of(const char *kind)
{
    enum entry_kind found;
    bool known = kind_find(kind, 1, &found);
    return known && kind_info(found)->lane == KIND_LANE_EMERGENCY ? LANE_EMERGENCY : LANE_ORDINARY;
}

struct entry_id page_tap_ago(struct page *page, const char *kind, const char *body, int64_t ago_ms)
{
    enum lane lane = lane_of(kind);
    struct page_tap tap = {.kind = kind, .body = body, .ago_ms = ago_ms, .by = page->hand};
    tap.id = (struct entry_id){.sender = page->id, .n = ++page->top[lane], .lane = lane};
    page_tap_as(page, &tap);
    return tap.id;
}

struct entry_id page_tap(struct page *page, const char *kind, const char *body)
{
    return page_tap_ago(page, kind, body, 0);
}

/* Each test names one entry or none; a copy without the %s is the body. */
struct entry_id page_tap_about(struct page *page, const char *kind, const char *body, struct entry_id about)
{
    char text[300], id[40];
    const char *at = strstr(body, "%s");
    CHECK(at != NULL);
    (void)snprintf(text, sizeof text, "%.*s%s%s", (int)(at - body), body, id_text(about, id), at + 2);
    return page_tap(page, kind, text);
}

void page_offer(struct page *page, const struct entry *entry, int64_t ago_ms)
{
    static struct msg_up_any up;
    up = (struct msg_up_any){.t = MSG_UP_OFFER};
    up.u.offer.entry = *entry;
    up.u.offer.ago_ms = ago_ms;
    page_say_json(page, msg_up_to_json(&up));
}

void page_beat(struct page *page, bool visible)
{
    struct msg_up_any up = {.t = MSG_UP_BEAT};
    up.u.beat.visible = visible;
    up.u.beat.rev = page->rev;
    page_say_json(page, msg_up_to_json(&up));
}

void page_helm(struct page *page, const char *number)
{
    struct msg_up_any up = {.t = MSG_UP_TAKE_HELM};
    (void)snprintf(up.u.take_helm.number, sizeof up.u.take_helm.number, "%s", number);
    up.u.take_helm.hand = page->hand;
    page_say_json(page, msg_up_to_json(&up));
}

void bench_open_trip(struct bench *bench, struct page **helm, struct page **port, struct page **star)
{
    bench_open(bench);
    *helm = page_open(bench, CREW_KEY, VIEW_HELM, 1);
    *port = page_open(bench, CREW_KEY, VIEW_PHONE, 2);
    *star = page_open(bench, CREW_KEY, VIEW_PHONE, 3);
    page_helm(*helm, HELM_NUMBER);
    page_tap(*helm, "trip_started", trip_body);
    CHECK((*helm)->answer.is == ANSWER_IS_SEEN);
    bench_pass(bench, 1000);
}
