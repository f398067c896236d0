/* The hub's one struct, for the files of this folder. From the ground floor up; a file calls only those above it in this list:
 *
 *     chance, hash, queue, senders, answers, unsaved, keys  parts that know nothing of the hub
 *     send       messages out: frames, lanes, the fresh board, the pulse
 *     take       the ordered path of one entry: apply, journal, diff, patch, row for the log
 *     own        entries of the server's own
 *     amend      the rules of undo and correction
 *     watch      pages that come, sleep and get lost
 *     ladder     what falls due
 *     identity   repeats, gaps, waits: what comes before any rule
 *     taps, offers, helm, hello     messages in
 *     reads      the log and the board for HTTP
 *     hub        start, dispatch, tick, saved, check
 */
#ifndef STERNBOARD_HUB_INTERNAL_H
#define STERNBOARD_HUB_INTERNAL_H

#include "answers.h"
#include "board/journal.h"
#include "chain.h"
#include "chance.h"
#include "debrief/box.h"
#include "hash.h"
#include "hub.h"
#include "keys.h"
#include "limit.h"
#include "must.h"
#include "proto_json.h"
#include "queue.h"
#include "senders.h"
#include "unsaved.h"

/* Close codes, from those that RFC 6455 leaves to applications. A page reads them: 4001 and 4003 mean that it stays away. */
enum close_code {
    CLOSE_REPLACED = 4001, /* the same page came by another connection */
    CLOSE_SILENT = 4002,   /* nothing heard, or no hello in time or while others came */
    CLOSE_KEY = 4003,      /* a wrong key */
    CLOSE_FULL = 4004,     /* no room */
    CLOSE_LATER = 4006,    /* another device has this page's id just now: try again in a while */
    CLOSE_FLOOD = 4008,    /* too many messages */
};

/* A bucket that leaks: each use fills it by one. All zero: empty. */
struct bucket {
    int64_t at_ms, level_milli;
};

/*      join            hello             close_conn()         gone
 * FREE ----> NEW ---------------> GREETED ----------> CLOSING ----> FREE
 *             '----------------------------------------^
 * From every state gone leads to FREE. CLOSING: what is queued is still sent, nothing more is queued or heard. */
enum conn_state { CONN_FREE, CONN_NEW, CONN_GREETED, CONN_CLOSING };

struct conn {
    enum conn_state state;
    enum source from; /* ANYONE, GUEST or CREW; who is the helm changes, and is asked of the board */
    enum view view;
    int32_t device, hand;
    int32_t close_code;
    uint64_t address, page;
    int64_t joined_ms, heard_ms; /* boot clock */
    int64_t unsaved;             /* the last row of this page's own taps, until it is saved; 0: none */
    bool lines;                  /* it reads messages that come together; a page of another build is sent each alone */
    bool fresh_due;              /* patches are no use to it: it gets a fresh board as soon as it can be written to */
    struct bucket messages, taps, emergencies, offers, previews;
    struct queue ordinary, alarms;
    struct frame *ordinary_slot[LIMIT_QUEUE_FRAMES], *alarm_slot[LIMIT_ALARM_FRAMES];
};

/* One page of the crew's, over its connections: what is so, and what the log has been told. */
struct watch {
    uint64_t page; /* 0: free */
    int32_t conn;  /* -1: none */
    int32_t device, hand;
    enum view view;
    enum page_reach reach;
    int64_t reach_ms; /* boot clock: so since */
    bool told;        /* the log knows the page, as: */
    int32_t told_device, told_hand;
    enum view told_view;
    enum page_reach told_reach;
    int64_t told_ms; /* boot clock */
};
#define WATCH_MAX (2 * LIMIT_CONNS)

/* Overboard calls that a screen brought back, held for a moment in case their end is brought back too. */
struct held_alarm {
    struct entry_id id;
    int64_t due_ms; /* boot clock */
};
#define HELD_MAX 8

/* What a trip that ends leaves to the next one (fish.h). */
struct fish_over {
    struct body_fish_kept fish;
    struct body_report_kept reports[BOX_DUE_MAX];
    int32_t reports_count;
    struct rule_set rules;
    bool has_rules;
};

struct hub {
    struct hub_seed seed;
    struct chance chance;
    bool live; /* hub_start() has been called */

    struct hub_time now;
    int64_t base_ms, log_ms; /* log time minus boot clock; log time now */

    struct board board;
    struct journal journal;
    int64_t rev, last_seq, saved_seq;
    uint8_t chain[HASH_BYTES]; /* at last_seq */
    struct chains chains;
    enum log_state disk;
    enum spare_copy spare;
    bool lost; /* the disk failed, and rows were dropped for want of room: this run saves nothing more */
    struct unsaved unsaved;

    bool refolding; /* a long refold is under way; the board is behind the corrections until it is done */
    struct refold refold;

    char digest[17];
    int64_t digest_rev; /* of which revision; -1: of none */
    struct frame *fresh[BOARD_SLOTS_MAX + 1];
    int32_t fresh_count;
    int64_t fresh_rev;

    struct senders senders;
    struct answers answers;
    struct devices devices;
    struct guard number_guard;
    struct bucket strangers; /* of all pages without the crew's key together */

    struct conn conn[LIMIT_CONNS];
    struct watch watch[WATCH_MAX];
    int32_t conn_end, watch_end; /* from there on all are free: a few screens must not cost what two hundred do */
    struct held_alarm held[HELD_MAX];
    int64_t pulse_due_ms;

    /* Big things that are made anew at each use, here rather than on the stack. */
    struct msg_up_any up;
    struct msg_patch patch;
    struct msg_alarm alarm;
    struct entry tap_entry, own_entry, old_entry;
    struct json_out out, parts; /* one message in the making; the parts of one patch */
    struct board before, dry;
    const struct rules *rules; /* NULL: none were given */
    struct box box;
    struct fish_over fish_over;
};

#endif
