/* A hub with pages and a log around it, all in one thread and with the time in the test's hand.
 *
 * A page here is what a browser would be: it says hello, taps with its own two counters, and keeps the board from the fresh
 * board and the patches alone. bench_check() compares every such board with the hub's.
 */
#ifndef STERNBOARD_TESTS_HUB_SUPPORT_H
#define STERNBOARD_TESTS_HUB_SUPPORT_H

#include "hub/hub.h"
#include "proto_json.h"

#define CREW_KEY    "crew-key-of-the-petrel"
#define GUEST_KEY   "guest-key-of-the-petrel"
#define HELM_NUMBER "4711"

enum { BENCH_PAGES = 32, BENCH_ALARMS = 64 };

struct page {
    struct bench *bench;
    uint64_t id;
    int conn; /* -1: not connected */
    int close_code;
    int32_t device, hand, top[LANE_COUNT_];
    enum view view;
    char token[65];

    cJSON *parts; /* the board as this page has it; NULL before the first fresh board */
    int64_t rev;
    bool fresh; /* a fresh board is coming in */
    bool slow;  /* bench_settle() does not read its frames */

    /* What was last heard of each sort, and how often. */
    struct msg_welcome welcome;
    struct msg_answer answer;
    struct msg_told told;
    struct msg_no no;
    struct msg_pulse pulse;
    struct msg_saved saved;
    struct msg_preview_is preview;
    struct entry alarm, patched;
    int32_t welcomes, answers, tolds, nos, pulses, saves, previews, alarms, patches, fresh_boards;
    bool patched_moot;
};

/* A row as it lies on the disk. */
struct bench_row {
    struct entry entry;
    uint8_t chain[32];
};

struct bench {
    struct hub *hub;
    struct hub_seed seed;
    struct hub_time now;
    struct page page[BENCH_PAGES];
    int32_t page_count;
    struct bench_row *row; /* saved rows, in order of seq from 1 */
    int32_t row_count, row_max;
    bool disk_stalls;
    struct hub_device device[64];
    size_t device_count;
};

void bench_open(struct bench *);
void bench_close(struct bench *);
/* Opens it with a trip that runs: Ines at the helm, Tobias on the port side, Ruth on starboard. */
void bench_open_trip(struct bench *, struct page **helm, struct page **port, struct page **star);
/* Rows saved of a kind, refused ones not counted. */
int32_t bench_count(const struct bench *, enum entry_kind);

/* Takes the frames of every page, saves what is unsaved (unless the disk stalls), and checks the whole. */
void bench_settle(struct bench *);
void bench_check(struct bench *);
/* Lets time pass, from one thing due to the next. */
void bench_pass(struct bench *, int64_t ms);
void bench_save(struct bench *);
/* The server dies and comes back with what was saved. New boot: the boot clock starts again, from 1000. */
void bench_restart(struct bench *, bool new_boot);

/* A page of a key (NULL: none); connected and greeted, unless the hub refuses. */
struct page *page_open(struct bench *, const char *key, enum view, int32_t hand);
void page_hello(struct page *, const char *key,
                const struct log_mark *); /* connects, with the token when key is NULL */
void page_cut(struct page *);             /* the connection is gone */
void page_say(struct page *, const char *text);
void page_say_json(struct page *, cJSON *); /* given away */

/* The next tap of the kind's own lane; body is JSON text ('"' may be written as '\''). Answer: page->answer. */
struct entry_id page_tap(struct page *, const char *kind, const char *body);
struct entry_id page_tap_ago(struct page *, const char *kind, const char *body, int64_t ago_ms);
/* A tap whose body names another entry: body has one %s for its id. */
struct entry_id page_tap_about(struct page *, const char *kind, const char *body, struct entry_id about);
/* Any tap, for those that are not as they should be. */
struct page_tap {
    struct entry_id id, instead_of;
    const char *kind, *body, *told_no;
    int64_t ago_ms;
    int32_t by;
};
void page_tap_as(struct page *, const struct page_tap *);
/* An entry that this page saw, brought back. */
void page_offer(struct page *, const struct entry *, int64_t ago_ms);
void page_beat(struct page *, bool visible);
void page_helm(struct page *, const char *number);

char *id_text(struct entry_id, char out[40]);

/* JSON text of a trip for body: six lines, two teasers, five hands, one checklist, one preset. */
extern const char trip_body[];

#endif
